"""What a drawing is held against: a scale, a thread, a cloth and the trade's values."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from analyse.trade import Cloth, Row, Trade
from analyse.values import Drawing

LEAST_ERROR_PX = 0.002  # of a width, the scale of its errors, where edges show no scatter at all
ERROR_BY_SCATTER = 1.84  # px of it by px of their scatter, in clean and compressed pictures of any resolution alike
ERROR_OF_ONE_PX = 0.006  # and of a stroke one px wide beside it; what is thinner is a mixture throughout,
THINNER = 3.7  # and its error grows with this power: by how much it mixes and by how little of it there is,
THINNEST_PX = 0.3  # down to what is hardly seen at all

WIDER_ON_CLOTH = (
    "column.narrowest", "kind.widened_under", "kind.three_passes_under", "lettering.capitals", "lettering.x_height"
)  # fmt: skip
"""Widths of columns, and heights of letters made of them.

They grow in proportion where the cloth bears no stitch as short as the narrowest column is wide.
"""


@dataclass(frozen=True, slots=True)
class Setting:
    """One size on one cloth. error_mm: how far a drawn width may be off, the scale of its errors; see `error_of`."""

    mm_per_px: float
    error_mm: float
    thread: str
    cloth: Cloth
    trade: Trade
    _plain: dict[str, float] = field(default_factory=dict, init=False, repr=False, compare=False)
    """Figures as they were found: the same few are asked for at every part."""

    def row(self, key: str) -> Row:
        """The trade row of that key, for this thread where it asks for one."""
        return self.trade.at(key, thread=self.thread)

    def value(self, key: str) -> float:
        """The bare figure of `row`; of a column's least width what this cloth bears."""
        if key not in self._plain:
            wider = self._wider() if key in WIDER_ON_CLOTH else 1.0
            self._plain[key] = float(self.row(key).value) * wider
        return self._plain[key]

    def _wider(self) -> float:
        return least_column_mm(self.cloth, self.thread, self.trade) / float(self.row("column.narrowest").value)

    def error_of(self, width_mm: float) -> float:
        """How far a width may be off, the scale of its errors: more where it is less than about a px."""
        px = max(width_mm / self.mm_per_px, THINNEST_PX)
        return math.hypot(self.error_mm, ERROR_OF_ONE_PX * px**-THINNER * self.mm_per_px)

    def pull_mm(self, width_mm: float) -> float:
        """Pull compensation on each side of a stitch that long."""
        return pull_mm(self.cloth, width_mm, self.trade)

    def sewn_mm(self, width_mm: float) -> float:
        """Needle point to needle point on a column drawn that wide."""
        return width_mm + 2.0 * self.pull_mm(width_mm)


def widened(drawn_mm: float, setting: Setting) -> tuple[float, str]:
    """How wide a thin column is sewn, and what it says of that: `1.0 mm sewn on twill: a column, widened by ...`.

    Pull compensation is part of it; it is widened by what that lacks to the least column.
    """
    least = setting.value("column.narrowest")
    sewn = max(setting.sewn_mm(drawn_mm), least)
    more = f"{(sewn - setting.sewn_mm(drawn_mm)) / 2.0:.2f}"
    return sewn, "" if float(more) == 0 else f", widened by {more} mm on each side"


def least_column_mm(cloth: Cloth, thread: str, trade: Trade) -> float:
    """The least width a column is sewn at: the thread's, and no less than the cloth's shortest stitch."""
    return max(float(trade.value("column.narrowest", thread=thread)), cloth.shortest_mm)


def pull_mm(cloth: Cloth, stitch_mm: float, trade: Trade) -> float:
    """What a cloth pulls in at each end of a stitch that long: narrow, then in proportion, then full."""
    start, full = float(trade.value("pull.grows_from")), float(trade.value("pull.full_from"))
    share = min(max((stitch_mm - start) / max(full - start, 1e-9), 0.0), 1.0)
    return cloth.pull_narrow_mm + (cloth.pull_mm - cloth.pull_narrow_mm) * share


def width_error_px(drawing: Drawing) -> float:
    """How far a width of a traced drawing may be off, the scale of its errors in px, by how its edges scatter.

    The constants are fitted to strokes of known width in pictures of 300 to 1,200 px, clean and as JPEGs of quality 30
    to 85, of seeds 410 to 432; tests/benchmarks/kinds.py measures on others.
    """
    return math.hypot(LEAST_ERROR_PX, ERROR_BY_SCATTER * drawing.scatter_px)

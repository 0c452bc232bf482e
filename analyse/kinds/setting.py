"""What a drawing is held against: a scale, a thread, a cloth and the trade's values."""

from __future__ import annotations

from dataclasses import dataclass

from analyse.trade import Cloth, Row, Trade


@dataclass(frozen=True, slots=True)
class Setting:
    """One size on one cloth. error_mm: how far a drawn width may be off (one standard deviation)."""

    mm_per_px: float
    error_mm: float
    thread: str
    cloth: Cloth
    trade: Trade

    def row(self, key: str) -> Row:
        """The trade row of that key, for this thread where it asks for one."""
        return self.trade.at(key, thread=self.thread)

    def value(self, key: str) -> float:
        """The bare figure of `row`."""
        return float(self.row(key).value)

    def pull_mm(self, width_mm: float) -> float:
        """Pull compensation on each side of a stitch that long: narrow under 2 mm, full from 4 mm, in proportion."""
        narrow, full = self.cloth.pull_narrow_mm, self.cloth.pull_mm
        share = min(max((width_mm - 2.0) / 2.0, 0.0), 1.0)
        return narrow + (full - narrow) * share

    def sewn_mm(self, width_mm: float) -> float:
        """Needle point to needle point on a column drawn that wide."""
        return width_mm + 2.0 * self.pull_mm(width_mm)

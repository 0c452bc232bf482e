"""What a sewing wears: spacing, underlay, pull and push, and what widens a thin column."""

from __future__ import annotations

import numpy as np

from analyse.kinds.setting import least_column_mm, pull_mm
from analyse.trade import Cloth, Trade
from plans.values import Underlay


def pull(cloth: Cloth, trade: Trade, stitch_mm: float, *, letter: bool = False, gap_mm: float = np.inf) -> float:
    """Compensation each side, mm: by stitch length and cloth; lettering and narrow gaps hold it down."""
    wanted = pull_mm(cloth, stitch_mm, trade)
    if letter:
        wanted = min(wanted, float(trade.value("lettering.pull_most")))
    room = (gap_mm - float(trade.value("gap.needle_to_needle"))) / 2
    return float(np.clip(wanted, 0.0, max(room, 0.0)))


def widen(
    drawn_mm: float, own_pull_mm: float, trade: Trade, cloth: Cloth, thread: str, gap_mm: float = np.inf
) -> float:
    """What each side of a thin column gains so that it is sewn at the least width, as far as gaps allow."""
    missing = (least_column_mm(cloth, thread, trade) - drawn_mm) / 2 - own_pull_mm
    room = (gap_mm - float(trade.value("gap.needle_to_needle"))) / 2 - own_pull_mm
    return float(np.clip(missing, 0.0, max(room, 0.0)))


def fill_spacing(trade: Trade, cloth: Cloth, thread: str, *, base: bool = False, strong: bool = False) -> float:
    """Spacing of a fill across two lines. strong: a base whose thread and cloth differ strongly."""
    if not base:
        spacing = float(trade.value("fill.spacing"))
    else:
        spacing = float(trade.value("fill.spacing_base_contrast" if strong else "fill.spacing_base"))
    return spacing * cloth.spacing_factor * float(trade.value("thread.spacing_factor", thread=thread))


def column_spacing(
    trade: Trade, cloth: Cloth, thread: str, sewn_mm: float, *, letter: bool = False, over: str = ""
) -> float:
    """Spacing of a column across two lines.

    over: "" for cloth or full cover, "base", "contrast" for a base far off in colour, "border" for what closes an edge.
    """
    if letter:
        spacing = float(trade.value("column.spacing_small_letters"))
    elif over == "base":
        spacing = float(trade.value("column.spacing_open"))
    elif over == "contrast":
        spacing = float(trade.value("column.spacing_open_contrast"))
    elif over == "border":
        spacing = float(trade.value("border.spacing"))
    else:
        spacing = float(trade.value("column.spacing", width_mm=sewn_mm))
    return spacing * cloth.spacing_factor * float(trade.value("thread.spacing_factor", thread=thread))


def column_underlay(
    trade: Trade, cloth: Cloth, sewn_mm: float, *, letter: bool = False, on_base: bool = False
) -> tuple[Underlay, ...]:
    """Underlay of a column by its sewn width, its cloth and what lies beneath."""
    if letter and not on_base:
        named = str(trade.value("column.underlay_small_letters"))
    else:
        key_on_base = str(trade.value("column.underlay_on_base", width_mm=sewn_mm))
        named = key_on_base if on_base else str(trade.value("column.underlay", width_mm=sewn_mm))
    inset_mm = float(trade.value("column.edge_run_inset", width_mm=sewn_mm))
    made = {
        "centre-run": Underlay("centre-run"),
        "edge-run": Underlay("edge-run", inset_mm),
        "zigzag": Underlay("zigzag", inset_mm, float(trade.value("column.zigzag"))),
    }
    wanted = [made[name] for name in named.split("+") if name in made]
    return tuple(wanted[:1] if cloth.light else wanted)


def fill_underlay(
    trade: Trade, cloth: Cloth, angle_deg: float, area_mm2: float, *, base: bool = False
) -> tuple[Underlay, ...]:
    """Underlay of a fill by its area and cloth; a loose base gets its edge run, and open rows on knits only."""
    edge = Underlay("edge-run", float(trade.value("fill.underlay_inset")))
    nap = "nap" in cloth.underlay
    crossed = "crossed" in cloth.underlay
    first = (Underlay("nap-rows", edge.inset_mm, float(trade.value("fill.underlay_nap_rows")), angle_deg % 180.0),)
    found = first if nap else ()
    small = area_mm2 < float(trade.value("fill.underlay_edge_only_under"))
    if small or cloth.light or (base and not crossed):
        return (*found, edge)
    turns = (45.0, 135.0) if crossed else (90.0,)
    rows_mm = float(trade.value("fill.underlay_rows"))
    rows = tuple(Underlay("rows", edge.inset_mm, rows_mm, (angle_deg + turn) % 180.0) for turn in turns)
    return (*found, edge, *(rows[:1] if base else rows))

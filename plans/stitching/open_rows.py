"""How are the open rows of an underlay sewn? The nearest piece next: all of it will lie under the top."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.fill import rows_sewn
from plans.stitching.ground import FillPlan, Ground, clear, ground_of, hidden_way
from plans.stitching.needles import row_rules
from plans.stitching.pieces import BOTTOM, TOP, Pieces
from plans.stitching.runs import Run
from plans.stitching.trails import NOTHING, chained, trail_of, without_long, without_short
from plans.stitching.travel import kept_inside
from plans.stitching.walk import Leg
from plans.values import Lay, Move, Trail

LOOKED_AT = 8  # nearest beginnings that are tried for a clear way to one


def lay_open_rows(shape: Polygon, plan: FillPlan, over: Ground, at: Floats, trade: Trade) -> Trail:
    """Open rows over a polygon, begun near `at`; between its pieces the travel hides under the close rows `over`."""
    ground = ground_of(shape, plan, trade, (float(at[0]), float(at[1])))
    if not len(ground.pieces.rows):
        return NOTHING
    rules, stitch = row_rules(trade, plan.stitch_mm, turned=False), trade.value("travel.stitch")
    runs = _nearest_first(ground, over, at)
    uv, heads, _ = rows_sewn(ground, runs, rules)
    xy = ground.frame.outward(uv)
    trails: list[Trail] = []
    for number, (head, tail) in enumerate(zip(heads, [*heads[1:], len(uv)], strict=True)):
        if number:
            way = hidden_way(over, xy[head - 1], xy[head], stitch)
            trails.append(trail_of(way[1:-1], Move.TRAVEL, Lay.TRAVEL))
        trails.append(trail_of(xy[head:tail], Move.SEW, plan.lay))
    least = trade.value("stitch.never_under")
    laid = kept_inside(without_short(chained(trails), least), over.shape, stitch)
    return without_long(without_short(laid, least), rules.longest)


def _nearest_first(ground: Ground, over: Ground, at: Floats) -> tuple[Run, ...]:
    """Every piece as a run, each begun where it lies nearest to the end of the one before."""
    options = [_run(ground.pieces, *option) for option in _options(ground.pieces)]
    ends = np.array([_ends(ground.pieces, run) for run in options])
    begin, finish = ground.frame.outward(ends[:, 0]), ground.frame.outward(ends[:, 1])
    owner = np.array([run.leg.piece for run in options])
    left = np.arange(len(options))
    chosen: list[Run] = []
    while len(left):
        gaps = np.hypot(*(begin[left] - at).T)
        one = int(left[np.argmin(gaps)])
        if not clear(over.shape, np.array([at, begin[one]])):
            near = left[_smallest(gaps, LOOKED_AT)].tolist()
            one = next((i for i in near if clear(over.shape, np.array([at, begin[i]]))), one)
        chosen.append(options[one])
        at, left = finish[one], left[owner[left] != owner[one]]
    return tuple(chosen)


def _smallest(values: Floats, most: int) -> NDArray[np.int64]:
    """Indices of the smallest values in order, the first of even ones first."""
    few = np.flatnonzero(values <= np.partition(values, most)[most]) if len(values) > most else np.arange(len(values))
    return few[np.argsort(values[few], kind="stable")[:most]]


def _options(pieces: Pieces) -> list[tuple[int, int, bool]]:
    return [(piece, end, low) for piece in range(len(pieces.members)) for end in (TOP, BOTTOM) for low in (True, False)]


def _run(pieces: Pieces, piece: int, end: int, begins_low: bool) -> Run:
    spans = pieces.members[piece]
    return Run(Leg(piece, end, ()), spans if end == TOP else spans[::-1], begins_low)


def _ends(pieces: Pieces, run: Run) -> tuple[tuple[float, float], tuple[float, float]]:
    rows, first, last = pieces.rows, int(run.spans[0]), int(run.spans[-1])
    begin = rows.low[first] if run.begins_low else rows.high[first]
    end = rows.high[last] if run.ends_high else rows.low[last]
    v = rows.v_of(np.array([first, last]))
    return (float(begin), float(v[0])), (float(end), float(v[1]))

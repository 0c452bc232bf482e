"""Where does the needle fall along the rows of a fill? Row ends, turns and the stagger, all rows at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analyse.trade import Trade
from analyse.values import Floats
from plans.stitching.rows import Ints, ragged_arange

EVEN_MM = 1e-6  # a point that lies just at the least distance counts as far enough, however it was rounded
BESIDE_MM = 1.0  # a run that ends no further along u than this from where the next begins is turned from
ROUNDING_MM = 1e-3  # a turn of exactly the least length must not fall short by rounding


@dataclass(frozen=True, slots=True)
class RowRules:
    """The trade's rules for a row, mm. longest: no stitch along a row is longer."""

    stitch: float
    longest: float
    end_shortest: float
    row_shortest: float
    turn_inset: float
    turn_shortest: float
    shifts: Floats


def row_rules(trade: Trade, stitch_mm: float, *, turned: bool = True, shortest_mm: float = 0.0) -> RowRules:
    """Rules for rows of `stitch_mm`; open underlay rows are not `turned` inside their edge.

    shortest_mm: what the cloth asks of every stitch, where that is more than the trade does.
    """
    low, high = trade.range("fill.stitch")
    inset, turn = trade.value("fill.turn"), trade.value("fill.turn_shortest")
    return RowRules(
        stitch=stitch_mm,
        longest=max(high, stitch_mm * high / trade.value("fill.stitch")),
        end_shortest=max(min(trade.value("fill.end_shortest"), stitch_mm / low), shortest_mm),
        row_shortest=max(trade.value("stitch.shortest_shaped"), shortest_mm),
        turn_inset=(max(inset, shortest_mm) if shortest_mm > turn else inset) if turned else 0.0,
        turn_shortest=max(turn, shortest_mm),
        shifts=shifts_of(trade),
    )


def shifts_of(trade: Trade) -> Floats:
    """Share of a stitch by which each row is shifted, until needle points line up again.

    Halves first, then quarters, and so on (van der Corput 1935): rows 0, 1, 2, 3 by 0, 1/2, 1/4, 3/4, so that any two
    neighbours differ by a quarter at least, and no slanting line of needle points climbs steadily through the rows.
    """
    rows = int(trade.value("fill.offset_rows"))
    order = sorted(range(rows), key=lambda row: f"{row:016b}"[::-1])
    return np.asarray(order, float) / rows


def row_starts(low: Floats, high: Floats, way: Ints, pitch: float, rules: RowRules, heads: Ints) -> Floats:
    """Where each row of a run begins, when row i is sewn towards `way[i]` (+1, -1) after row i - 1.

    A row begins inside its edge, and never so that the turn from the row before falls short. heads: first rows of
    runs, turned into from before only where the run before ended beside them.
    """
    edge = np.where(way > 0, low, high)
    start = edge + way * rules.turn_inset
    if len(low) < 2 or rules.turn_inset == 0:
        return np.asarray(np.where(high - low < rules.turn_inset + rules.row_shortest, edge, start))
    need = np.sqrt(max(rules.turn_shortest**2 - pitch**2, 0.0)) + ROUNDING_MM
    left_at = np.where(way[:-1] > 0, high[:-1], low[:-1])
    outward = (left_at - edge[1:]) * way[1:]
    inset = np.where(outward <= 0, rules.turn_inset, np.clip(outward - need, 0.0, rules.turn_inset))
    inset = np.where((outward > 0) & (outward < need), outward + rules.turn_inset, inset)
    apart = heads[heads > 0] - 1
    inset[apart] = np.where(np.abs(outward[apart]) > BESIDE_MM, rules.turn_inset, inset[apart])
    start[1:] = edge[1:] + way[1:] * inset
    short = (high - low) - np.abs(start - edge) < rules.row_shortest
    return np.asarray(np.where(short, edge, start))


def needle_points(
    begin: Floats, end: Floats, row: Ints, origin: float, rules: RowRules
) -> tuple[Floats, NDArray[np.int64]]:
    """Needle points along rows sewn from `begin` to `end`, ends included, row after row, and the row index of each.

    Points lie on a grid of one stitch from `origin`, shifted row by row so that they line up again after as many
    lines as the rules say; those nearer to an end than the rules allow are left out, unless the stitch grew too long.
    """
    low, high = np.minimum(begin, end), np.maximum(begin, end)
    shift = rules.shifts[row % len(rules.shifts)] * rules.stitch + origin
    first, counts = _on_grid(low, high, shift, rules.end_shortest, rules.stitch)
    near, more = _on_grid(low, high, shift, rules.row_shortest, rules.stitch)
    bare = (counts == 0) & (high - low > rules.longest)
    first, counts = np.where(bare, near, first), np.where(bare, np.minimum(more, 1), counts)
    index = np.repeat(np.arange(len(low)), counts + 2)
    place = ragged_arange(counts + 2)
    step = np.where((end >= begin)[index], place - 1, counts[index] - place)
    u = (first[index] + step) * rules.stitch + shift[index]
    u = np.where(place == 0, begin[index], np.where(place == counts[index] + 1, end[index], u))
    return u, index


def _on_grid(low: Floats, high: Floats, shift: Floats, off: float, stitch: float) -> tuple[Floats, NDArray[np.int64]]:
    """First grid number and count of the grid points that lie at least `off` inside each span."""
    first = np.ceil((low + off - shift - EVEN_MM) / stitch)
    return first, np.maximum(np.floor((high - off - shift + EVEN_MM) / stitch) - first + 1, 0).astype(np.int64)

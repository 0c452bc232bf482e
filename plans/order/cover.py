"""Where thread of one colour may travel unseen: beneath what is still to be sewn, or on thread of its own colour."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.trade import Trade
from analyse.values import Colour, Floats, Part
from plans.order.feet import feet_of
from plans.seams import PartMap
from plans.values import Sewing

Mask = NDArray[np.bool_]
GRID_MM = 0.25
"""Step of the grid that ways are looked for on: a third of the narrowest stroke that may hide one."""
ABOUT = (-0.2, 1.2)
"""A cell counts to a column of its colour if that lies within its corners, let out by this share: a column is sewn
about so much wider than it is drawn."""
SAMPLES = 8
"""A connector is looked at in so many places: at 2 mm the step of the grid."""
ON_LINE_MM = 0.35
"""A way on a grid lies no further from the running line it follows."""
WHITE = np.array([100.0, 0.0, 0.0])
SQUARE = np.ones((3, 3), np.uint8)
CROSS = cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Cells of GRID_MM over a design: origin_mm is the corner of the first."""

    origin_mm: Floats
    shape: tuple[int, int]

    def cells(self, xy: Floats) -> NDArray[np.int64]:
        """(N, 2) column and row of places in mm, kept on the grid."""
        cell = np.floor((np.asarray(xy, float).reshape(-1, 2) - self.origin_mm) / GRID_MM).astype(np.int64)
        return np.clip(cell, 0, np.array(self.shape[::-1]) - 1)

    def places(self, cells: NDArray[np.int64]) -> Floats:
        """(N, 2) mm of the middles of cells."""
        return np.asarray(self.origin_mm + (cells + 0.5) * GRID_MM)


@dataclass(frozen=True, slots=True, eq=False)
class Finished:
    """Cells inside some sewings, their edge left out. top (H, W): the sewing over each cell; done: which of them."""

    top: NDArray[np.int64]
    done: Mask

    @property
    def mask(self) -> Mask:
        """(H, W) all of them."""
        return np.asarray(cv2.erode(np.take(self.done.view(np.uint8), self.top), SQUARE).view(np.bool_))

    def count(self, way: NDArray[np.int64]) -> int:
        """How many of the cells (N, 2) x, y of a way are among them."""
        if not self.done[self.top[way[:, 1], way[:, 0]]].any():
            return 0
        (left, upper), (right, lower) = np.maximum(way.min(axis=0) - 1, 0).tolist(), (way.max(axis=0) + 2).tolist()
        inside = cv2.erode(self.done.view(np.uint8)[self.top[upper:lower, left:right]], SQUARE)
        return int(inside[way[:, 1] - upper, way[:, 0] - left].sum())


class Cover:
    """What is sewn over each place of a design: the topmost sewing there, and the body beneath it.

    Thread may run where one of the two is still to be sewn, closes, and is no lighter than the thread; where the
    topmost sewn so far is of the same thread; or along a running line of its own on bare cloth.
    """

    def __init__(
        self,
        sewings: tuple[Sewing, ...],
        beneath: tuple[int, ...],
        parts: tuple[Part, ...],
        parts_map: PartMap,
        palette: tuple[Colour, ...],
        trade: Trade,
        cloth_lab: Floats = WHITE,
    ) -> None:
        """beneath: for each part the sewing under its own, or -1."""
        top = np.full(len(beneath) + 1, -1, np.int64)
        for index, sewing in enumerate(sewings):
            if sewing.kind != "running" or parts[sewing.part].kind == "running":  # an outline leaves its part bare
                top[[sewing.part, *sewing.also]] = index
        self.grid, part, corners = _coarse(parts_map)
        threads = np.array([*(sewing.thread for sewing in sewings), -1], np.int16)
        self._top = top[part]
        self._threads = threads
        self._beneath = np.append(np.asarray(beneath, np.int64), -1)[part]
        self._under = threads[self._beneath]
        wide = np.where([*(sewing.kind == "column" for sewing in sewings), False], threads, -1)
        self._tops = (threads[self._top], *(wide[top[corner]] for corner in corners))
        self._solid = np.array([sewing.kind != "running" for sewing in sewings], bool)
        self._closes = np.array([*(closes(sewing, trade) for sewing in sewings), False])
        self._lightness = np.array([*(palette[sewing.thread].lab[0] for sewing in sewings), np.inf])
        self._palette = np.array([colour.lab[0] for colour in palette])
        self._colours = np.array([*(colour.lab for colour in palette), cloth_lab], float)
        self._plain_over = float(trade.value("travel.plain_over"))
        self._lettered, self._feet = feet_of(
            sewings,
            parts,
            self._top,
            self.grid.places,
            float(trade.value("travel.foot")),
            float(trade.value("travel.foot_most")),
        )
        self._raised = float(trade.value("travel.raised_reads"))
        self._lines = _running(sewings)
        self._on_lines = self._cells_on_lines(sewings)
        self._lighter = float(trade.value("travel.lighter_over"))

    def _cells_on_lines(self, sewings: tuple[Sewing, ...]) -> dict[int, Mask]:
        """For each thread the cells along those of its running lines that lie on bare cloth: outlines of bodies."""
        found: dict[int, Mask] = {}
        for sewing in sewings:
            runs = _runs_of(sewing) if sewing.kind == "running" else []
            if not runs:
                continue
            own = _cells_of(runs, self.grid) & (self._top < 0)
            found[sewing.thread] = found.get(sewing.thread, np.zeros_like(own)) | own
        return found

    def unseen(self, thread: int, left: Mask) -> Mask:
        """(H, W) cells where that thread may run, after its block, while the sewings in `left` are still to be sewn.

        Beneath another colour it keeps one cell from what does not hide it. A column of its own colour counts from
        beside a cell on: compensation lets it out by about that much.
        """
        hides = self._closes & (self._lightness <= self._palette[thread] + self._lighter)
        hides[:-1] &= left
        later = np.append(left, False)
        own = (self._tops[0] == thread) | ((self._under == thread) & later[self._top])
        covered = hides[self._top] | hides[self._beneath]
        inner = cv2.erode((own | covered).astype(np.uint8), CROSS) > 0
        for top in self._tops[1:]:
            own |= top == thread
        if thread in self._on_lines:
            own |= self._on_lines[thread]
        return np.asarray(own | (covered & inner))

    def finished(self, thread: int, sewn: Mask) -> Finished:
        """The cells inside what is sewn of that thread already: travel over them would show.

        Along its edge thread lies in the needle points of the sides, where it is hardly seen; a running line has no
        sides, and thread on it lies in its own holes.
        """
        return Finished(self._top, np.append(sewn & self._solid & (self._threads[:-1] == thread), False))

    def plain_mm(self, thread: int, begins: Floats, ends: Floats) -> Floats:
        """(N,) mm of straight ways (N, 2) over what that thread stands out from: another colour, or the cloth.

        None of those between the feet of lettering, where the eye expects them and a cut at every letter costs more;
        higher up they read as strokes of the letters, and count for so much more.
        """
        share = (np.arange(SAMPLES) + 0.5) / SAMPLES
        places = begins[:, None] + share[:, None] * (ends - begins)[:, None]
        cells = self.grid.cells(places)
        over = self._threads[self._top[cells[:, 1], cells[:, 0]]].reshape(-1, SAMPLES)
        stands_out = ciede2000(self._colours[thread], self._colours) > self._plain_over
        plain = np.hypot(*(ends - begins).T) * stands_out[over].mean(axis=1)
        lettered = self._among(self._lettered, begins) | self._among(self._lettered, ends)
        return np.where(self.low(begins, ends), 0.0, np.where(lettered, self._raised * plain, plain))

    def low(self, begins: Floats, ends: Floats) -> Mask:
        """(N,) which ways lead from the foot of a letter to the foot of one."""
        return self._among(self._feet, begins) & self._among(self._feet, ends)

    def _among(self, cells: Mask, places: Floats) -> Mask:
        """Which places lie on these cells."""
        column, row = self.grid.cells(places).T
        return np.asarray(cells[row, column])

    def on_lines(self, thread: int, points: Floats) -> Floats:
        """Points (N, 2) with those that lie on a running line of that thread put onto its middle: into its holes."""
        if thread not in self._lines or not len(points):
            return points
        nearest = shapely.shortest_line(shapely.points(points), self._lines[thread])
        put = shapely.get_coordinates(nearest).reshape(-1, 2, 2)[:, 1]
        on = np.hypot(*(put - points).T) <= ON_LINE_MM
        return np.where(on[:, None], put, points)


def _runs_of(sewing: Sewing) -> list[Floats]:
    """The lines (N, 2) of a sewing, closed ones back to where they began."""
    runs = [np.vstack([one.line, one.line[:1]]) if one.closed else one.line for one in sewing.spines]
    return [run[:, :2] for run in runs if len(run) > 1]


def _running(sewings: tuple[Sewing, ...]) -> dict[int, shapely.MultiLineString]:
    """The running lines of each thread."""
    lines: dict[int, list[Floats]] = {}
    for sewing in sewings:
        if sewing.kind == "running":
            lines.setdefault(sewing.thread, []).extend(_runs_of(sewing))
    return {thread: shapely.MultiLineString(runs) for thread, runs in lines.items() if runs}


def _cells_of(lines: list[Floats], grid: Grid) -> Mask:
    """The cells that lines run through, each step from one to the next over a side, as ways go."""
    found = np.zeros(grid.shape, np.uint8)
    cv2.polylines(found, [grid.cells(line).astype(np.int32) for line in lines], False, 1, lineType=cv2.LINE_4)
    return found > 0


def closes(sewing: Sewing, trade: Trade) -> bool:
    """Whether a sewing covers what lies under it: no loose base, no open column, no running line."""
    if sewing.kind == "running" or sewing.role == "base":
        return False
    open_mm = trade.range("column.spacing_open")[0]
    return sewing.kind == "fill" or not sewing.over_base or sewing.spacing_mm < open_mm


def _coarse(parts_map: PartMap) -> tuple[Grid, NDArray[np.int64], tuple[NDArray[np.int64], ...]]:
    """The part map at GRID_MM: the parts at the middle of each cell, and about its four corners."""
    height, width = (int(np.ceil(side * parts_map.cell_mm / GRID_MM)) for side in parts_map.cells.shape)

    def at(down: float, across: float) -> NDArray[np.int64]:
        rows, columns = (
            np.clip(((np.arange(count) + share) * GRID_MM / parts_map.cell_mm).astype(np.int64), 0, most - 1)
            for count, share, most in zip((height, width), (down, across), parts_map.cells.shape, strict=True)
        )
        return np.asarray(parts_map.cells[rows[:, None], columns[None, :]], np.int64)

    corners = tuple(at(down, across) for down in ABOUT for across in ABOUT)
    return Grid(np.array(parts_map.origin_mm), (height, width)), at(0.5, 0.5), corners

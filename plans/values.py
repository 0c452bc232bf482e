"""The values that travel through `plans`: frozen, arrays locked. Lengths in mm, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import IntEnum
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from analyse.values import Floats, SizedDrawing, Spine, State, lock

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

    from plans.job import Job

Kind = Literal["fill", "column", "running"]
Role = Literal["base", "body", "detail", "border"]


class Move(IntEnum):
    """How the needle gets to a point. TRIM: the move after a cut, in place of a jump."""

    SEW = 0
    TRAVEL = 1
    JUMP = 2
    TRIM = 3


class Lay(IntEnum):
    """What a stitch is there for."""

    TIE = 0
    UNDERLAY = 1
    TOP = 2
    TRAVEL = 3


@dataclass(frozen=True, slots=True)
class Underlay:
    """One underlay. kind: "centre-run", "edge-run", "zigzag", "rows" or "nap-rows"; spacing line to line."""

    kind: str
    inset_mm: float = 0.0
    spacing_mm: float = 0.0
    angle_deg: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Sewing:
    """One part as it is to be sewn, before a stitch is laid.

    part: index into sized.parts; thread: index into the palette. shape: what is to be covered, after overlaps and
    cut-outs, before compensation. spines: its runs (columns and running lines). spacing_mm: across two lines.
    stitch_mm: along a row or line. widen_mm: what each side of a column gains to reach its least width.
    pull_mm: each side, along the stitch; push_mm: held back across it. under_mm: how far it runs under others.
    over_base: a base lies beneath. also: further parts this sewing covers (a base under several pieces of a body).
    closed_ends: for each spine, whether its start and its end meet or finish under another part: not held back by push.
    guide: (N, 2), a fill's rows turn along it, and angle_deg counts from its run (90 lies across it).
    shortest_mm: no stitch of it is shorter, where the cloth asks for more than the trade's least; ties excepted.
    """

    part: int
    thread: int
    kind: Kind
    role: Role
    layer: int
    shape: Polygon | MultiPolygon
    spines: tuple[Spine, ...] = ()
    angle_deg: float | None = None
    spacing_mm: float = 0.0
    stitch_mm: float = 0.0
    passes: int = 1
    widen_mm: float = 0.0
    pull_mm: float = 0.0
    push_mm: float = 0.0
    under_mm: float = 0.0
    underlay: tuple[Underlay, ...] = ()
    over_base: bool = False
    why: str = ""
    also: tuple[int, ...] = ()
    closed_ends: tuple[tuple[bool, bool], ...] = ()
    guide: Floats | None = None
    shortest_mm: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Trail:
    """Needle points in the order they are sewn: xy (N, 2) mm, move (N,) of Move, lay (N,) of Lay.

    Row i is the point that ends move i. The first row is where it starts (its move is JUMP until it is joined).
    """

    xy: Floats
    move: NDArray[np.uint8]
    lay: NDArray[np.uint8]

    def __post_init__(self) -> None:
        lock(self, "xy", "move", "lay")


@dataclass(frozen=True, slots=True, eq=False)
class Stitches:
    """Every needle point of a plan: xy (N, 2) mm, move and lay as in Trail, step (N,) index into the steps."""

    xy: Floats
    move: NDArray[np.uint8]
    lay: NDArray[np.uint8]
    step: NDArray[np.int32]

    def __post_init__(self) -> None:
        lock(self, "xy", "move", "lay", "step")


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One sewing in its place in the order, with what was laid for it."""

    sewing: Sewing
    entry_mm: tuple[float, float]
    exit_mm: tuple[float, float]
    trim_before: bool
    stitches: int


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge two parts share. under: which of them runs beneath, as "a" or "b", or None for a butted edge."""

    parts: tuple[int, int]
    length_mm: float
    under: str | None
    overlap_mm: float
    tolerance_mm: float
    state: State


@dataclass(frozen=True, slots=True)
class Estimate:
    """What it costs. by_lay: tie, underlay, top, travel. thread_m by palette index in `thread_each_m`.

    span: fewest and most stitches another hand would reasonably lay. price: None without the shop's rates.
    """

    stitches: int
    by_lay: dict[str, int]
    trims: int
    jumps: int
    colour_changes: int
    thread_m: float
    thread_each_m: tuple[float, ...]
    bobbin_m: float
    minutes: float
    span: tuple[int, int]
    price: float | None = None


@dataclass(frozen=True, slots=True)
class HardPatch:
    """A place that turns hard: where, how many full layers (or needle points per mm2), why, and the cure.

    unit: what `layers` and `limit` count: "layers", "points" (needle points per mm2), "knots" (on the back) or "sunk"
    (mm2 of stitches that run along those beneath).
    steps: the steps that meet there, bottom up. saves: stitches the cure saves, about.
    """

    at_mm: tuple[float, float]
    layers: float
    because: str
    cure: str = ""
    unit: str = "layers"
    limit: float = 0.0
    steps: tuple[int, ...] = ()
    saves: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Density:
    """Thread and needle points through all layers, on a grid.

    layers: (H, W) full layers of cover; points: (H, W) needle points per mm2; origin_mm: the grid's top left corner;
    cell_mm: a cell's side. stacked_max and needle_points_max are taken over the judging window, the latter at
    pricked_at_mm. back: lumps on the wrong side. sunk: steps that run along the rows right beneath, most first, with
    the mm2 that sink in; parallel: (N, 3) x, y and stitch angle wherever any does.
    """

    layers: Floats
    points: Floats
    origin_mm: tuple[float, float]
    cell_mm: float
    stacked_max: float
    needle_points_max: float
    hard_patches: tuple[HardPatch, ...]
    back: tuple[HardPatch, ...] = ()
    pricked_at_mm: tuple[float, float] = (0.0, 0.0)
    sunk: tuple[HardPatch, ...] = ()
    parallel: Floats = field(default_factory=lambda: np.empty((0, 3)))

    def __post_init__(self) -> None:
        lock(self, "layers", "points", "parallel")


@dataclass(frozen=True, slots=True, eq=False)
class LaidPlan:
    """One approach, laid to the last needle point. fewest_changes: no order has fewer changes of thread than that.

    features_kept: for each feature that weighs something how much of it the sew-out shows, 0..1.
    """

    approach: str
    steps: tuple[Step, ...]
    stitches: Stitches
    edges: tuple[Edge, ...]
    estimate: Estimate
    density: Density
    registration_mm: float
    detail_kept: float
    why: str
    fewest_changes: int = 0
    features_kept: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """The plan: the recommended approach, and the others laid beside it (recommended first).

    source: where the picture falls short at this size and what to ask the customer for, a sentence each. changes: what
    to change so that it sews, the heaviest first, () where it sews as drawn. lost: share of the look that is lost.
    """

    sized: SizedDrawing
    job: Job
    approaches: tuple[LaidPlan, ...]
    verdict: str
    cautions: tuple[str, ...]
    source: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    lost: float = 0.0

    @property
    def laid(self) -> LaidPlan:
        """The recommended approach."""
        return self.approaches[0]

    @property
    def estimate(self) -> Estimate:
        """What the recommended approach costs."""
        return self.laid.estimate

    @property
    def steps(self) -> tuple[Step, ...]:
        """The recommended approach's steps, in sewing order."""
        return self.laid.steps

    @property
    def stitches(self) -> Stitches:
        """Every needle point of the recommended approach, in sewing order."""
        return self.laid.stitches

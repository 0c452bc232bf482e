"""The values that travel through `analyse`: frozen, arrays locked, no behaviour but reading.

Pixel coordinates have a pixel's corner at whole numbers, its centre at .5; x right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from shapely import MultiPolygon, Polygon

    from analyse.trade import Trade

Floats = NDArray[np.float64]
PartKind = Literal["fill", "column", "running", "drop"]
FeatureKind = Literal["stroke", "gap", "dot", "counter", "lettering", "colour-step", "shading", "registration"]
State = Literal["holds", "at-risk", "lost"]


def locked(array: NDArray[Any]) -> NDArray[Any]:
    """A read-only copy of `array` (the array itself if it is read-only already)."""
    if array.flags.writeable:
        array = array.copy()
        array.flags.writeable = False
    return array


def lock(value: object, *names: str) -> None:
    """Replace the named array fields of a frozen value by read-only copies."""
    for name in names:
        object.__setattr__(value, name, locked(getattr(value, name)))


@dataclass(frozen=True, slots=True, eq=False)
class Artwork:
    """What the customer sent, opened: one canonical raster in sRGB.

    rgba: (H, W, 4) uint8, straight alpha, long side at most about 2,000.
    file_px: width and height of the file as sent. from_file: 3 x 3, its pixels to those of `rgba`.
    format: what the content is ("png", "jpeg", "svg", "pdf" ...). px_per_mm: of `rgba`, if the file states a true
    size to be believed. corners_px: (4, 2) of the sheet in `rgba` px, top left first, clockwise, if the practitioner
    gave them; sheet_mm: its true size, if given. notes: what was done on opening, in words for the report.
    grain: deviation of what should be flat, in levels of 255, that a scan or photograph had before it was smoothed.
    dpi: px of the file per inch as it states them, believed or not. compression: JPEG quality, 1 to 100.
    pictures_within: whether a vector file holds pictures, whose pixels are as they are, and not only shapes.
    block_px: side of the equal pixels, before that, that each pixel of `rgba` stands for.
    """

    rgba: NDArray[np.uint8]
    name: str
    sha256: str
    format: str
    file_px: tuple[int, int]
    from_file: Floats
    px_per_mm: float | None = None
    corners_px: Floats | None = None
    sheet_mm: tuple[float, float] | None = None
    notes: tuple[str, ...] = ()
    grain: float = 0.0
    dpi: float | None = None
    compression: int | None = None
    pictures_within: bool = False
    block_px: int = 1

    def __post_init__(self) -> None:
        lock(self, "rgba", "from_file")


@dataclass(frozen=True, slots=True)
class Colour:
    """A sewn colour: sRGB 0..255, CIELAB (D65, 2 degrees), ISCC-NBS name."""

    rgb: tuple[int, int, int]
    lab: tuple[float, float, float]
    name: str


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """One connected area of one colour. outline in label px; parent: the region that encloses it.

    touches: (region id, length of the shared edge in px), nearest by id first.
    """

    id: int
    colour: int
    outline: Polygon
    parent: int | None = None
    touches: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Shading:
    """A gradient that was read as flat steps: over which regions, its span from end to end in dE00."""

    regions: tuple[int, ...]
    span: float
    text: str


@dataclass(frozen=True, slots=True)
class Turned:
    """The practitioner's word on one piece: at, x and y from 0 to 1 of the design as read; cloth, or to be sewn."""

    at: tuple[float, float]
    background: bool


def _extent(regions: tuple[Region, ...]) -> tuple[float, float, float, float]:
    if not regions:
        return 0.0, 0.0, 0.0, 0.0
    boxes = np.array([region.outline.bounds for region in regions])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class Drawing:
    """The size-free reading: flat colours and the regions they fill.

    labels: (H, W) int16, -1 background, else index into palette. from_picture: 3 x 3, pixel of the
    file as sent to pixel of labels. edge_error_px: how far an outline may be off, RMS; scatter_px: how noisy edges are,
    the lower quartile of what their points lie off. background: what lay behind the design, None where the picture is
    transparent there. px_per_mm: of labels, if a true size is known. extent_px: left, top, right, bottom of all
    shapes, in label px; read_px: the same as read, before any piece was turned round.
    """

    artwork: Artwork
    labels: NDArray[np.int16]
    palette: tuple[Colour, ...]
    regions: tuple[Region, ...]
    from_picture: Floats
    edge_error_px: float
    background: Colour | None = None
    shadings: tuple[Shading, ...] = ()
    px_per_mm: float | None = None
    notes: tuple[str, ...] = ()
    read_px: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    scatter_px: float = 0.0
    extent_px: tuple[float, float, float, float] = field(init=False)

    def __post_init__(self) -> None:
        lock(self, "labels", "from_picture")
        object.__setattr__(self, "extent_px", _extent(self.regions))
        if not any(self.read_px):
            object.__setattr__(self, "read_px", self.extent_px)

    def place(self, x_px: float, y_px: float) -> tuple[float, float]:
        """A point of the labels as a place: from 0 to 1 of the design's extent as read."""
        left, top, right, bottom = self.read_px
        return (x_px - left) / (right - left), (y_px - top) / (bottom - top)

    def at(
        self,
        *,
        width_mm: float | None = None,
        height_mm: float | None = None,
        thread: str = "40",
        cloth: str = "twill",
        cloth_rgb: tuple[int, int, int] | None = None,
        trade: Trade | None = None,
    ) -> SizedDrawing:
        """Everything in mm at a size: parts with their kinds, and what of the detail survives.

        With both lengths it fits inside. Errors: JobError for no size, one outside 5 to 1,000 mm, thread, cloth.
        """
        sized: SizedDrawing = import_module("analyse.sizing").size_drawing(
            self, width_mm=width_mm, height_mm=height_mm, thread=thread, cloth=cloth, cloth_rgb=cloth_rgb, trade=trade
        )
        return sized


@dataclass(frozen=True, slots=True)
class Width:
    """Drawn local thickness along a centreline: 10th, 50th and 90th percentile by length, mm."""

    low: float
    median: float
    high: float


@dataclass(frozen=True, slots=True)
class Reason:
    """Why: the trade row that decided, what was measured, what it needs, and the sentence."""

    row: str
    measure_mm: float
    needs_mm: float
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Spine:
    """One run of a stroke: its centreline with the two sides a column's stitches reach across.

    line: (N, 3) x, y, drawn width, mm. left, right: (N, 2), the side points across from each other, so that
    `left[i]` to `right[i]` is a stitch line. closed: the last point joins the first (not repeated).
    """

    line: Floats
    left: Floats
    right: Floats
    closed: bool = False

    def __post_init__(self) -> None:
        lock(self, "line", "left", "right")

    @property
    def length(self) -> float:
        """Length of the centreline, the closing piece included."""
        x, y = self.line[:, 0], self.line[:, 1]
        closing = float(np.hypot(x[0] - x[-1], y[0] - y[-1])) if self.closed else 0.0
        return float(np.hypot(x[1:] - x[:-1], y[1:] - y[:-1]).sum()) + closing


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A piece of one region that is sewn one way. Parts of a region tile it exactly.

    id: "p12", stable for one drawing and size. region, colour: indices into the drawing's. outline_mm: as drawn.
    spines: its runs (a running part's lines; a column's sides; a fill's skeleton, for reading only).
    family: parts of one family (a line of letters, a hatching, a rope's strands) are treated alike.
    role_hint: "outline" for what runs round another part, "texture" for detail over a body, "letter", or "".
    """

    id: str
    kind: PartKind
    region: int
    colour: int
    outline_mm: Polygon | MultiPolygon
    width_mm: Width
    reason: Reason
    certainty: float
    spines: tuple[Spine, ...] = ()
    family: str = ""
    role_hint: str = ""
    sewn_width_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Feature:
    """One detail and whether it survives. measure and needs in `unit` ("mm" or "dE00").

    row: the trade row of `needs`. weight: its share in the look, 0..1, all features summing to 1 at most. part: index
    into the parts. cap_height_mm, x_height_mm, stem_mm, words belong to lettering. cure: the smallest usual change that
    makes it hold at this size, "" where it holds or only redrawing helps. on_cloth: a colour against the cloth's.
    """

    kind: FeatureKind
    at_mm: tuple[float, float]
    measure: float
    needs: float
    unit: str
    holds_from_width_mm: float | None
    state: State
    row: str = ""
    weight: float = 0.0
    part: int | None = None
    text: str = ""
    cap_height_mm: float | None = None
    x_height_mm: float | None = None
    stem_mm: float | None = None
    words: str = ""
    cure: str = ""
    on_cloth: bool = False


@dataclass(frozen=True, slots=True)
class Detail:
    """All features at this size, heaviest first."""

    features: tuple[Feature, ...]

    def share(self, state: State) -> float:
        """Share of the look, by weight, that is in `state`; plain shapes, where they count, hold."""
        if state == "holds":
            return max(1.0 - self.share("lost") - self.share("at-risk"), 0.0)
        return sum(feature.weight for feature in self.features if feature.state == state)


@dataclass(frozen=True, slots=True, eq=False)
class SizedDrawing:
    """A drawing at a size: parts and detail in mm, origin at the top left of the shapes' extent."""

    drawing: Drawing
    size_mm: tuple[float, float]
    mm_per_px: float
    origin_px: tuple[float, float]
    thread: str
    cloth: str
    cloth_rgb: tuple[int, int, int]
    trade: Trade
    parts: tuple[Part, ...]
    detail: Detail

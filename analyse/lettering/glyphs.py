"""What may be a letter: each region, and each enclosed piece of the background, as a shape with a stem."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from analyse.lettering.classifier import CUT_OUT, chances, enclosed
from analyse.lettering.evidence import shape_evidence
from analyse.lettering.touching import touching
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px, run_length_px

SMALLEST_PX = 7.0  # across; a smaller shape's stem cannot be told
LARGEST = 0.85  # of the design's longer side
THICKEST = 0.5  # a letter's stem is at most this share of its longest way across
THINNEST = 0.008
MOST_HOLES = 3
CORNERS = 40  # a hull is kept with this many corners at most


@dataclass(frozen=True, slots=True, eq=False)
class Glyphs:
    """Shapes that may be letters, in px.

    source: (N,) region, or -1 - k for piece k of the background, or the count of regions + k for piece k of those that
    stand on a border. colour: (N,). outlines: without the holes that show what lies on them. hulls: (N, CORNERS + 1,
    2), the last corner repeated. stem (median width), widest (largest disc), way (length of all its runs), across
    (longest way across), holes, centre (N, 2), evenness (10th to 90th percentile of width), heavy (the 90th), thin
    (the 10th), area, evidence (how like a letter by itself, 0..1), letter (how likely one it is among its neighbours:
    the classifier's word).
    """

    source: NDArray[np.int64]
    colour: NDArray[np.int64]
    outlines: NDArray[np.object_]
    hulls: Floats
    stem: Floats
    widest: Floats
    way: Floats
    across: Floats
    holes: NDArray[np.int64]
    centre: Floats
    evenness: Floats
    heavy: Floats
    thin: Floats
    area: Floats
    evidence: Floats
    letter: Floats

    def __len__(self) -> int:
        return len(self.source)


def glyphs_of(drawing: Drawing, measures: Measures) -> Glyphs:
    """Every shape that by its size and stem may be a letter."""
    likely = chances(drawing, measures)
    shapes = _shapes(drawing, measures)
    left, top, right, bottom = drawing.extent_px
    most = LARGEST * max(right - left, bottom - top)
    box = shapely.bounds(np.array([shape.outline for _, _, shape in shapes], dtype=object)).reshape(-1, 4)
    wide = np.hypot(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1])  # no number where the outline is empty
    sized = (wide >= SMALLEST_PX) & (wide <= most)
    kept = [each for each, own, fits in zip(shapes, wide.tolist(), sized.tolist(), strict=True)
            if fits and likely.hulls[each[0]] is not None and _likely(each[2], own)]  # fmt: skip
    outlines = np.array([shape.whole.filled for _, _, shape in kept], dtype=object)
    source = np.array([source for source, _, _ in kept], dtype=np.int64)
    hulls = _hulls(likely.hulls[source]) if len(outlines) else np.empty((0, CORNERS + 1, 2))
    widths = np.array([percentiles_px(shape.whole) for _, _, shape in kept]).reshape(-1, 3)
    widest = np.array([float(shape.pole[2]) for _, _, shape in kept])
    way = np.array([run_length_px(shape.whole) for _, _, shape in kept])
    across, holes = _across(hulls), np.array([len(outline.interiors) for outline in outlines], dtype=np.int64)
    evenness = widths[:, 0] / np.maximum(widths[:, 2], 1e-9)
    return Glyphs(
        source=source,
        colour=np.array([colour for _, colour, _ in kept], dtype=np.int64),
        outlines=outlines,
        hulls=hulls,
        stem=widths[:, 1],
        widest=widest,
        way=way,
        across=across,
        holes=holes,
        centre=shapely.get_coordinates(shapely.centroid(outlines)).reshape(-1, 2),
        evenness=evenness,
        heavy=widths[:, 2],
        thin=widths[:, 0],
        area=shapely.area(outlines),
        evidence=shape_evidence(way, across, widest, holes, evenness),
        letter=likely.of("letter", source),
    )


def _shapes(drawing: Drawing, measures: Measures) -> list[tuple[int, int, Shape]]:
    """Source, colour and measures of regions, of what is cut out of them, and of what stands on a border."""
    inside = enclosed(drawing, measures).tolist()
    shapes = [(i, region.colour, measures.regions[i]) for i, region in enumerate(drawing.regions)]
    shapes += [(-1 - k, CUT_OUT, shape) for k, shape in enumerate(measures.background) if inside[k]]
    standing = touching(drawing, measures)
    shapes += [
        (len(drawing.regions) + k, drawing.regions[i].colour, shape)
        for k, (i, shape) in enumerate(zip(standing.regions, standing.shapes, strict=True))
    ]
    return shapes


def _likely(shape: Shape, across_px: float) -> bool:
    if len(shape.whole.filled.interiors) > MOST_HOLES or is_dot(shape.whole):
        return False
    return bool(THINNEST * across_px <= percentiles_px(shape.whole)[1] <= THICKEST * across_px)


def _hulls(hulls: NDArray[np.object_]) -> Floats:
    """Corners of convex hulls, thinned out evenly where there are too many."""
    many = shapely.get_num_coordinates(hulls) - 1 > CORNERS
    hulls[many] = shapely.simplify(hulls[many], 0.002 * np.sqrt(shapely.area(hulls[many])), preserve_topology=False)
    corners, of = shapely.get_coordinates(hulls, return_index=True)
    first = np.searchsorted(of, np.arange(len(hulls)))
    count = np.bincount(of, minlength=len(hulls)) - 1  # the last corner is the first
    steps = np.minimum(np.arange(CORNERS + 1), count[:, None] - 1)
    for k in np.flatnonzero(count > CORNERS).tolist():
        steps[k, :CORNERS] = np.linspace(0, count[k] - 1, CORNERS).round().astype(int)
        steps[k, CORNERS] = count[k] - 1
    return np.asarray(corners[first[:, None] + steps])


def _across(hulls: Floats) -> Floats:
    """Longest way across, to a percent: the largest extent over 12 directions."""
    turn = np.linspace(0.0, np.pi, 12, endpoint=False)
    ways = hulls @ np.array([np.cos(turn), np.sin(turn)])
    return np.asarray((ways.max(axis=1) - ways.min(axis=1)).max(axis=1))

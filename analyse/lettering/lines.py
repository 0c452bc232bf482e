"""The lines of lettering of a drawing, with what must be known of each at any size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypedDict
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from analyse.lettering.baselines import Baseline, stand
from analyse.lettering.evidence import ENOUGH, MANY, swells
from analyse.lettering.finding import FEW, find
from analyse.lettering.glyphs import Glyphs, glyphs_of
from analyse.lettering.growing import Found
from analyse.lettering.heights import heights, stem
from analyse.lettering.legal import with_roles
from analyse.lettering.monograms import Ints, Monogram, monograms, zone
from analyse.lettering.touching import touching
from analyse.values import Drawing, Floats
from analyse.widths.measuring import Measures, Shape

Layout = Literal["straight", "slanted", "arc", "ring", "monogram"]

LEVEL_DEG = 2.0  # a straight line this near level is not slanted
RING = np.pi  # an arc over so much of its circle is a ring
SPACED = 1.5  # letters are of one word if they are no farther apart than so many middle gaps
ATTACHED = 4  # letters of a line on a border, at least, and most of them on it where they are no more than FEW;
ATTACHED_SURE, ATTACHED_MANY = (0.7, 0.8), 0.5  # their evidence and their chance; of many letters the chance,
ATTACHED_LEVEL = 0.01  # and if their evidence is weak how steady they are
MARK = 0.6  # dots, commas, hyphens: at most this high and wide, in letter heights,
MARK_ABOVE, MARK_BELOW = 1.5, -0.35  # and between these levels


@dataclass(frozen=True, slots=True, eq=False)
class Line:
    """One line of lettering; lengths in px of the labels.

    regions: its letters in reading order, then its dots and marks. openings: pieces of the background that are its
    letters, where they are cut out of a shape. at: the middle of the line. angle_deg: of the line's direction at its
    middle. x_height: of mixed case, else None. counters, gaps: widths of enclosed counters, distances between
    neighbours, narrowest first. zone: what the letters and the gaps between them cover. baseline: what it stands on;
    span: from where to where along it. thin: width of its letters' thin strokes. inside: regions in their counters.
    opened_px2: area of the letters that are openings. attached: outlines of the letters that touch a border and are one
    region with it, the region `border`. role: "legal mark" beside another line, "strap line" by a much
    taller one, or "". doubtful: so few letters that the classifier alone takes for some; another reading may not.
    """

    id: str
    regions: tuple[int, ...]
    openings: tuple[int, ...]
    letters: int
    layout: Layout
    at: tuple[float, float]
    angle_deg: float
    cap_height: float
    x_height: float | None
    stem: float
    counters: tuple[float, ...]
    gaps: tuple[float, ...]
    zone: Polygon | MultiPolygon
    baseline: Baseline
    thin: float
    span: tuple[float, float]
    inside: tuple[int, ...] = ()
    opened_px2: float = 0.0
    role: str = ""
    attached: tuple[Polygon, ...] = ()
    border: int | None = None
    doubtful: bool = False

    @property
    def alone(self) -> tuple[int, ...]:
        """Its letters that are regions by themselves."""
        return self.regions[: self.letters - len(self.openings) - len(self.attached)]

    @property
    def marks(self) -> tuple[int, ...]:
        """Its dots and marks."""
        return self.regions[len(self.alone) :]

    @property
    def height(self) -> float:
        """Height of its smallest letters' class."""
        return self.cap_height if self.x_height is None else self.x_height


class Attached(TypedDict):
    """What a line has on a border."""

    attached: tuple[Polygon, ...]
    border: int | None


_KEPT: WeakKeyDictionary[Drawing, tuple[Line, ...]] = WeakKeyDictionary()


def lines_of(drawing: Drawing, measures: Measures) -> tuple[Line, ...]:
    """Every line of lettering, from the top down. Worked out once for a drawing."""
    if drawing not in _KEPT:
        glyphs = glyphs_of(drawing, measures)
        found = (
            [each for each in find(glyphs) if _stands(each, glyphs, len(drawing.regions))] if len(glyphs) > 1 else []
        )
        apart = monograms(glyphs, _members([each for each in found if len(each.members) > 2]))
        apart = [each for each in apart if (glyphs.source[each.members] >= len(drawing.regions)).mean() < 0.5]
        outlined = _parents(drawing, glyphs.source[_members(found)])
        apart = [each for each in apart if not np.isin(glyphs.source[each.members], outlined).any()]
        mine = _members(apart)
        found = [each for each in sorted(found, key=_from_the_top) if not np.isin(each.members, mine).any()]
        lines = [_line(drawing, measures, glyphs, each, f"line-{n + 1}") for n, each in enumerate(found)]
        for each in apart:
            lines.append(_monogram(drawing, measures, glyphs, each, f"line-{len(lines) + 1}"))
        _KEPT[drawing] = with_roles(lines, drawing, measures)
    return _KEPT[drawing]


def _parents(drawing: Drawing, source: Ints) -> list[int]:
    """Regions that letters lie in: their outlines in another colour are no letters besides."""
    own = (drawing.regions[i].parent for i in source.tolist() if 0 <= i < len(drawing.regions))
    return [parent for parent in own if parent is not None]


def _stands(line: Found, glyphs: Glyphs, regions: int) -> bool:
    """Whether a line with letters on a border is one: what was cut free has to be surer than what stands free."""
    attached = float((glyphs.source[line.members] >= regions).mean())
    if not attached:
        return True
    if len(line.members) >= MANY:
        level = line.judged.evidence >= ENOUGH or line.judged.unsteady <= ATTACHED_LEVEL
        return level and line.judged.chance >= ATTACHED_MANY
    sure = line.judged.evidence >= ATTACHED_SURE[0] and line.judged.chance >= ATTACHED_SURE[1]
    return sure and len(line.members) >= ATTACHED and (attached >= 0.5 or len(line.members) > FEW)


def _members(groups: Sequence[Found | Monogram]) -> Ints:
    return np.concatenate([np.zeros(0, dtype=np.int64), *(each.members for each in groups)])


def _from_the_top(line: Found) -> tuple[float, float]:
    return float(line.stand.foot[:, 1].mean()), float(line.stand.foot[:, 0].min())


def _line(drawing: Drawing, measures: Measures, glyphs: Glyphs, found: Found, name: str) -> Line:
    members, base = found.members, found.baseline
    up, along = base.frames(glyphs.centre[members])
    tall = heights(
        glyphs.outlines[members], glyphs.hulls[members], found.stand, base, glyphs.centre[members],
        swelling=swells(found.stand, found.height),
    )  # fmt: skip
    source = glyphs.source[members].tolist()
    shapes = _shapes(drawing, measures, source)
    count = len(drawing.regions)
    small = np.array(tall.smallest)
    on = [shape for shape, keep in zip(shapes, tall.smallest, strict=True) if keep]
    upright = stem(on, up[small], tall.small or tall.capitals)
    outlines = glyphs.outlines[members]
    letters = tuple(s for s in source if 0 <= s < count)
    own = set(letters)
    marks = _marks(drawing, glyphs, found) if letters else ()
    middle = (found.stand.foot + up * (found.height / 2.0))[len(members) // 2]
    if base.straight:
        middle = (found.stand.foot + up * (tall.small or tall.capitals) / 2.0)[[0, -1]].mean(axis=0)
    way = along[len(members) // 2]
    return Line(
        id=name, regions=letters + marks, openings=tuple(-1 - s for s in source if s < 0), letters=len(members),
        layout=_layout(found), at=(float(middle[0]), float(middle[1])),
        angle_deg=float(np.degrees(np.arctan2(way[1], way[0]))), cap_height=tall.capitals, x_height=tall.small,
        stem=float(np.median(glyphs.stem[members][small])) if upright is None else upright,
        counters=_counters(outlines), gaps=_gaps(outlines, found), zone=_zone(glyphs.hulls[members], found),
        inside=tuple(region.id for region in drawing.regions if region.parent in own),
        baseline=base, span=(float(found.stand.start.min()), float(found.stand.end.max())),
        thin=float(np.median(glyphs.thin[members][small])),
        opened_px2=float(sum(o.area for o, s in zip(outlines, source, strict=True) if s < 0)),
        doubtful=found.judged.left_open, **_attached(drawing, measures, source),
    )  # fmt: skip


def _shapes(drawing: Drawing, measures: Measures, source: Sequence[int]) -> list[Shape]:
    """Regions, openings and pieces on a border by their numbers as glyphs."""
    every = (*measures.regions, *touching(drawing, measures).shapes)
    return [every[s] if s >= 0 else measures.background[-1 - s] for s in source]


def _attached(drawing: Drawing, measures: Measures, source: Sequence[int]) -> Attached:
    """Which of its letters touch a border, and which."""
    standing = touching(drawing, measures)
    own = [s - len(drawing.regions) for s in source if s >= len(drawing.regions)]
    border = standing.regions[own[0]] if own else None
    return {"attached": tuple(standing.shapes[k].outline for k in own), "border": border}


def _monogram(drawing: Drawing, measures: Measures, glyphs: Glyphs, found: Monogram, name: str) -> Line:
    members, tall = found.members, found.height
    source = glyphs.source[members].tolist()
    shapes = _shapes(drawing, measures, source)
    upright = stem(shapes, np.tile((0.0, -1.0), (len(members), 1)), tall)
    middle = shapely.box(*shapely.total_bounds(glyphs.outlines[members])).centroid
    outlines = glyphs.outlines[members]
    return Line(
        id=name, regions=tuple(s for s in source if 0 <= s < len(drawing.regions)),
        openings=tuple(-1 - s for s in source if s < 0), letters=len(members), layout="monogram",
        at=(float(middle.x), float(middle.y)), angle_deg=0.0, cap_height=tall, x_height=None,
        stem=float(np.median(glyphs.stem[members])) if upright is None else upright,
        counters=_counters(outlines), gaps=(), zone=zone(glyphs.hulls[members]), baseline=found.baseline,
        thin=float(np.median(glyphs.thin[members])), span=(-tall, tall),
        opened_px2=float(sum(o.area for o, s in zip(outlines, source, strict=True) if s < 0)),
        **_attached(drawing, measures, source),
    )  # fmt: skip


def _zone(hulls: Floats, found: Found) -> Polygon | MultiPolygon:
    """Hulls of neighbours two by two, but not across the spaces between words."""
    gaps = found.stand.start[1:] - found.stand.end[:-1]
    side_by_side = gaps <= max(found.height, SPACED * float(np.median(gaps)))
    pairs = np.concatenate([hulls[:-1], hulls[1:]], axis=1)[side_by_side]
    alone = ~(np.append(False, side_by_side) | np.append(side_by_side, False))
    spans = [shapely.linestrings(points) for points in (pairs, hulls[alone]) if len(points)]
    return shapely.union_all(shapely.convex_hull(np.concatenate(spans)))


def _layout(found: Found) -> Layout:
    base, length = found.baseline, float(found.stand.end.max() - found.stand.start.min())
    if base.straight:
        turn = abs((np.degrees(base.angle) + 90.0) % 180.0 - 90.0)
        return "straight" if turn <= LEVEL_DEG else "slanted"
    return "ring" if length > RING * base.radius else "arc"


def _counters(outlines: np.ndarray[tuple[int], np.dtype[np.object_]]) -> tuple[float, ...]:
    """Width of the largest disc in each hole."""
    holes = np.array([Polygon(ring) for outline in outlines for ring in outline.interiors], dtype=object)
    holes = holes[shapely.area(holes) > 1.0] if len(holes) else holes
    return tuple(sorted(2.0 * float(shapely.maximum_inscribed_circle(hole, tolerance=0.1).length) for hole in holes))


def _gaps(outlines: np.ndarray[tuple[int], np.dtype[np.object_]], found: Found) -> tuple[float, ...]:
    """Distances between neighbours of one word."""
    apart = shapely.distance(outlines[:-1], outlines[1:])
    return tuple(np.sort(apart[(apart <= 2.0 * np.median(apart)) & (apart < found.height)]).tolist())


def _marks(drawing: Drawing, glyphs: Glyphs, found: Found) -> tuple[int, ...]:
    """Dots, accents, commas, hyphens: small regions of the letters' colour within the line's height."""
    known = set(glyphs.source[found.members].tolist())
    colour, tree = int(glyphs.colour[found.members[0]]), shapely.STRtree(glyphs.outlines[found.members])
    small = [
        r for r in drawing.regions
        if r.colour == colour and r.id not in known and not r.outline.is_empty
        and max(np.ptp(np.reshape(r.outline.bounds, (2, 2)), axis=0)) <= MARK * found.height
    ]  # fmt: skip
    if not small:
        return ()
    outlines = np.array([r.outline for r in small], dtype=object)
    near = np.unique(tree.query(outlines, predicate="dwithin", distance=MARK * found.height)[0])
    marks = []
    for k in near.tolist():
        hull = shapely.get_coordinates(outlines[k].convex_hull)[None]
        placed = stand(found.baseline, hull, _middle_of(outlines[k]))
        inside = placed.start[0] >= found.stand.start.min() - MARK * found.height
        inside &= placed.end[0] <= found.stand.end.max() + MARK * found.height
        if inside and placed.bottom[0] / found.height >= MARK_BELOW and placed.top[0] / found.height <= MARK_ABOVE:
            marks.append(small[k].id)
    return tuple(marks)


def _middle_of(outline: Polygon) -> Floats:
    return np.asarray(shapely.get_coordinates(outline.centroid))

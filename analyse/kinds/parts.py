"""The parts of a region at a size: which pieces it is sewn in, each with its kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import MultiPolygon, Polygon

from analyse.kinds.bands import Piece, Verdict, judge
from analyse.kinds.doubt import DOUBTED
from analyse.kinds.lettering import attached_verdicts, letter_verdicts, like_its_line, whole_letter
from analyse.kinds.reaching import reaching
from analyse.kinds.setting import Setting
from analyse.kinds.strips import Judged, taken_in
from analyse.kinds.tapers import tapered
from analyse.lettering.lines import Line
from analyse.values import Drawing, Floats, Part, Spine, Width
from analyse.widths.bodies import MANY
from analyse.widths.compact import hardly_compact
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px, run_length_px, speaking_width_px
from analyse.widths.sides import Run
from analyse.widths.strokes import Stroke, covered_by

FANNED = 0.5  # nor where its lines fan round a point over more than this share of their way, a leaf's or a drop's,
FANNED_PIECE = 0.3  # and less for what was cut from a body, which is no stroke of even width;
EVEN = 0.93  # half of a stroke's length is at least as wide as this share of its widest,
NEVER_THIN = 0.75  # or hardly any of it is under this share
FANNED_WIDE = 0.15  # and less for what is so wide that its stitches must be split; only a border or a letter is,
STEADY_WIDE = 0.6  # whose width keeps to this share of its widest
CARRIES = 2  # so many things lie on a piece: it runs on beneath them,
SPECK = 0.1  # if they are larger than the square of this share of its width
NEARLY_COVERED, NEARLY_FANNED, NEARLY_EVEN = 0.01, 0.02, 0.02  # so near to these limits another reading may decide
TOGETHER = 0.8  # and of a letter between the sides of all its runs, which leave some of their junctions open
COVERED = 0.9  # of a piece lies between its run's sides, else no column can follow it


def parts_of(
    drawing: Drawing, measures: Measures, gaps_px: Sequence[float], setting: Setting, lines: Sequence[Line] = ()
) -> list[Part]:
    """Every region's parts, in the regions' order. gaps_px: the narrowest gap beside each region."""
    frame = Frame(drawing, setting)
    letters, attached = letter_verdicts(lines, setting), attached_verdicts(lines, setting)
    alone = [
        _alone(shape, gaps_px[i], setting) if i not in letters else whole_letter(letters[i])
        for i, shape in enumerate(measures.regions)
    ]
    seen = [i for i, shape in enumerate(measures.regions) if not shape.outline.is_empty]
    wanted = [i for i in seen if alone[i] is None]
    pieces = dict(zip(wanted, measures.pieces(wanted), strict=True))
    parts: list[Part] = []
    for i in seen:
        shape, verdict = measures.regions[i], alone[i]
        if verdict is None:
            made = _cut_parts(i, pieces[i], gaps_px[i], setting, frame, letters.get(i), attached.get(i, ()))
            parts += [_in_all_its_runs(made[0], shape, frame)] if i in letters and len(made) == 1 else made
        else:
            width = frame.width(percentiles_px(shape.whole))
            parts.append(frame.part(i, verdict, shape.outline, width, shape.runs))
    return _less_sure(parts, {region for line in lines if line.doubtful for region in (*line.regions, *line.inside)})


def _less_sure(parts: Sequence[Part], regions: set[int]) -> list[Part]:
    """The same, those of these regions less sure: sewn as letters, which they may not be."""
    return [replace(p, certainty=min(p.certainty, DOUBTED)) if p.region in regions else p for p in parts]


class Frame:
    """From px of a drawing to mm at a size."""

    def __init__(self, drawing: Drawing, setting: Setting) -> None:
        self.drawing, self.scale = drawing, setting.mm_per_px
        self.shaded = frozenset(region for shading in drawing.shadings for region in shading.regions)
        self.left, self.top, *_ = drawing.extent_px

    def shape(self, outline: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
        """An outline in mm; valid, though rounding may lay an edge of a fine net across itself."""
        made = shapely.transform(outline, self.points)
        return made if shapely.is_valid(made) else made.buffer(0)

    def points(self, xy: Floats) -> Floats:
        """Points in mm."""
        return (xy - (self.left, self.top)) * self.scale

    def width(self, px: tuple[float, float, float]) -> Width:
        """Width percentiles in mm."""
        return Width(*(value * self.scale for value in px))

    def spine(self, run: Run) -> Spine:
        """A run in mm."""
        line = (run.line - (self.left, self.top, 0.0)) * self.scale
        return Spine(line, self.points(run.left), self.points(run.right), run.closed)

    def part(
        self, region: int, verdict: Verdict, outline: Polygon | MultiPolygon, width: Width, runs: Sequence[Run]
    ) -> Part:
        """A part, its id yet to be given."""
        return Part(
            id="", kind=verdict.kind, region=region, colour=self.drawing.regions[region].colour,
            outline_mm=self.shape(outline), width_mm=width, reason=verdict.reason, certainty=verdict.certainty,
            spines=tuple(self.spine(run) for run in runs), sewn_width_mm=verdict.sewn_width_mm,
        )  # fmt: skip


def _facts(stroke: Stroke, gap_px: float, setting: Setting, *, covered: bool, whole: bool) -> Piece:
    scale = setting.mm_per_px
    low, median, high = percentiles_px(stroke)
    return Piece(
        width=Width(low * scale, median * scale, high * scale),
        length_mm=run_length_px(stroke) * scale,
        area_mm2=float(stroke.outline.area) * scale**2,
        strokelike=covered and not _carries(stroke),
        dot=whole and is_dot(stroke),
        gap_mm=gap_px * scale,
        disc=not any(len(axis) > 1 for axis in stroke.axes),
        ground=int(shapely.get_num_interior_rings(stroke.filled)) >= MANY,
    )


def _as_it_speaks(facts: Piece, stroke: Stroke, setting: Setting) -> Piece:
    """The facts with the width that speaks for the stroke as its middle one: its ends may be long and thin."""
    return replace(facts, width=replace(facts.width, median=speaking_width_px(stroke) * setting.mm_per_px))


def _carries(stroke: Stroke) -> bool:
    """Whether things lie on the piece: a column's lines would run over them."""
    if stroke.body is None:
        return False
    laid_on = shapely.get_parts(stroke.body.difference(stroke.outline))
    least = (SPECK * percentiles_px(stroke)[1]) ** 2
    return int((shapely.area(laid_on) >= least).sum()) >= CARRIES


def _alone(shape: Shape, gap_px: float, setting: Setting) -> Verdict | None:
    """The kind of a region that is sewn in one piece: a dot, a thin stroke, all of it a running line."""
    facts = _facts(shape.whole, gap_px, setting, covered=True, whole=True)
    if facts.dot and facts.width.median < setting.value("dot.smallest"):
        return judge(facts, setting)
    verdict = judge(facts, setting)
    thin = facts.width.high < setting.value("kind.three_passes_under")
    return verdict if verdict.kind in ("running", "drop") and thin else None


def _cut_parts(
    region: int, pieces: Sequence[Stroke], gap_px: float, setting: Setting, frame: Frame, line: Verdict | None = None,
    attached: Sequence[tuple[Polygon, Verdict]] = (),
) -> list[Part]:  # fmt: skip
    judged = []
    pieces = tapered(pieces, setting) if line is None else pieces
    for piece in pieces:
        covered = _followed(piece, setting, alone=len(pieces) == 1)
        small = float(piece.outline.area) * setting.mm_per_px**2 < setting.value("fill.smallest")
        # too small for a fill, and no run follows it, such as a star: stitches straight across
        sewn = piece.straight if small and not covered else piece
        facts = _facts(sewn, gap_px, setting, covered=covered, whole=len(pieces) == 1)
        facts = replace(facts, shaded=region in frame.shaded)
        verdict = judge(_as_it_speaks(facts, sewn, setting), setting)
        if _hangs_on_its_lines(piece, facts, verdict, setting, alone=len(pieces) == 1):
            verdict = replace(verdict, certainty=min(verdict.certainty, DOUBTED))
        judged.append((sewn, facts, verdict))
    judged = taken_in(judged, setting)
    if line is not None:
        judged = [(piece, facts, like_its_line(verdict, line, setting)) for piece, facts, verdict in judged]
    judged = [_like_its_letters(each, attached, setting) for each in judged] if attached else judged
    if any(verdict.kind != "drop" for _, _, verdict in judged):
        judged = [(piece, facts, _kept_on(verdict, setting)) for piece, facts, verdict in judged]
    parts: list[Part] = []
    for kind in ("fill", "running", "drop"):
        own = [each for each in judged if each[2].kind == kind]
        parts += _merged(region, own, frame, _spines(own, pieces, setting))
    for piece, facts, verdict in judged:
        if verdict.kind == "column":
            parts.append(frame.part(region, verdict, piece.outline, facts.width, (piece.run,)))
    return parts


def _in_all_its_runs(part: Part, shape: Shape, frame: Frame) -> Part:
    """A letter left whole that one run does not follow, such as an 8: all its branches, if they cover it together."""
    if part.kind != "column" or shape.whole.covered >= COVERED or len(shape.branches) < 2:
        return part
    runs = shape.branch_runs
    if covered_by(runs, shape.outline) < TOGETHER:
        return part
    width = frame.width(percentiles_px(shape.whole))
    text = f"{width.median:.2f} mm drawn: a letter whose strokes run into each other, each followed as a column"
    spines = tuple(frame.spine(run) for run in runs)
    return replace(part, spines=spines, width_mm=width, reason=replace(part.reason, text=text))


def _like_its_letters(judged: Judged, attached: Sequence[tuple[Polygon, Verdict]], setting: Setting) -> Judged:
    """What is cut from a border and belongs to a letter on it is sewn as the letter's line is."""
    piece, facts, verdict = judged
    middle = piece.outline.representative_point()
    line = next((line for outline, line in attached if outline.covers(middle)), None)
    return judged if line is None else (piece, facts, like_its_line(verdict, line, setting))


def _followed(piece: Stroke, setting: Setting, *, alone: bool) -> bool:
    """Whether a column can follow the piece: its lines cover it, and do not all fan round its corners."""
    return min(_room(piece, setting, alone=alone)) >= 0.0


def _room(piece: Stroke, setting: Setting, *, alone: bool) -> tuple[float, float, float]:
    """How far a piece is from where no column can follow it: by what its lines cover, how they fan, how even it is."""
    low, median, high = percentiles_px(piece)
    stroke = alone or median >= EVEN * high or low >= NEVER_THIN * high
    most, even = (FANNED if stroke else FANNED_PIECE), 1.0
    if setting.sewn_mm(high * setting.mm_per_px) > setting.value("kind.split_over"):
        most, even = FANNED_WIDE, low / high - STEADY_WIDE
        if even < 0.0:
            return 1.0, 1.0, even
    fanned = 0.0 if piece.compact else piece.fanned  # lines that lie parallel do not fan, however a side slants
    return piece.covered - COVERED, most - fanned, even


def _hangs_on_its_lines(piece: Stroke, facts: Piece, verdict: Verdict, setting: Setting, *, alone: bool) -> bool:
    """Whether it would be another kind if a column could follow it, or could not, and that is a near thing."""
    covered, fanned, even = _room(piece, setting, alone=alone)
    near = abs(covered) < NEARLY_COVERED or abs(fanned) < NEARLY_FANNED or abs(even) < NEARLY_EVEN
    # were it compact, its lines would not fan
    if not near and not (fanned < 0.0 and hardly_compact(piece.filled, float(piece.pole[2]))):
        return False
    other = replace(facts, strokelike=not facts.strokelike)
    return judge(_as_it_speaks(other, piece, setting), setting).kind != verdict.kind


def _kept_on(verdict: Verdict, setting: Setting) -> Verdict:
    """The thin end of a stroke that is sewn is sewn too."""
    if verdict.kind != "drop":
        return verdict
    text = f"{verdict.reason.measure_mm:.2f} mm drawn, the thin end of a stroke: a running line carries it out"
    looks = setting.trade.value("running.looks", passes=2)
    return replace(verdict, kind="running", reason=replace(verdict.reason, text=text), sewn_width_mm=looks)


def _spines(judged: Sequence[Judged], pieces: Sequence[Stroke], setting: Setting) -> list[Run]:
    """Each piece's spine; a running line's reaches into the strokes it runs out of."""
    if not judged or judged[0][2].kind != "running" or len(pieces) == 1:
        return [piece.run for piece, _, _ in judged]
    whole = shapely.union_all([piece.filled for piece in pieces])
    shapely.prepare(whole)
    reach = setting.value("running.reach") / setting.mm_per_px
    return [reaching(piece, reach, whole) for piece, _, _ in judged]


def _merged(region: int, judged: Sequence[Judged], frame: Frame, spines: Sequence[Run]) -> list[Part]:
    """Pieces of one kind that touch are one part; the largest speaks for it."""
    if not judged:
        return []
    if len(judged) == 1:
        ((piece, facts, verdict),) = judged
        return [frame.part(region, verdict, piece.outline, facts.width, spines)]
    outlines = [piece.outline for piece, _, _ in judged]
    wholes = shapely.get_parts(shapely.union_all(outlines))
    lies_in = shapely.distance(shapely.point_on_surface(outlines)[:, None], wholes).argmin(axis=1).tolist()
    parts = []
    for number in sorted(set(lies_in)):
        own = [k for k, part in enumerate(lies_in) if part == number]
        _, facts, verdict = max((judged[k] for k in own), key=lambda each: each[1].area_mm2)
        whole = outlines[own[0]] if len(own) == 1 else shapely.union_all([outlines[k] for k in own])
        parts.append(frame.part(region, verdict, whole, facts.width, [spines[k] for k in own]))
    return parts


def numbered(parts: Sequence[Part]) -> tuple[Part, ...]:
    """The same with their ids."""
    return tuple(replace(part, id=f"p{i + 1}") for i, part in enumerate(parts))

"""The parts of a region at a size: which pieces it is sewn in, each with its kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import MultiPolygon, Polygon

from analyse.kinds.bands import Piece, Verdict, judge
from analyse.kinds.lettering import letter_verdicts, like_its_line, whole_letter
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line
from analyse.values import Drawing, Floats, Part, Spine, Width
from analyse.widths.bodies import MANY
from analyse.widths.measuring import Measures, Shape
from analyse.widths.profile import is_dot, percentiles_px, run_length_px
from analyse.widths.sides import Run
from analyse.widths.strokes import Stroke

FANNED = 0.6  # nor where its lines fan round a point over more than this share of their way, a leaf's or a drop's,
FANNED_PIECE = 0.35  # and less for what was cut from a body
CARRIES = 2  # so many holes, a ring's own one not counted: the piece runs on beneath what lies in them
COVERED = 0.9  # of a piece lies between its run's sides, else no column can follow it


def parts_of(
    drawing: Drawing, measures: Measures, gaps_px: Sequence[float], setting: Setting, lines: Sequence[Line] = ()
) -> list[Part]:
    """Every region's parts, in the regions' order. gaps_px: the narrowest gap beside each region."""
    frame = Frame(drawing, setting)
    letters = letter_verdicts(lines, setting)
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
            parts += _cut_parts(i, pieces[i], gaps_px[i], setting, frame, letters.get(i))
        else:
            width = frame.width(percentiles_px(shape.whole))
            parts.append(frame.part(i, verdict, shape.outline, width, shape.runs))
    return parts


class Frame:
    """From px of a drawing to mm at a size."""

    def __init__(self, drawing: Drawing, setting: Setting) -> None:
        self.drawing, self.scale = drawing, setting.mm_per_px
        self.left, self.top, *_ = drawing.extent_px

    def shape(self, outline: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
        """An outline in mm."""
        return shapely.transform(outline, self.points)

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
        ground=int(shapely.get_num_interior_rings(stroke.filled)) >= MANY,
    )


def _carries(stroke: Stroke) -> bool:
    """Whether things lie on the piece: a column's lines would run over them."""
    rings = int(shapely.get_num_interior_rings(shapely.get_parts(stroke.outline)).sum())
    return rings - int(stroke.closed) >= CARRIES


def _alone(shape: Shape, gap_px: float, setting: Setting) -> Verdict | None:
    """The kind of a region that is sewn in one piece: a dot, a thin stroke, all of it a running line."""
    facts = _facts(shape.whole, gap_px, setting, covered=True, whole=True)
    if facts.dot and facts.width.median < setting.value("dot.smallest"):
        return judge(facts, setting)
    verdict = judge(facts, setting)
    thin = facts.width.high < setting.value("kind.three_passes_under")
    return verdict if verdict.kind in ("running", "drop") and thin else None


def _cut_parts(
    region: int, pieces: Sequence[Stroke], gap_px: float, setting: Setting, frame: Frame, line: Verdict | None = None
) -> list[Part]:
    judged = []
    for piece in pieces:
        facts = _facts(piece, gap_px, setting, covered=_followed(piece, alone=len(pieces) == 1), whole=len(pieces) == 1)
        judged.append((piece, facts, judge(facts, setting)))
    judged = _taken_in(judged, setting)
    if line is not None:
        judged = [(piece, facts, like_its_line(verdict, line, setting)) for piece, facts, verdict in judged]
    if any(verdict.kind != "drop" for _, _, verdict in judged):
        judged = [(piece, facts, _kept_on(verdict, setting)) for piece, facts, verdict in judged]
    parts: list[Part] = []
    for kind in ("fill", "running", "drop"):
        parts += _merged(region, [each for each in judged if each[2].kind == kind], frame)
    for piece, facts, verdict in judged:
        if verdict.kind == "column":
            parts.append(frame.part(region, verdict, piece.outline, facts.width, (piece.run,)))
    return parts


def _followed(piece: Stroke, *, alone: bool) -> bool:
    """Whether a column can follow the piece: its lines cover it, and do not all fan round its corners."""
    return piece.covered >= COVERED and piece.fanned <= (FANNED if alone else FANNED_PIECE)


def _taken_in(judged: Sequence[tuple[Stroke, Piece, Verdict]], setting: Setting) -> list[tuple[Stroke, Piece, Verdict]]:
    """Stumps beside a fill are part of it: no hand makes a column of its own of them."""
    fills = [piece.outline for piece, _, verdict in judged if verdict.kind == "fill"]
    if not fills:
        return list(judged)
    body = shapely.union_all(fills)
    speaker = max((each for each in judged if each[2].kind == "fill"), key=lambda each: each[1].area_mm2)[2]
    return [
        (piece, facts, speaker)
        if verdict.kind != "fill" and _is_stump(facts, setting) and piece.outline.distance(body) < 1e-6
        else (piece, facts, verdict)
        for piece, facts, verdict in judged
    ]


def _is_stump(facts: Piece, setting: Setting) -> bool:
    wide = facts.width.high >= setting.value("fill.narrowest")
    return facts.length_mm < (setting.value("fill.stump") if wide else 1.0) * facts.width.high


def _kept_on(verdict: Verdict, setting: Setting) -> Verdict:
    """The thin end of a stroke that is sewn is sewn too."""
    if verdict.kind != "drop":
        return verdict
    text = f"{verdict.reason.measure_mm:.2f} mm drawn, the thin end of a stroke: a running line carries it out"
    looks = setting.trade.value("running.looks", passes=2)
    return replace(verdict, kind="running", reason=replace(verdict.reason, text=text), sewn_width_mm=looks)


def _merged(region: int, judged: Sequence[tuple[Stroke, Piece, Verdict]], frame: Frame) -> list[Part]:
    """Pieces of one kind that touch are one part; the largest speaks for it."""
    if not judged:
        return []
    outlines = [piece.outline for piece, _, _ in judged]
    if len(judged) == 1:
        piece, facts, verdict = judged[0]
        return [frame.part(region, verdict, piece.outline, facts.width, (piece.run,))]
    parts = []
    for whole in shapely.get_parts(shapely.union_all(outlines)):
        own = [each for each in judged if whole.intersects(shapely.point_on_surface(each[0].outline))]
        _, facts, verdict = max(own, key=lambda each: each[1].area_mm2)
        parts.append(frame.part(region, verdict, whole, facts.width, [piece.run for piece, _, _ in own]))
    return parts


def numbered(parts: Sequence[Part]) -> tuple[Part, ...]:
    """The same with their ids."""
    return tuple(replace(part, id=f"p{i + 1}") for i, part in enumerate(parts))

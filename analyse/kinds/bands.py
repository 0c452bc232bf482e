"""What a drawn width is sewn as, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from analyse.kinds.setting import Setting, widened
from analyse.values import PartKind, Reason, Width

NEAR_GAP_MM = 3.0  # a wider gap beside a stroke is not worth a word


@dataclass(frozen=True, slots=True)
class Piece:
    """What a kind is decided from: drawn width and length in mm, area in mm2.

    strokelike: one run's stitch lines cover it. dot: hardly longer than wide. gap_mm: the gap beside it, inf for none.
    ground: it shows between many things that lie on it.
    """

    width: Width
    length_mm: float
    area_mm2: float
    strokelike: bool
    dot: bool = False
    gap_mm: float = math.inf
    ground: bool = False


@dataclass(frozen=True, slots=True)
class Verdict:
    """A kind with its reason, how sure it is (0.5 just at a limit, 1 far from any), and the width it is sewn at."""

    kind: PartKind
    reason: Reason
    certainty: float
    sewn_width_mm: float


def judge(piece: Piece, setting: Setting) -> Verdict:
    """The kind the trade's bands give a piece."""
    drawn = piece.width.median
    if piece.dot and drawn < setting.value("dot.smallest"):
        return _small_dot(piece, setting)
    if drawn < setting.value("kind.widened_under"):
        return _narrow(piece, setting)
    return _wide(piece, setting)


def certainty(measure_mm: float, limit_mm: float, error_mm: float) -> float:
    """Chance that the true width lies on the same side of a limit.

    Errors follow Student's t with three degrees of freedom, scaled by error_mm: most are small, a few are not. Its
    distribution in closed form: Student 1908, from memory; that it fits is measured by tests/benchmarks/kinds.py.
    """
    far = abs(measure_mm - limit_mm) / max(error_mm, 1e-9) / math.sqrt(3.0)
    if not math.isfinite(far):
        return 1.0
    return 0.5 + (far / (1.0 + far * far) + math.atan(far)) / math.pi


def thinnest_mm(setting: Setting) -> float:
    """What is drawn thinner is left out: the strand, less what may pass at risk."""
    return setting.value("stroke.thinnest") * (1.0 - setting.value("detail.at_risk"))


def _verdict(kind: PartKind, key: str, measure: float, setting: Setting, text: str, sewn: float) -> Verdict:
    """A verdict by the row that decided; sure to the extent that no limit of another kind lies near."""
    three, widest = setting.value("kind.three_passes_under"), setting.value("kind.column_widest")
    limits = {
        "drop": (thinnest_mm(setting),),
        "running": (thinnest_mm(setting), three),
        "column": (three, widest),
        "fill": (widest,),
    }[kind]
    near = min(certainty(measure, limit, setting.error_mm) for limit in limits)
    return Verdict(kind, Reason(key, measure, setting.value(key), text), near, sewn)


def _small_dot(piece: Piece, setting: Setting) -> Verdict:
    drawn, needs, grown = piece.width.median, setting.value("dot.smallest"), setting.value("dot.sewn")
    least = needs * (1.0 - setting.value("detail.at_risk"))
    sure = certainty(drawn, least, setting.error_mm)
    if drawn < least:
        text = f"a dot {drawn:.1f} mm across: under {needs:.1f} mm thread makes a knot of it, not a dot"
        return Verdict("drop", Reason("dot.smallest", drawn, needs, text), sure, 0.0)
    text = f"a dot {drawn:.1f} mm across, grown to {grown:.1f} mm so that {_stitches(setting)} stitches fit"
    return Verdict("column", Reason("dot.smallest", drawn, needs, text), sure, grown)


def _stitches(setting: Setting) -> str:
    low, high = setting.trade.range("dot.stitches")
    return f"{low} to {high}"


def _narrow(piece: Piece, setting: Setting) -> Verdict:
    drawn = piece.width.median
    thinnest, two = setting.value("stroke.thinnest"), setting.value("kind.two_passes_under")
    if drawn < thinnest_mm(setting):
        text = f"{drawn:.2f} mm drawn, thinner than one {thinnest:.2f} mm strand: even a single run sews it heavier"
        return _verdict("drop", "stroke.thinnest", drawn, setting, text, 0.0)
    if drawn < two:
        looks = setting.trade.value("running.looks", passes=2)
        text = f"{drawn:.2f} mm drawn: a running line, there and back, looks {looks:.1f} mm"
        return _verdict("running", "kind.two_passes_under", drawn, setting, text, looks)
    if drawn < setting.value("kind.three_passes_under"):
        return _three_passes(drawn, setting, "kind.three_passes_under", "")
    return _widened(piece, setting)


def _three_passes(drawn: float, setting: Setting, key: str, because: str) -> Verdict:
    looks = setting.trade.value("running.looks", passes=3)
    text = f"{drawn:.2f} mm drawn: a running line in three passes, looks {looks:.1f} mm{because}"
    return _verdict("running", key, drawn, setting, text, looks)


def _widened(piece: Piece, setting: Setting) -> Verdict:
    drawn, least = piece.width.median, setting.value("column.narrowest")
    sewn, wider = widened(drawn, setting)
    if not piece.strokelike and piece.ground and piece.area_mm2 >= setting.value("fill.smallest"):
        text = f"{drawn:.1f} mm between what lies on it: a fill that runs on beneath, no hand sews such gaps one by one"
        return _verdict("fill", "kind.widened_under", drawn, setting, text, drawn)
    if not piece.strokelike:
        return _three_passes(drawn, setting, "kind.widened_under", "; it branches too much for a column to follow")
    gap, open_mm = piece.gap_mm - max(least - drawn, 0.0), setting.value("gap.needle_to_needle")
    if gap < open_mm <= piece.gap_mm:
        because = f"; widened to a column it would close the {piece.gap_mm:.1f} mm gap beside it"
        lines = _three_passes(drawn, setting, "kind.widened_under", because)
        reason = replace(lines.reason, row="gap.needle_to_needle", measure_mm=gap, needs_mm=open_mm)
        sure = min(certainty(drawn, least, setting.error_mm), certainty(gap, open_mm, setting.error_mm))
        return replace(lines, reason=reason, certainty=sure)
    stays = max(piece.gap_mm - (sewn - drawn), open_mm)  # where pull would close it, pull is held back
    beside = f"; the gap beside it stays {stays:.1f} mm" if open_mm <= gap < NEAR_GAP_MM else ""
    text = f"{drawn:.2f} mm drawn, {sewn:.1f} mm sewn on {setting.cloth.title}: a column{wider}{beside}"
    column = _verdict("column", "kind.widened_under", drawn, setting, text, sewn)
    return replace(column, certainty=min(column.certainty, certainty(gap, open_mm, setting.error_mm)))


def _wide(piece: Piece, setting: Setting) -> Verdict:
    high, on = piece.width.high, f"on {setting.cloth.title}"
    sewn = setting.sewn_mm(high)
    split, widest = setting.value("kind.split_over"), setting.value("kind.column_widest")
    small = piece.area_mm2 < setting.value("fill.smallest") or high < setting.value("fill.narrowest")
    if small and sewn <= widest and not piece.strokelike:
        text = f"{piece.area_mm2:.0f} mm2, {high:.1f} mm across: too small for a fill, a column straight across"
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn)
    if not piece.strokelike and sewn <= widest:
        text = f"{high:.1f} mm at its widest, and no single run of stitch lines covers it: a fill"
        return _verdict("fill", "kind.column_widest", sewn, setting, text, high)
    if sewn <= split:
        middle = piece.width.median
        text = f"{middle:.1f} mm drawn, {setting.sewn_mm(middle):.1f} mm sewn {on}: a column"
        return _verdict("column", "kind.split_over", sewn, setting, text, setting.sewn_mm(middle))
    if sewn <= widest and piece.length_mm >= setting.value("kind.border_long") * high:
        text = f"{high:.1f} mm drawn, {sewn:.1f} mm sewn {on}: a column whose stitches are split, over {split:.0f} mm"
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn)
    text = f"{high:.1f} mm wide, {sewn:.1f} mm sewn {on}: a fill, its stitches would snag over {split:.0f} mm"
    key = "kind.column_widest" if sewn > widest else "kind.split_over"
    return _verdict("fill", key, sewn, setting, text, high)

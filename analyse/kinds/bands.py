"""What a drawn width is sewn as, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from analyse.kinds.setting import Setting
from analyse.values import PartKind, Reason, Width

NEAR_GAP_MM = 3.0  # a wider gap beside a stroke is not worth a word
LONG = 4.0  # a column over 7 mm sewn must be this many widths long: a border, a letter, no body


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
    """Chance that the true width lies on the same side of a limit: normal errors, spread error_mm."""
    return 0.5 * (1.0 + math.erf(abs(measure_mm - limit_mm) / (max(error_mm, 1e-9) * math.sqrt(2.0))))


def _verdict(kind: PartKind, key: str, measure: float, setting: Setting, text: str, sewn: float) -> Verdict:
    """A verdict by the row that decided; sure to the extent that no limit of another kind lies near."""
    needs = setting.value(key)
    limits = {"drop": ("stroke.thinnest",), "running": ("stroke.thinnest", "kind.three_passes_under")}.get(
        kind, ("kind.three_passes_under", "kind.column_widest") if kind == "column" else ("kind.column_widest",)
    )
    near = [certainty(measure, setting.value(limit), setting.error_mm) for limit in {*limits, key} - PASSES]
    return Verdict(kind, Reason(key, measure, needs, text), min(near), sewn)


PASSES = {"kind.two_passes_under", "kind.widened_under", "kind.split_over", "fill.smallest", "fill.narrowest"}
# limits within one kind, or of an area: being near them makes no kind doubtful


def _small_dot(piece: Piece, setting: Setting) -> Verdict:
    drawn, needs, grown = piece.width.median, setting.value("dot.smallest"), setting.value("dot.sewn")
    if drawn < needs * (1.0 - setting.value("detail.at_risk")):
        text = f"a dot {drawn:.1f} mm across: under {needs:.1f} mm thread makes a knot of it, not a dot"
        return _verdict("drop", "dot.smallest", drawn, setting, text, 0.0)
    text = f"a dot {drawn:.1f} mm across, grown to {grown:.1f} mm so that {_stitches(setting)} stitches fit"
    return _verdict("column", "dot.smallest", drawn, setting, text, grown)


def _stitches(setting: Setting) -> str:
    low, high = setting.trade.range("dot.stitches")
    return f"{low} to {high}"


def _narrow(piece: Piece, setting: Setting) -> Verdict:
    drawn = piece.width.median
    thinnest, two = setting.value("stroke.thinnest"), setting.value("kind.two_passes_under")
    if drawn < thinnest * (1.0 - setting.value("detail.at_risk")):
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
    widen = max((least - drawn) / 2.0, 0.0)
    if not piece.strokelike and piece.ground and piece.area_mm2 >= setting.value("fill.smallest"):
        text = f"{drawn:.1f} mm between what lies on it: a fill that runs on beneath, no hand sews such gaps one by one"
        return _verdict("fill", "kind.widened_under", drawn, setting, text, drawn)
    if not piece.strokelike:
        return _three_passes(drawn, setting, "kind.widened_under", "; it branches too much for a column to follow")
    gap, open_mm = piece.gap_mm - 2.0 * widen, setting.value("gap.needle_to_needle")
    if gap < open_mm <= piece.gap_mm:
        because = f"; widened to a column it would close the {piece.gap_mm:.1f} mm gap beside it"
        lines = _three_passes(drawn, setting, "kind.widened_under", because)
        return replace(
            lines, reason=replace(lines.reason, row="gap.needle_to_needle", measure_mm=gap, needs_mm=open_mm)
        )
    beside = f"; the gap beside it stays {gap:.1f} mm" if open_mm <= gap < NEAR_GAP_MM else ""
    text = (
        f"{drawn:.2f} mm drawn, {least:.1f} mm sewn on {setting.cloth.title}: a column, "
        f"widened by {widen:.2f} mm on each side{beside}"
    )
    return _verdict("column", "kind.widened_under", drawn, setting, text, least)


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
    if sewn <= widest and piece.length_mm >= LONG * high:
        text = f"{high:.1f} mm drawn, {sewn:.1f} mm sewn {on}: a column whose stitches are split, over {split:.0f} mm"
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn)
    text = f"{high:.1f} mm wide, {sewn:.1f} mm sewn {on}: a fill, its stitches would snag over {split:.0f} mm"
    key = "kind.column_widest" if sewn > widest else "kind.split_over"
    return _verdict("fill", key, sewn, setting, text, high)

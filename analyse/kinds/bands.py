"""What a drawn width is sewn as, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from analyse.kinds.setting import Setting, widened
from analyse.values import PartKind, Reason, Width

DISC_ERROR_PX = 0.2  # of a largest disc besides: it touches the outline, which keeps to 0.1 px, in few points
NEAR_GAP_MM = 3.0  # a wider gap beside a stroke is not worth a word


@dataclass(frozen=True, slots=True)
class Piece:
    """What a kind is decided from: drawn width and length in mm, area in mm2.

    strokelike: one run's stitch lines cover it. dot: hardly longer than wide. gap_mm: the gap beside it, inf for none.
    ground: it shows between many things that lie on it. shaded: it is one step of a shading. disc: its width is its
    largest disc's.
    """

    width: Width
    length_mm: float
    area_mm2: float
    strokelike: bool
    dot: bool = False
    gap_mm: float = math.inf
    ground: bool = False
    shaded: bool = False
    disc: bool = False


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
    if piece.disc:
        setting = replace(setting, error_mm=math.hypot(setting.error_mm, DISC_ERROR_PX * setting.mm_per_px))
    if piece.dot and drawn < setting.value("dot.smallest"):
        return _small_dot(piece, setting)
    if drawn < setting.value("kind.widened_under"):
        return _narrow(piece, setting)
    return _wide(piece, setting)


def certainty(measure_mm: float, limit_mm: float, error_mm: float) -> float:
    """Chance that the true width lies on the same side of a limit.

    Errors follow Student's t with two degrees of freedom, scaled by error_mm: most are small, a few are not. Its
    distribution in closed form: Student 1908, from memory; that it fits is measured by tests/benchmarks/kinds.py.
    """
    far = abs(measure_mm - limit_mm) / max(error_mm, 1e-9)
    return 1.0 if not math.isfinite(far) else 0.5 + 0.5 * far / math.hypot(far, math.sqrt(2.0))


def thinnest_mm(setting: Setting) -> float:
    """What is drawn thinner is left out: the strand, less what may pass at risk."""
    return setting.value("stroke.thinnest") * (1.0 - setting.value("detail.at_risk"))


def _sure(measure_mm: float, limits_mm: Sequence[float], setting: Setting) -> float:
    """Sure to the extent that no limit of another kind lies near."""
    return min((certainty(measure_mm, limit, setting.error_of(measure_mm)) for limit in limits_mm), default=1.0)


def _verdict(
    kind: PartKind, key: str, measure: float, setting: Setting, text: str, sewn: float, *, sure: float
) -> Verdict:
    """A verdict by the row that decided."""
    return Verdict(kind, Reason(key, measure, setting.value(key), text), sure, sewn)


def _small_dot(piece: Piece, setting: Setting) -> Verdict:
    drawn, needs, grown = piece.width.median, setting.value("dot.smallest"), setting.value("dot.sewn")
    least = needs * (1.0 - setting.value("detail.at_risk"))
    sure = certainty(drawn, least, setting.error_of(drawn))
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
    least, three = thinnest_mm(setting), setting.value("kind.three_passes_under")
    if drawn < least:
        text = f"{drawn:.2f} mm drawn, thinner than one {thinnest:.2f} mm strand: even a single run sews it heavier"
        sure = _sure(drawn, (least,), setting)
        return _verdict("drop", "stroke.thinnest", drawn, setting, text, 0.0, sure=sure)
    sure = _sure(drawn, (least, _running_under(piece, setting)), setting)
    if drawn < two:
        looks = setting.trade.value("running.looks", passes=2)
        text = f"{drawn:.2f} mm drawn: a running line, there and back, looks {looks:.1f} mm"
        return _verdict("running", "kind.two_passes_under", drawn, setting, text, looks, sure=sure)
    if drawn < three:
        return _three_passes(drawn, setting, "kind.three_passes_under", "", sure=sure)
    return _widened(piece, setting)


def _running_under(piece: Piece, setting: Setting) -> float:
    """From which drawn width on a piece is no running line any more."""
    branches = not piece.strokelike and not _runs_beneath(piece, setting)
    return setting.value("kind.widened_under" if branches else "kind.three_passes_under")


def _runs_beneath(piece: Piece, setting: Setting) -> bool:
    return piece.ground and piece.area_mm2 >= setting.value("fill.smallest")


def _three_passes(drawn: float, setting: Setting, key: str, because: str, *, sure: float) -> Verdict:
    looks = setting.trade.value("running.looks", passes=3)
    text = f"{drawn:.2f} mm drawn: a running line in three passes, looks {looks:.1f} mm{because}"
    return _verdict("running", key, drawn, setting, text, looks, sure=sure)


def _widened(piece: Piece, setting: Setting) -> Verdict:
    drawn, least = piece.width.median, setting.value("column.narrowest")
    sewn, wider = widened(drawn, setting)
    above = _sure(drawn, (setting.value("kind.three_passes_under"),), setting)
    if not piece.strokelike and _runs_beneath(piece, setting):
        text = f"{drawn:.1f} mm between what lies on it: a fill that runs on beneath, no hand sews such gaps one by one"
        return _verdict("fill", "kind.widened_under", drawn, setting, text, drawn, sure=above)
    if not piece.strokelike:
        because = "; it branches too much for a column to follow"
        sure = _sure(drawn, (setting.value("kind.widened_under"),), setting)
        return _three_passes(drawn, setting, "kind.widened_under", because, sure=sure)
    gap, open_mm = piece.gap_mm - max(least - drawn, 0.0), setting.value("gap.needle_to_needle")
    if gap < open_mm <= piece.gap_mm:
        because = f"; widened to a column it would close the {piece.gap_mm:.1f} mm gap beside it"
        sure = min(_sure(drawn, (least,), setting), _sure(gap, (open_mm,), setting))
        lines = _three_passes(drawn, setting, "kind.widened_under", because, sure=sure)
        return replace(
            lines, reason=replace(lines.reason, row="gap.needle_to_needle", measure_mm=gap, needs_mm=open_mm)
        )
    stays = max(piece.gap_mm - (sewn - drawn), open_mm)  # where pull would close it, pull is held back
    beside = f"; the gap beside it stays {stays:.1f} mm" if open_mm <= gap < NEAR_GAP_MM else ""
    text = f"{drawn:.2f} mm drawn, {sewn:.1f} mm sewn on {setting.cloth.title}: a column{wider}{beside}"
    sure = min(above, _sure(gap, (open_mm,), setting))
    return _verdict("column", "kind.widened_under", drawn, setting, text, sewn, sure=sure)


def _wide(piece: Piece, setting: Setting) -> Verdict:
    sewn, widest = setting.sewn_mm(piece.width.high), setting.value("kind.column_widest")
    if (piece.shaded or not piece.strokelike) and sewn <= widest:
        return _unfollowed(piece, setting)
    return _followed(piece, setting) if piece.strokelike else _too_wide(piece, setting, sure=1.0)


def _unfollowed(piece: Piece, setting: Setting) -> Verdict:
    """What no run follows, or must not: a fill, or a column straight across where it is too small for one."""
    high, area = piece.width.high, piece.area_mm2
    smallest, narrowest = setting.value("fill.smallest"), setting.value("fill.narrowest")
    off = setting.error_mm * math.sqrt(math.pi * area)  # of its area, by an error of its width all along its outline
    sides = [(certainty(area, smallest, off), area < smallest), (_sure(high, (narrowest,), setting), high < narrowest)]
    thicker = () if _runs_beneath(piece, setting) else (setting.value("kind.widened_under"),)
    above = _sure(piece.width.median, thicker, setting)
    sewn, widest = setting.sewn_mm(high), setting.value("kind.column_widest")
    if area < smallest or high < narrowest:
        text = f"{area:.0f} mm2, {high:.1f} mm across: too small for a fill, a column straight across"
        sure = min(above, _sure(sewn, (widest,), setting), max(each for each, small in sides if small))
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn, sure=sure)
    why = "one step of a shading, whose rows run on into the next" if piece.shaded else (
        "and no single run of stitch lines covers it"
    )  # fmt: skip
    text = f"{high:.1f} mm at its widest, {why}: a fill"
    sure = min(above, *(each for each, _ in sides))
    return _verdict("fill", "kind.column_widest", sewn, setting, text, high, sure=sure)


def _followed(piece: Piece, setting: Setting) -> Verdict:
    """A stroke of a column's width or wider: over a limit only a long one is a column still, its stitches split."""
    high, middle, on = piece.width.high, piece.width.median, f"on {setting.cloth.title}"
    sewn, three = setting.sewn_mm(high), setting.value("kind.three_passes_under")
    split, widest = setting.value("kind.split_over"), setting.value("kind.column_widest")
    times = setting.value("kind.border_long")
    long = piece.length_mm >= times * high
    under = _sure(sewn, (widest if long else split,), setting)
    if sewn <= split:
        text = f"{middle:.1f} mm drawn, {setting.sewn_mm(middle):.1f} mm sewn {on}: a column"
        sure = min(under, _sure(middle, (three,), setting))
        return _verdict("column", "kind.split_over", sewn, setting, text, setting.sewn_mm(middle), sure=sure)
    border = certainty(piece.length_mm, times * high, times * setting.error_mm)
    if sewn <= widest and long:
        text = f"{high:.1f} mm drawn, {sewn:.1f} mm sewn {on}: a column whose stitches are split, over {split:.0f} mm"
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn, sure=min(border, under))
    over = _sure(sewn, (widest,), setting) if sewn > widest else 0.0
    return _too_wide(piece, setting, sure=over if long else max(over, min(border, under)))


def _too_wide(piece: Piece, setting: Setting, *, sure: float) -> Verdict:
    high, split, widest = piece.width.high, setting.value("kind.split_over"), setting.value("kind.column_widest")
    sewn, on = setting.sewn_mm(high), f"on {setting.cloth.title}"
    text = f"{high:.1f} mm wide, {sewn:.1f} mm sewn {on}: a fill, its stitches would snag over {split:.0f} mm"
    key = "kind.column_widest" if sewn > widest else "kind.split_over"
    return _verdict("fill", key, sewn, setting, text, high, sure=sure)

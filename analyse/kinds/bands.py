"""What a drawn width is sewn as, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass

from analyse.kinds.setting import Setting
from analyse.values import PartKind, Reason, Width


@dataclass(frozen=True, slots=True)
class Piece:
    """What a kind is decided from: drawn width and length in mm, area in mm2.

    strokelike: a column could follow it from end to end. dot: compact, hardly longer than wide.
    """

    width: Width
    length_mm: float
    area_mm2: float
    strokelike: bool
    dot: bool = False


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


def certainty(measure_mm: float, limits_mm: tuple[float, ...], error_mm: float) -> float:
    """Chance that the true width lies on the same side of every limit: normal errors, spread error_mm."""
    nearest = min(abs(measure_mm - limit) for limit in limits_mm)
    return 0.5 * (1.0 + math.erf(nearest / (max(error_mm, 1e-9) * math.sqrt(2.0))))


def _verdict(kind: PartKind, key: str, measure: float, setting: Setting, text: str, sewn: float) -> Verdict:
    needs = setting.value(key)
    return Verdict(kind, Reason(key, measure, needs, text), certainty(measure, (needs,), setting.error_mm), sewn)


def _small_dot(piece: Piece, setting: Setting) -> Verdict:
    drawn, needs = piece.width.median, setting.value("dot.smallest")
    grown = setting.value("dot.sewn")
    if drawn < needs * (1.0 - setting.value("detail.at_risk")):
        text = f"a dot {drawn:.1f} mm across; one needs {needs:.1f} mm drawn to be seen as one"
        return _verdict("drop", "dot.smallest", drawn, setting, text, 0.0)
    text = f"a dot {drawn:.1f} mm across, sewn grown to {grown:.1f} mm"
    return _verdict("column", "dot.smallest", drawn, setting, text, grown)


def _narrow(piece: Piece, setting: Setting) -> Verdict:
    drawn = piece.width.median
    thinnest, two = setting.value("stroke.thinnest"), setting.value("kind.two_passes_under")
    three, least = setting.value("kind.three_passes_under"), setting.value("column.narrowest")
    if drawn < thinnest * (1.0 - setting.value("detail.at_risk")):
        text = (
            f"{drawn:.2f} mm drawn: thinner than the {thinnest:.2f} mm of one strand, even a single run sews it heavier"
        )
        return _verdict("drop", "stroke.thinnest", drawn, setting, text, 0.0)
    if drawn < two:
        text = f"{drawn:.2f} mm drawn: a running line, there and back, looks 0.4 mm"
        return _verdict("running", "kind.two_passes_under", drawn, setting, text, 0.4)
    if drawn < three:
        text = f"{drawn:.2f} mm drawn: a running line in three passes, looks 0.6 mm"
        return _verdict("running", "kind.three_passes_under", drawn, setting, text, 0.6)
    widen = max((least - drawn) / 2.0, 0.0)
    text = f"{drawn:.2f} mm drawn, {least:.1f} mm sewn: a column, widened by {widen:.2f} mm on each side"
    return _verdict("column", "kind.widened_under", drawn, setting, text, least)


def _wide(piece: Piece, setting: Setting) -> Verdict:
    drawn = piece.width.high
    sewn, name = setting.sewn_mm(drawn), setting.cloth.title
    split, widest = setting.value("kind.split_over"), setting.value("kind.column_widest")
    small = piece.area_mm2 < setting.value("fill.smallest")
    if sewn <= split and (piece.strokelike or small):
        text = (
            f"{piece.width.median:.1f} mm drawn, {setting.sewn_mm(piece.width.median):.1f} mm sewn on {name}: a column"
        )
        return _verdict("column", "kind.split_over", sewn, setting, text, sewn)
    if piece.strokelike and sewn <= widest and piece.length_mm > 2.0 * drawn:
        text = f"{drawn:.1f} mm drawn, {sewn:.1f} mm sewn on {name}: a column with split stitches"
        return _verdict("column", "kind.column_widest", sewn, setting, text, sewn)
    if not piece.strokelike and sewn <= widest:
        text = f"{drawn:.1f} mm at its widest and no single run a column could follow: a fill"
        return _verdict("fill", "kind.column_widest", sewn, setting, text, drawn)
    text = f"{drawn:.1f} mm wide, {sewn:.1f} mm sewn on {name}; a column holds up to {widest:.0f} mm: a fill"
    return _verdict("fill", "kind.column_widest", sewn, setting, text, drawn)

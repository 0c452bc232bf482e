"""How a line of lettering is sewn: as one, by its stems, its height and the room between its strokes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from shapely import Polygon

from analyse.kinds.bands import Verdict, certainty
from analyse.kinds.setting import Setting, widened
from analyse.lettering.lines import Line
from analyse.values import Reason

SWELL = 1.15  # the widest strokes of a line are this much wider than its stems: bows, bars, where strokes meet
TIGHT = 25.0  # the percentile of gaps and counters that must stay open when stems are widened


def letter_verdicts(lines: Sequence[Line], setting: Setting) -> dict[int, Verdict]:
    """For each region that is a letter how its line is sewn: all columns, all fills or all running line.

    What lies in the counters of a line that is left out is left out with it.
    """
    found: dict[int, Verdict] = {}
    for line in lines:
        verdict = line_verdict(line, setting)
        own = (*line.regions, *line.inside) if verdict.kind == "drop" else line.regions
        found.update(dict.fromkeys(own, verdict))
    return found


def attached_verdicts(lines: Sequence[Line], setting: Setting) -> dict[int, list[tuple[Polygon, Verdict]]]:
    """For each region that is a border with letters on it where these are, and how their line is sewn."""
    found: dict[int, list[tuple[Polygon, Verdict]]] = {}
    for line in lines:
        if line.border is not None:
            verdict = line_verdict(line, setting)
            found.setdefault(line.border, []).extend((outline, verdict) for outline in line.attached)
    return found


def needed_height(line: Line, setting: Setting) -> tuple[str, float]:
    """The trade row of a line's smallest letters, and the height it asks for in mm."""
    row = "lettering.capitals" if line.x_height is None else "lettering.x_height"
    return row, setting.value(row)


def growth_mm(line: Line, setting: Setting) -> float:
    """What the stems must grow by in all to be columns."""
    return max(setting.value("column.narrowest") - line.stem * setting.mm_per_px, 0.0)


def room_mm(line: Line, setting: Setting) -> float:
    """By how much the stems may grow before gaps and counters close."""
    widths = [float(np.percentile(each, TIGHT)) for each in (line.gaps, line.counters) if each]
    open_mm = setting.value("gap.needle_to_needle")
    return min((width * setting.mm_per_px - open_mm for width in widths), default=math.inf)


def line_verdict(line: Line, setting: Setting) -> Verdict:
    """Columns, widened where the room allows it; fills where they are too wide for that; else running line."""
    stem = line.stem * setting.mm_per_px
    row, needs = needed_height(line, setting)
    tall = line.height * setting.mm_per_px >= needs * (1.0 - setting.value("detail.at_risk"))
    three = setting.value("kind.three_passes_under")
    if setting.sewn_mm(stem * SWELL) > setting.value("kind.column_widest"):
        return _filled(line, setting)
    fits = growth_mm(line, setting) <= max(room_mm(line, setting), 0.0)
    if fits and (tall or stem >= three):
        return _columns(line, setting)
    return _running(line, setting, "gap.needle_to_needle" if tall or stem >= three else row)


def _columns(line: Line, setting: Setting) -> Verdict:
    stem, least = line.stem * setting.mm_per_px, setting.value("column.narrowest")
    sewn, wider = widened(stem, setting)
    text = f"{_letters(line, setting)}, {sewn:.1f} mm sewn on {setting.cloth.title}: the whole line in columns{wider}"
    sure = certainty(stem, setting.value("kind.three_passes_under"), setting.error_of(stem))
    return Verdict("column", Reason("column.narrowest", stem, least, text), sure, sewn)


def _filled(line: Line, setting: Setting) -> Verdict:
    """Where the widest strokes are too wide for columns all letters are fills, the narrower strokes too."""
    stem, widest = setting.sewn_mm(line.stem * setting.mm_per_px), setting.value("kind.column_widest")
    text = f"{_letters(line, setting)}: too wide for columns, which end at {widest:.0f} mm: the whole line filled"
    sure = certainty(stem * SWELL, widest, setting.error_of(stem))
    return Verdict("fill", Reason("kind.column_widest", stem, widest, text), sure, stem)


def _running(line: Line, setting: Setting, row: str) -> Verdict:
    stem, thinnest = line.stem * setting.mm_per_px, setting.value("stroke.thinnest")
    if stem < thinnest * (1.0 - setting.value("detail.at_risk")):
        text = f"{_letters(line, setting)}, thinner than one strand: even a single run sews them heavier"
        sure = certainty(stem, thinnest, setting.error_of(stem))
        return Verdict("drop", Reason("stroke.thinnest", stem, thinnest, text), sure, 0.0)
    least = setting.value("lettering.running")
    small = line.height * setting.mm_per_px < least * (1.0 - setting.value("detail.tolerance"))
    if small and not line.doubtful:  # what may be no lettering is not left out for being too small to read
        text = f"{_letters(line, setting)}: not to be read as a running line under {least:.1f} mm"
        sure = certainty(line.height * setting.mm_per_px, least, setting.error_mm)
        return Verdict("drop", Reason("lettering.running", line.height * setting.mm_per_px, least, text), sure, 0.0)
    passes = 2 if stem < setting.value("kind.two_passes_under") else 3
    looks = setting.trade.value("running.looks", passes=passes)
    if row == "gap.needle_to_needle":
        because, row, measure, needs = "as columns their gaps would close", "column.narrowest", stem, _least(setting)
    else:
        measure, needs = line.height * setting.mm_per_px, setting.value(row)
        because = f"too small for columns, which ask for {needs:.1f} mm"
    text = f"{_letters(line, setting)}, {because}: the whole line as running line, looks {looks:.1f} mm"
    sure = certainty(stem, setting.value("kind.three_passes_under"), setting.error_of(stem))
    return Verdict("running", Reason(row, measure, needs, text), sure, looks)


def _least(setting: Setting) -> float:
    return float(setting.value("column.narrowest"))


def _letters(line: Line, setting: Setting) -> str:
    scale = setting.mm_per_px
    kind = "capitals" if line.x_height is None else "small letters"
    return f"{kind} {line.height * scale:.1f} mm high, stems {line.stem * scale:.2f} mm drawn"


def whole_letter(line: Verdict) -> Verdict | None:
    """The verdict of a letter that is sewn in one piece; None where it is cut into columns."""
    return None if line.kind == "column" else line


def like_its_line(own: Verdict, line: Verdict, setting: Setting) -> Verdict:
    """A stroke's verdict within its line; of columns the wide stays as it is or is split, the narrow is widened."""
    if line.kind != "column":
        return line
    measure = own.reason.measure_mm
    if own.kind == "fill" and own.reason.row == "kind.split_over":
        text = f"{measure:.1f} mm sewn on {setting.cloth.title}: a letter's stroke, a column whose stitches are split"
        return replace(own, kind="column", reason=replace(own.reason, text=text), sewn_width_mm=measure)
    if own.kind in ("fill", "column"):
        return own
    text = f"{measure:.2f} mm drawn, sewn like the rest of its line: {line.reason.text}"
    sewn = max(setting.value("column.narrowest"), own.sewn_width_mm)
    return replace(own, kind="column", reason=replace(line.reason, measure_mm=measure, text=text), sewn_width_mm=sewn)

"""What a line of lettering needs at a size, and which of the usual cures fits, in a practitioner's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from analyse.kinds.lettering import growth_mm
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line
from analyse.values import Feature


def lettered(feature: Feature, line: Line, setting: Setting) -> Feature:
    """A line's feature with its heights, its stem, and what is to be done."""
    scale = setting.mm_per_px
    return replace(
        feature,
        cap_height_mm=line.cap_height * scale,
        x_height_mm=None if line.x_height is None else line.x_height * scale,
        stem_mm=line.stem * scale,
        text=f"{feature.text}: {_needs(feature, line, setting)}",
    )


def _needs(feature: Feature, line: Line, setting: Setting) -> str:
    grow, scale = growth_mm(line, setting), setting.mm_per_px
    high = f"{feature.measure:.1f} mm high"
    if line.x_height is not None:
        high = f"small letters {feature.measure:.1f} mm under capitals of {line.cap_height * scale:.1f} mm"
    stems = f"stems {line.stem * scale:.2f} mm"
    if grow:
        stems += f" must grow to {setting.value('column.narrowest'):.1f} mm"
        stems += _closing(line, grow, setting)
    cures = _cures(feature, line, grow, setting)
    asked = "" if feature.state == "holds" else f", {feature.needs:.1f} mm asked in {setting.thread}-weight thread"
    return f"{high}{asked}; {stems}" + (f"; {cures}" if cures else "")


def _closed(widths: Sequence[float], grow_mm: float, setting: Setting) -> int:
    """How many gaps or counters are drawn too narrow to stay open, or are closed by growing stems."""
    least_mm = max(setting.value("lettering.counter"), setting.value("gap.needle_to_needle") + grow_mm)
    return sum(width * setting.mm_per_px < least_mm for width in widths)


def _closing(line: Line, grow_mm: float, setting: Setting) -> str:
    said = []
    for widths, what in ((line.gaps, "gaps"), (line.counters, "counters")):
        closed = _closed(widths, grow_mm, setting)
        if closed:
            said.append(f"{closed} of {len(widths)} {what}" if closed < len(widths) else f"all {closed} {what}")
    return f", which closes {' and '.join(said)}" if said else ", which leaves gaps and counters open"


def _cures(feature: Feature, line: Line, grow_mm: float, setting: Setting) -> str:
    """The usual cures that fit, the least change first."""
    scale, cures = setting.mm_per_px, []
    gaps, counters = (_closed(widths, grow_mm, setting) for widths in (line.gaps, line.counters))
    if grow_mm and not gaps and not counters:
        cures.append(f"widen the stems by {grow_mm / 2.0:.2f} mm on each side")
    if gaps and not counters:
        cures.append("open the spacing")
    if counters:
        cures.append("reset in a plain sans with open counters")
    if feature.state == "holds":
        return ", ".join(cures)
    if line.x_height is not None and line.cap_height * scale >= setting.value("lettering.capitals"):
        cures.append("set it in capitals only")
    if setting.thread != "60" and feature.measure >= float(setting.trade.value(feature.row, thread="60")):
        cures.append("sew it in 60-weight thread")
    if feature.measure < setting.value("lettering.running"):
        cures.append("leave the line out at this size")
    elif grow_mm and feature.state == "lost":
        cures.append("sew it as a running line")
    if feature.holds_from_width_mm is not None:
        cures.append(f"{'or ' if cures else ''}make the piece {feature.holds_from_width_mm:.0f} mm wide")
    return ", ".join(cures)

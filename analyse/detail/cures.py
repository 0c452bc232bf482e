"""What a line of lettering needs at a size, and which of the usual cures fits, in a practitioner's words."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from analyse.kinds.lettering import growth_mm, line_verdict
from analyse.kinds.setting import Setting, widened
from analyse.lettering.lines import Line
from analyse.values import Feature

HARDLY_MM = 0.005
"""Nobody widens a stem by less on each side."""
MEASURED = 1e-3
"""A height that misses a limit by so small a share of itself, a fraction of what it is measured to, meets it."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A line at a size.

    grow_mm: what its stems must grow by in all; widen_mm: what of it, on each side, pull does not bring. gaps,
    counters: how many are drawn too narrow to stay open or are closed by growing stems; open_mm: what the tightest gap
    lacks. thin_mm: width of its thin strokes where they are thinner than a strand, else 0. cures: what fits, the least
    change first.
    """

    grow_mm: float
    widen_mm: float
    gaps: int
    counters: int
    open_mm: float
    thin_mm: float
    cures: tuple[str, ...]


def lettered(feature: Feature, line: Line, setting: Setting) -> Feature:
    """A line's feature with its heights, its stem, and what is to be done."""
    scale = setting.mm_per_px
    return replace(
        feature,
        cap_height_mm=line.cap_height * scale,
        x_height_mm=None if line.x_height is None else line.x_height * scale,
        stem_mm=line.stem * scale,
        text=f"{feature.text}: {_needs(feature, line, setting)}",
        cure="" if feature.state == "holds" else ", ".join(judged(feature, line, setting).cures),
    )


def judged(feature: Feature, line: Line, setting: Setting) -> Judged:
    """What stands in the line's way at this size, and what to do about it. feature: the line's own."""
    grow, thin = growth_mm(line, setting), line.thin * setting.mm_per_px
    least = _least_open_mm(grow, setting)
    gaps, counters = (sum(each * setting.mm_per_px < least for each in widths) for widths in (line.gaps, line.counters))
    tight = min((width * setting.mm_per_px for width in line.gaps), default=least)
    stem = line.stem * setting.mm_per_px
    widen = (widened(stem, setting)[0] - setting.sewn_mm(stem)) / 2.0
    found = Judged(
        grow,
        widen if widen >= HARDLY_MM else 0.0,
        gaps,
        counters,
        max(least - tight, 0.0),
        thin if thin < setting.value("stroke.thinnest") else 0.0,
        (),
    )
    return replace(found, cures=tuple(_cures(feature, line, found, setting)))


def _least_open_mm(grow_mm: float, setting: Setting) -> float:
    """What a gap or counter must be drawn as to be open when it is sewn."""
    return max(setting.value("lettering.counter"), setting.value("gap.needle_to_needle") + grow_mm)


def _needs(feature: Feature, line: Line, setting: Setting) -> str:
    found, scale = judged(feature, line, setting), setting.mm_per_px
    high = f"{feature.measure:.1f} mm high"
    if line.x_height is not None:
        high = f"small letters {feature.measure:.1f} mm under capitals of {line.cap_height * scale:.1f} mm"
    stems = f"stems {line.stem * scale:.2f} mm"
    if found.widen_mm:
        stems += f" must grow by {found.grow_mm:.2f} mm to {setting.value('column.narrowest'):.1f} mm"
        stems += f", of which pull brings {found.grow_mm - 2.0 * found.widen_mm:.2f} mm"
    stems += _closing(line, found)
    if found.thin_mm:
        stems += f"; thin strokes {found.thin_mm:.2f} mm, under one strand"
    asked = "" if feature.state == "holds" else f", {feature.needs:.1f} mm asked in {setting.thread}-weight thread"
    return f"{high}{asked}; {stems}" + (f"; {', '.join(found.cures)}" if found.cures else "")


def _closing(line: Line, found: Judged) -> str:
    said = []
    for widths, closed, what in ((line.gaps, found.gaps, "gap"), (line.counters, found.counters, "counter")):
        if closed:
            some = "the only" if len(widths) == 1 else f"all {closed}" if closed == len(widths) else ""
            said.append(f"{some or f'{closed} of {len(widths)}'} {what}{'s' if len(widths) > 1 else ''}")
    if found.widen_mm:
        return f", which closes {' and '.join(said)}" if said else ", which leaves gaps and counters open"
    return f", {' and '.join(said)} too narrow to stay open" if said else ""


def _cures(feature: Feature, line: Line, found: Judged, setting: Setting) -> list[str]:
    """The usual cures that fit, the least change first."""
    what, cures = line.role or "line", _of_strokes(found)
    if feature.state == "holds":
        return cures
    capitals_mm = line.cap_height * setting.mm_per_px * (1.0 + MEASURED)
    if line.x_height is not None and capitals_mm >= setting.value("lettering.capitals"):
        cures.append("set it in capitals only")
    if setting.thread != "60" and feature.measure >= replace(setting, thread="60").value(feature.row):
        cures.append("sew it in 60-weight thread")
    sewn = line_verdict(line, setting).kind
    if sewn == "drop":
        return [f"leave the {what} out at this size", *_larger(feature, others=True)]
    if feature.state == "lost" and sewn == "running":
        cures.append("sew it as a running line")
    if feature.state == "lost" and line.role:
        cures.append(f"drop the {what}")
    return [*cures, *_larger(feature, others=bool(cures))]


def _of_strokes(found: Judged) -> list[str]:
    cures = []
    if found.widen_mm and not found.gaps and not found.counters:
        cures.append(f"widen the stems by {found.widen_mm:.2f} mm on each side")
    if found.gaps and not found.counters:
        cures.append(f"open the spacing by {max(found.open_mm, 0.1):.1f} mm")
    if found.counters or found.thin_mm:
        cures.append("reset in a plain sans with open counters")
    return cures


def _larger(feature: Feature, *, others: bool) -> list[str]:
    width = feature.holds_from_width_mm
    return [] if width is None else [f"{'or ' if others else ''}make the piece {math.ceil(width)} mm wide"]

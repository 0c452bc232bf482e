"""What belongs together: strokes that run round something, and strokes that make a texture over a body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line
from analyse.values import Drawing, Part
from analyse.widths.measuring import Measures
from analyse.widths.profile import is_dot, percentiles_px, run_length_px

SLENDER = 4.0  # a region this many widths long is a stroke
ROUND = 0.3  # share of its outline an outline shares with what it runs round
MEMBERS = 3  # so many strokes alike over one body make a texture
ALIKE = 1.8  # widths within this factor of their median are alike
NEAR = 0.25  # relative distance from a limit within which a family decides together


@dataclass(frozen=True, slots=True)
class Family:
    """A region's family name ("" for none) and role: "outline", "texture", "letter" or ""."""

    name: str = ""
    role: str = ""


def families_of(drawing: Drawing, measures: Measures, lines: Sequence[Line] = ()) -> tuple[Family, ...]:
    """Each region's family, without regard to size. The letters of a line are one."""
    letters = {region: line.id for line in lines for region in line.regions}
    slender = [_is_slender(measures, i) for i in range(len(drawing.regions))]
    found = [Family(letters[i], "letter") if i in letters else Family() for i in range(len(drawing.regions))]
    for i, region in enumerate(drawing.regions):
        shared = sum(length for other, length in region.touches if not slender[other])
        encloses = any(r.parent == i for r in drawing.regions if not slender[r.id])
        if (
            slender[i]
            and i not in letters
            and (encloses or (shared >= ROUND * region.outline.length and _has_ring(measures, i)))
        ):
            found[i] = Family(f"outline-{i}", "outline")
    groups: dict[tuple[int, int], list[int]] = {}
    for i, region in enumerate(drawing.regions):
        if slender[i] and not found[i].role:
            groups.setdefault((_host(drawing, i, slender), region.colour), []).append(i)
    for (host, colour), members in sorted(groups.items()):
        alike = _alike(measures, members)
        if host >= 0 and len(alike) >= MEMBERS:
            for i in alike:
                found[i] = Family(f"texture-{host}-{colour}", "texture")
    return tuple(found)


def _is_slender(measures: Measures, index: int) -> bool:
    whole = measures.regions[index].whole
    median = percentiles_px(whole)[1]
    return not is_dot(whole) and run_length_px(whole) >= SLENDER * median and float(whole.pole[2]) < 3.0 * median


def _has_ring(measures: Measures, index: int) -> bool:
    return len(measures.regions[index].outline.interiors) > 0


def _host(drawing: Drawing, index: int, slender: Sequence[bool]) -> int:
    """The body a stroke lies on: the wide region it shares most of its outline with, or the one round it."""
    beside = [(length, -other) for other, length in drawing.regions[index].touches if not slender[other]]
    if beside:
        return -max(beside)[1]
    parent = drawing.regions[index].parent
    return -1 if parent is None else parent


def _alike(measures: Measures, members: Sequence[int]) -> list[int]:
    widths = np.array([percentiles_px(measures.regions[i].whole)[1] for i in members])
    middle = float(np.median(widths))
    near = (widths <= middle * ALIKE) & (widths >= middle / ALIKE)
    return [i for i, keep in zip(members, near.tolist(), strict=True) if keep]


def with_families(parts: Sequence[Part], families: Sequence[Family]) -> list[Part]:
    """Parts with their family and role; parts of one region are a family of their own."""
    count: dict[int, int] = {}
    for part in parts:
        count[part.region] = count.get(part.region, 0) + 1
    return [
        replace(
            part,
            family=families[part.region].name or (f"region-{part.region}" if count[part.region] > 1 else ""),
            role_hint=families[part.region].role,
        )
        for part in parts
    ]


def agreed(parts: Sequence[Part], setting: Setting) -> list[Part]:
    """Just at a limit, a family's parts take the kind most of its length has, so that a border keeps one kind."""
    limit = setting.value("kind.three_passes_under")
    families: dict[str, list[int]] = {}
    for i, part in enumerate(parts):
        if part.family and part.kind in ("running", "column"):
            families.setdefault(part.family, []).append(i)
    result = list(parts)
    for members in families.values():
        close = all(abs(parts[i].width_mm.median / limit - 1.0) <= NEAR for i in members)
        if close and len({parts[i].kind for i in members}) == 2:
            speaker = _speaker([parts[i] for i in members])
            for i in members:
                result[i] = _like(parts[i], speaker)
    return result


def _speaker(members: Sequence[Part]) -> Part:
    """A part of the kind that has most of the family's length."""
    length: dict[str, float] = {}
    for part in members:
        length[part.kind] = length.get(part.kind, 0.0) + sum(spine.length for spine in part.spines)
    kind = max(sorted(length), key=lambda each: length[each])
    return next(part for part in members if part.kind == kind)


def _like(part: Part, speaker: Part) -> Part:
    if part.kind == speaker.kind:
        return part
    rest = speaker.reason.text.split(": ", 1)[-1]
    text = f"{part.width_mm.median:.2f} mm drawn, sewn like the rest of its line: {rest}"
    return replace(part, kind=speaker.kind, sewn_width_mm=speaker.sewn_width_mm, reason=replace(part.reason, text=text))

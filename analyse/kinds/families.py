"""What belongs together: strokes that run round something, and strokes that make a texture over a body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from analyse.kinds.setting import Setting
from analyse.lettering.classifier import KINDS, chances
from analyse.lettering.lines import Line
from analyse.values import Drawing, Floats, Part, Region
from analyse.widths.measuring import Measures
from analyse.widths.profile import is_dot, percentiles_px, run_length_px

SLENDER = 4.0  # a region this many widths long is a stroke
RUNS_ROUND = 2.0  # an outline runs round something this many times as wide as itself; an eye's rim is no outline
ROUND = 0.3  # share of its outline an outline shares with what it runs round
MEMBERS = 3  # so many strokes alike over one body make a texture; so many things on a stroke make a body of it
LIES_ON = 0.8  # share of its outline from which a stroke lies on a colour, not between colours
ALIKE = 1.8  # widths within this factor of their median are alike
TOLD = 0.8  # what the classifier is so sure of is a mark of a texture, however short it is and whatever it lies on
NEAR = 0.25  # relative distance from a limit within which a family decides together


@dataclass(frozen=True, slots=True)
class Family:
    """A region's family name ("" for none) and role: "outline", "texture", "letter" or ""; a texture's body, or -1."""

    name: str = ""
    role: str = ""
    body: int = -1


def families_of(drawing: Drawing, measures: Measures, lines: Sequence[Line] = ()) -> tuple[Family, ...]:
    """Each region's family, without regard to size. The letters of a line are one."""
    letters = {region: line.id for line in lines for region in line.regions}
    slender = [_is_slender(measures, i) for i in range(len(drawing.regions))]
    found = [Family(letters[i], "letter") if i in letters else Family() for i in range(len(drawing.regions))]
    for i in range(len(drawing.regions)):
        if slender[i] and i not in letters and runs_round(drawing, measures, i):
            found[i] = Family(f"outline-{i}", "outline")
    groups: dict[tuple[int, int], list[int]] = {}
    told = chances(drawing, measures).regions[:, KINDS.index("texture")]
    for i, region in enumerate(drawing.regions):
        if (slender[i] or told[i] >= TOLD) and not found[i].role and lies_on_one(drawing, region):
            groups.setdefault((_host(region, slender), region.colour), []).append(i)
    for (host, colour), members in sorted(groups.items()):
        alike = [i for i in _alike(measures, members) if host >= 0 or told[i] >= TOLD]
        if len(alike) >= MEMBERS:
            for i in alike:
                found[i] = Family(f"texture-{host}-{colour}" if host >= 0 else f"texture-{colour}", "texture", host)
            if host >= 0 and found[host].role == "outline":  # a rope's ground between its strands is no outline of them
                found[host] = Family()
    return tuple(found)


def host_of(region: Region) -> int:
    """The region a shape lies on: the one it shares most of its outline with, or the one round it; -1 for none."""
    if region.touches:
        return -max((length, -other) for other, length in region.touches)[1]
    return -1 if region.parent is None else region.parent


def runs_round(drawing: Drawing, measures: Measures, index: int) -> bool:
    """Whether a region runs round something wide: what lies inside it, or what it goes along in a ring of its own."""
    region, wide = drawing.regions[index], RUNS_ROUND * percentiles_px(measures.regions[index].whole)[1]
    if _carries(measures, index):
        return False
    if any(other.parent == index and float(measures.regions[other.id].pole[2]) >= wide for other in drawing.regions):
        return True
    shared = sum(length for other, length in region.touches if float(measures.regions[other].pole[2]) >= wide)
    return shared >= ROUND * region.outline.length and _has_ring(measures, index)


def lies_on_one(drawing: Drawing, region: Region) -> bool:
    """Whether a stroke lies on one colour all round, or on the cloth."""
    around: dict[int, float] = {}
    for other, length in region.touches:
        colour = drawing.regions[other].colour
        around[colour] = around.get(colour, 0.0) + length
    return not around or max(around.values()) >= LIES_ON * float(region.outline.length)


def _is_slender(measures: Measures, index: int) -> bool:
    whole = measures.regions[index].whole
    median = percentiles_px(whole)[1]
    return not is_dot(whole) and run_length_px(whole) >= SLENDER * median and float(whole.pole[2]) < 3.0 * median


def _has_ring(measures: Measures, index: int) -> bool:
    """Whether the stroke closes round an opening that is wide beside it."""
    return bool((_openings(measures, index) >= RUNS_ROUND).any())


def _carries(measures: Measures, index: int) -> bool:
    """Whether many things lie on it: then it is a body, however narrow it is between them."""
    return int((_openings(measures, index) < RUNS_ROUND).sum()) >= MEMBERS


def _openings(measures: Measures, index: int) -> Floats:
    """How wide the holes in a region are, in widths of the region."""
    shape = measures.regions[index]
    holes = [shapely.Polygon(ring) for ring in shape.outline.interiors]
    across = np.array([4.0 * hole.area / max(hole.length, 1e-9) for hole in holes])
    return across / max(percentiles_px(shape.whole)[1], 1e-9)


def _host(region: Region, slender: Sequence[bool]) -> int:
    """The body a stroke lies on: the wide region it shares most of its outline with, or the one round it."""
    beside = [(length, -other) for other, length in region.touches if not slender[other]]
    if beside:
        return -max(beside)[1]
    return -1 if region.parent is None else region.parent


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

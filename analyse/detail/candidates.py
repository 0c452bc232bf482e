"""A detail before a size is known, and what becomes of it at one."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from analyse.detail.cures import lettered
from analyse.detail.mending import mended
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line
from analyse.units import LARGEST_MM
from analyse.values import Feature, FeatureKind, State

ALIKE = 1.1  # details of one group are one detail with the narrowest of them up to so many times its measure
ROUNDING = 1e-12  # of a need: a width that is just enough must not fail by how a computer multiplies


@dataclass(frozen=True, slots=True)
class Candidate:
    """One detail in px (or dE00): where, its measure, the trade row of its need and the need itself.

    look: its unscaled weight. region: the region it belongs to, or None. line: of lettering, if it is one. group:
    details that share one are gathered where they are alike; count: how many it stands for; many: what several are
    called, such as "strokes of deep blue". least: the measure from which it holds, a hair under the need. on_cloth: a
    colour that stands against the cloth. cure: what mends it, where that is not the usual for its kind.
    """

    kind: FeatureKind
    at_px: tuple[float, float]
    measure: float
    row: str
    needs: float
    look: float
    text: str
    region: int | None = None
    unit: str = "mm"
    line: Line | None = None
    group: Hashable = None
    many: str = ""
    count: int = 1
    least: float | None = None
    on_cloth: bool = False
    cure: str = ""


def gathered(candidates: Sequence[Candidate]) -> list[Candidate]:
    """The same with the alike of each group as one detail: measured where it is narrowest, so that it holds as a whole.

    Alike: of one row, and within a factor of ALIKE of the narrowest.
    """
    groups: dict[Hashable, list[Candidate]] = {}
    alone = [candidate for candidate in candidates if candidate.group is None]
    for candidate in candidates:
        if candidate.group is not None:
            groups.setdefault((candidate.group, candidate.kind, candidate.row), []).append(candidate)
    for members in groups.values():
        run: list[Candidate] = []
        for candidate in sorted(members, key=lambda each: (each.measure, each.at_px)):
            if run and candidate.measure > run[0].measure * ALIKE:
                alone.append(_as_one(run))
                run = []
            run.append(candidate)
        alone.append(_as_one(run))
    return alone


def _as_one(members: Sequence[Candidate]) -> Candidate:
    first, count = members[0], len(members)
    if count == 1:
        return first
    text = f"{count} {first.many}"
    return replace(first, look=sum(each.look for each in members), text=text, count=count)


def holds_from_mm(candidate: Candidate, extent_px: float) -> float | None:
    """The design width from which a length holds; None for a colour step or shading, and where no design is so wide."""
    if candidate.unit != "mm":
        return None
    width = _least(candidate) / max(candidate.measure, 1e-9) * extent_px
    return width if width <= LARGEST_MM else None


def tolerant(candidates: Sequence[Candidate], setting: Setting) -> list[Candidate]:
    """The same, lengths so little under their need that no measuring tells them from it counted as it.

    What was drawn to be just wide enough must not be at risk by how its picture was read.
    """
    share = 1.0 - setting.value("detail.tolerance")
    return [replace(c, least=c.needs * share) if c.unit == "mm" else c for c in candidates]


def _least(candidate: Candidate) -> float:
    return candidate.needs if candidate.least is None else candidate.least


def weighed(candidates: Sequence[Candidate], least: float = 0.0) -> list[Candidate]:
    """The same with looks that sum to 1; to less where all of them come to less than `least`."""
    total = max(sum(candidate.look for candidate in candidates), least)
    return [replace(candidate, look=candidate.look / total) for candidate in candidates] if total else []


def at_size(
    candidate: Candidate, setting: Setting, extent_px: float, part: int | None, origin: tuple[float, float]
) -> Feature:
    """The candidate as a feature of this size."""
    scale = setting.mm_per_px
    measure = candidate.measure * scale if candidate.unit == "mm" else candidate.measure
    where = (candidate.at_px[0] - origin[0]) * scale, (candidate.at_px[1] - origin[1]) * scale
    state = _state(candidate, measure, setting)
    if state == "holds" and candidate.unit == "mm":
        measure = max(measure, candidate.needs)
    feature = Feature(
        kind=candidate.kind, at_mm=where, measure=measure, needs=candidate.needs, unit=candidate.unit,
        holds_from_width_mm=holds_from_mm(candidate, extent_px), state=state,
        row=candidate.row, weight=candidate.look, part=part, text=candidate.text,
        on_cloth=candidate.on_cloth,
    )  # fmt: skip
    feature = feature if candidate.line is None else lettered(feature, candidate.line, setting)
    return mended(feature, setting, candidate.count, candidate.cure)


def _state(candidate: Candidate, measure: float, setting: Setting) -> State:
    if candidate.kind == "shading":
        most = candidate.needs * (1.0 + setting.value("detail.at_risk"))
        return "holds" if measure <= candidate.needs else "at-risk" if measure <= most else "lost"
    if measure >= _least(candidate) * (1.0 - ROUNDING):
        return "holds"
    if candidate.unit == "dE00":
        return "at-risk" if measure >= setting.value("colours.lost_under") else "lost"
    slack = max(candidate.needs * setting.value("detail.at_risk"), 2.0 * setting.error_mm)
    return "at-risk" if measure >= candidate.needs - slack else "lost"

"""All details of a drawing, before and at a size."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely

from analyse.colours.lab import srgb_to_lab
from analyse.detail.candidates import Candidate, at_size, gathered, holds_from_mm, tolerant, weighed
from analyse.detail.colours import colour_candidates
from analyse.detail.gaps import gap_candidates
from analyse.detail.lettering import lettering_candidates, outside_lines
from analyse.detail.look import whole_look
from analyse.detail.registration import registration_candidates, rim_candidates
from analyse.detail.shapes import finer_candidates, solid_candidates
from analyse.kinds.families import Family
from analyse.kinds.setting import Setting
from analyse.lettering.lines import lines_of
from analyse.values import Detail, Drawing, Feature, Part
from analyse.widths.measuring import Measures

SPECK = 0.0005  # of the look of all details: what is less and narrower than SLIVER_PX is the edge's doing
SLIVER_PX = 2.0
DUST = 0.002  # of the look: a dot that weighs less and holds on no usual design is dust on the picture,
SPRINKLED = 3  # unless there are so many of them: then somebody drew them


def candidates_of(
    drawing: Drawing,
    measures: Measures,
    families: Sequence[Family],
    setting: Setting,
    cloth_rgb: tuple[int, int, int],
) -> list[Candidate]:
    """Every detail worth a line. They do not depend on the setting's scale.

    Looks sum to 1; where all detail is so little that it does not stand for the design, its plain shapes are the rest.
    """
    left, _, right, _ = drawing.extent_px
    cloth = srgb_to_lab(cloth_rgb)
    lines = lines_of(drawing, measures)
    seams = registration_candidates(drawing, measures, families, setting, cloth)
    over_seams = {candidate.region for candidate in seams}
    shapes = solid_candidates(drawing, measures, families, setting, cloth)
    found = [candidate for candidate in shapes if candidate.region not in over_seams]
    found += finer_candidates(drawing, measures, families, setting, cloth)
    found = outside_lines([*found, *gap_candidates(drawing, measures, setting, cloth)], lines)
    found = gathered([*found, *seams, *rim_candidates(drawing, measures, setting, cloth)])
    found += lettering_candidates(drawing, lines, setting, cloth)
    found += colour_candidates(drawing, setting, cloth_rgb)
    found = tolerant(found, setting)
    least, most = setting.value("survival.smallest"), setting.value("survival.largest")
    stands_for = setting.value("detail.least_share") * whole_look(drawing, cloth)
    told = [c for c in found if _telling(c, right - left, least)]
    shares = weighed(told, stands_for)
    kept = [c for c, share in zip(told, shares, strict=True) if not _is_speck(share, right - left, most)]
    return weighed(kept, stands_for)


def _is_speck(candidate: Candidate, extent_px: float, largest_mm: float) -> bool:
    """Whether it is nothing to anyone: an edge's doing, or a dot or two that hold nowhere and hardly show."""
    if candidate.unit != "mm" or candidate.look >= DUST:
        return candidate.look < SPECK
    holds_from = holds_from_mm(candidate, extent_px)
    if candidate.kind == "dot" and candidate.count < SPRINKLED and (holds_from is None or holds_from > largest_mm):
        return True
    return candidate.look < SPECK and candidate.measure < SLIVER_PX


def _telling(candidate: Candidate, extent_px: float, smallest_mm: float) -> bool:
    """Whether it is worth a line: it does not hold on every design that is sewn at all."""
    holds_from = holds_from_mm(candidate, extent_px)
    return holds_from is None or holds_from > smallest_mm


def detail_at(drawing: Drawing, candidates: Sequence[Candidate], parts: Sequence[Part], setting: Setting) -> Detail:
    """What becomes of them at this size, heaviest first."""
    left, top, right, _ = drawing.extent_px
    by_region: dict[int, list[int]] = {}
    for i, part in enumerate(parts):
        by_region.setdefault(part.region, []).append(i)
    features = [
        at_size(c, setting, right - left, _part_at(c, parts, by_region, setting, (left, top)), (left, top))
        for c in candidates
    ]
    return Detail(tuple(sorted(features, key=_heaviest_first)))


def _heaviest_first(feature: Feature) -> tuple[float, str, tuple[float, float]]:
    return -feature.weight, feature.kind, feature.at_mm


def _part_at(
    candidate: Candidate,
    parts: Sequence[Part],
    by_region: dict[int, list[int]],
    setting: Setting,
    origin: tuple[float, float],
) -> int | None:
    """The part of the candidate's region that lies at its place."""
    own = by_region.get(-1 if candidate.region is None else candidate.region, [])
    if len(own) < 2:
        return own[0] if own else None
    scale = setting.mm_per_px
    here = shapely.Point((candidate.at_px[0] - origin[0]) * scale, (candidate.at_px[1] - origin[1]) * scale)
    return min(own, key=lambda i: (shapely.distance(parts[i].outline_mm, here), i))


def smallest_all_hold_mm(candidates: Sequence[Candidate], extent_px: float) -> float:
    """The least design width at which every detail holds that a width can help; 0 for none."""
    widths = (holds_from_mm(candidate, extent_px) for candidate in candidates)
    return max((width for width in widths if width is not None and math.isfinite(width)), default=0.0)

"""What one approach stands on: heights, angles, reaches, and which bodies get a loose base."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.trade import Cloth, Trade
from analyse.values import Part
from plans.angles import fill_angles
from plans.edges import Reach, reach_under
from plans.layers.fields import Survey
from plans.layers.heights import Height, heights
from plans.layers.lies import alike, lies
from plans.layers.recipe import Recipe
from plans.seams import gaps

NARROW_SHARE = 0.1
"""Share of an outline with something narrow beside it, from which that counts."""
THROUGH_MM, THROUGH_COUNTS = 5.0, 0.02
"""Fields on both sides of a stroke count as neighbours: by at most so much of edge, at such a share for each mm."""
LINE_MM = 0.6
"""A running line meets another part with its end if it touches it for twice this width at most."""


@dataclass(frozen=True, eq=False)
class Ground:
    """The survey and a recipe, with what follows from both."""

    survey: Survey
    recipe: Recipe

    @property
    def parts(self) -> tuple[Part, ...]:
        """All parts of the design."""
        return self.survey.sized.parts

    @property
    def trade(self) -> Trade:
        """The trade values in force."""
        return self.survey.sized.trade

    @property
    def thread(self) -> str:
        """Thread weight."""
        return self.survey.sized.thread

    @cached_property
    def cloth(self) -> Cloth:
        """The cloth sewn on."""
        return self.trade.cloth(self.survey.sized.cloth)

    @property
    def no_bulk(self) -> bool:
        """Whether the cloth bears neither base and detail nor three passes: where holes never close."""
        return self.cloth.holes_stay

    @cached_property
    def heights(self) -> tuple[Height, ...]:
        """What lies over what."""
        return self.survey.kept("heights", lambda: heights(self.survey))

    @cached_property
    def cut_out(self) -> frozenset[int]:
        """Parts that no base runs beneath: small letters, wide columns of strong contrast."""
        widest_mm = float(self.trade.value("base.cut_out_under"))
        contrast = float(self.trade.value("base.cut_out_contrast"))
        return frozenset(
            part
            for field in self.survey.fields
            for part in field.detail
            if self.letter_under(part, "base.none_under_letters")
            or (
                self.parts[part].kind == "column"
                and self.parts[part].width_mm.median > widest_mm
                and self.survey.contrast[self.parts[part].colour, field.colour] > contrast
            )
        )

    @cached_property
    def based(self) -> frozenset[int]:
        """Fields that get a loose base in this approach."""
        if self.recipe.bodies != "base" or self.no_bulk:
            return frozenset()
        return frozenset(number for number in range(len(self.survey.fields)) if self._pays(number))

    def _pays(self, number: int) -> bool:
        field = self.survey.fields[number]
        on_it = [part for part in field.detail if part not in self.cut_out]
        areas = [self.parts[part].outline_mm.area for part in on_it if self.parts[part].kind == "column"]
        body = sum(self.parts[part].outline_mm.area for part in field.parts)
        most = float(self.trade.value("base.none_if_covered"))
        return bool(on_it) and max(areas, default=0.0) <= most * (body + sum(areas))

    def seen(self, number: int) -> bool:
        """Whether most of a body is seen between its detail: part of the look, not only what holds the cloth."""
        field = self.survey.fields[number]
        body, on_it = (
            sum(self.parts[part].outline_mm.area for part in parts)
            for parts in ((*field.parts, *field.left), (part for part in field.detail if part not in self.cut_out))
        )
        face = "pile" if "nap" in self.cloth.underlay else "smooth"
        return bool(body >= float(self.trade.value("base.seen", face=face)) * (body + on_it))

    def loose(self, number: int) -> bool:
        """Whether a base is sewn loose: not where it is seen and loops of the cloth would come up through it."""
        return number in self.based and not (self.seen(number) and "nap" in self.cloth.underlay)

    def letter_under(self, part: int, row: str) -> bool:
        """Whether a part belongs to lettering smaller than a row of the trade table says."""
        return self.letter_mm[part] < float(self.trade.value(row))

    @cached_property
    def letter_mm(self) -> tuple[float, ...]:
        """Height of the letter each part belongs to, by its region's extent; inf where it is no letter."""
        return self.survey.kept("letter_mm", self._letter_mm)

    def _letter_mm(self) -> tuple[float, ...]:
        tall: dict[int, float] = {}
        for part in self.parts:
            low, high = part.outline_mm.bounds[1], part.outline_mm.bounds[3]
            tall[part.region] = max(tall.get(part.region, 0.0), high - low)
        return tuple(tall[part.region] if part.role_hint == "letter" else np.inf for part in self.parts)

    def reach(self, under: int, over: int) -> Reach:
        """How far `under` runs beneath `over`."""
        field = self.survey.field_of[under]
        closes = field is None or self.survey.on[over] != field
        return reach_under(
            self.parts[under], self.parts[over], self.trade, self.cloth.drift_mm, self.thread, closes=closes
        )

    def edge_reach(self, under: int, over: int) -> Reach | None:
        """The reach planned at a shared edge: all of a stroke that lies on a closed body, None where they butt."""
        if self.recipe.bodies == "lines" or not self.runs_under(under, over):
            return None
        field = self.survey.field_of[under]
        if field is not None and field == self.survey.field_of[over]:
            return Reach(self.cloth.drift_mm, self.cloth.drift_mm)  # sewn as one
        closed = self.recipe.bodies == "stacked" or (field in self.based and over not in self.cut_out)
        if field is not None and closed and self.survey.on[over] == field:
            width_mm = max(self.parts[over].width_mm.median, self.cloth.drift_mm)
            return Reach(width_mm, width_mm)
        return self.reach(under, over)

    def runs_under(self, under: int, over: int) -> bool:
        """Whether a part is let out beneath its neighbour: a stroke under strokes only, a line by its ends only."""
        low, high = self.parts[under], self.parts[over]
        if self.heights[under] > self.heights[over] or low.kind == "fill":
            return low.kind == "fill" and self.heights[under] < self.heights[over]
        if high.kind == "fill" or low.kind == "column":
            return high.kind != "fill"
        return bool(self.survey.shared[under, over] <= 2 * max(low.width_mm.median, LINE_MM))

    def on_base(self, part: int) -> bool:
        """Whether a loose base lies beneath a stroke."""
        return self.survey.on[part] in self.based and part not in self.cut_out

    def over(self, part: int) -> str:
        """What a column lies over: "", "base", or "contrast" for a base far from it in colour."""
        field = self.survey.on[part]
        if field is None or not self.on_base(part):
            return ""
        step = self.survey.contrast[self.parts[part].colour, self.survey.fields[field].colour]
        return "contrast" if step > float(self.trade.value("column.contrast")) else "base"

    @cached_property
    def gap_mm(self) -> tuple[float, ...]:
        """Width of what each part leaves open beside it, cloth or the body it lies on, where it is narrow."""
        return self.survey.kept("gap_mm", self._gap_mm)

    def _gap_mm(self) -> tuple[float, ...]:
        seams = self.survey.seams
        bodies = [-1 if field is None else field for field in self.survey.field_of]
        open_mm = gaps(self.survey.parts_map, seams, np.array([*bodies, len(self.survey.fields)]))
        found = []
        for part in range(len(self.parts)):
            rows = seams.part == part
            near = rows & np.isfinite(open_mm)
            counts = seams.length[near].sum() >= NARROW_SHARE * max(float(seams.length[rows].sum()), 1e-9)
            found.append(float(np.quantile(open_mm[near], 0.25)) if counts and near.any() else np.inf)
        return tuple(found)

    @cached_property
    def cloth_contrast(self) -> tuple[float, ...]:
        """CIEDE2000 between each palette colour and the cloth."""
        return self.survey.kept("cloth_contrast", self._cloth_contrast)

    def _cloth_contrast(self) -> tuple[float, ...]:
        cloth = srgb_to_lab(np.array(self.survey.sized.cloth_rgb, float))
        lab = np.array([colour.lab for colour in self.survey.sized.drawing.palette], float)
        return tuple(float(step) for step in np.atleast_1d(ciede2000(lab, cloth)))

    @cached_property
    def angles(self) -> tuple[float, ...]:
        """The angle of each field, the same in every approach."""
        return self.survey.kept("angles", self._angles)

    def _angles(self) -> tuple[float, ...]:
        on_them, sharing = lies(self.survey), alike(self.survey)
        return fill_angles(on_them, self._touching, self.trade, self.cloth.avoid_deg, sharing)

    def angle_of(self, part: int) -> float | None:
        """The stitch angle of a part's field, None for strokes."""
        field = self.survey.field_of[part]
        return None if field is None else self.angles[field]

    @cached_property
    def _touching(self) -> np.ndarray:
        """(fields, fields) mm of edge between fields whose angles must differ, through thin strokes too."""
        count = len(self.survey.fields)
        member = np.zeros((len(self.parts), count))
        for number, field in enumerate(self.survey.fields):
            member[list(field.parts), number] = 1.0
        shared = self.survey.shared[:, :-1]
        strokes = np.array([part.kind in ("column", "running") for part in self.parts], float)
        beside = shared @ member
        through = beside.T @ (strokes[:, None] * np.minimum(beside, THROUGH_MM)) * THROUGH_COUNTS
        touching = member.T @ beside + through
        np.fill_diagonal(touching, 0.0)
        return np.asarray(touching)

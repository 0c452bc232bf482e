"""Where it turns hard, told once for each cause: places that are hard for the same reason in one row."""

from __future__ import annotations

import re
from dataclasses import dataclass

from plans import words
from plans.values import HardPatch, Plan

MOST = 8  # causes listed, the worst first
NO_CURE = "No one change helps here: fewer things may meet, or the design is sewn larger."
NUMBERS = re.compile(r"\b(a|two|three|four|five|six|seven|eight|nine|\d+) (\w+ \w+|column)s?\b")


@dataclass(frozen=True, slots=True)
class Cause:
    """Hard patches of one cause, worst first. number: how they are marked on the map."""

    number: int
    patches: tuple[HardPatch, ...]

    @property
    def measure(self) -> str:
        """`3.1 to 3.9 layers at 14 places`, `2.9 layers at 60, 7 mm`."""
        worst, least = self.patches[0], self.patches[-1]
        if len(self.patches) == 1:
            return f"{words.hardness(worst)} at {worst.at_mm[0]:.0f}, {worst.at_mm[1]:.0f} mm"
        low = f"{least.layers:.1f} to " if f"{least.layers:.1f}" != f"{worst.layers:.1f}" else ""
        return f"{low}{words.hardness(worst)} at {len(self.patches)} places"

    @property
    def text(self) -> str:
        """Why, and what would cure it, of the worst of them."""
        worst = self.patches[0]
        why = worst.because.split(": ")[0]
        at = " at the worst" if len(self.patches) > 1 else ""
        cure = f" Cure{at}: {worst.cure}." if worst.cure else f" {NO_CURE}"
        return f"{why[:1].upper()}{why[1:]}.{cure}"


def causes(plan: Plan) -> list[Cause]:
    """Every cause, the one with the most places first; what cover makes hard before what needle points do."""
    groups: dict[tuple[str, str], list[HardPatch]] = {}
    for patch in plan.laid.density.hard_patches:
        groups.setdefault((patch.unit, _kind(patch)), []).append(patch)
    ordered = sorted(groups.items(), key=lambda group: (group[0][0], -len(group[1]), -group[1][0].layers))
    return [Cause(number, tuple(patches)) for number, (_, patches) in enumerate(ordered, 1)]


def _kind(patch: HardPatch) -> str:
    """What meets there, whatever its number."""
    return (
        NUMBERS.sub(r"\2", patch.because.split(": ")[0].split(", with ")[0])
        .replace("cross", "meet")
        .replace("lies over", "meet over")
    )

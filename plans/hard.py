"""Where it turns hard, and where detail sinks in: each cause told once, with its places."""

from __future__ import annotations

import re
from dataclasses import dataclass

from plans import words
from plans.values import Density, HardPatch

MOST = 8  # causes listed, the worst first
MOST_SUNK = 4  # and of those that sink in
NO_CURE = "No one change helps here: fewer things may meet, or the design is sewn larger."
Size = tuple[float, float]
NUMBERS = re.compile(r"\b(a|two|three|four|five|six|seven|eight|nine|\d+) (\w+ \w+|column)s?\b")


@dataclass(frozen=True, slots=True)
class Cause:
    """Patches of one cause, worst first. number: how they are marked on the map; size_mm: of the design."""

    number: int
    patches: tuple[HardPatch, ...]
    size_mm: Size

    @property
    def measure(self) -> str:
        """`3.1 to 3.9 layers at 14 places, the worst upper left, 12, 9 mm`, `2.9 layers upper right, 60, 7 mm`."""
        worst, least = self.patches[0], self.patches[-1]
        place = words.where(worst.at_mm, self.size_mm)
        if len(self.patches) == 1:
            return f"{words.hardness(worst)} {place}"
        low = f"{least.layers:.1f} to " if f"{least.layers:.1f}" != f"{worst.layers:.1f}" else ""
        return f"{low}{words.hardness(worst)} at {len(self.patches)} places, the worst {place}"

    @property
    def text(self) -> str:
        """Why, and what would cure it, of the worst of them."""
        worst = self.patches[0]
        why = worst.because.split(": ")[0]
        at = " at the worst" if len(self.patches) > 1 else ""
        cure = f" Cure{at}: {worst.cure}." if worst.cure else f" {NO_CURE}"
        which = f" Step {worst.steps[1] + 1} on step {worst.steps[0] + 1}{at}." if worst.unit == "sunk" else ""
        return f"{why[:1].upper()}{why[1:]}.{which}{cure}"


def causes(density: Density, size_mm: Size) -> list[Cause]:
    """Every cause, the one with the most places first; what cover makes hard before what needle points do."""
    groups: dict[tuple[str, str], list[HardPatch]] = {}
    for patch in density.hard_patches:
        groups.setdefault((patch.unit, _kind(patch)), []).append(patch)
    ordered = sorted(groups.items(), key=lambda group: (group[0][0], -len(group[1]), -group[1][0].layers))
    return _numbered([patches for _, patches in ordered], 1, size_mm)


def sunken(density: Density, size_mm: Size) -> list[Cause]:
    """Detail that sinks in, together where one change to the rows beneath cures it; numbered on after what is hard."""
    groups: dict[tuple[int, str], list[HardPatch]] = {}
    for patch in density.sunk:
        groups.setdefault((patch.steps[0], patch.cure), []).append(patch)
    return _numbered(list(groups.values()), 1 + min(MOST, len(causes(density, size_mm))), size_mm)


def _numbered(groups: list[list[HardPatch]], first: int, size_mm: Size) -> list[Cause]:
    return [Cause(number, tuple(patches), size_mm) for number, patches in enumerate(groups, first)]


def _kind(patch: HardPatch) -> str:
    """What meets there, whatever its number."""
    return (
        NUMBERS.sub(r"\2", patch.because.split(": ")[0].split(", with ")[0])
        .replace("cross", "meet")
        .replace("lies over", "meet over")
    )

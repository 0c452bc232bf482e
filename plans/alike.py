"""Steps in sewing order, by runs of one thread, and within a run neighbours sewn alike as one row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from analyse.values import SizedDrawing
from plans import words
from plans.values import Plan, Sewing, Step


@dataclass(frozen=True, slots=True)
class Alike:
    """Steps in a row that are sewn alike, with their numbers, which begin at 1.

    letters: which line of lettering they belong to, `a line of 19 capitals`; "" where they are no letters.
    """

    first: int
    steps: tuple[Step, ...]
    letters: str = ""

    @property
    def numbered(self) -> Iterator[tuple[int, Step]]:
        """Each step with its number."""
        return enumerate(self.steps, self.first)

    @property
    def numbers(self) -> str:
        """`21`, `22 to 42`."""
        last = self.first + len(self.steps) - 1
        return str(self.first) if last == self.first else f"{self.first} to {last}"

    @property
    def stitches(self) -> int:
        """Stitches of them all."""
        return sum(step.stitches for step in self.steps)

    @property
    def trims(self) -> int:
        """How many of them begin after a trim."""
        return sum(step.trim_before for step in self.steps)

    def told(self) -> dict[str, str]:
        """What is the same for all of them, and what their lengths and allowances span, as texts."""
        first, sewing = self.steps[0], self.steps[0].sewing
        return {
            "numbers": self.numbers,
            "kind": sewing.kind,
            "role": f"letters of {self.letters}" if self.letters else sewing.role,
            "layer": words.LAYERS[sewing.layer],
            "angle": words.angle(first).split(maxsplit=1)[0],
            "spacing": words.spacing(sewing.spacing_mm) or f"{sewing.passes} passes",
            "stitch": span([words.stitch_mm(step.sewing) for step in self.steps], 1),
            "underlay": words.underlay(sewing.underlay),
            "allowance": _allowance(self.steps),
            "stitches": words.count(self.stitches),
        }


@dataclass(frozen=True, slots=True)
class Run:
    """What one thread sews before the next change. thread: palette index."""

    thread: int
    rows: tuple[Alike, ...]

    @property
    def stitches(self) -> int:
        """Stitches of the whole run."""
        return sum(row.stitches for row in self.rows)


def runs(plan: Plan) -> list[Run]:
    """The plan's steps, by runs of one thread."""
    numbered = enumerate(plan.steps, 1)
    lines = _lines(plan.sized)
    return [
        Run(thread, tuple(_rows(list(run), lines)))
        for thread, run in groupby(numbered, key=lambda each: each[1].sewing.thread)
    ]


def _lines(sized: SizedDrawing) -> dict[int, str]:
    """For each part that is a letter what its line is called, "lettering" where no detail stands for it."""
    parts = sized.parts
    named = {
        parts[feature.part].family: feature.text.partition(":")[0].partition(" in ")[0]
        for feature in sized.detail.features
        if feature.kind == "lettering" and feature.part is not None
    }
    return {
        index: named.get(part.family, "") or "lettering"
        for index, part in enumerate(parts)
        if part.role_hint == "letter"
    }


def span(values: Sequence[float], places: int) -> str:
    """`1.3`, `0.7 to 1.5`; "" where all are nought."""
    low, high = f"{min(values):.{places}f}", f"{max(values):.{places}f}"
    if float(high) == 0:
        return ""
    return low if low == high else f"{low} to {high}"


def _rows(numbered: list[tuple[int, Step]], lines: dict[int, str]) -> Iterator[Alike]:
    for _, alike in groupby(numbered, key=lambda each: (_look(each[1].sewing), lines.get(each[1].sewing.part))):
        group = list(alike)
        yield Alike(group[0][0], tuple(step for _, step in group), lines.get(group[0][1].sewing.part, ""))


def _look(sewing: Sewing) -> tuple[Any, ...]:
    angle = None if sewing.kind == "running" else sewing.angle_deg
    return (sewing.kind, sewing.role, sewing.layer, angle, sewing.spacing_mm, sewing.passes, sewing.underlay)


def _allowance(steps: Sequence[Step]) -> str:
    given = [words.allowances(step.sewing) for step in steps]
    told = [(name, span([each[name] for each in given], 2)) for name in given[0]]
    return ", ".join(f"{name} {spanned}" for name, spanned in told if spanned) or "none"

"""The trade's rules of thumb beside the laid count, each with its source and why it differs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from plans.estimate.span import counts_by_kind
from plans.values import Estimate, Kind, Lay, Move, Step, Stitches

MM2_PER_SQUARE_INCH = 645.16


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """One published rule, worked for this design: lowest and highest of `theirs`, and `ours`, in `unit`."""

    name: str
    theirs: tuple[float, float]
    ours: float
    unit: str
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class Measures:
    """What the rules multiply: fill area in square inches, column and running length in cm, ours beside them."""

    fill_in2: float
    column_cm: float
    running_cm: float
    top: dict[str, int]
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class _Rule:
    name: str
    rate: tuple[float, float]
    of: Callable[[Measures], float]
    ours: Callable[[Measures], float]
    unit: str
    source: str
    why: str


def _thousands(measures: Measures) -> float:
    return measures.estimate.stitches / 1000


_RULES = (
    _Rule(
        "fill, three grades of work: 110, 130, 160 stitches per cm2",
        (710.0, 1032.0),
        lambda m: m.fill_in2,
        lambda m: float(m.top["fill"]),
        "stitches",
        "Estimating Stitches, chholderby.com (seminar of 1990)",
        "lines 0.20 mm apart with 4 mm stitches are 806 per square inch; part stitches at row ends and the step to the "
        "next row add 10 to 26 %, most on small shapes, and a loose base lays a third less",
    ),
    _Rule(
        "fill, 1,000 to 1,200 per square inch",
        (1000.0, 1200.0),
        lambda m: m.fill_in2,
        lambda m: float(m.top["fill"]),
        "stitches",
        "theembroiderybusiness.com, 2012 (1,000); petiterepublic.com (1,200)",
        "the rule has underlay or 3 mm stitches in it; ours counts the top layer alone",
    ),
    _Rule(
        "column, 44 to 60 stitches per cm of length",
        (44.0, 60.0),
        lambda m: m.column_cm,
        lambda m: float(m.top["column"]),
        "stitches",
        "Estimating Stitches, chholderby.com (seminar of 1990)",
        "0.40 mm from point to point on one edge is 50 per cm; open columns over a base lay 36, split ones more",
    ),
    _Rule(
        "running line, 10 stitches per cm",
        (10.0, 16.0),
        lambda m: m.running_cm,
        lambda m: float(m.top["running"]),
        "stitches",
        "Estimating Stitches, chholderby.com (seminar of 1990)",
        "so short that passes are probably counted together; ours are 1.5 to 2.5 mm, a pass at a time",
    ),
    _Rule(
        "top thread, 5 m per 1,000 stitches",
        (5.0, 5.03),
        _thousands,
        lambda m: m.estimate.thread_m,
        "m",
        "a thread maker's online glossary; Embroidery thread calculations, sewingmachinefun.com",
        "it is right for stitches of 3 mm through 1 mm of cloth; ours follows the stitches laid, waste included",
    ),
    _Rule(
        "bobbin thread, 3 to 3.5 m per 1,000 stitches",
        (3.0, 3.5),
        _thousands,
        lambda m: m.estimate.bobbin_m,
        "m",
        "a thread maker's online glossary; melgeecrafts.com",
        "the bobbin thread lies flat, so it is the sum of the stitch lengths",
    ),
    _Rule(
        "an average logo has 4,000 to 7,000 stitches",
        (4000.0, 7000.0),
        lambda _: 1.0,
        lambda m: float(m.estimate.stitches),
        "stitches",
        "theembroiderywarehouse.com; cherryblossomlove.com (4 in chest logo 5,000)",
        "an average over all sizes and subjects; here the artwork decides",
    ),
)


def measured(stitches: Stitches, steps: tuple[Step, ...], estimate: Estimate) -> Measures:
    """What the rules multiply, from the shapes that were sewn."""

    def length_cm(kind: Kind) -> float:
        sewings = [step.sewing for step in steps if step.sewing.kind == kind]
        return sum(spine.length for sewing in sewings for spine in sewing.spines) / 10

    fills = [step.sewing.shape.area for step in steps if step.sewing.kind == "fill"]
    top = counts_by_kind(stitches, steps, Lay.TOP)
    return Measures(sum(fills) / MM2_PER_SQUARE_INCH, length_cm("column"), length_cm("running"), top, estimate)


def rules_of_thumb(stitches: Stitches, steps: tuple[Step, ...], estimate: Estimate) -> tuple[RuleOfThumb, ...]:
    """The closest published rules, worked for this design; those that have nothing to say about it are left out."""
    if not (stitches.move == Move.SEW).any():
        return ()
    measures = measured(stitches, steps, estimate)
    return tuple(
        RuleOfThumb(
            rule.name,
            (rule.rate[0] * rule.of(measures), rule.rate[1] * rule.of(measures)),
            rule.ours(measures),
            rule.unit,
            rule.source,
            rule.why,
        )
        for rule in _RULES
        if rule.of(measures) > 0
    )

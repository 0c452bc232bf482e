"""What to mind at the machine: the few things a person should know before the first stitch of this very plan."""

from __future__ import annotations

from analyse.values import Feature
from plans import words
from plans.alike import Alike, runs
from plans.hard import causes, sunken
from plans.values import HardPatch, Plan

MOST = 6
"""Beyond so many nobody reads them."""
LISTED = 3
"""Places, lines or spans of steps told by name; more are counted."""


def mind(plan: Plan) -> tuple[str, ...]:
    """A few sentences, what spoils a piece first: frame, weight, hard places, letters, bases, thread and backing."""
    said = (
        _large(plan),
        heavy(plan),
        _hard(plan),
        _letters(plan),
        _sunk(plan),
        _bases(plan),
        _threads(plan),
        _backing(plan),
    )
    return tuple([sentence for sentence in said if sentence][:MOST])


def frame(plan: Plan) -> str:
    """The smallest usual frame that leaves room all round, `130 × 180 mm or larger`; a cap has one of its own."""
    sized, trade = plan.sized, plan.sized.trade
    if trade.cloth(sized.cloth).frame == "cap":
        return "cap frame"
    room = 2 * float(trade.value("machine.frame_margin"))
    short, long = sorted(side + room for side in sized.size_mm)
    fitting = [(low, high) for low, high in trade.value("machine.frames") if short <= low and long <= high]
    if not fitting:
        return f"larger than the usual ones: {short:.0f} × {long:.0f} mm inside, or sewn in two settings"
    low, high = min(fitting, key=lambda pair: pair[0] * pair[1])
    return f"{low} × {high} mm inside, or larger"


def heavy(plan: Plan) -> str:
    """What so many stitches do to a light cloth; "" where they are few, or the cloth bears them."""
    sized, trade = plan.sized, plan.sized.trade
    cloth, stitches = trade.cloth(sized.cloth), plan.estimate.stitches
    light = cloth.hard_layers <= float(trade.value("weight.light_cloth"))
    if not light or stitches <= float(trade.value("weight.stitches")):
        return ""
    return (
        f"{words.count(stitches)} stitches are heavy on {cloth.title}: the piece hangs stiff and draws the cloth in; "
        "back all of it with cut-away, hoop it without stretching, and leave fills to the cloth where you may"
    )


def _large(plan: Plan) -> str:
    """The frame, where the design is larger than what the smallest usual one takes, and the places that take it."""
    sized, trade = plan.sized, plan.sized.trade
    least = max(min(trade.value("machine.frames"))) - 2 * float(trade.value("machine.frame_margin"))
    beyond = words.out_of_place(plan)
    if max(sized.size_mm) <= least:
        return beyond
    told = frame(plan) if sized.trade.cloth(sized.cloth).frame == "cap" else f"frame {frame(plan)}"
    return told + (f"; {beyond}" if beyond else _takers(plan))


def _takers(plan: Plan) -> str:
    """Which usual places of its cloth are too small for it, where none was named."""
    if plan.job.place:
        return ""
    trade = plan.sized.trade
    width, height = plan.sized.size_mm
    every = [trade.place(name) for name in trade.names("place")]
    places = [place for place in every if place.cloth == plan.sized.cloth]
    small = [
        place.title
        for place in places
        if (place.width_mm or width) < width - 0.05 or (place.height_mm or height) < height - 0.05
    ]
    taking = [place.title for place in places if place.title not in small]
    if not small:
        return ""
    return f"; larger than usual for {_and(small)}" + (f", fits {_and(taking)}" if taking else "")


def _and(names: list[str]) -> str:
    return " and ".join([*([", ".join(names[:-1])] if len(names) > 1 else []), names[-1]])


def _hard(plan: Plan) -> str:
    size_mm = plan.sized.size_mm
    patches = plan.laid.density.hard_patches
    if not patches:
        return ""
    worst = max(causes(plan.laid.density, size_mm), key=lambda cause: _over(cause.patches[0]))
    patch = worst.patches[0]
    count = f"{words.hard_patches(patches)}; " if len(patches) > 1 else ""
    steps = f" (step {max(patch.steps) + 1})" if patch.steps else ""
    return f"{count}hardest {words.where(patch.at_mm, size_mm)}{steps}: {words.hardness(patch)}; slow down there"


def _over(patch: HardPatch) -> float:
    """How many times what the cloth bears."""
    return patch.layers / patch.limit if patch.limit else 1.0


def _sunk(plan: Plan) -> str:
    found = sunken(plan.laid.density, plan.sized.size_mm)
    if not found:
        return ""
    spot = found[0].patches[0]
    place = words.where(spot.at_mm, plan.sized.size_mm)
    return f"step {spot.steps[1] + 1} may sink into step {spot.steps[0] + 1} {place}: {spot.cure}"


def _letters(plan: Plan) -> str:
    """Lettering under what counts as small, with the steps of those lines, and lines too small to be sewn at all."""
    small, parts = float(plan.sized.trade.value("lettering.small")), plan.sized.parts
    lines = [line for line in plan.sized.detail.features if line.kind == "lettering" and line.measure < small]
    families = {parts[line.part].family: line for line in lines if line.part is not None}
    sewn = [
        (row, families[family])
        for run in runs(plan)
        for row in run.rows
        for family in [parts[row.steps[0].sewing.part].family]
        if row.letters and family in families
    ]
    told = ""
    if sewn:
        least = min(line.measure for _, line in sewn)
        spans = _some([row.numbers for row, _ in sewn])
        told = (
            f"letters down to {least:.1f} mm high, steps {spans}: slow down, and look at their counters "
            "on the first piece"
        )
    return "; ".join(filter(None, [told, _unsewn(plan, families)]))


def _unsewn(plan: Plan, families: dict[str, Feature]) -> str:
    """Lines of lettering that are left out whole: a customer will ask for them."""
    left = [
        line.text.partition(":")[0]
        for family, line in families.items()
        if all(part.kind == "drop" for part in plan.sized.parts if part.family == family)
    ]
    return f"left out as too small to read: {_and(left)}; ask the customer first" if left else ""


def _bases(plan: Plan) -> str:
    """Loose bases, which hold the cloth: where they show, too little of what lies on them was sewn."""
    loose = [row for run in runs(plan) for row in run.rows if row.steps[0].sewing.role == "base"]
    if not loose:
        return ""
    steps = f"step{'s' if _many(loose) else ''} {_some([row.numbers for row in loose])}"
    return f"loose base at {steps}: the cloth must not show between what lies on it"


def _many(rows: list[Alike]) -> bool:
    return len(rows) > 1 or len(rows[0].steps) > 1


def _threads(plan: Plan) -> str:
    """How often the thread changes, and how often that is by hand."""
    needles = int(plan.sized.trade.value("machine.needles"))
    threads, changes = len({step.sewing.thread for step in plan.steps}), plan.estimate.colour_changes
    if not changes:
        return ""
    if threads > needles:
        return f"{threads} threads on {needles} needles: {threads - needles} of them are threaded by hand on the way"
    each = f"{words.some(changes, 'change')} of thread between {threads} cones"
    return f"{each}; on a single needle each is by hand"


def _backing(plan: Plan) -> str:
    cloth = plan.sized.trade.cloth(plan.sized.cloth)
    over = "" if cloth.topping == "none" else f"; on top {cloth.topping}"
    return f"backing under the whole frame: {cloth.backing}{over}"


def _some(names: list[str]) -> str:
    rest = len(names) - LISTED
    return ", ".join(names[:LISTED]) + (f" and {rest} more" if rest > 0 else "")

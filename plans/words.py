"""Figures and choices in a practitioner's words, the same in the report, on the sheet and on the terminal."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from analyse.colours.names import colour
from analyse.values import Feature, Reason, SizedDrawing, State
from plans.values import Estimate, HardPatch, LaidPlan, Plan, Sewing, Step, Underlay

FEATURES = {
    "stroke": "thin stroke",
    "gap": "gap",
    "dot": "dot",
    "counter": "counter",
    "lettering": "lettering",
    "colour-step": "close colours",
    "shading": "shading",
    "registration": "registration",
}
STATES: dict[State, str] = {"holds": "holds", "at-risk": "at risk", "lost": "lost"}
APPROACHES = {
    "side-by-side": "side by side",
    "stacked": "stacked",
    "base-and-detail": "base and detail",
    "line-work": "line work",
}
SAME = "the same stitches as"
ALL_LARGE_ENOUGH = "every detail is drawn large enough to sew at this size"
ALL = 1 - 1e-9  # shares that sum to the whole may miss it by so much
TIMES = 1.0  # more than twice as many is told in times, not in per cent
SURE = 0.7  # a part's certainty under which a look at it is asked for
UNDERLAYS = {
    "centre-run": "centre run",
    "edge-run": "edge run",
    "zigzag": "zigzag",
    "rows": "open rows",
    "nap-rows": "nap-holding rows",
}
LAYERS = ("ground", "columns", "lines", "edges")  # by Sewing.layer, from the bottom up
HARDNESS = {"layers": "layers", "points": "needle points per mm²", "sunk": "mm² sunk in"}
MIDDLE = 0.3  # of the way from the middle to an edge still counts as the middle


def name(plan: Plan) -> str:
    """What the artwork is called, made fit to be shown anywhere."""
    return printable(plan.sized.drawing.artwork.name)


def mm(value: float, places: int = 1) -> str:
    """`76.2 mm`."""
    return f"{value:.{places}f} mm"


def cloth(sized: SizedDrawing) -> str:
    """What it is sewn on, by title, with its colour where it is not white: `woven twill, canvas in dark blue`."""
    title = sized.trade.cloth(sized.cloth).title
    return title if min(sized.cloth_rgb) == 255 else f"{title} in {colour(sized.cloth_rgb).name}"


def size(size_mm: tuple[float, float]) -> str:
    """`76.2 × 60.0 mm`."""
    return f"{size_mm[0]:.1f} × {size_mm[1]:.1f} mm"


def count(value: float) -> str:
    """`7,250`."""
    return f"{round(value):,}"


def some(value: int, one: str, many: str = "") -> str:
    """`1 trim`, `12 trims`."""
    return f"{value:,} {one if value == 1 else many or one + 's'}"


def share(value: float) -> str:
    """`71 %`; what is there but rounds to nothing is `under 1 %`, what is short of all but rounds to it `over 99 %`."""
    if 0.995 <= value < ALL:
        return "over 99 %"
    return "under 1 %" if 0 < value < 0.005 else f"{100 * value:.0f} %"


def measured(value: float, unit: str) -> str:
    """A measure with its unit: `0.80 mm`, `48 dE00`."""
    return f"{value:.2f} {unit}" if unit == "mm" else f"{value:.1f} {unit}"


def hardness(patch: HardPatch) -> str:
    """What makes a patch hard: `2.6 layers`, `5.4 needle points per mm²`."""
    return f"{patch.layers:.1f} {HARDNESS.get(patch.unit, patch.unit)}"


def hard_patches(patches: Sequence[HardPatch]) -> str:
    """`3 hard patches, 1 of them by needle points`, `1 hard patch, by needle points`."""
    pricked = sum(patch.unit == "points" for patch in patches)
    by = "" if len(patches) == 1 else "all " if pricked == len(patches) else f"{pricked} of them "
    return some(len(patches), "hard patch", "hard patches") + (f", {by}by needle points" if pricked else "")


def where(at_mm: tuple[float, float], size_mm: tuple[float, float]) -> str:
    """Whereabouts in the design a place is, with its figures: `upper left, 12, 30 mm`."""
    x, y = (2 * at / max(side, 1e-9) - 1 for at, side in zip(at_mm, size_mm, strict=True))
    down = "upper" if y < -MIDDLE else "lower" if y > MIDDLE else ""
    across = "left" if x < -MIDDLE else "right" if x > MIDDLE else ""
    named = (
        f"{down} {across}".strip() if down and across else f"{down or across} middle" if down or across else "middle"
    )
    return f"{named}, {at_mm[0]:.0f}, {at_mm[1]:.0f} mm"


def spacing(spacing_mm: float) -> str:
    """`0.40 (lines 0.20 apart)`: across two lines, as the trade quotes it, and line to line."""
    return f"{_trimmed(spacing_mm)} (lines {_trimmed(spacing_mm / 2)} apart)" if spacing_mm else ""


def angle(step: Step) -> str:
    """The stitch angle, or that the stitches follow the shape."""
    if step.sewing.kind == "running":
        return "along the line"
    return "across its run" if step.sewing.angle_deg is None else f"{step.sewing.angle_deg:.0f}°"


def stitch_mm(sewing: Sewing) -> float:
    """How long its stitches are, mm: as set for rows and lines; a column's sewn width, at most what was set."""
    if sewing.kind != "column" or not sewing.spines:
        return sewing.stitch_mm
    drawn = float(np.median(np.concatenate([spine.line[:, 2] for spine in sewing.spines])))
    return min(drawn + 2 * (sewing.pull_mm + sewing.widen_mm), sewing.stitch_mm)


def underlay(lays: Sequence[Underlay]) -> str:
    """`edge run inset 0.5; open rows, 2.5 line to line at 90°`; `none`."""
    return "; ".join(_one_underlay(lay) for lay in lays) or "none"


def needs(feature: Feature) -> str:
    """What a detail needs: `1.00 mm`; for shading the most it may span."""
    most = "at most " if feature.kind == "shading" else ""
    return most + measured(feature.needs, feature.unit)


def holds_from(feature: Feature) -> str:
    """The design width from which it holds."""
    width = feature.holds_from_width_mm
    if width is None:
        return "every width" if feature.state == "holds" else "at no width"
    return f"{width:.1f} mm wide"


def feature_name(feature: Feature) -> str:
    """What kind of detail it is."""
    return f"{FEATURES[feature.kind]} “{feature.words}”" if feature.words else FEATURES[feature.kind]


def allowances(sewing: Sewing) -> dict[str, float]:
    """What is sewn beyond what is drawn, by name, in mm a side."""
    return {"widened": sewing.widen_mm, "pull": sewing.pull_mm, "push": sewing.push_mm, "under": sewing.under_mm}


def reason(why: Reason) -> str:
    """Why a part is sewn as it is."""
    return why.text or f"{why.measure_mm:.2f} mm, needs {why.needs_mm:.2f} mm"


def approach(name: str) -> str:
    """An approach's name as it is spoken."""
    return APPROACHES.get(name, name)


def out_of_place(plan: Plan) -> str:
    """How the size goes beyond what its place usually takes; "" where it does not, or no place is named."""
    if not plan.job.place:
        return ""
    place = plan.sized.trade.place(plan.job.place)
    width, height = plan.sized.size_mm
    sides = [(width, place.width_mm, "wide"), (height, place.height_mm, "tall")]
    beyond = [(side, usual, way) for side, usual, way in sides if usual is not None and side > usual + 0.05]
    if not beyond:
        return ""
    on_cap = plan.sized.trade.cloth(place.cloth).frame == "cap"
    how = f"too {' and too '.join(way for *_, way in beyond)} for" if on_cap else "larger than usual for"
    fits = width * min(usual / side for side, usual, _ in beyond)
    most = " and ".join(f"{usual:g} mm {way}" for _, usual, way in beyond)
    return f"{how} {place.title}: up to {most}; {math.floor(10 * fits) / 10:.1f} mm wide would fit"


def not_acted_on(tables: Sequence[str]) -> str:
    """Which tables of the decisions stand there for later."""
    return f"{', '.join(tables)}: kept, not yet acted on"


def why(laid: LaidPlan) -> str:
    """Why this approach, without saying once more that it is recommended."""
    return laid.why.removeprefix("recommended: ")


def savings(plan: Plan) -> list[str]:
    """What the recommended approach saves against the others, a phrase for each or for those that come out alike."""
    against: dict[str, list[str]] = {}
    for other in plan.approaches[1:]:
        saving = SAME if same_stitches(plan.laid, other) else _saving(plan.estimate, other.estimate)
        against.setdefault(saving, []).append(approach(other.approach))
    return [f"{saving} {', '.join(names)}" for saving, names in against.items()]


def same_stitches(one: LaidPlan, other: LaidPlan) -> bool:
    """Whether two approaches come to the same, needle point by needle point."""
    return one.estimate.stitches == other.estimate.stitches and np.array_equal(one.stitches.xy, other.stitches.xy)


def lost(plan: Plan) -> str:
    """`29 % of the look does not come through at this size`, `all of it comes ..., 52 % hangs on thread or cloth`."""
    hangs = recoloured(plan.sized)
    more = f", {share(hangs)} hangs on thread or cloth" if hangs else ""
    gone = f"{share(plan.lost)} of the look does not come through" if plan.lost else "all of the look comes through"
    return f"{gone} at this size{more}"


def recoloured(sized: SizedDrawing) -> float:
    """Share of the look that is lost as it is coloured, and that another thread, cloth or flat steps bring back."""
    gone = [feature for feature in sized.detail.features if feature.state == "lost"]
    return sum(feature.weight for feature in gone if feature.unit == "dE00" and feature.cure)


def not_holding(plan: Plan) -> list[Feature]:
    """The details that do not hold, heaviest first."""
    return [feature for feature in plan.sized.detail.features if feature.state != "holds"]


def detail_line(feature: Feature) -> str:
    """`dot 0.80 mm, needs 1.00 mm: lost; holds from 95.3 mm wide`; `close colours, colour difference 5.2, ...`."""
    figures = f" {measured(feature.measure, feature.unit)}, needs {needs(feature)}"
    if feature.unit == "dE00":
        figures = f", colour difference{figures.replace(' dE00', '')}"
    helps = "no width helps" if feature.holds_from_width_mm is None else f"holds from {holds_from(feature)}"
    if feature.on_cloth:
        helps += ": leave it to the cloth (decisions.toml), or name another cloth with --cloth-colour"
    return f"{feature_name(feature)}{figures}: {STATES[feature.state]}; {helps}"


def _saving(ours: Estimate, other: Estimate) -> str:
    less, minutes = other.stitches - ours.stitches, other.minutes - ours.minutes
    if less == 0 and abs(minutes) < 0.05:
        return "as many stitches and minutes as"
    part = abs(less) / max(1, other.stitches)
    told = share(part) if part < 0.1 else f"{100 * part:.0f} %"
    if less < 0 and part >= TIMES:
        told = f"{1.0 + part:.{0 if part >= 9.0 else 1}f} times as many"
    stitches = f"{count(abs(less))} stitches {'fewer' if less >= 0 else 'more'} ({told})"
    return f"{stitches}, {abs(minutes):.1f} min {'less' if minutes >= 0 else 'more'} than"


def _one_underlay(lay: Underlay) -> str:
    name = UNDERLAYS.get(lay.kind, lay.kind)
    name += f" inset {lay.inset_mm:.3g}" if lay.inset_mm else ""
    name += f", {_trimmed(lay.spacing_mm)} line to line" if lay.spacing_mm else ""
    return name + (f" at {lay.angle_deg:.0f}°" if lay.angle_deg is not None else "")


def _trimmed(value: float) -> str:
    return f"{value + 1e-9:.3f}".removesuffix("0")  # a half goes up: 0.2125 reads 0.213


def listed(texts: Sequence[str]) -> str:
    """The texts as one, each once, with how often: `a dot of white (3 times), shading`."""
    counts = {text: texts.count(text) for text in texts}
    return ", ".join(text if n == 1 else f"{text} ({n} times)" for text, n in counts.items())


def printable(text: str) -> str:
    """The text with what a terminal would obey, or no file could hold, shown as escapes instead."""
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode("ascii") for char in text)

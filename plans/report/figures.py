"""The figures behind the cost: what stitches, minutes, price and the span are made of, and the rules of thumb."""

from __future__ import annotations

from typing import Any

from plans import words
from plans.density.deposit import sewn_rows, stitch_lengths
from plans.estimate import count, rules_of_thumb, span_parts
from plans.values import Plan

Row = dict[str, Any]
LAYS = {"top": "top stitches", "underlay": "underlay", "travel": "hidden travel", "tie": "tie-ins and tie-offs"}
KINDS = {"fill": "fill", "column": "column", "running": "running line"}


def cost(plan: Plan) -> Row:
    """Everything the cost section shows beside the approaches."""
    return {
        "counts": counts(plan),
        "threads": threads(plan),
        "made_of": made_of(plan),
        "span_parts": choices(plan),
        "rules_of_thumb": thumbs(plan),
    }


def counts(plan: Plan) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """Stitches by what they are for, by kind and by layer; each sums to all."""
    found, whole = count(plan.stitches, plan.steps), max(1, plan.estimate.stitches)

    def rows(pairs: list[tuple[str, int]]) -> list[tuple[str, str, str]]:
        return [(name, words.count(number), words.share(number / whole)) for name, number in pairs]

    layers = [(words.LAYERS[layer], number) for layer, number in sorted(found.by_layer.items())]
    return [
        ("by what they are for", rows([(LAYS[key], found.by_lay[key]) for key in LAYS])),
        ("by kind", rows([(KINDS[key], found.by_kind[key]) for key in KINDS if key in found.by_kind])),
        ("by layer, from the cloth up", rows(layers)),
    ]


def threads(plan: Plan) -> list[Row]:
    """Each thread that is used, with its stitches and its metres."""
    stitches = count(plan.stitches, plan.steps).by_thread
    pairs = enumerate(zip(plan.sized.drawing.palette, plan.estimate.thread_each_m, strict=True))
    return [
        {"colour": colour, "stitches": words.count(stitches[n]), "length": f"{length:.1f} m"}
        for n, (colour, length) in pairs
        if n in stitches
    ]


def made_of(plan: Plan) -> list[tuple[str, str]]:
    """What the minutes, the thread and, where the shop gives its rates, the price are reckoned from."""
    trade, cost_ = plan.sized.trade, plan.estimate
    rows = [("minutes", _minutes(plan)), ("thread", _thread(plan))]
    changes, fewest = cost_.colour_changes, plan.laid.fewest_changes
    bound = "no order has fewer" if changes <= fewest else f"no order has fewer than {fewest}"
    if changes:
        rows.append(("thread changes", f"{changes}; {bound}, given what lies under what"))
    snipped = f"{cost_.jumps}; those over {float(trade.value('travel.trim_over')):g} mm are snipped by hand"
    rows.append(("jumps", snipped if cost_.jumps else "none"))
    if cost_.price is not None:
        piece, thousand, minute, least = (
            float(trade.value(row)) for row in ("price.piece", "price.thousand", "price.minute", "price.least")
        )
        parts = [(piece, "a piece"), (thousand, "per 1,000 stitches"), (minute, "a minute")]
        text = " + ".join(f"{rate:.2f} {what}" for rate, what in parts if rate) or "no rate"
        rows.append(("price", f"{cost_.price:.2f}: {text}{f', at least {least:.2f}' if least else ''}"))
    return rows


def _minutes(plan: Plan) -> str:
    """Hooping, then the run: speed, long stitches, trims, changes, what the shop loses between, and the heads."""
    trade, cost_ = plan.sized.trade, plan.estimate
    frame = trade.cloth(plan.sized.cloth).frame
    hooping, heads = float(trade.value("machine.hooping", frame=frame)) / 60, int(trade.value("machine.heads"))
    over, share = float(trade.value("machine.slow_over")), float(trade.value("machine.slow_share"))
    long = int((stitch_lengths(plan.stitches, sewn_rows(plan.stitches)) > over).sum())
    parts = [f"{words.count(cost_.stitches)} stitches at {trade.value('machine.speed', frame=frame)} a minute"]
    parts += [f"{words.count(long)} of them over {over:g} mm at {words.share(share)} of that"] if long else []
    parts += [f"{words.some(cost_.trims, 'trim')} of {float(trade.value('machine.trim')):g} s"] if cost_.trims else []
    changed = (
        f"{words.some(cost_.colour_changes, 'thread change')} of {float(trade.value('machine.colour_change')):g} s"
    )
    parts += [changed] if cost_.colour_changes else []
    by_hand = len(count(plan.stitches, plan.steps).by_thread) - int(trade.value("machine.needles"))
    if by_hand > 0:
        parts.append(f"{by_hand} threaded by hand, {float(trade.value('machine.rethreading')):g} s each")
    works = f"the machine runs {words.share(float(trade.value('machine.efficiency')))} of the time"
    run = f"{cost_.minutes - hooping:.1f} running: {', '.join(parts)}; {works}"
    return f"{hooping:.1f} hooping, {run}{f', and a piece is one of {heads} sewn at once' if heads > 1 else ''}"


def _thread(plan: Plan) -> str:
    """Both threads, by the geometry of the lockstitch, and what that comes to for 1,000 stitches."""
    trade, cost_ = plan.sized.trade, plan.estimate
    through, waste = float(trade.value("thread.through_cloth")), float(trade.value("thread.waste"))
    thousands = max(cost_.stitches, 1) / 1000
    each = f"{cost_.thread_m / thousands:.1f} and {cost_.bobbin_m / thousands:.1f} m for 1,000 stitches"
    top = f"top runs each stitch's length and twice through {through:g} mm of cloth, {words.share(waste)} waste added"
    return f"{each}, by the lockstitch (ISO 4915, type 301): the {top}; the bobbin's lies flat beneath"


def choices(plan: Plan) -> list[tuple[str, str, str]]:
    """What another hand may choose, and how many stitches fewer and more that makes; widest first."""
    parts = sorted(span_parts(plan.stitches, plan.steps, plan.sized.trade), key=lambda part: -(part.fewer + part.more))
    shown = [(part.choice, round(part.fewer), round(part.more)) for part in parts]
    return [(name, _signed(-fewer), _signed(more)) for name, fewer, more in shown if fewer or more]


def thumbs(plan: Plan) -> list[Row]:
    """The closest published rules of thumb, worked for this design, beside what was laid."""
    return [
        {
            "name": rule.name,
            "theirs": _between(*rule.theirs, rule.unit),
            "ours": _figure(rule.ours, rule.unit),
            "why": rule.why,
            "source": rule.source,
        }
        for rule in rules_of_thumb(plan.stitches, plan.steps, plan.estimate)
    ]


def _signed(number: int) -> str:
    return f"{'−' if number < 0 else '+'}{words.count(abs(number))}" if number else "0"


def _figure(value: float, unit: str) -> str:
    return words.count(value) if unit == "stitches" else f"{value:.1f} {unit}"


def _between(low: float, high: float, unit: str) -> str:
    first, last = _figure(low, unit), _figure(high, unit)
    return last if first == last else f"{first.removesuffix(f' {unit}')} to {last}"

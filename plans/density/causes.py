"""What makes a patch hard, in the sentence a practitioner would say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from analyse.trade import Trade
from plans.density.spots import Share, Spot
from plans.values import Lay, Step

HEAPED = 1.5
"""Steps of which so many lie on each other, on average, cross; fewer and they only meet, their edges overlapping."""
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
FILLS = ("full fill", "loose base")


def worth_naming(spot: Spot, trade: Trade) -> list[Share]:
    """The top stitching that makes the patch, in sewing order; the largest share if nothing else does."""
    least = float(trade.value("density.worth_naming"))
    return [share for share in spot.top() if share.layers >= least] or sorted(
        spot.shares, key=lambda share: -share.layers
    )[:1]


def what(step: Step) -> str:
    """A step in one word or two."""
    sewing = step.sewing
    if sewing.kind == "fill":
        return "loose base" if sewing.role == "base" else "full fill"
    return {"column": "column", "running": "running line"}[sewing.kind]


def counted(names: Iterable[str]) -> str:
    """`three columns and a running line`."""
    parts = []
    for name, times in Counter(names).items():
        number = "a" if times == 1 else NUMBERS[times] if times < len(NUMBERS) else str(times)
        parts.append(f"{number} {name}{'s' if times > 1 else ''}")
    return " and ".join(parts)


def crowded(spot: Spot, trade: Trade) -> Share | None:
    """The step that runs together with itself, if one does."""
    most = max(spot.top(), key=lambda share: share.layers, default=None)
    return most if most and most.layers > float(trade.value("density.crowded")) else None


def said(spot: Spot, steps: tuple[Step, ...], trade: Trade) -> str:
    """Why the patch is hard: what crosses over what, and what underlay, ties and travel add."""
    itself = crowded(spot, trade)
    if itself:
        text = f"a {what(steps[itself.step])} crowds on itself with {itself.layers:.1f} layers"
    else:
        text = met(spot, [share.step for share in worth_naming(spot, trade)], steps)
    return text + added(spot, trade)


def met(spot: Spot, named: list[int], steps: tuple[Step, ...]) -> str:
    """`three columns cross over a full fill`, `two columns meet`."""
    under = [step for step in named if what(steps[step]) in FILLS]
    over = [step for step in named if step not in under]
    upper, lower = (counted(what(steps[step]) for step in some) for some in (over, under))
    if len(named) == 1:
        return f"a {what(steps[named[0]])} lies thick here"
    if not over:
        return f"{lower} {'lie on each other' if spot.heaped(under) >= HEAPED else 'meet'}"
    verb = "lies" if len(over) == 1 else "cross" if spot.heaped(over) >= HEAPED else "meet"
    return f"{upper} {verb} over {lower}" if under else f"{upper} {verb}"


def added(spot: Spot, trade: Trade) -> str:
    """`, with 0.4 layers of underlay and 0.2 layers of ties and travel`, where they matter."""
    under = sum(share.layers for share in spot.shares if share.lay == Lay.UNDERLAY)
    rest = sum(share.layers for share in spot.shares if share.lay in (Lay.TIE, Lay.TRAVEL))
    parts = [
        f"{layers:.1f} layers of {name}"
        for layers, name in ((under, "underlay"), (rest, "ties and travel"))
        if layers >= float(trade.value("density.worth_naming"))
    ]
    return f", with {' and '.join(parts)}" if parts else ""

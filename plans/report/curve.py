"""How much of the look holds at each width, as a curve with the asked width marked."""

from __future__ import annotations

import math

from markupsafe import Markup

from analyse.survival import Survival
from plans.pictures.svg import drawing, element
from plans.words import share

WIDTH, HEIGHT = 400.0, 230.0
LEFT, RIGHT, TOP, BOTTOM = 44.0, 388.0, 26.0, 196.0
TICKS_MM = (20, 30, 50, 75, 100, 150, 200, 300)
FONT = 12.5


def survival_curve(found: Survival, asked_mm: float) -> Markup:
    """A step for each gain; the width on a scale of ratios, so that twice as wide is always as far."""
    low, high = _range(found, asked_mm)
    steps = _steps(found, low, high)
    line = f"M{_x(low, low, high):.1f} {_y(steps[0][1]):.1f}"
    line += "".join(f"H{_x(width, low, high):.1f}V{_y(held):.1f}" for width, held in steps[1:]) + f"H{RIGHT:.1f}"
    area = f"{line}V{BOTTOM:.1f}H{LEFT:.1f}Z"
    held = max(
        (holding.share for holding in found.holdings if holding.width_mm <= asked_mm + 1e-6), default=steps[0][1]
    )
    rows = [*_axes(low, high), element("path", class_="area", d=area), element("path", class_="curve", d=line)]
    rows += _asked(_x(asked_mm, low, high), held, asked_mm)
    label = f"Share of the look that holds by width: {share(held)} at {asked_mm:.0f} mm"
    return drawing((0.0, 0.0, WIDTH, HEIGHT), label, rows)


def _range(found: Survival, asked_mm: float) -> tuple[float, float]:
    widths = [asked_mm, *(holding.width_mm for holding in found.holdings if holding.width_mm <= TICKS_MM[-1])]
    return min(widths), max(*widths, 1.2 * min(widths))


def _steps(found: Survival, low: float, high: float) -> list[tuple[float, float]]:
    """(width, share from there on); the first is where the curve starts."""
    before = sum(gain.share for gain in found.gains if gain.width_mm <= found.holdings[0].width_mm)
    held = found.holdings[0].share - before
    steps = [(low, held)]
    for gain in found.gains:
        held += gain.share
        if gain.width_mm <= low:
            steps[0] = (low, held)
        elif gain.width_mm <= high:
            steps.append((gain.width_mm, held))
    return steps


def _axes(low: float, high: float) -> list[Markup]:
    rows = [element("path", class_="grid", d=f"M{LEFT} {_y(part):.1f}H{RIGHT}") for part in (0.0, 0.5, 1.0)]
    rows += [_label(LEFT - 6, _y(part) + 4, f"{100 * part:.0f} %", "end") for part in (0.0, 0.5, 1.0)]
    ticks = [tick for tick in TICKS_MM if low <= tick <= high]
    rows += [element("path", class_="grid", d=f"M{_x(tick, low, high):.1f} {BOTTOM}v5") for tick in ticks]
    apart: list[int] = []
    for tick in ticks:
        if not apart or _x(tick, low, high) - _x(apart[-1], low, high) > 34:
            apart.append(tick)
    return rows + [
        _label(_x(tick, low, high), BOTTOM + 20, f"{tick} mm" if tick == apart[0] else str(tick), "middle")
        for tick in apart
    ]


def _asked(x: float, held: float, asked_mm: float) -> list[Markup]:
    anchor = "end" if x > (LEFT + RIGHT) / 2 else "start"
    return [
        element("path", class_="asked-line", d=f"M{x:.1f} {TOP - 6}V{BOTTOM}"),
        element("circle", class_="dot", cx=x, cy=_y(held), r=4.5),
        _label(x + (-6 if anchor == "end" else 6), TOP - 10, f"{asked_mm:.0f} mm: {share(held)}", anchor),
    ]


def _label(x: float, y: float, words: str, anchor: str) -> Markup:
    return element("text", words, x=x, y=y, font_size=FONT, text_anchor=anchor)


def _x(width_mm: float, low: float, high: float) -> float:
    return LEFT + (RIGHT - LEFT) * math.log(width_mm / low) / math.log(high / low)


def _y(held: float) -> float:
    return BOTTOM - (BOTTOM - TOP) * min(max(held, 0.0), 1.0)

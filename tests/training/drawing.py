"""What is drawn in one cell of a picture: words of a font, stroke drawings, filled icons, marks set by rule, bodies."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path as File

import letters
from pen import Path
from shapely import Polygon, affinity, box

WIDEST = 370.0
PENNED = 0.3  # of the words are gone over with a pen, so that their ends and joins are round,
PENS = {300: 0.2, 500: 0.1, 1000: 0.04}  # at most so wide, in capitals, for fonts up to this weight
GROUNDS = ["#d9b36a", "#e8e2d0", "#9fc3d9"]
LIGHT, PAPER = "#f0e0c0", "#ffffff"
COLOURS = ("#14284b", "#a8322d", "#2b6b4f", "#101010")
WORDS = [
    "Harbour", "Light", "Winter", "Regatta", "Garden", "Gate", "North", "Pier", "Marsh", "Rowing", "Club",
    "Bridge", "Market", "Station", "Fish", "Sons", "Quality", "Bakery", "Velo", "Express", "Jazz", "Quartet",
    "Kayak", "Fox", "Gym", "Zephyr", "Hockey", "Oxbow", "Plumb", "Wharf", "Juniper", "Amber", "Vintage", "Fresh",
    "Dairy", "Coffee", "Exchange", "Lily", "Kiln", "Mill", "Iron", "Works", "Academy", "Wolves", "Tigers",
    "Union", "Valley", "Summit", "Trail", "Surf", "Supply", "Brew"
]  # fmt: skip


@dataclass(frozen=True)
class Item:
    """Something drawn: its SVG, where it lies, and what its shapes are."""

    svg: str
    where: Polygon
    kind: str
    unit: float = 0.0
    ink: str = ""


def _inner(path: File) -> str:
    text = path.read_text(encoding="utf-8")
    return re.sub(r"<title>.*?</title>", "", text[text.index(">", text.index("<svg")) + 1 : text.rindex("</svg>")])


def _said(dice: random.Random) -> str:
    roll = dice.random()
    if roll < 0.35:
        return dice.choice(WORDS).upper()
    if roll < 0.75:
        return dice.choice(WORDS)
    if roll < 0.85:
        return "".join(dice.choice("0123456789") for _ in range(dice.randint(2, 6)))
    if roll < 0.92:
        return f"{dice.choice('ABCDEFGHKLMNPRSTW')}{dice.choice(['&', '', '&'])}{dice.choice('ABCDEFGHKLMNPRSTW')}"
    return "".join(dice.choice("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz") for _ in range(6))


def _box_of(path: Path) -> Polygon:
    zs = [z for _, points in path.commands for z in points]
    xs, ys = [z.real for z in zs], [z.imag for z in zs]
    return box(min(xs), min(ys), max(xs), max(ys))


def _pen(dice: random.Random, name: str) -> float:
    """How wide a pen the letters are gone over with, in capitals; mostly none."""
    if dice.random() >= PENNED:
        return 0.0
    weight = letters.font(name)["OS/2"].usWeightClass
    widest = next(wide for most, wide in PENS.items() if weight <= most)
    return dice.uniform(0.3, 1.0) * widest


def _inked(path: Path, ink: str, turn: float, pen: float) -> str:
    """Letters as a shape, gone over with a pen where it has a width."""
    round_pen = f'stroke="{ink}" stroke-width="{pen:.2f}" stroke-linejoin="round"' if pen else ""
    return f'<path transform="rotate({turn:.2f})" fill="{ink}" {round_pen} d="{path.d()}"/>'


def words(dice: random.Random, name: str) -> list[Item]:
    """One to three lines of a font, in a cell about 0, straight or on an arc, now and then on a ground or cut out."""
    lines = []
    pen = _pen(dice, name)
    turn = dice.choice([0.0, 0.0, 0.0, dice.uniform(-90, 90)])
    colour, ground = dice.choice(COLOURS), dice.choice(["", "", "", "under", "cut"])
    count = dice.choice([1, 2, 3])
    for k in range(count):
        text = _said(dice)
        cap = dice.uniform(0.6, 1.0) * min(300.0 / count, 420.0 / max(len(text), 2))
        at = complex(0, (k - (count - 1) / 2) * 320 / count + cap / 2)
        tracking = dice.choice([0.0, 0.03, 0.1, 0.3]) * cap
        path = letters.straight(text, name, cap=cap, at=at, tracking=tracking)
        if count == 1 and len(text) > 3 and dice.random() < 0.5:
            radius = dice.uniform(110, 300)
            cap = min(cap, 45.0)
            path = letters.ring(text, name, cap=cap, centre=complex(0, radius - 40), radius=radius, tracking=tracking)
        wide = _box_of(path).bounds[2] - _box_of(path).bounds[0]
        if wide > WIDEST:
            path, cap = path.scaled(WIDEST / wide), cap * WIDEST / wide
        lines.append((path, cap))
    items: list[Item] = []
    whole = [affinity.rotate(_box_of(path).buffer(4), turn, origin=(0, 0)) for path, _ in lines]
    if ground:
        body = "".join(f"M{_points(_box_of(path).buffer(18, join_style='mitre'))}Z" for path, _ in lines)
        holes = "".join(path.d() for path, _ in lines) if ground == "cut" and not pen else ""
        svg = f'<path transform="rotate({turn:.2f})" fill-rule="evenodd" fill="{colour}" d="{body}{holes}"/>'
        items.append(Item(svg, affinity.rotate(box(-200, -200, 200, 200), turn, origin=(0, 0)), "ground"))
    for (path, cap), where in zip(lines, whole, strict=True):
        ink = {"under": LIGHT, "cut": PAPER}.get(ground, colour)
        svg = "" if ground == "cut" and not pen else _inked(path, ink, turn, pen * cap)
        items.append(Item(svg, where, "letter", (1.0 + pen) * cap, ink))
    return items


def sign(dice: random.Random, name: str, icon: File | None) -> list[Item]:
    """Two to four capitals, large, on a shield, in a frame or under a stroke drawing of their own ink."""
    text = "".join(dice.choice("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789") for _ in range(dice.choice([2, 3, 3, 4])))
    colour, cap = dice.choice(COLOURS), dice.uniform(90, 190)
    path = letters.straight(text, name, cap=cap, tracking=dice.choice([0.05, 0.12, 0.25]) * cap)
    pen = dice.uniform(0.3, 1.0) * next(
        wide for most, wide in PENS.items() if letters.font(name)["OS/2"].usWeightClass <= most
    )
    left, top, right, bottom = _box_of(path).bounds
    shrunk = min(1.0, 300.0 / (right - left))
    path, cap = path.scaled(shrunk), cap * shrunk
    look = dice.choice(["shield", "frame", "drawing"])
    path = path.moved(complex(0, (120 if look == "drawing" else 0) - shrunk * (top + bottom) / 2))
    ink = LIGHT if look == "shield" else colour
    items = [Item(_inked(path, ink, 0.0, pen * cap), _box_of(path).buffer(4), "letter", (1.0 + pen) * cap, ink)]
    plate = f'<rect x="-185" y="-150" width="370" height="300" rx="{dice.uniform(0, 60):.0f}"'
    if look == "shield":
        return [Item(f'{plate} fill="{colour}"/>', box(-200, -200, 200, 200), "ground"), *items]
    if look == "frame":
        frame = f'{plate} fill="none" stroke="{colour}" stroke-width="{dice.uniform(6, 26):.0f}"/>'
        return [Item(frame, box(-200, -200, 200, 200), "stroke", 10.0), *items]
    wide = dice.choice([1.5, 2.0, 3.0])
    place = f'transform="translate(0 -75) scale(9) translate(-12 -12)" fill="none" stroke="{colour}"'
    pen_of_drawing = f'stroke-width="{wide}" stroke-linecap="round" stroke-linejoin="round"'
    svg = f"<g {place} {pen_of_drawing}>{_inner(icon)}</g>" if icon else ""
    return [*items, Item(svg, box(-200, -190, 200, 40), "stroke", 9 * wide)]


def _points(shape: Polygon) -> str:
    return "L".join(f"{x:.2f},{y:.2f}" for x, y in shape.exterior.coords[:-1])


def stroke_icon(dice: random.Random, path: File) -> list[Item]:
    """A stroke drawing on a grid of 24."""
    size, turn = dice.uniform(120, 330) / 24, dice.choice([0, 0, dice.uniform(0, 360)])
    wide = dice.choice([2.0, 2.0, 1.5, 1.0])
    place = f"rotate({turn:.2f}) scale({size:.3f}) translate(-12 -12)"
    look = f'fill="none" stroke="{dice.choice(COLOURS)}" stroke-width="{wide}"'
    svg = f'<g transform="{place}" {look} stroke-linecap="round" stroke-linejoin="round">{_inner(path)}</g>'
    return [Item(svg, box(-200, -200, 200, 200), "stroke", size * wide)]


def filled_icons(dice: random.Random, paths: list[File]) -> list[Item]:
    """Filled icons on a grid of 15: one, or a row of them."""
    size = dice.uniform(120, 330) / 15 / len(paths)
    colour, items = dice.choice(COLOURS), []
    for k, path in enumerate(paths):
        x = (k - (len(paths) - 1) / 2) * 17 * size
        svg = f'<g transform="translate({x:.1f} 0) scale({size:.3f}) translate(-7.5 -7.5)" fill="{colour}">'
        where = box(x - 8 * size, -200, x + 8 * size, 200)
        items.append(Item(f"{svg}{_inner(path)}</g>", where, "body", 5.0 * size))
    return items


def _curve(points: list[tuple[float, float]], wide: float, colour: str) -> str:
    d = "L".join(f"{x:.1f},{y:.1f}" for x, y in points)
    look = f'stroke="{colour}" stroke-width="{wide:.2f}" stroke-linecap="round" stroke-linejoin="round"'
    return f'<path d="M{d}" fill="none" {look}/>'


Mark = Callable[[float, float], list[tuple[float, float]]]


def _marks(dice: random.Random) -> tuple[Mark, bool]:
    """A mark's points for a place, each a little different, and whether it is filled."""
    length, turn, bend = dice.uniform(18, 50), dice.uniform(0, math.pi), dice.uniform(-0.6, 0.6)
    messy, kind = (
        dice.choice([0.0, 0.1, 0.3]),
        dice.choice(["hatch", "hatch", "fur", "wave", "scale", "vee", "tick", "leaf", "strand", "ell"]),
    )

    def mark(x: float, y: float) -> list[tuple[float, float]]:
        own, angle = length * dice.uniform(1 - messy, 1 + messy), turn + dice.uniform(-messy, messy)
        c, s = math.cos(angle), math.sin(angle)
        shapes = {
            "hatch": [(-0.5, 0.0), (0.5, 0.0)],
            "fur": [(t, bend * (t * t - 0.25)) for t in (-0.5, -0.25, 0.0, 0.25, 0.5)],
            "wave": [(t / 10, 0.16 * math.sin(t * 0.63)) for t in range(-8, 9)],
            "scale": [(0.5 * math.cos(t / 8 * math.pi), 0.5 * math.sin(t / 8 * math.pi)) for t in range(9)],
            "vee": [(-0.4, -0.35), (0.0, 0.35), (0.4, -0.35)],
            "tick": [(-0.3, 0.0), (0.0, 0.3), (0.5, -0.3)],
            "ell": [(-0.4, -0.4), (-0.4, 0.3), (0.4, 0.3)],
            "leaf": [(0.5 * math.cos(t), 0.22 * math.sin(t) * (1 - 0.3 * math.cos(t))) for t in _round(14)],
            "strand": [(t / 8, 0.2 * math.tanh(t / 3)) for t in range(-5, 6)],
        }
        return [(x + own * (c * u - s * v), y + own * (s * u + c * v)) for u, v in shapes[kind]]

    return mark, kind == "leaf"


def _round(count: int) -> list[float]:
    return [2 * math.pi * k / count for k in range(count + 1)]


def texture(dice: random.Random) -> list[Item]:
    """Marks set by rule: in rows, or round a ring; on the ground or on a body."""
    mark, filled = _marks(dice)
    colour = dice.choice(COLOURS)
    pitch, wide = dice.uniform(34, 62), dice.uniform(2.5, 9.0)
    if dice.random() < 0.3:
        places = [(150 * math.cos(t), 150 * math.sin(t)) for t in _round(dice.randint(10, 26))[:-1]]
    else:
        rows, columns = dice.randint(2, 6), dice.randint(3, 6)
        stagger = dice.choice([0.0, 0.5])
        places = [
            ((c - (columns - 1) / 2 + stagger * (r % 2)) * pitch * 1.1, (r - (rows - 1) / 2) * pitch)
            for r in range(rows) for c in range(columns)
        ]  # fmt: skip
    svg = ""
    for x, y in places:
        points = mark(x, y)
        d = "L".join(f"{u:.1f},{v:.1f}" for u, v in points)
        svg += f'<path d="M{d}Z" fill="{colour}"/>' if filled else _curve(points, wide, colour)
    items = []
    if dice.random() < 0.6:
        body = f'<ellipse rx="195" ry="{dice.uniform(180, 195):.0f}" fill="{dice.choice(GROUNDS)}"/>'
        items.append(Item(body, box(-200, -200, 200, 200), "ground"))
    return [*items, Item(svg, box(-200, -200, 200, 200), "texture", wide)]


def dots_and_bodies(dice: random.Random) -> list[Item]:
    """Rows of dots, stars, bricks, drops: no letters, no strokes."""
    kind, colour = dice.choice(["dots", "stars", "bricks", "drops", "teeth", "blobs"]), dice.choice(COLOURS)
    columns = dice.randint(3, 6)
    pitch = 380 / columns
    svg, shape = "", ""
    for c in range(columns):
        for r in range(dice.choice([1, 2])):
            x, y, a = (c - (columns - 1) / 2) * pitch, r * pitch - 60, 0.38 * pitch * dice.uniform(0.75, 1.0)
            points = {
                "dots": [(0.5 * math.cos(t), 0.5 * math.sin(t)) for t in _round(24)],
                "stars": [((0.45 if k % 2 else 1) * math.sin(t), -(0.45 if k % 2 else 1) * math.cos(t))
                          for k, t in enumerate(_round(10)[:-1])],
                "bricks": [(-1, -0.6), (1, -0.6), (1, 0.6), (-1, 0.6)],
                "drops": [(math.sin(t) * abs(math.sin(t / 2)), -math.cos(t)) for t in _round(30)],
                "teeth": [(-0.9, 0.8), (0.0, -0.9), (0.9, 0.8)],
                "blobs": [((0.8 + 0.2 * math.sin(3 * t + c)) * math.cos(t),
                           (0.8 + 0.16 * math.cos(2 * t)) * math.sin(t)) for t in _round(30)],
            }[kind]  # fmt: skip
            shape = "L".join(f"{x + a * u:.1f},{y + a * v:.1f}" for u, v in points)
            svg += f'<path d="M{shape}Z" fill="{colour}"/>'
    return [Item(svg, box(-200, -200, 200, 200), "dot" if kind == "dots" else "body", pitch)]


def emoji(path: File) -> list[Item]:
    """A many-coloured icon: its black lines are strokes, what is coloured are bodies."""
    text = _inner(path)
    svg = f'<g transform="scale(5) translate(-36 -36)">{text}</g>'
    return [Item(svg, box(-200, -200, 200, 200), "colour", 10.0)]

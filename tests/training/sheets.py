"""Pictures of known truth to train on, each of one to nine cells."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path as File

from dealing import fonts, icons
from drawing import Item, dots_and_bodies, emoji, filled_icons, sign, stroke_icon, texture, words
from shapely import affinity

CELL = 400.0
GRIDS = ((1, 1), (2, 1), (2, 2), (3, 2), (3, 3))


@dataclass(frozen=True)
class Sheet:
    """One picture and the truth about it."""

    name: str
    fold: int
    svg: str
    side: tuple[float, float]
    items: tuple[Item, ...]


def sheets(fold: int, count: int, more: File | None, openmoji: File | None) -> list[Sheet]:
    """So many pictures of one fold, each of one to nine cells, and a quarter as many each of icons and of signs."""
    dice = random.Random(1000 + fold)
    drawn, named = icons(more, openmoji), fonts(more)[fold]
    strokes = drawn["stroke"][fold]
    own = {kind: paths[fold] for kind, paths in drawn.items()}
    made = []
    for number in range(count):
        columns, rows = dice.choice(GRIDS)
        name = named[number % len(named)]
        cells = [_cell(dice, name, own, 0.0 if k == 0 else dice.random()) for k in range(columns * rows)]
        made.append(_sheet(f"{fold}-{number}-{name}", fold, columns, rows, cells))
    for number in range(count // 4 if own["colour"] else 0):
        cells = [emoji(path) for path in dice.sample(own["colour"], 2)]
        made.append(_sheet(f"{fold}-colour-{number}", fold, 2, 1, cells))
    made += [
        _sheet(f"{fold}-sign-{number}", fold, 1, 1, [_sign(dice, dice.choice(named), strokes)])
        for number in range(count // 4)
    ]
    for number in range(count // 4 if strokes else 0):
        columns, rows = dice.choice(GRIDS[:4])
        cells = [stroke_icon(dice, dice.choice(strokes)) if dice.random() < 0.7
                 else texture(dice) for _ in range(columns * rows)]  # fmt: skip
        made.append(_sheet(f"{fold}-plain-{number}", fold, columns, rows, cells))
    return made


def _cell(dice: random.Random, name: str, own: dict[str, list[File]], roll: float) -> list[Item]:
    """One cell: by the roll words, a sign, an icon, marks of a texture, or dots and bodies."""
    if roll < 0.35:
        return words(dice, name)
    if roll < 0.47:
        return _sign(dice, name, own["stroke"])
    if roll < 0.62 and own["stroke"]:
        return stroke_icon(dice, dice.choice(own["stroke"]))
    if roll < 0.76 and own["filled"]:
        return filled_icons(dice, dice.sample(own["filled"], dice.choice([1, 1, 3])))
    return texture(dice) if roll < 0.92 else dots_and_bodies(dice)


def _sign(dice: random.Random, name: str, strokes: list[File]) -> list[Item]:
    return sign(dice, name, dice.choice(strokes) if strokes else None)


def _sheet(name: str, fold: int, columns: int, rows: int, cells: list[list[Item]]) -> Sheet:
    body, items = "", []
    for k, cell in enumerate(cells):
        x, y = (k % columns + 0.5) * CELL * 1.05, (k // columns + 0.5) * CELL * 1.05
        for item in cell:
            body += f'<g transform="translate({x:.1f} {y:.1f})">{item.svg}</g>'
            items.append(Item("", affinity.translate(item.where, x, y), item.kind, item.unit, item.ink))
    wide, high = columns * CELL * 1.05, rows * CELL * 1.05
    paper = f'<rect width="{wide}" height="{high}" fill="white"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}">{paper}{body}</svg>'
    return Sheet(name, fold, svg, (wide, high), tuple(items))

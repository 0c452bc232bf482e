"""Sized drawings made by hand, for tests of the planning: shapes in mm with known kinds, widths and runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box

from analyse.colours.lab import srgb_to_lab
from analyse.trade import Trade, default_trade
from analyse.values import (
    Artwork,
    Colour,
    Detail,
    Drawing,
    Feature,
    Part,
    PartKind,
    Reason,
    Region,
    SizedDrawing,
    Spine,
    Width,
)

MM_PER_PX = 0.1
RGB = {
    "navy": (27, 42, 74),
    "gold": (201, 151, 56),
    "white": (246, 244, 238),
    "red": (170, 30, 40),
    "black": (20, 20, 22),
    "tan": (214, 176, 110),
}


@dataclass(frozen=True)
class Piece:
    """A part to be: colour by name, outline, kind, runs, and the piece that encloses it."""

    colour: str
    outline: Polygon | MultiPolygon
    kind: PartKind
    spines: tuple[Spine, ...] = ()
    inside: int | None = None
    hint: str = ""
    family: str = ""


def run(points: Sequence[tuple[float, float]], width_mm: float, closed: bool = False) -> Spine:
    """A spine of even width along a polyline, a point every 0.5 mm."""
    line = LineString([*points, points[0]] if closed else points)
    count = max(int(line.length / 0.5), 2)
    at = np.linspace(0, line.length, count + 1)[: count if closed else count + 1]
    xy = shapely.get_coordinates(shapely.line_interpolate_point(line, at))
    before = shapely.get_coordinates(shapely.line_interpolate_point(line, np.maximum(at - 0.2, 0)))
    after = shapely.get_coordinates(shapely.line_interpolate_point(line, np.minimum(at + 0.2, line.length)))
    ahead = (after - before) / np.linalg.norm(after - before, axis=1)[:, None]
    side = np.column_stack([ahead[:, 1], -ahead[:, 0]]) * width_mm / 2
    return Spine(np.column_stack([xy, np.full(len(xy), width_mm)]), xy + side, xy - side, closed)


def stroke(colour: str, points: Sequence[tuple[float, float]], width_mm: float, **more: object) -> Piece:
    """A column, or a running line under 0.6 mm, along a polyline, with flat ends."""
    outline = LineString(points).buffer(width_mm / 2, cap_style="flat", join_style="mitre")
    return Piece(colour, outline, "running" if width_mm < 0.6 else "column", (run(points, width_mm),), **more)  # type: ignore[arg-type]


def ring(colour: str, centre: tuple[float, float], radius_mm: float, width_mm: float, **more: object) -> Piece:
    """A closed stroke round a centre; radius at its middle."""
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    points = [(centre[0] + radius_mm * np.cos(t), centre[1] + radius_mm * np.sin(t)) for t in turn]
    half = width_mm / 2
    outline = Point(centre).buffer(radius_mm + half, 48).difference(Point(centre).buffer(radius_mm - half, 48))
    kind: PartKind = "running" if width_mm < 0.6 else "column"
    return Piece(colour, outline, kind, (run(points, width_mm, closed=True),), **more)  # type: ignore[arg-type]


def sized(
    pieces: Sequence[Piece],
    *,
    cloth: str = "twill",
    thread: str = "40",
    cloth_rgb: tuple[int, int, int] = (255, 255, 255),
    features: Sequence[Feature] = (),
    trade: Trade | None = None,
) -> SizedDrawing:
    """A sized drawing of pieces, later ones cut out of earlier ones; each connected area of a piece is its own part."""
    flat = [
        (number, area) for number, rest in enumerate(_left(pieces)) for area in shapely.get_parts(rest)
        if area.area > 1e-6
    ]  # fmt: skip
    names = list(dict.fromkeys(piece.colour for piece in pieces))
    low = shapely.total_bounds([area for _, area in flat])
    parts = tuple(_part(index, pieces[number], names, area, low[:2]) for index, (number, area) in enumerate(flat))
    first = {number: index for index, (number, _) in reversed(list(enumerate(flat)))}
    regions = tuple(
        Region(index, parts[index].colour, _in_px(parts[index].outline_mm),
               None if pieces[number].inside is None else first.get(pieces[number].inside or 0))
        for index, (number, _) in enumerate(flat)
    )  # fmt: skip
    size = (float(low[2] - low[0]), float(low[3] - low[1]))
    rgba = np.zeros((int(size[1] / MM_PER_PX) + 1, int(size[0] / MM_PER_PX) + 1, 4), np.uint8)
    artwork = Artwork(rgba, "by-hand.png", "0" * 64, "png", (rgba.shape[1], rgba.shape[0]), np.eye(3))
    palette = tuple(colour_named(name) for name in names)
    drawing = Drawing(artwork, np.full(rgba.shape[:2], -1, np.int16), palette, regions, np.eye(3), 0.2)
    return SizedDrawing(
        drawing, size, MM_PER_PX, (0.0, 0.0), thread, cloth, cloth_rgb, trade or default_trade(), parts,
        Detail(tuple(features)),
    )  # fmt: skip


def colour_named(name: str) -> Colour:
    lab = srgb_to_lab(np.array(RGB[name], float))
    return Colour(RGB[name], (float(lab[0]), float(lab[1]), float(lab[2])), name)


def _left(pieces: Sequence[Piece]) -> list[Polygon | MultiPolygon]:
    """What of each piece the later ones leave."""
    tree = shapely.STRtree([piece.outline for piece in pieces])
    left = []
    for number, piece in enumerate(pieces):
        later = [pieces[i].outline for i in tree.query(piece.outline) if i > number]
        left.append(piece.outline.difference(shapely.union_all(later)) if later else piece.outline)
    return left


def _part(index: int, piece: Piece, names: list[str], area: Polygon, low: np.ndarray) -> Part:
    moved = shapely.transform(area, lambda xy: xy - low)
    spines = tuple(
        Spine(np.column_stack([s.line[:, :2] - low, s.line[:, 2]]), s.left - low, s.right - low, s.closed)
        for s in piece.spines
    )
    width_mm = float(np.median(np.concatenate([s.line[:, 2] for s in spines]))) if spines else _thickness(area)
    reason = Reason("kind.widened_under", width_mm, 1.0, f"{width_mm:.1f} mm drawn")
    width = Width(width_mm, width_mm, width_mm)
    return Part(
        f"p{index}", piece.kind, index, names.index(piece.colour), moved, width, reason, 0.9, spines,
        piece.family, piece.hint,
    )  # fmt: skip


def _thickness(area: Polygon) -> float:
    return 2 * float(area.area / area.length) * 2


def _in_px(shape: Polygon | MultiPolygon) -> Polygon | MultiPolygon:
    return shapely.transform(shape, lambda xy: xy / MM_PER_PX)


def scaled_beast(scales: int = 5) -> list[Piece]:
    """A body with rows of thin dark scale lines over it, a mane of columns, and a border."""
    body = Point(35, 30).buffer(24, 48)
    made = [Piece("tan", body, "fill")]
    for row in range(-scales, scales + 1):
        for column in range(-4, 5):
            x, y = 35 + column * 4.0 + (row % 2) * 2, 30 + row * 3.2
            if body.buffer(-3).contains(Point(x, y).buffer(2)):
                turn = np.linspace(0.15, np.pi - 0.15, 9)
                arc = [(x + 1.9 * np.cos(t), y + 1.9 * np.sin(t)) for t in turn]
                made.append(stroke("black", arc, 0.4, inside=0, family="scales", hint="texture"))
    for strand in range(8):
        turn = np.pi * (1.05 + strand * 0.12)
        inner, outer = 8.0, 19.0
        ends = [(35 + r * np.cos(turn), 30 + r * np.sin(turn)) for r in (inner, outer)]
        made.append(stroke("gold", ends, 1.4, inside=0, family="mane", hint="texture"))
    made.append(ring("black", (35, 30), 24, 1.6, hint="outline"))
    return made


def crest() -> list[Piece]:
    """A shield with a field, a bar, a chevron of columns and a border of rope strands in two colours."""
    shield = Polygon([(0, 0), (60, 0), (60, 38), (30, 70), (0, 38)])
    made = [Piece("navy", shield.buffer(-2), "fill")]
    made.append(Piece("red", box(6, 8, 54, 24), "fill", inside=0))
    made.append(stroke("gold", [(10, 50), (30, 34), (50, 50)], 3.0, inside=0))
    stems = (14, 22, 30, 38, 46)
    made += [stroke("white", [(x, 11), (x, 21)], 1.5, inside=1, hint="letter", family="line-1") for x in stems]
    edge = shield.buffer(-1).exterior
    for number, at in enumerate(np.arange(0, edge.length - 1.5, 1.8)):
        here, ahead = edge.interpolate(at), edge.interpolate(at + 0.4)
        across = np.array([ahead.y - here.y, here.x - ahead.x]) / here.distance(ahead)
        ends = [(here.x + s * across[0] * 1.0, here.y + s * across[1] * 1.0) for s in (-1, 1)]
        made.append(stroke("gold" if number % 2 else "white", ends, 1.8, hint="outline", family="rope"))
    return made


def bold_mark() -> list[Piece]:
    """Two flat colours, nothing fine: a disc with a bar through it."""
    return [Piece("red", Point(30, 30).buffer(30, 48), "fill"), Piece("white", box(8, 22, 52, 38), "fill", inside=0)]

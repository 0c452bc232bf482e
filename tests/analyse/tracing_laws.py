"""The laws of reading: what turns, mirrors, doubles or frames a picture does it to the drawing, and outlines tile."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image

from analyse import read_artwork
from analyse.tracing import trace
from analyse.values import Artwork, Drawing

Picture = NDArray[np.uint8]
Points = NDArray[np.float64]
WHITE = (255, 255, 255)
LABELS, OUTLINES_PX = 0.999, 0.1
MARGIN = (30, 20, 40, 10)  # px: top, bottom, left, right
SPOT_PX = 24


@dataclass(frozen=True, slots=True)
class Found:
    """How far a law holds: share of labels, RMS between outlines in px, whether the colours are the same."""

    labels: float
    outlines_px: float
    same_colours: bool

    @property
    def holds(self) -> bool:
        """Whether the law holds."""
        return self.labels >= LABELS and self.outlines_px <= OUTLINES_PX and self.same_colours


def artwork(rgb: Picture, alpha: Picture | None = None) -> Artwork:
    """A decoded picture as the artwork it is."""
    high, wide = rgb.shape[:2]
    clear = np.full((high, wide), 255, np.uint8) if alpha is None else alpha
    return Artwork(np.dstack([rgb, clear]), "art", "0" * 64, "png", (wide, high), np.eye(3))


def shown(drawing: Drawing) -> NDArray[np.int64]:
    """The colour at every pixel, as one number."""
    around = drawing.background.rgb if drawing.background else WHITE
    rows = np.array([*(colour.rgb for colour in drawing.palette), around])
    return np.asarray((rows @ np.array([65536, 256, 1]))[drawing.labels])


def edge_points(drawing: Drawing) -> tuple[Points, shapely.Geometry]:
    """Points every half px along all outlines, and the outlines as one geometry."""
    edges = shapely.union_all(shapely.boundary([region.outline for region in drawing.regions]))
    shapely.prepare(edges)
    return shapely.get_coordinates(shapely.segmentize(edges, 0.5)), edges


def outlines_apart(one: Drawing, other: Drawing, back: Callable[[Points], Points], scale: float = 1.0) -> float:
    """RMS distance, both ways, of outlines; `back` takes the other's points to the one's pixels."""
    points, edges = edge_points(one)
    turned = shapely.transform(edge_points(other)[1], back)
    shapely.prepare(turned)
    there = shapely.distance(shapely.points(points), turned)
    here = shapely.distance(shapely.points(shapely.get_coordinates(shapely.segmentize(turned, 0.5 * scale))), edges)
    return float(max(np.sqrt((there**2).mean()), np.sqrt((here**2).mean())))


def compared(one: Drawing, other: Drawing, labels: NDArray[np.int64], back: Callable[[Points], Points]) -> Found:
    """The law's figures: `labels` are the other's, brought back."""
    same = {colour.rgb for colour in one.palette} == {colour.rgb for colour in other.palette}
    return Found(float((labels == shown(one)).mean()), outlines_apart(one, other, back), same)


def turned(picture: Picture, one: Drawing) -> Found:
    """Turned by 90 degrees."""
    other = trace(artwork(np.ascontiguousarray(np.rot90(picture))))
    wide = picture.shape[1]
    return compared(one, other, np.rot90(shown(other), -1), lambda xy: np.stack([wide - xy[:, 1], xy[:, 0]], axis=1))


def mirrored(picture: Picture, one: Drawing) -> Found:
    """Left for right."""
    other = trace(artwork(np.ascontiguousarray(picture[:, ::-1])))
    wide = picture.shape[1]
    return compared(one, other, shown(other)[:, ::-1], lambda xy: np.stack([wide - xy[:, 0], xy[:, 1]], axis=1))


def doubled(picture: Picture, one: Drawing) -> Found:
    """Every pixel four: colours and outlines in the pixels of the file, whatever raster it was read on."""
    return enlarged(picture, one, 2)


def enlarged(picture: Picture, one: Drawing, side: int) -> Found:
    """Every pixel a block, `side` wide."""
    sent = picture.repeat(side, axis=0).repeat(side, axis=1)
    other = trace(artwork(sent))
    back = np.linalg.inv(other.from_picture)
    y, x = np.mgrid[: sent.shape[0], : sent.shape[1]]
    across, down = (np.stack([x + 0.5, y + 0.5], axis=-1) @ other.from_picture[:2, :2].T).astype(np.int64).T
    labels = shown(other)[down.T, across.T]
    found = compared(one, other, labels[::side, ::side], lambda xy: xy @ back[:2, :2].T / side)
    everywhere = labels == shown(one).repeat(side, axis=0).repeat(side, axis=1)
    return replace(found, labels=float(everywhere.mean()))


def framed(picture: Picture, one: Drawing) -> Found:
    """With a margin that is transparent."""
    top, bottom, left, right = MARGIN
    alpha = np.pad(np.full(picture.shape[:2], 255, np.uint8), ((top, bottom), (left, right)))
    other = trace(artwork(np.pad(picture, ((top, bottom), (left, right), (0, 0))), alpha))
    inside = shown(other)[top : -bottom or None, left : -right or None]
    return compared(one, other, inside, lambda xy: xy - [left, top])


def permuted(picture: Picture, one: Drawing) -> Found:
    """As a file with a palette, its indices the other way round: both such files against each other."""
    indexed = Image.fromarray(picture).quantize(64, dither=Image.Dither.NONE)
    backwards = indexed.remap_palette(list(range(int(np.asarray(indexed).max()) + 1))[::-1])
    drawings = []
    for image in (indexed, backwards):
        kept = BytesIO()
        image.save(kept, "PNG")
        drawings.append(trace(read_artwork(kept.getvalue())))
    return compared(drawings[0], drawings[1], shown(drawings[1]), lambda xy: xy)


def spotted(picture: Picture, drawing: Drawing) -> Found:
    """With a spot of a colour it has, far to the right."""
    wide = picture.shape[1]
    room = np.concatenate([picture, np.full((picture.shape[0], 6 * SPOT_PX, 3), 255, np.uint8)], axis=1)
    with_spot = room.copy()
    middle, at = picture.shape[0] // 2, wide + 4 * SPOT_PX
    darkest = min((colour.rgb for colour in drawing.palette), key=sum)
    with_spot[middle : middle + SPOT_PX, at : at + SPOT_PX] = darkest
    one, other = trace(artwork(room)), trace(artwork(with_spot))
    near = shown(other)[:, : wide + 2 * SPOT_PX] == shown(one)[:, : wide + 2 * SPOT_PX]
    points, _edges = edge_points(other)
    kept = points[points[:, 0] < wide + 2 * SPOT_PX]
    apart = shapely.distance(shapely.points(kept), edge_points(one)[1])
    same = {colour.rgb for colour in one.palette} == {colour.rgb for colour in other.palette}
    return Found(float(near.mean()), float(np.sqrt((apart**2).mean())), same)


def tiled(_: Picture, one: Drawing) -> Found:
    """Outlines are valid, a valid coverage, and their areas add up to that of their union within 1e-9."""
    outlines = [region.outline for region in one.regions]
    whole = shapely.union_all(outlines).area
    sound = bool(shapely.is_valid(outlines).all() and shapely.coverage_is_valid(outlines))
    return Found(float(sound), abs(sum(outline.area for outline in outlines) / whole - 1) * OUTLINES_PX / 1e-9, sound)


LAWS = {law.__name__: law for law in (turned, mirrored, doubled, framed, permuted, spotted, tiled)}

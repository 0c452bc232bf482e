"""What a person would otherwise put together, each told the true number of colours unless it says otherwise.

A peer reads (picture, number of colours) and answers (colours, labels). libimagequant and vtracer run if installed.
"""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from reading_art import Picture

Read = tuple[Picture, NDArray[np.int64]]
Peer = Callable[[Picture, int], Read]


def _nearest(picture: Picture, colours: NDArray[Any]) -> NDArray[np.int64]:
    best = np.full(picture.shape[:2], np.inf, np.float32)
    labels = np.zeros(picture.shape[:2], np.int64)
    for index, colour in enumerate(colours):
        apart = ((picture.astype(np.float32) - np.asarray(colour, np.float32)) ** 2).sum(axis=2)
        closer = apart < best
        best[closer], labels[closer] = apart[closer], index
    return labels


def _centres(points: NDArray[Any], count: int) -> NDArray[np.float32]:
    """OpenCV's k-means: the centres of (N, 3) points."""
    cv2.setRNGSeed(1)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 20, 0.5)
    return np.asarray(cv2.kmeans(points.astype(np.float32), count, None, stop, 3, cv2.KMEANS_PP_CENTERS)[2])


def _sample(picture: Picture) -> NDArray[Any]:
    return picture.reshape(-1, 3)[:: max(1, picture.size // 300_000)]


def kmeans(picture: Picture, count: int) -> Read:
    """OpenCV's k-means over a sample, every pixel to its nearest centre."""
    centres = _centres(_sample(picture), count)
    return np.rint(centres).astype(np.uint8), _nearest(picture, centres)


def kmeans_smoothed(picture: Picture, count: int) -> Read:
    """The same after bilateral and median smoothing."""
    return kmeans(np.asarray(cv2.medianBlur(cv2.bilateralFilter(picture, 7, 40, 5), 3)), count)


def median_cut(picture: Picture, count: int) -> Read:
    """Pillow's median cut."""
    found = Image.fromarray(picture).quantize(count, Image.Quantize.MEDIANCUT, kmeans=2)
    return np.array(found.getpalette()[: 3 * count], np.uint8).reshape(-1, 3), np.asarray(found).astype(np.int64)


def _region_graph(pieces: NDArray[np.int64], means: NDArray[Any], area: NDArray[Any]) -> Any:
    """What `skimage.graph.rag_mean_color` makes of (H, W) pieces, counted by numpy in place of pixel by pixel."""
    from skimage import graph

    high, wide = pieces.shape
    pairs = [
        np.stack([pieces[:, 1:].ravel(), pieces[:, :-1].ravel()], axis=1),
        np.stack([pieces[1:].ravel(), pieces[:-1].ravel()], axis=1),
        np.stack([pieces[1:, 1:].ravel(), pieces[: high - 1, : wide - 1].ravel()], axis=1),
        np.stack([pieces[1:, :-1].ravel(), pieces[:-1, 1:].ravel()], axis=1),
    ]
    low, top = (part(np.concatenate(pairs), axis=1) for part in (np.min, np.max))
    edges = np.unique((low * len(area) + top)[low != top])
    found = graph.RAG()
    for piece, (mean, size) in enumerate(zip(means, area, strict=True)):
        found.add_node(piece, **{"labels": [piece], "pixel count": size, "mean color": mean})
    for one, other in zip(edges // len(area), edges % len(area), strict=True):
        found.add_edge(int(one), int(other), weight=float(np.linalg.norm(means[one] - means[other])))
    return found


def _means(picture: Picture, pieces: NDArray[np.int64]) -> tuple[NDArray[Any], NDArray[Any]]:
    area = np.bincount(pieces.ravel())
    sums = [np.bincount(pieces.ravel(), picture[..., channel].ravel()) for channel in range(3)]
    return np.stack(sums, axis=1) / area[:, None], area


def graph_merging(picture: Picture, count: int) -> Read:
    """scikit-image: superpixels, then a region graph merged until the colours are as many as told."""
    from skimage import graph, segmentation

    pieces = segmentation.slic(picture, n_segments=1500, compactness=5, start_label=0)
    merged = graph.cut_threshold(pieces, _region_graph(pieces, *_means(picture, pieces)), 20)
    means, area = _means(picture, merged)
    weighted = np.repeat(means, np.maximum(area // 200, 1), axis=0)
    centres = _centres(weighted, min(count, len(weighted)))
    own = np.argmin(((means[:, None] - centres) ** 2).sum(axis=2), axis=1)
    return np.rint(centres).astype(np.uint8), own[merged]


def kmeans_by_silhouette(picture: Picture, _count: int) -> Read:
    """k-means with the number found by the best silhouette of a sample: not told."""
    from sklearn.metrics import silhouette_score

    few = picture.reshape(-1, 3)[:: max(1, picture.size // 3 // 1500)]
    best: tuple[float, int] = (-1.0, 2)
    for count in range(2, 13):
        own = _nearest(few[None], _centres(_sample(picture), count))[0]
        if len(np.unique(own)) > 1:
            best = max(best, (float(silhouette_score(few.astype(np.float32), own)), count))
    return kmeans(picture, best[1])


def imagequant(picture: Picture, count: int) -> Read:
    """The library libimagequant."""
    import libimagequant as liq

    attr = liq.Attr()
    attr.max_colors = count
    high, wide = picture.shape[:2]
    rgba = np.dstack([picture, np.full((high, wide), 255, np.uint8)])
    pixels = rgba.tobytes()  # must outlive the image
    image = attr.create_rgba(pixels, wide, high, 0)
    result = image.quantize(attr)
    result.dithering_level = 0.0
    labels = np.frombuffer(result.remap_image(image), np.uint8).reshape(high, wide)
    palette = np.array([[c.r, c.g, c.b] for c in result.get_palette()], np.uint8)
    return palette, labels.astype(np.int64)


def vtracer(picture: Picture, _count: int) -> Read:
    """The tracer vtracer at its own settings, drawn back; it cannot be told a number."""
    import resvg_py
    from vtracer import convert_raw_image_to_svg

    kept = BytesIO()
    Image.fromarray(picture).save(kept, "PNG")
    svg = convert_raw_image_to_svg(kept.getvalue(), img_format="png")
    png = bytes(resvg_py.svg_to_bytes(svg_string=svg, width=picture.shape[1], shape_rendering="crisp_edges"))
    drawn = np.asarray(Image.open(BytesIO(png)).convert("RGB"))
    packed, labels = np.unique(drawn.astype(np.int64) @ (65536, 256, 1), return_inverse=True)
    return np.stack([packed >> 16, packed >> 8 & 255, packed & 255], axis=1).astype(np.uint8), labels


def _installed(name: str) -> bool:
    from importlib.util import find_spec

    return find_spec(name) is not None


PEERS: dict[str, Peer] = {
    "k-means": kmeans,
    "k-means, smoothed": kmeans_smoothed,
    "k-means, silhouette": kmeans_by_silhouette,
    "median cut": median_cut,
    "graph merging": graph_merging,
}
if _installed("libimagequant"):
    PEERS["libimagequant"] = imagequant
if _installed("vtracer"):
    PEERS["vtracer"] = vtracer

"""How good a reading is, against the truth."""

from __future__ import annotations

from dataclasses import dataclass, fields

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from reading_art import Picture, Truth
from scipy.spatial import cKDTree

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.values import Drawing

NEAR_PX = 2
SAME_DE = 5.0
SLIVER_PX = 3  # least pixels of a sliver


@dataclass(frozen=True, slots=True)
class Score:
    """One picture's figures; shares 0..1."""

    count_right: float
    recall: float
    precision: float
    right: float
    right_at_edges: float
    right_in_thin: float
    slivers: float
    outline_rms_px: float = float("nan")
    found: int = 0
    true: int = 0

    def line(self) -> str:
        """In one line."""
        shares = (self.recall, self.precision, self.right, self.right_at_edges, self.right_in_thin)
        told = "".join(f"{100 * share:8.2f}" for share in shares)
        return f"{self.found:3}/{self.true:<3}{told}{self.slivers:6.0f}{self.outline_rms_px:7.3f}"


def score(colours: Picture, labels: NDArray[np.int64], truth: Truth, drawing: Drawing | None = None) -> Score:
    """Score a labelling: `colours` (K, 3) found, `labels` (H, W) into them."""
    apart = ciede2000(srgb_to_lab(colours)[:, None], srgb_to_lab(truth.colours)[None])
    as_true = np.argmin(apart, axis=1)[labels]
    right = as_true == truth.labels
    ring = cv2.dilate(edge_mask(truth.labels), np.ones((2 * NEAR_PX - 1, 2 * NEAR_PX - 1), np.uint8)) > 0
    return Score(
        float(len(colours) == len(truth.colours)),
        float((apart.min(axis=0) < SAME_DE).mean()),
        float((apart.min(axis=1) < SAME_DE).mean()),
        float(right.mean()),
        float(right[ring].mean()),
        float(right[truth.thin].mean()) if truth.thin.any() else float("nan"),
        float(slivers(labels, right)),
        outline_rms(drawing, truth.edge) if drawing else float("nan"),
        len(colours),
        len(truth.colours),
    )


def edge_mask(labels: Picture) -> Picture:
    """Pixels that touch an edge, on both sides."""
    same = cv2.dilate(labels, np.ones((3, 3), np.uint8)) == cv2.erode(labels, np.ones((3, 3), np.uint8))
    return (~same).astype(np.uint8)


def slivers(labels: NDArray[np.int64], right: NDArray[np.bool_]) -> int:
    """Connected pieces of one label of which most pixels are wrong."""
    found = 0
    for label in np.unique(labels):
        count, pieces, stats, _ = cv2.connectedComponentsWithStats((labels == label).astype(np.uint8), connectivity=8)
        wrong = np.bincount(pieces[~right], minlength=count)[1:]
        area = stats[1:, cv2.CC_STAT_AREA]
        found += int(((wrong > area / 2) & (area >= SLIVER_PX)).sum())
    return found


def outline_rms(drawing: Drawing, edge: NDArray[np.float32]) -> float:
    """RMS distance in picture px of our outlines, every half pixel along them, to the true ones."""
    lines = shapely.segmentize(shapely.boundary([region.outline for region in drawing.regions]), 0.5)
    points = shapely.get_coordinates(lines)
    back = np.linalg.inv(drawing.from_picture)
    points = points @ back[:2, :2].T + back[:2, 2]
    high, wide = drawing.artwork.file_px[1], drawing.artwork.file_px[0]
    inside = (points > 0.6).all(axis=1) & (points[:, 0] < wide - 0.6) & (points[:, 1] < high - 0.6)
    apart, _ = cKDTree(edge).query(points[inside])
    return float(np.sqrt((apart**2).mean()))


def table(scores: dict[str, dict[str, list[Score]]]) -> str:
    """Mean, median and 10th percentile (worst tenth) of every figure, by state and reader."""
    names = [field.name for field in fields(Score)][:8]
    rows = [f"{'state':14}{'pictures':>9} {'reader':22}" + "".join(f"{name[:20]:>24}" for name in names)]
    for state, by_reader in scores.items():
        for reader, found in by_reader.items():
            cells = []
            for name in names:
                values = np.array([getattr(one, name) for one in found])
                values = values[np.isfinite(values)]
                if not len(values):
                    cells.append(f"{'-':>24}")
                    continue
                worst = np.percentile(values, 90 if name in {"slivers", "outline_rms_px"} else 10)
                scale = 1 if name in {"slivers", "outline_rms_px"} else 100
                figures = f"{values.mean() * scale:.2f} {np.median(values) * scale:.2f} {worst * scale:.2f}"
                cells.append(f"{figures:>24}")
            rows.append(f"{state:14}{len(found):9} {reader:22}" + "".join(cells))
    return "\n".join(rows)

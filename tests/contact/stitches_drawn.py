"""A part drawn with its stitches and needle points, and many of them set on one sheet."""

from __future__ import annotations

import cv2
import numpy as np
import shapely

from plans.values import Lay, Move, Sewing, Trail

PX_PER_MM = 8 * 96 / 25.4
INK = {Lay.TIE: (0, 120, 255), Lay.UNDERLAY: (90, 170, 60), Lay.TOP: (190, 110, 40), Lay.TRAVEL: (40, 40, 230)}


def draw(title: str, sewing: Sewing, trail: Trail) -> np.ndarray:
    """One part with its stitches: the shape grey, each lay in its ink, jumps thin, a needle point a dot."""
    low = np.minimum(np.array(sewing.shape.bounds[:2]), trail.xy.min(axis=0) if len(trail.xy) else np.inf) - 1.0
    high = np.maximum(np.array(sewing.shape.bounds[2:]), trail.xy.max(axis=0) if len(trail.xy) else -np.inf) + 1.0
    size = np.ceil((high - low) * PX_PER_MM).astype(int)
    picture = np.full((size[1] + 24, max(size[0], 260), 3), 255, np.uint8)

    def px(xy: np.ndarray) -> np.ndarray:
        return np.round(((np.asarray(xy) - low) * PX_PER_MM + [0, 24]) * 16).astype(np.int32)

    rings = [ring for p in shapely.get_parts(sewing.shape) for ring in (p.exterior, *p.interiors)]
    cv2.fillPoly(picture, [px(shapely.get_coordinates(r)) for r in rings], (228, 228, 228), cv2.LINE_AA, 4)
    points = px(trail.xy)
    for i in range(1, len(points)):
        ink = (200, 0, 200) if trail.move[i] >= Move.JUMP else INK[Lay(int(trail.lay[i]))]
        thick = 1 if trail.move[i] >= Move.JUMP else 2
        cv2.line(picture, points[i - 1], points[i], ink, thick, cv2.LINE_AA, 4)
    for point in points:
        cv2.circle(picture, point, 28, (0, 0, 0), -1, cv2.LINE_AA, 4)
    if len(points):
        cv2.circle(picture, points[0], 110, (0, 160, 0), 2, cv2.LINE_AA, 4)
        cv2.circle(picture, points[-1], 110, (0, 0, 200), 2, cv2.LINE_AA, 4)
    jumps = int((trail.move[1:] >= Move.JUMP).sum())
    text = f"{title}  {len(trail.xy) - 1} st, travel {int((trail.move == Move.TRAVEL).sum())}, jumps {jumps}"
    cv2.putText(picture, text, (4, 16), cv2.FONT_HERSHEY_SIMPLEX, 0.45, (0, 0, 0), 1, cv2.LINE_AA)
    return picture


def sheet(cells: list[np.ndarray], width: int = 2200) -> np.ndarray:
    """The cells set in lines, white between them."""
    lines: list[list[np.ndarray]] = [[]]
    for cell in cells:
        if lines[-1] and sum(c.shape[1] + 12 for c in lines[-1]) + cell.shape[1] > width:
            lines.append([])
        lines[-1].append(cell)
    made = []
    for line in lines:
        tall = max(c.shape[0] for c in line)
        row = np.full((tall + 12, max(width, sum(c.shape[1] + 12 for c in line)), 3), 255, np.uint8)
        x = 0
        for cell in line:
            row[: cell.shape[0], x : x + cell.shape[1]] = cell
            x += cell.shape[1] + 12
        made.append(row)
    wide = max(row.shape[1] for row in made)
    return np.concatenate([np.pad(r, ((0, 0), (0, wide - r.shape[1]), (0, 0)), constant_values=255) for r in made])

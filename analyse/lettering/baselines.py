"""The curve a line of letters stands on: straight at any angle, or a circle read from outside or inside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from analyse.values import Floats

FLAT = 0.03  # an arc that rises less than this many letter heights over its length is straight
CLOSER = 0.6  # and a circle is taken only if it lies this much nearer the letters
FLATTEST = 400.0  # radius in letter heights beyond which an arc is straight
FLATTEST_SPREAD = 1e-12  # points that spread less across their way than along it, both squared, are on a line


@dataclass(frozen=True, slots=True)
class Baseline:
    """A straight baseline through `origin` in the direction `angle`, or a circle.

    side: of a circle, 1.0 if the letters stand on it outwards (read clockwise), -1.0 if inwards; its `angle` is where
    ways along it are counted from.
    """

    origin: tuple[float, float]
    angle: float = 0.0
    radius: float = 0.0
    side: float = 1.0

    @property
    def straight(self) -> bool:
        """Whether it is no circle."""
        return self.radius == 0.0

    def frames(self, centres: Floats) -> tuple[Floats, Floats]:
        """Up and along, each (N, 2), at these points."""
        if self.straight:
            along = np.empty_like(centres)
            along[:] = np.cos(self.angle), np.sin(self.angle)
        else:
            out = (centres - self.origin) * self.side
            out /= np.maximum(np.hypot(out[:, 0], out[:, 1]), 1e-9)[:, None]
            along = out[:, ::-1] * (-1.0, 1.0)
        return along[:, ::-1] * (1.0, -1.0), along


@dataclass(frozen=True, slots=True, eq=False)
class Stand:
    """How shapes stand on a baseline, (N,) each, in px: bottom and top above it, start and end along it.

    foot: (N, 2), the point below each shape's middle at the height of its bottom.
    """

    bottom: Floats
    top: Floats
    start: Floats
    end: Floats
    foot: Floats


def stand(baseline: Baseline, hulls: Floats, centre: Floats) -> Stand:
    """Each shape upright in its own frame on the baseline; a shape's frame is that at its own middle."""
    return _on_line(baseline, hulls, centre) if baseline.straight else _on_circle(baseline, hulls, centre)


def _on_line(baseline: Baseline, hulls: Floats, _: Floats) -> Stand:
    cos, sin, origin = np.cos(baseline.angle), np.sin(baseline.angle), np.array(baseline.origin)
    along, up = np.array([cos, sin]), np.array([sin, -cos])
    x, y = hulls[:, :, 0], hulls[:, :, 1]
    way, level = x * cos + y * sin, x * sin - y * cos
    start, end = way.min(axis=1) - origin @ along, way.max(axis=1) - origin @ along
    bottom, top = level.min(axis=1) - origin @ up, level.max(axis=1) - origin @ up
    foot = origin + ((start + end) / 2.0)[:, None] * along + bottom[:, None] * up
    return Stand(bottom, top, start, end, foot)


def _on_circle(baseline: Baseline, hulls: Floats, centre: Floats) -> Stand:
    _, along = baseline.frames(centre)
    x, y = hulls[:, :, 0], hulls[:, :, 1]
    way = x * along[:, :1] + y * along[:, 1:]
    low, high = way.min(axis=1), way.max(axis=1)
    centre = centre + along * ((high + low) / 2.0 - (centre * along).sum(axis=1))[:, None]
    up, _ = baseline.frames(centre)
    level = x * up[:, :1] + y * up[:, 1:]
    bottom, top, here = level.min(axis=1), level.max(axis=1), (centre * up).sum(axis=1)
    foot = centre + up * (bottom - here)[:, None]
    half, out = (high - low) / 2.0, centre - baseline.origin
    zero = here - (out * up).sum(axis=1) + baseline.side * baseline.radius
    turn = np.arctan2(out[:, 1], out[:, 0]) - baseline.angle
    position = baseline.side * ((turn + np.pi) % (2.0 * np.pi) - np.pi) * baseline.radius
    return Stand(bottom - zero, top - zero, position - half, position + half, foot)


def fitted(feet: Floats, height: float, up: Floats) -> Baseline:
    """The baseline through these points: a circle only where they ask for one. up: (N, 2), which way is up there."""
    line = straight_through(feet, up)
    circle = _circle(feet, up) if len(feet) > 2 else None
    if circle is None or circle.radius > FLATTEST * height:
        return line
    length = float(np.hypot(*np.ptp(feet, axis=0)))
    rise = circle.radius - np.sqrt(max(circle.radius**2 - (length / 2.0) ** 2, 0.0))
    off_circle = np.hypot(*(feet - circle.origin).T) - circle.radius
    ahead = np.array([-np.sin(line.angle), np.cos(line.angle)])
    off_line = (feet - line.origin) @ ahead
    bends = rise > FLAT * height and np.sqrt((off_circle**2).mean()) < CLOSER * np.sqrt((off_line**2).mean())
    return circle if bends else line


def straight_through(feet: Floats, up: Floats) -> Baseline:
    """The straight baseline nearest these points: along the longer axis of their spread."""
    middle = feet.mean(axis=0)
    x, y = (feet - middle).T
    turn = 0.5 * float(np.arctan2(2.0 * (x @ y), x @ x - y @ y))
    along = np.array([np.cos(turn), np.sin(turn)])
    if along[1] * up[:, 0].mean() - along[0] * up[:, 1].mean() < 0:
        along = -along
    return Baseline((float(middle[0]), float(middle[1])), float(np.arctan2(along[1], along[0])))


def _circle(feet: Floats, up: Floats) -> Baseline | None:
    """Least squares (Kasa) in coordinates about their middle."""
    middle = feet.mean(axis=0)
    out = feet - middle
    square = (out**2).sum(axis=1)
    spread, bulge = out.T @ out, out.T @ square / 2.0
    across = float(spread[0, 0] * spread[1, 1] - spread[0, 1] ** 2)
    if across <= FLATTEST_SPREAD * float(np.trace(spread)) ** 2:
        return None
    x = float(spread[1, 1] * bulge[0] - spread[0, 1] * bulge[1]) / across
    y = float(spread[0, 0] * bulge[1] - spread[0, 1] * bulge[0]) / across
    radius = float(np.sqrt(square.mean() + x * x + y * y))
    centre = middle + np.array([x, y])
    side = float(np.sign(((feet - centre) * up).sum())) or 1.0
    return Baseline((float(centre[0]), float(centre[1])), _open_side(feet - centre), radius, side)


def _open_side(out: Floats) -> float:
    """The direction opposite the middle of the widest gap, so that positions round the circle jump where nothing is."""
    turn = np.sort(np.arctan2(out[:, 1], out[:, 0]))
    gaps = np.diff(np.append(turn, turn[0] + 2.0 * np.pi))
    widest = int(gaps.argmax())
    return float(turn[widest] + gaps[widest] / 2.0 + np.pi)


def pair_baseline(hulls: Floats, centres: Floats, upward: float) -> Baseline:
    """The straight line on which two shapes stand: the tangent to both from below (from above, if upward is -1)."""
    foot, other = centres
    for _ in range(3):
        along = (other - foot) / max(float(np.hypot(*(other - foot))), 1e-9)
        along = along * upward
        up = np.array([along[1], -along[0]])
        feet = []
        for hull in hulls:
            way = hull @ along
            middle = (way.max() + way.min()) / 2.0
            feet.append(along * middle + up * float((hull @ up).min()))
        foot, other = feet
    along = (other - foot) * upward
    return Baseline((float(foot[0]), float(foot[1])), float(np.arctan2(along[1], along[0])))

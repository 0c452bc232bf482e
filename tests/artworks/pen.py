"""Paths for the demo artworks: smooth curves through points, tapered strokes, lettering as outlines.

Points are complex numbers (x + yj), y down, in the picture's own units. The smooth curves are those of John Hobby,
"Smooth, easy to compute interpolating splines" (1986), as used by METAFONT.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Point = complex
Points = Sequence[complex]


class Corner(complex):
    """A point at which a curve turns sharply instead of running through smoothly."""


@dataclass(frozen=True)
class Path:
    """Drawing commands with absolute points: M, L, C (two controls and the end) and Z."""

    commands: tuple[tuple[str, tuple[complex, ...]], ...] = ()

    def __add__(self, other: Path) -> Path:
        return Path(self.commands + other.commands)

    def mapped(self, change: Callable[[complex], complex]) -> Path:
        return Path(tuple((name, tuple(change(z) for z in points)) for name, points in self.commands))

    def moved(self, by: complex) -> Path:
        return self.mapped(lambda z: z + by)

    def scaled(self, factor: float, about: complex = 0j) -> Path:
        return self.mapped(lambda z: about + factor * (z - about))

    def turned(self, degrees: float, about: complex = 0j) -> Path:
        """Turned clockwise as seen (y runs down)."""
        turn = cmath.exp(1j * math.radians(degrees))
        return self.mapped(lambda z: about + turn * (z - about))

    def mirrored(self, x: float) -> Path:
        """Mirrored left to right about the upright line at x."""
        return self.mapped(lambda z: complex(2 * x - z.real, z.imag))

    def split(self, pieces: int) -> Path:
        """The same path with every line and curve cut into pieces, so that it can be bent without kinks."""
        commands: list[tuple[str, tuple[complex, ...]]] = []
        here = first = 0j
        for name, zs in (*self.commands,):
            if name == "M":
                first = zs[0]
            if name in "MZ":
                if name == "Z" and abs(first - here) > 1e-6:
                    commands += _split_curve(here, _as_curve(here, first), pieces)
                commands.append((name, zs))
                here = zs[0] if zs else first
                continue
            commands += _split_curve(here, zs if name == "C" else _as_curve(here, zs[0]), pieces)
            here = zs[-1]
        return Path(tuple(commands))

    def d(self) -> str:
        def number(value: float) -> str:
            return f"{value:.1f}".rstrip("0").rstrip(".").replace("-0", "0") if abs(value) < 0.05 else f"{value:.1f}"

        def plain(value: float) -> str:
            text = number(value)
            return text.removesuffix(".0")

        return "".join(name + " ".join(f"{plain(z.real)},{plain(z.imag)}" for z in zs) for name, zs in self.commands)

    def flattened(self, steps: int = 16) -> list[NDArray[np.complex128]]:
        """Each subpath as a chain of points."""
        chains: list[list[complex]] = []
        for name, zs in self.commands:
            if name == "M":
                chains.append([zs[0]])
            elif name == "L":
                chains[-1].append(zs[0])
            elif name == "C":
                chains[-1].extend(_bezier(chains[-1][-1], zs, steps))
        return [np.array(chain) for chain in chains]


def _bezier(start: complex, zs: Sequence[complex], steps: int) -> list[complex]:
    t = np.arange(1, steps + 1) / steps
    s = 1 - t
    return list(s**3 * start + 3 * s * s * t * zs[0] + 3 * s * t * t * zs[1] + t**3 * zs[2])


def _as_curve(start: complex, end: complex) -> tuple[complex, ...]:
    return (start + (end - start) / 3, start + (end - start) * 2 / 3, end)


def _split_curve(start: complex, zs: Sequence[complex], pieces: int) -> list[tuple[str, tuple[complex, ...]]]:
    """De Casteljau's halving, at equal steps of the parameter."""
    cut = []
    points = (start, *zs)
    for left in range(pieces, 0, -1):
        t = 1 / left
        a, b, c, d = points
        ab, bc, cd = a + t * (b - a), b + t * (c - b), c + t * (d - c)
        abc, bcd = ab + t * (bc - ab), bc + t * (cd - bc)
        middle = abc + t * (bcd - abc)
        cut.append(("C", (ab, abc, middle)))
        points = (middle, bcd, cd, d)
    return cut


def both(path: Path, x: float) -> Path:
    """A path and its mirror image about the upright line at x."""
    return path + path.mirrored(x)


# ---------------------------------------------------------------- smooth curves


def _reach(theta: float, phi: float) -> float:
    """Hobby's length of a control arm, as a share of the chord."""
    bulge = math.sqrt(2) * (math.sin(theta) - math.sin(phi) / 16) * (math.sin(phi) - math.sin(theta) / 16)
    top = 2 + bulge * (math.cos(theta) - math.cos(phi))
    return top / (3 * (1 + 0.5 * (math.sqrt(5) - 1) * math.cos(theta) + 0.5 * (3 - math.sqrt(5)) * math.cos(phi)))


def _open_thetas(chords: NDArray[np.complex128], psi: NDArray[np.float64]) -> NDArray[np.float64]:
    count = len(chords) + 1
    length = np.abs(chords)
    matrix, right = np.zeros((count, count)), np.zeros(count)
    matrix[0, :2], right[0] = 1, -psi[1]
    matrix[-1, -2:] = 1
    for k in range(1, count - 1):
        before, after = 1 / length[k - 1], 1 / length[k]
        matrix[k, k - 1 : k + 2] = before, 2 * before + 2 * after, after
        right[k] = -2 * before * psi[k] - after * psi[k + 1]
    return np.linalg.solve(matrix, right)


def _closed_thetas(chords: NDArray[np.complex128], psi: NDArray[np.float64]) -> NDArray[np.float64]:
    count = len(chords)
    length = np.abs(chords)
    matrix, right = np.zeros((count, count)), np.zeros(count)
    for k in range(count):
        before, after = 1 / length[k - 1], 1 / length[k]
        matrix[k, k - 1] += before
        matrix[k, k] += 2 * before + 2 * after
        matrix[k, (k + 1) % count] += after
        right[k] = -2 * before * psi[k] - after * psi[(k + 1) % count]
    return np.linalg.solve(matrix, right)


def _pieces(points: Points, closed: bool) -> list[tuple[str, tuple[complex, ...]]]:
    z = np.array([complex(p) for p in points])
    if len(z) == 2 and not closed:
        return [("L", (complex(z[1]),))]
    chords = (np.roll(z, -1) - z) if closed else np.diff(z)
    turns = np.angle(chords / np.roll(chords, 1))
    psi = turns if closed else np.concatenate([[0.0], turns[1:], [0.0]])
    thetas = (_closed_thetas if closed else _open_thetas)(chords, psi)
    pieces = []
    for k, chord in enumerate(chords):
        following = (k + 1) % len(z)
        theta, phi = thetas[k], -psi[following] - thetas[following]
        first = z[k] + cmath.exp(1j * theta) * chord * _reach(theta, phi)
        second = z[following] - cmath.exp(-1j * phi) * chord * _reach(phi, theta)
        pieces.append(("C", (complex(first), complex(second), complex(z[following]))))
    return pieces


def curve(points: Points) -> Path:
    """An open smooth curve through the points, sharp at each Corner; two corners in a row make a straight line."""
    breaks = [0, *(k for k in range(1, len(points) - 1) if isinstance(points[k], Corner)), len(points) - 1]
    commands: list[tuple[str, tuple[complex, ...]]] = [("M", (complex(points[0]),))]
    for start, end in pairwise(breaks):
        commands += _pieces(points[start : end + 1], closed=False)
    return Path(tuple(commands))


def shape(points: Points) -> Path:
    """A closed smooth outline through the points, sharp at each Corner."""
    corners = [k for k, point in enumerate(points) if isinstance(point, Corner)]
    if corners:
        turned = [*points[corners[0] :], *points[: corners[0]]]
        return Path((*curve([*turned, turned[0]]).commands, ("Z", ())))
    return Path((("M", (complex(points[0]),)), *_pieces(points, closed=True), ("Z", ())))


def polygon(points: Points) -> Path:
    return Path((("M", (complex(points[0]),)), *(("L", (complex(p),)) for p in points[1:]), ("Z", ())))


def line(*points: complex) -> Path:
    return Path((("M", (complex(points[0]),)), *(("L", (complex(p),)) for p in points[1:])))


def xy(*numbers: float | str) -> list[complex]:
    """Points: from a text, "x,y x,y! x,y" with a mark after each corner, or from a flat run of numbers and "c"s."""
    if len(numbers) == 1 and isinstance(numbers[0], str):
        return [_point(word) for word in numbers[0].split()]
    points: list[complex] = []
    held: list[float] = []
    for number in numbers:
        if isinstance(number, str):
            points[-1] = Corner(points[-1])
            continue
        held.append(number)
        if len(held) == 2:
            points.append(complex(*held))
            held = []
    return points


def _point(word: str) -> complex:
    x, y = word.rstrip("!").split(",")
    return Corner(float(x), float(y)) if word.endswith("!") else complex(float(x), float(y))


# ---------------------------------------------------------------- plain shapes


def ellipse(centre: complex, rx: float, ry: float | None = None, turn: float = 0.0) -> Path:
    ry = rx if ry is None else ry
    k = 4 / 3 * math.tan(math.pi / 8)
    quarter = [(1, 0), (1, k), (k, 1), (0, 1), (-k, 1), (-1, k), (-1, 0), (-1, -k), (-k, -1), (0, -1), (k, -1), (1, -k)]
    zs = [complex(x * rx, y * ry) for x, y in quarter]
    zs.append(zs[0])
    commands = [("M", (zs[0],)), *(("C", tuple(zs[i : i + 3])) for i in (1, 4, 7, 10)), ("Z", ())]
    return Path(tuple(commands)).turned(turn).moved(centre)


def rectangle(x: float, y: float, width: float, height: float, radius: float = 0.0) -> Path:
    if not radius:
        return polygon([complex(x, y), complex(x + width, y), complex(x + width, y + height), complex(x, y + height)])
    r, k = radius, radius * (1 - 4 / 3 * math.tan(math.pi / 8))
    right, bottom = x + width, y + height
    rows = [
        ("M", (x + r, y)), ("L", (right - r, y)), ("C", (right - k, y, right, y + k, right, y + r)),
        ("L", (right, bottom - r)), ("C", (right, bottom - k, right - k, bottom, right - r, bottom)),
        ("L", (x + r, bottom)), ("C", (x + k, bottom, x, bottom - k, x, bottom - r)),
        ("L", (x, y + r)), ("C", (x, y + k, x + k, y, x + r, y)), ("Z", ()),
    ]  # fmt: skip
    return Path(tuple((name, tuple(xy(*numbers))) for name, numbers in rows))


def arc(centre: complex, radius: float, start: float, end: float) -> list[complex]:
    """Points along a circle from one angle to another, degrees clockwise as seen from +x."""
    count = max(3, math.ceil(abs(end - start) / 30) + 1)
    return [centre + cmath.rect(radius, math.radians(a)) for a in np.linspace(start, end, count)]


def brush(points: Points, widths: Sequence[float], samples: int = 14) -> Path:
    """A stroke along a smooth line whose width swells and tapers: widths are spread evenly along its length."""
    chain = curve(points).flattened()[0]
    along = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(chain)))])
    where = np.linspace(0, along[-1], samples)
    centre = np.interp(where, along, chain.real) + 1j * np.interp(where, along, chain.imag)
    direction = np.gradient(centre)
    half = np.interp(where, np.linspace(0, along[-1], len(widths)), widths) / 2
    offset = 1j * direction / np.abs(direction) * half
    there, back = list(centre + offset), list((centre - offset)[::-1])
    ends = [Corner(there[0]), *there[1:-1], Corner(there[-1])]
    if half[-1] > 0:
        ends.append(Corner(back[0]))
    ends += back[1:-1]
    if half[0] > 0:
        ends.append(Corner(back[-1]))
    return shape(ends)


def bent_to_ring(path: Path, centre: complex, radius: float, at: float, pieces: int = 1) -> Path:
    """Bend: x becomes the way round a circle (clockwise from `at`, degrees, 0 at the top), -y the way outwards."""

    def bend(z: complex) -> complex:
        return centre + cmath.rect(radius - z.imag, math.radians(at - 90) + z.real / radius)

    return path.split(pieces).mapped(bend)


def joined(paths: Iterable[Path]) -> Path:
    return Path(tuple(command for path in paths for command in path.commands))

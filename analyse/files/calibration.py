"""A PNG's own numbers for what its colours mean, its gamma and primaries, to sRGB."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from analyse.values import Floats

# sRGB, IEC 61966-2-1: x, y of white, red, green and blue, and the gamma a PNG states for it.
_SRGB = (0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06)
_SRGB_GAMMA = 1 / 2.2
# Stated as these, within so much, they are sRGB's own; outside the range they are no gamma.
_SAME_XY, _SAME_GAMMA = 0.004, 0.01
_LEAST_GAMMA, _MOST_GAMMA = 0.1, 4.0


@dataclass(frozen=True, slots=True)
class Calibration:
    """gamma: samples are light to this power; None for sRGB's own curve.

    chromaticity: x, y of white, red, green, blue.
    """

    gamma: float | None
    chromaticity: tuple[float, ...]


def calibration_of(image: Image.Image) -> Calibration | None:
    """What the PNG states, where that is another thing than sRGB; its sRGB mark takes precedence.

    Source: PNG, W3C Recommendation, sections 11.3.2.1, 11.3.2.2 and 11.3.2.5.
    """
    if "srgb" in image.info or image.format != "PNG":
        return None
    gamma = float(image.info.get("gamma", _SRGB_GAMMA))
    chromaticity = tuple(float(value) for value in image.info.get("chromaticity", _SRGB))
    if not _LEAST_GAMMA <= gamma <= _MOST_GAMMA:
        return None
    if not _is_sound(chromaticity) or np.allclose(chromaticity, _SRGB, atol=_SAME_XY):
        chromaticity = _SRGB
    own = None if abs(gamma - _SRGB_GAMMA) <= _SAME_GAMMA else gamma
    return Calibration(own, chromaticity) if own or chromaticity != _SRGB else None


def _is_sound(chromaticity: tuple[float, ...]) -> bool:
    if len(chromaticity) != 8 or not all(0 < value < 1 for value in chromaticity):
        return False
    return bool(abs(np.linalg.det(_xyz(chromaticity)[:, 1:])) > 1e-3)


def calibrated(rgb: NDArray[np.uint8], calibration: Calibration) -> NDArray[np.uint8]:
    """(H, W, 3) samples as sRGB; white stays white, colours beyond sRGB are cut."""
    sample = np.arange(256) / 255.0
    light = _decoded(sample) if calibration.gamma is None else sample ** (1 / calibration.gamma)
    if calibration.chromaticity == _SRGB:
        return np.asarray(_encoded(light)[rgb], np.uint8)
    matrix = np.linalg.inv(_to_xyz(_SRGB)) @ _adapted(calibration.chromaticity) @ _to_xyz(calibration.chromaticity)
    steps = np.rint(_encoded(np.linspace(0, 1, 4096))).astype(np.uint8)
    linear = light.astype(np.float32)[rgb] @ matrix.T.astype(np.float32)
    return np.asarray(steps[np.rint(linear.clip(0, 1) * 4095).astype(np.uint16)])


def _decoded(value: Floats) -> Floats:
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def _encoded(light: Floats) -> Floats:
    """Values in sRGB, 0 to 255, whole, of linear light."""
    values = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(255 * values), float)


def _xyz(chromaticity: tuple[float, ...]) -> Floats:
    """X, Y, Z of white, red, green and blue as columns, Y being 1."""
    x, y = np.array(chromaticity).reshape(4, 2).T
    return np.stack([x / y, np.ones(4), (1 - x - y) / y])


def _to_xyz(chromaticity: tuple[float, ...]) -> Floats:
    xyz = _xyz(chromaticity)
    return xyz[:, 1:] * np.linalg.solve(xyz[:, 1:], xyz[:, 0])


def _adapted(chromaticity: tuple[float, ...]) -> Floats:
    """Its white to sRGB's, in the cones' own space. Source: Bradford matrix, ICC.1:2010, annex E."""
    cones = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    wanted, given = cones @ _xyz(_SRGB)[:, 0], cones @ _xyz(chromaticity)[:, 0]
    return np.asarray(np.linalg.inv(cones) @ np.diag(wanted / given) @ cones)

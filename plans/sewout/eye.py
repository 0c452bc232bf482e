"""What is left of the picture at arm's length."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from plans.sewout.frame import MM_PER_INCH
from plans.sewout.tones import to_linear, to_srgb

DISTANCE_MM = 600.0
ACUITY_ARC_MIN = 1.0
"""Normal sight tells two lines apart whose strokes and gaps are one minute of arc wide (Snellen 1862)."""
CONTRAST_LEFT = 0.1
"""Of a grating that fine, this much contrast is left: the blur that makes it so stands for the eye."""


def blur_mm(distance_mm: float = DISTANCE_MM) -> float:
    """Sigma of the Gaussian that stands for the eye at that distance: 0.12 mm at 600 mm."""
    period = 2 * distance_mm * math.tan(math.radians(ACUITY_ARC_MIN / 60))
    return period * math.sqrt(-math.log(CONTRAST_LEFT) / 2) / math.pi


def at_arms_length(picture: NDArray[np.uint8], dpi: float) -> NDArray[np.uint8]:
    """The picture as seen at 600 mm, same size; blurred in linear light."""
    sigma = blur_mm() * dpi / MM_PER_INCH
    return to_srgb(np.asarray(cv2.GaussianBlur(to_linear(picture), (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)))

"""Colours as the file means them, to sRGB: embedded profiles, a PNG's own gamma, CMYK, Lab."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image, ImageCms

from analyse.files.calibration import Calibration, calibrated

# What a profile of that colour space may be applied to.
_SPACES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK", "LAB": "LAB"}


def to_srgb(picture: Image.Image, meant: bytes | Calibration | None) -> tuple[Image.Image, tuple[str, ...]]:
    """`picture` (L, RGB, CMYK, LAB or another mode Pillow converts) as RGB in sRGB, and notes on how.

    meant: an embedded profile, or what a PNG states. Perceptual intent. A profile that is broken, or is for another
    kind of picture, is left out and noted.
    """
    if isinstance(meant, Calibration):
        rgb = calibrated(np.asarray(picture.convert("RGB")), meant)
        return Image.fromarray(rgb), ("colours were converted from the gamma and primaries in the file to sRGB",)
    if meant:
        converted = _through(picture, meant)
        if converted is not None:
            return converted
        return _plain(picture)[0], ("the embedded colour profile does not fit the picture and was left out",)
    return _plain(picture)


def _through(picture: Image.Image, profile: bytes) -> tuple[Image.Image, tuple[str, ...]] | None:
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        fitting = _in_space(picture, _SPACES.get(source.profile.xcolor_space.strip()))
        if fitting is None:
            return None
        about = (source.profile.profile_description or "").strip()
        if fitting.mode == "RGB" and about.lower().startswith("srgb"):
            return fitting, ()
        target = ImageCms.createProfile("sRGB")
        result = ImageCms.profileToProfile(fitting, source, target, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    if result is None:
        return None
    return result, ("colours were converted from the profile in the file to sRGB",)


def _in_space(picture: Image.Image, mode: str | None) -> Image.Image | None:
    """`picture` in the mode the profile is for: a grey one may be stored as colour, or have a colour's profile."""
    if picture.mode == mode:
        return picture
    if mode == "RGB" and picture.mode == "L":
        return picture.convert("RGB")
    if mode == "L" and picture.mode == "RGB":
        red, green, blue = picture.split()
        return red if red.tobytes() == green.tobytes() == blue.tobytes() else None
    return None


def _plain(picture: Image.Image) -> tuple[Image.Image, tuple[str, ...]]:
    if picture.mode == "CMYK":
        note = "CMYK without a profile: the colours are approximate; ask which inks are meant, or for an RGB file"
        return picture.convert("RGB"), (note,)
    if picture.mode == "LAB":
        lab, srgb = ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB")
        converted = ImageCms.profileToProfile(picture, lab, srgb, outputMode="RGB")
        return converted or picture.convert("RGB"), ()
    return picture if picture.mode == "RGB" else picture.convert("RGB"), ()

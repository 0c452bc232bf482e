"""Colours as the file means them, to sRGB: embedded profiles, CMYK, Lab."""

from __future__ import annotations

import io

from PIL import Image, ImageCms

# What a profile of that colour space may be applied to.
_SPACES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK", "LAB": "LAB"}


def to_srgb(picture: Image.Image, profile: bytes | None) -> tuple[Image.Image, tuple[str, ...]]:
    """`picture` (L, RGB, CMYK, LAB or another mode Pillow converts) as RGB in sRGB, and notes on how.

    Perceptual intent. A profile that is broken, or is for another kind of picture, is left out and noted.
    """
    if profile:
        converted = _through(picture, profile)
        if converted is not None:
            return converted
        return _plain(picture)[0], ("the embedded colour profile does not fit the picture and was left out",)
    return _plain(picture)


def _through(picture: Image.Image, profile: bytes) -> tuple[Image.Image, tuple[str, ...]] | None:
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        if _SPACES.get(source.profile.xcolor_space.strip()) != picture.mode:
            return None
        about = (source.profile.profile_description or "").strip()
        if picture.mode == "RGB" and about.lower().startswith("srgb"):
            return picture, ()
        target = ImageCms.createProfile("sRGB")
        result = ImageCms.profileToProfile(picture, source, target, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
        return None
    if result is None:
        return None
    return result, ("colours were converted from the profile in the file to sRGB",)


def _plain(picture: Image.Image) -> tuple[Image.Image, tuple[str, ...]]:
    if picture.mode == "CMYK":
        note = "CMYK without a profile: colours on screen are approximate; ask for the inks or a profile"
        return picture.convert("RGB"), (note,)
    if picture.mode == "LAB":
        lab, srgb = ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB")
        converted = ImageCms.profileToProfile(picture, lab, srgb, outputMode="RGB")
        return converted or picture.convert("RGB"), ()
    return picture if picture.mode == "RGB" else picture.convert("RGB"), ()

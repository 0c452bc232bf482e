"""What colour a garment's colour word means: `navy` on a garment is far darker than on a screen.

Which ISCC-NBS colour each word stands for is common practice, no source; the colour itself is that category's centroid
(Kelly and Judd, NBS SP 440, 1976).
"""

from __future__ import annotations

import re

from analyse.errors import JobError
from analyse.trade import nearest

Rgb = tuple[int, int, int]
GARMENTS = {
    "black": "black", "charcoal": "dark gray", "grey": "medium gray", "gray": "medium gray", "silver": "light gray",
    "stone": "yellowish gray", "natural": "yellowish white", "cream": "pale yellow", "ecru": "yellowish white",
    "sand": "grayish yellow", "khaki": "light grayish yellowish brown", "tan": "moderate yellowish brown",
    "brown": "dark brown", "olive": "dark grayish olive", "army": "grayish olive green", "bottle": "deep green",
    "bottle-green": "deep green", "forest": "dark green", "green": "strong green", "lime": "vivid yellow green",
    "teal": "deep bluish green", "turquoise": "strong bluish green", "sky": "light blue", "sky-blue": "light blue",
    "blue": "strong blue", "royal": "deep blue", "royal-blue": "deep blue", "navy": "dark blue",
    "midnight": "blackish blue", "purple": "deep purple", "lilac": "light purple", "pink": "light pink",
    "red": "vivid red", "burgundy": "very deep red", "maroon": "dark red", "orange": "vivid orange",
    "yellow": "vivid yellow", "gold": "strong yellow",
}  # fmt: skip


def read_colour(text: str, where: str = "") -> Rgb:
    """`navy` as a garment has it, `#1b2a4a` or `27,42,74` as sRGB. Errors: JobError naming the nearest name."""
    word = text.strip().lower()
    triple = re.fullmatch(r"(\d{1,3})\s*,\s*(\d{1,3})\s*,\s*(\d{1,3})", word)
    if triple and max(rgb := tuple(map(int, triple.groups()))) <= 255:
        return rgb[0], rgb[1], rgb[2]
    found = None if triple else cloth_colour(word) or _on_screen(word) or published(word)
    if found is None:
        raise JobError(
            f"{text!r} is no colour", where, f"{_meant(word)}write a name such as navy, or #1b2a4a, or 27,42,74"
        )
    return found


def _on_screen(word: str) -> Rgb | None:
    from PIL import ImageColor

    try:
        red, green, blue = ImageColor.getrgb(word)[:3]
    except ValueError:
        return None
    return red, green, blue


def _meant(word: str) -> str:
    from PIL import ImageColor

    return nearest(word, tuple(sorted({*ImageColor.colormap, *GARMENTS}))).split("known:")[0]


def cloth_colour(word: str) -> Rgb | None:
    """The sRGB colour of a garment that is called so; None for any other word."""
    name = GARMENTS.get(word.replace(" ", "-"))
    return published(name) if name else None


def published(name: str) -> Rgb | None:
    """The sRGB colour in the middle of what ISCC-NBS calls so; None where it has no such name."""
    from analyse.colours.lab import lab_to_srgb
    from analyse.colours.names import centroid

    lab = centroid(name)
    if lab is None:
        return None
    red, green, blue = (int(channel) for channel in lab_to_srgb(lab))
    return red, green, blue

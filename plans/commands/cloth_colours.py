"""What colour a garment's colour word means: `navy` on a garment is far darker than on a screen.

Which ISCC-NBS colour each word stands for is common practice, no source; the colour itself is that category's centroid
(Kelly and Judd, NBS SP 440, 1976).
"""

from __future__ import annotations

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


def cloth_colour(word: str) -> tuple[int, int, int] | None:
    """The sRGB colour of a garment that is called so; None for any other word."""
    name = GARMENTS.get(word.replace(" ", "-"))
    return published(name) if name else None


def published(name: str) -> tuple[int, int, int] | None:
    """The sRGB colour in the middle of what ISCC-NBS calls so; None where it has no such name."""
    from analyse.colours.lab import lab_to_srgb
    from analyse.colours.names import centroid

    lab = centroid(name)
    if lab is None:
        return None
    red, green, blue = (int(channel) for channel in lab_to_srgb(lab))
    return red, green, blue

"""Which typefaces the text of an SVG asks for, and what becomes of it where they are not at hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from analyse.files import fonts
from analyse.files.svgtree import local_name

if TYPE_CHECKING:
    from PIL.ImageFont import FreeTypeFont

_FAMILY = re.compile(r"font-family\s*:\s*([^;}!]+)", re.IGNORECASE)
# The shorthand: style and weight, a size, then the families. Source: CSS Fonts 3, section 3.7.
_SHORTHAND = re.compile(
    r"font\s*:[^;}!]*?[\d.]+(?:px|pt|pc|mm|cm|in|em|rem|ex|%)(?:\s*/\s*\S+)?\s+([^;}!]+)", re.IGNORECASE
)
_FACE = re.compile(r"@font-face\s*\{[^}]*", re.IGNORECASE)
# Drawn in the typeface at hand without a word: it is what they ask for, or they ask for none.
_AT_HAND = {"sans-serif", "system-ui", "inherit", "initial", "unset", fonts.FAMILY.lower()}
_WORDS = {"text", "tspan", "textpath", "tref"}
_MOST_LETTERS = 2000


def typeface_notes(root: Element) -> tuple[str, ...]:
    """What to tell about the text in the markup: typefaces that are not at hand, letters that none has."""
    if not any(local_name(element.tag) == "text" for element in root.iter()):
        return ()
    asked = [family for family in _families(root) if family.lower() not in _AT_HAND]
    embedded = {family.lower() for family in _embedded(root)}
    notes = []
    for families, why in (
        ([family for family in asked if family.lower() not in embedded], "the typeface is not in the file"),
        ([family for family in asked if family.lower() in embedded], "a typeface within the file is not read"),
    ):
        if families:
            notes.append(f"text in {', '.join(families)} was drawn in {fonts.FAMILY}: {why}; ask for outlines")
    lacking = _lacking(root)
    if lacking:
        notes.append(f"letters that {fonts.FAMILY} lacks, such as {lacking[:8]}, were left out; ask for outlines")
    return tuple(notes)


def _families(root: Element) -> tuple[str, ...]:
    """The first font family of each list of them, as written, each once."""
    asked: dict[str, None] = {}
    for element in root.iter():
        for families in [element.get("font-family", ""), *_in_css(element)]:
            first = families.split(",")[0].strip(" \"'\n\t")
            if first:
                asked[first] = None
    return tuple(asked)


def _in_css(element: Element) -> Iterator[str]:
    css = element.get("style", "")
    if local_name(element.tag) == "style":
        css = _FACE.sub("", element.text or "")
    yield from _FAMILY.findall(css)
    yield from _SHORTHAND.findall(css)


def _embedded(root: Element) -> Iterator[str]:
    for element in root.iter():
        if local_name(element.tag) == "style":
            for face in _FACE.findall(element.text or ""):
                if "data:" in face:
                    yield from (family.strip(" \"'\n\t") for family in _FAMILY.findall(face))


def _lacking(root: Element) -> str:
    """The letters of the text for which the typeface at hand has none, each once."""
    from PIL import ImageFont

    letters: dict[str, None] = {}
    for element in root.iter():
        if local_name(element.tag).lower() in _WORDS:
            letters.update(dict.fromkeys(element.text or ""))
        letters.update(dict.fromkeys(element.tail or "") if local_name(element.tag).lower() == "tspan" else {})
    font = ImageFont.truetype(str(fonts.REGULAR), 24)
    nothing = _drawn(font, "\uffff")
    shown = [letter for letter in list(letters)[:_MOST_LETTERS] if letter.isprintable() and not letter.isspace()]
    return "".join(letter for letter in shown if _drawn(font, letter) == nothing)


def _drawn(font: FreeTypeFont, letter: str) -> tuple[tuple[int, int], bytes]:
    mask = font.getmask(letter)
    return mask.size, bytes(mask)

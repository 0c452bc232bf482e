"""Scans and photographs of a print: what they need before they are read, and what a source can show."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analyse.scans.showing import Source
    from analyse.values import Artwork


def correct(artwork: Artwork) -> Artwork:
    """The artwork as its sheet would lie flat under even light: squared, paper white, grain smoothed, all noted.

    A picture whose every pixel is a block of equal ones is brought back to its own pixels first. The same object where
    nothing is needed: vector files, pictures with transparency, clean files.
    """
    from analyse.scans.blocks import own_pixels
    from analyse.scans.correcting import corrected

    return corrected(own_pixels(artwork))


def judge_source(artwork: Artwork) -> Source:
    """What a picture is (flat, shaded, a photograph, enlarged, a screenshot ...) and what it can show."""
    from analyse.scans.showing import judge_source as judge

    return judge(artwork)

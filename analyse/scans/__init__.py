"""Scans and photographs of a print: what they need before they are read, and what a source can show."""

from __future__ import annotations

from analyse.values import Artwork


def correct(artwork: Artwork) -> Artwork:
    """The artwork as its sheet would lie flat under even light; the same object where nothing is needed."""
    return artwork

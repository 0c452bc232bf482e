"""A garment's colour word means the garment's colour."""

from __future__ import annotations

import click
import pytest

from analyse.colours.lab import srgb_to_lab
from analyse.colours.names import centroid
from plans.cloth_colours import GARMENTS, cloth_colour
from plans.commands.parsing import colour

OPTION = click.Option(["--cloth-colour"])


@pytest.mark.parametrize("word", sorted(GARMENTS))
def test_every_word_stands_for_a_colour_of_the_published_names(word: str) -> None:
    assert centroid(GARMENTS[word]) is not None


def test_navy_is_as_dark_as_a_navy_garment_and_no_screen_blue() -> None:
    """Common practice, no source: navy cloth is a dark blue of low chroma; a screen's #000080 has a chroma of 76."""
    lightness, *ab = srgb_to_lab(cloth_colour("navy")).tolist()
    assert 8 < lightness < 22
    assert (ab[0] ** 2 + ab[1] ** 2) ** 0.5 < 30


def test_the_published_names_and_a_screens_can_be_asked_for_too() -> None:
    context = click.Context(click.Command("plan"))
    assert colour(context, OPTION, "blackish blue") == cloth_colour("midnight")
    assert colour(context, OPTION, "White") == (255, 255, 255)
    assert colour(context, OPTION, "#1f2a44") == (31, 42, 68)

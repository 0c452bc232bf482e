"""Words of the command line as values; a wrong one names the nearest right one."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import click

from analyse.errors import JobError
from analyse.trade import nearest
from analyse.units import length_mm
from plans.cloth_colours import Rgb, read_colour


def length(_ctx: click.Context, option: click.Parameter, text: str | None) -> float | None:
    """`3in` in mm."""
    return None if text is None else length_mm(text, _name(option))


def one_of(known: Sequence[str], kind: str) -> Callable[[click.Context, click.Parameter, str | None], str | None]:
    """A word of a list."""

    def read(_ctx: click.Context, option: click.Parameter, text: str | None) -> str | None:
        word = None if text is None else text.strip().lower().replace(" ", "-")
        if word is not None and word not in known:
            raise JobError(f"no {kind} is called {text!r}", _name(option), nearest(word, tuple(known)))
        return word

    return read


def colour(_ctx: click.Context, option: click.Parameter, text: str | None) -> Rgb | None:
    """`navy` as a garment has it, `#1b2a4a` or `27,42,74` as sRGB."""
    return None if text is None else read_colour(text, _name(option))


def corners(_ctx: click.Context, option: click.Parameter, text: str | None) -> list[list[float]] | None:
    """Four points as `x,y x,y x,y x,y`."""
    if text is None:
        return None
    numbers = re.findall(r"-?\d+(?:\.\d+)?", text)
    if len(numbers) != 8 or re.search(r"[^\d.,;\s-]", text):
        raise JobError(
            f"{text!r} is not four corners", _name(option), 'write "10,20 980,25 970,700 15,690", in px of the picture'
        )
    values = [float(number) for number in numbers]
    return [values[n : n + 2] for n in range(0, 8, 2)]


def limits(_ctx: click.Context, option: click.Parameter, texts: Sequence[str]) -> dict[str, str]:
    """NAME=VALUE, as often as wanted."""
    pairs: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise JobError(f"{text!r} is not NAME=VALUE", _name(option), "write --limit pixels=2e8")
        pairs[name.strip()] = value.strip()
    return pairs


def _name(option: click.Parameter) -> str:
    return option.opts[0]

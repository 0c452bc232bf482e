"""SVG elements as text, every value escaped, lengths to 0.01."""

from __future__ import annotations

from markupsafe import Markup, escape

Value = str | float | int


def element(name: str, *inside: str, **attributes: Value) -> str:
    """`<name a-b="...">inside</name>`: `a_b` stands for `a-b`, a trailing `_` falls away; `inside` is SVG, not text."""
    given = "".join(f' {key.rstrip("_").replace("_", "-")}="{_shown(value)}"' for key, value in attributes.items())
    return f"<{name}{given}>{''.join(inside)}</{name}>" if inside else f"<{name}{given}/>"


def text(words: str) -> str:
    """Text made fit to stand inside an element."""
    return str(escape(words))


def drawing(box: tuple[float, float, float, float], label: str, rows: list[str], **size: str) -> Markup:
    """A drawing of `box` (left, top, width, height) with a name for those who do not see it.

    size: `width` and `height` with their units, where it is to be shown true to size.
    """
    view = " ".join(_shown(float(value)) for value in box)
    inside = "\n".join(["", *rows, ""])
    whole = element(
        "svg", inside, xmlns="http://www.w3.org/2000/svg", viewBox=view, role="img", aria_label=label, **size
    )
    return Markup(whole)  # noqa: S704 - made by `element`, which escapes


def _shown(value: Value) -> str:
    if isinstance(value, float):
        return f"{value + 0.0:.2f}".rstrip("0").rstrip(".") or "0"
    return str(escape(value))

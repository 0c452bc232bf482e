"""SVG elements as text, every value escaped, lengths to 0.01."""

from __future__ import annotations

from markupsafe import Markup

Value = str | float | int


def element(name: str, *inside: str, **attributes: Value) -> Markup:
    """`<name a-b="...">inside</name>`: `a_b` stands for `a-b`, a trailing `_` falls away; plain text is escaped."""
    shown = [(key.rstrip("_").replace("_", "-"), _shown(value)) for key, value in attributes.items()]
    given = Markup().join(Markup(' {}="{}"').format(key, value) for key, value in shown)
    if not inside:
        return Markup("<{}{}/>").format(name, given)
    return Markup("<{0}{1}>{2}</{0}>").format(name, given, Markup().join(inside))


def drawing(box: tuple[float, float, float, float], label: str, rows: list[Markup], **size: str) -> Markup:
    """A drawing of `box` (left, top, width, height) with a name for those who do not see it.

    size: `width` and `height` with their units, where it is to be shown true to size.
    """
    view = " ".join(_shown(float(value)) for value in box)
    inside = Markup("\n").join(["", *rows, ""])
    return element(
        "svg", inside, xmlns="http://www.w3.org/2000/svg", viewBox=view, role="img", aria_label=label, **size
    )


def _shown(value: Value) -> str:
    if isinstance(value, float):
        return f"{value + 0.0:.2f}".rstrip("0").rstrip(".") or "0"
    return str(value)

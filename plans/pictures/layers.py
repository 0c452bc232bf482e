"""`layers.svg`: every step a named layer, in mm, bottom first, to draw over in any drawing program."""

from __future__ import annotations

from html import escape

from analyse.values import Part
from plans import words
from plans.pictures.paths import line_data, path_data
from plans.values import Plan, Step

HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    ' width="{w:.2f}mm" height="{h:.2f}mm" viewBox="0 0 {w:.2f} {h:.2f}">'
)


def layers_svg(plan: Plan) -> str:
    """The layers as SVG text. The page is the design's extent; overlaps may lie outside it."""
    width, height = plan.sized.size_mm
    rows = [HEAD.format(w=width, h=height), f"<title>{escape(words.name(plan))}</title>"]
    rows += [_layer(number, step, plan) for number, step in enumerate(plan.steps, 1)]
    left_out = [part for part in plan.sized.parts if part.kind == "drop"]
    rows += [_group("left-out", "left out", [_outline(part, plan) for part in left_out])] if left_out else []
    return "\n".join([*rows, "</svg>"]) + "\n"


def _layer(number: int, step: Step, plan: Plan) -> str:
    sewing = step.sewing
    part, colour = plan.sized.parts[sewing.part], plan.sized.drawing.palette[sewing.thread]
    label = f"{number:02d} {sewing.kind} {sewing.role}, {colour.name}, {part.id}"
    shapes = [f'<path d="{path_data(sewing.shape)}" fill="rgb{colour.rgb}" fill-rule="evenodd"/>'.replace(", ", ",")]
    lines = [line_data(spine.line, spine.closed) for spine in sewing.spines if sewing.kind != "fill"]
    shapes += [f'<path d="{line}" fill="none" stroke="#000" stroke-width="0.1"/>' for line in lines if line]
    return _group(f"step-{number:02d}", label, shapes)


def _outline(part: Part, plan: Plan) -> str:
    red, green, blue = plan.sized.drawing.palette[part.colour].rgb
    return f'<path d="{path_data(part.outline_mm)}" fill="none" stroke="rgb({red},{green},{blue})" stroke-width="0.1"/>'


def _group(name: str, label: str, shapes: list[str]) -> str:
    shown = escape(label)
    head = f'<g id="{name}" inkscape:groupmode="layer" inkscape:label="{shown}"><title>{shown}</title>'
    return "\n".join([head, *shapes, "</g>"])

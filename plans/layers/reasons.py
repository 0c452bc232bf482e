"""Why a sewing is as it is, in a practitioner's words."""

from __future__ import annotations

from plans.layers.ground import Ground
from plans.layers.heights import is_border


def why_fill(ground: Ground, number: int, parts: tuple[int, ...], *, base: bool) -> str:
    """Why a body is sewn this way."""
    every = [ground.parts[part] for part in parts]
    drawn = max(every, key=lambda part: (part.kind == "fill", part.outline_mm.area))
    angle = ground.angles[number]
    if not base:
        together = f"; {len(parts)} pieces of one colour sewn as one" if len(parts) > 1 else ""
        return f"{drawn.reason.text}{together}; rows at {angle:.0f} deg"
    detail = [part for part in ground.survey.fields[number].detail if part not in ground.cut_out]
    columns = sum(ground.parts[part].kind == "column" for part in detail)
    lies = " and ".join(
        said for said in (_count(columns, "column"), _count(len(detail) - columns, "running line")) if said
    )
    off = ", off the stitches that lie on it" if detail else ""
    if ground.seen(number):
        told = ground.cloth_contrast[drawn.colour] > float(ground.trade.value("colours.holds"))
        how = "rows near enough to cover" if told else "open rows, the cloth between them is of its colour"
        return f"beneath {lies}, and seen between them: {how}; rows at {angle:.0f} deg{off}"
    return f"a loose base beneath {lies}: it holds the cloth, they make the look; rows at {angle:.0f} deg{off}"


def why_stroke(ground: Ground, part: int, closed_ends: tuple[tuple[bool, bool], ...] = ()) -> str:
    """Why a stroke is sewn this way."""
    said = [ground.parts[part].reason.text]
    over = ground.over(part)
    said += ["open, the base beneath it shows through" if over == "base" else ""]
    said += ["closed up again over a base of another colour" if over == "contrast" else ""]
    said += [_border(ground, part)]
    said += ["no base beneath it" if part in ground.cut_out and ground.based else ""]
    said += ["its ends run under what closes over them" if any(map(any, closed_ends)) else ""]
    return "; ".join(part for part in said if part)


def _border(ground: Ground, part: int) -> str:
    """What speaks against a border, if it is narrower than one should be."""
    width_mm = ground.parts[part].width_mm.median
    narrow = is_border(ground.survey, part) and width_mm < float(ground.trade.value("border.narrowest"))
    better_mm = float(ground.trade.value("border.better"))
    return f"a border of {width_mm:.1f} mm hides little drift, {better_mm:.1f} mm is better" if narrow else ""


def _count(number: int, name: str) -> str:
    return "" if not number else f"{number} {name}{'' if number == 1 else 's'}"

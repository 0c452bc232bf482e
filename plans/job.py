"""What was asked of the plan: place and approach; cloth, thread and trade values travel with the sized drawing."""

from __future__ import annotations

from dataclasses import dataclass

APPROACHES = ("side-by-side", "stacked", "base-and-detail", "line-work")


@dataclass(frozen=True, slots=True)
class Job:
    """One order. Thread, cloth and trade values travel in the SizedDrawing; here is what only the plan needs.

    place: a place of the trade table, or "". approach: one of APPROACHES, or "" to have it chosen.
    wear: "worn" or "children" (the longest stitch). shop_sha256: of the shop's file, or "". colours: at most so many
    sewn colours were asked for, or None. width_mm, height_mm: as asked, where they were. kept: tables of the decisions
    that are kept and not yet acted on, such as "[[part]]".
    """

    place: str = ""
    approach: str = ""
    wear: str = "worn"
    shop_sha256: str = ""
    colours: int | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    kept: tuple[str, ...] = ()

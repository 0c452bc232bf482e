"""An approach as the layers need it: how bodies are covered and what lies on them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Recipe:
    """bodies: "beside" (each shape by itself, butted and overlapped), "stacked" (the enclosing shape at full cover,
    holes filled by what lies on it), "base" (a loose base under a body and the detail on it) or "lines" (outlines).
    """

    name: str
    bodies: Literal["beside", "stacked", "base", "lines"]

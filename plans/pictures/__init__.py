"""The pictures a plan is read by: drawn once, used by the folder, the report and the sheet."""

from __future__ import annotations

from plans.pictures.drawn import Pictures, draw_pictures

__all__ = ["Pictures", "draw_pictures"]

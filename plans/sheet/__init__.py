"""`sheet.pdf`: the workroom sheet, design at true size, every figure to type."""

from __future__ import annotations

from plans.sheet.pages import render_sheet

__all__ = ["render_sheet"]

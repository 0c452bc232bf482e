"""`report.html`: one file that answers whether the detail survives, what to sew how, and what it costs."""

from __future__ import annotations

from plans.report.lettering import lettering
from plans.report.page import render_report

__all__ = ["lettering", "render_report"]

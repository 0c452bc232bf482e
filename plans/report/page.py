"""The page put together: template, style and script in one file that asks nothing of a network."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from plans.pictures import Pictures
from plans.report.content import Row, content
from plans.values import Plan

HOME = Path(__file__).parent


def render_report(plan: Plan, pictures: Pictures, lines: list[Row] | None = None) -> str:
    """The report as HTML text. The same plan gives the same bytes; every name in it is escaped.

    lines: its rows of lettering, where they were made beforehand.
    """
    style, script = _asset("report.css"), _asset("order.js")
    page = _template().render(
        content(plan, pictures, lines),
        style=Markup(style),  # noqa: S704 - our own file
        script=Markup(script),  # noqa: S704 - our own file
        policy=f"default-src 'none'; img-src data:; style-src '{_digest(style)}'; script-src '{_digest(script)}'",
    )
    return page + "\n"


def rendered(template: str, rows: Mapping[str, object]) -> str:
    """Another page in the report's style, without a script."""
    style = _asset("report.css")
    policy = f"default-src 'none'; img-src data:; style-src '{_digest(style)}'"
    return _template(template).render(rows, style=Markup(style), policy=policy) + "\n"  # noqa: S704 - our own file


@cache
def _template(name: str = "report.html") -> Template:
    loader = FileSystemLoader(HOME)
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template(name)


@cache
def _asset(name: str) -> str:
    return (HOME / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"

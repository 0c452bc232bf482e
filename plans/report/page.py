"""The page put together: template, style and script in one file that asks nothing of a network."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from plans.pictures import Pictures
from plans.report.content import Row, content
from plans.values import Plan

HOME = Path(__file__).parent


def render_report(plan: Plan, pictures: Pictures, lines: list[Row] | None = None) -> str:
    """The report as HTML text. The same plan gives the same bytes; every name in it is escaped.

    lines: its rows of lettering, where they were made beforehand.
    """
    policy = f"{_policy()}; script-src '{_digest('order.js')}'"
    return _template("report.html").render(content(plan, pictures, lines), policy=policy) + "\n"


def rendered(template: str, rows: Mapping[str, object]) -> str:
    """Another page in the report's style, without a script."""
    return _template(template).render(rows, policy=_policy()) + "\n"


@cache
def _template(name: str) -> Template:
    loader = FileSystemLoader(HOME)
    return Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template(name)


def _policy() -> str:
    return f"default-src 'none'; img-src data:; style-src '{_digest('report.css')}'"


@cache
def _digest(name: str) -> str:
    """Of one of our own files, as the page includes it."""
    included = _template(name).render().encode()
    return f"sha256-{base64.b64encode(hashlib.sha256(included).digest()).decode()}"

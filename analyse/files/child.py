"""The renderer's own process: reads one request, answers with a header line and a picture, and ends."""

from __future__ import annotations

import json
import sys
from typing import Any

from analyse.errors import ScantlingError
from analyse.limits import Limits


def main() -> None:
    """Serve one request from standard input."""
    request = json.loads(sys.stdin.buffer.readline())
    limits = Limits(**request.pop("limits"))
    _confine(limits)
    data = sys.stdin.buffer.read()
    try:
        header, body = _render(request.pop("kind"), data, limits, request)
    except ScantlingError as error:
        header, body = {"refused": error.args, "by": type(error).__name__}, b""
    sys.stdout.buffer.write(json.dumps(header).encode() + b"\n" + body)
    sys.stdout.buffer.flush()


def _render(kind: str, data: bytes, limits: Limits, asked: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    if kind == "svg":
        from analyse.files.vector import render_svg

        return render_svg(data, asked["name"], limits, crop=asked["crop"])
    from analyse.files.pdf import render_pdf

    return render_pdf(data, asked["name"], limits, page=asked["page"], crop=asked["crop"])


def _confine(limits: Limits) -> None:
    """Limits of time and memory, no core dump, no file written: where the system knows them."""
    try:
        import resource
    except ImportError:
        return
    for name, amount in (
        ("RLIMIT_CPU", limits.seconds),
        ("RLIMIT_AS", limits.memory),
        ("RLIMIT_CORE", 0),
        ("RLIMIT_FSIZE", 0),
    ):
        if hasattr(resource, name):
            _lower(getattr(resource, name), amount, spare=int(name == "RLIMIT_CPU"))


def _lower(kind: int, amount: int, spare: int) -> None:
    """The hard limit lies `spare` above the soft one: a signal of its own then tells which limit was met."""
    import resource

    _, hard = resource.getrlimit(kind)
    most = amount + spare if hard == resource.RLIM_INFINITY else min(amount + spare, hard)
    try:
        resource.setrlimit(kind, (min(amount, most), most))
    except (ValueError, OSError):  # a system may know a limit and not grant it
        return

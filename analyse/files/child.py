"""The process of its own in which a file is opened: one request, answered with a header line and a picture."""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from typing import Any

from analyse.errors import ScantlingError
from analyse.files.opened import Opened
from analyse.limits import Limits, too_dear

# Loaded before memory is limited, so that the limit is all the file's: they reserve far more than they use.
_NEEDED = {"svg": ("resvg_py",), "pdf": ("pypdfium2",), "heic": ("cv2", "PIL.ImageCms", "pi_heif")}
_NEEDED_ELSE = ("cv2", "PIL.ImageCms")


def main() -> None:
    """Serve the request given as the last argument, on the file from standard input."""
    request = json.loads(sys.argv[-1])
    limits, kind, name = Limits(**request.pop("limits")), request.pop("kind"), request.pop("name")
    for module in _NEEDED.get(kind, _NEEDED_ELSE):
        with suppress(ImportError):
            import_module(module)
    _confine(limits)
    try:
        header, body = _opened(kind, sys.stdin.buffer.read(), name, limits, request)
    except ScantlingError as error:
        header, body = {"refused": error.args, "by": type(error).__name__}, b""
    except MemoryError:
        header, body = {"refused": too_dear(limits, "memory", kind, name).args, "by": "ArtworkError"}, b""
    sys.stdout.buffer.write(json.dumps(header).encode() + b"\n" + body)
    sys.stdout.buffer.flush()


def _opened(kind: str, data: bytes, name: str, limits: Limits, asked: dict[str, Any]) -> tuple[dict[str, Any], bytes]:
    if kind == "svg":
        from analyse.files.vector import render_svg

        return render_svg(data, name, limits, crop=asked["crop"])
    if kind == "pdf":
        from analyse.files.pdf import render_pdf

        return render_pdf(data, name, limits, page=asked["page"], crop=asked["crop"])
    from analyse.files.raster import open_raster

    return _as_answer(open_raster(data, kind, name, page=asked["page"], limits=limits))


def _as_answer(opened: Opened) -> tuple[dict[str, Any], bytes]:
    header = {
        "size": opened.rgba.shape[1::-1],
        "file_px": opened.file_px,
        "from_file": opened.from_file.tolist(),
        "dpi": opened.dpi,
        "compression": opened.compression,
        "notes": opened.notes,
    }
    return header, opened.rgba.tobytes()


def _confine(limits: Limits) -> None:
    """Limits of time and memory, no core dump, no file written: where the system knows them."""
    try:
        import resource
    except ImportError:
        return
    for name, amount in (
        ("RLIMIT_CPU", limits.seconds),
        ("RLIMIT_AS", limits.memory + _reserved()),
        ("RLIMIT_CORE", 0),
        ("RLIMIT_FSIZE", 0),
    ):
        if hasattr(resource, name):
            _lower(getattr(resource, name), amount, spare=int(name == "RLIMIT_CPU"))


def _reserved() -> int:
    """Bytes of address space that are taken already; 0 where the system does not say."""
    try:
        import resource

        return int(Path("/proc/self/statm").read_text("ascii").split()[0]) * resource.getpagesize()
    except (OSError, ValueError, IndexError):
        return 0


def _lower(kind: int, amount: int, spare: int) -> None:
    """The hard limit lies `spare` above the soft one: a signal of its own then tells which limit was met."""
    import resource

    _, hard = resource.getrlimit(kind)
    most = amount + spare if hard == resource.RLIM_INFINITY else min(amount + spare, hard)
    try:
        resource.setrlimit(kind, (min(amount, most), most))
    except (ValueError, OSError):  # a system may know a limit and not grant it
        return

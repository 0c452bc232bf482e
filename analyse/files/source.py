"""Where the bytes come from: a path, standard input, an open file; never more than allowed."""

from __future__ import annotations

import difflib
import sys
from pathlib import Path
from typing import BinaryIO

from analyse.errors import ArtworkError
from analyse.limits import Limits, exceeded


def fetch(source: str | Path | bytes | BinaryIO, name: str | None, limits: Limits) -> tuple[bytes, str]:
    """The bytes of `source` and the name to call it by (the file's own, without its folders).

    Errors: ArtworkError for no such file, a folder, an unreadable or empty one, or more bytes than allowed.
    """
    if isinstance(source, bytes | bytearray | memoryview):
        data, own = bytes(source), "artwork"
    elif isinstance(source, str) and source == "-":
        data, own = _some(sys.stdin.buffer, limits), "standard input"
    elif isinstance(source, str | Path):
        data, own = _from_path(Path(source), limits), Path(source).name
    else:
        data, own = _some(source, limits), Path(str(getattr(source, "name", "artwork"))).name
    shown = name or own
    if len(data) > limits.bytes:
        raise exceeded(limits, "bytes", None, shown)
    if not data and source == "-":
        raise ArtworkError("nothing came in", shown, "pipe the artwork in: scantling plan - < crest.png")
    if not data:
        raise ArtworkError("the file is empty: 0 bytes", shown, "send it again; the transfer may have failed")
    return data, shown


def _from_path(path: Path, limits: Limits) -> bytes:
    try:
        if path.is_dir():
            raise ArtworkError("this is a folder, not a picture", str(path), "name one file in it")
        if path.is_file() and path.stat().st_size > limits.bytes:
            raise exceeded(limits, "bytes", path.stat().st_size, path.name)
        with path.open("rb") as file:
            return _some(file, limits)
    except FileNotFoundError as error:
        raise ArtworkError("there is no such file", str(path), _guess(path)) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ArtworkError(f"the file cannot be read: {reason}", str(path), "check who may read it") from error


def _guess(path: Path) -> str:
    """What to do where a file is not there: the nearest name in its folder, if there is one like it."""
    try:
        names = sorted(entry.name for entry in path.parent.iterdir() if entry.is_file())
    except (OSError, ValueError):
        return "check the name of the folder"
    close = difflib.get_close_matches(path.name, names, 1, 0.7)
    return f"did you mean {str(path.parent / close[0])!r}?" if close else "check the name and the folder"


def _some(file: BinaryIO, limits: Limits) -> bytes:
    """At most one byte more than allowed, whatever the stream would go on giving."""
    left = limits.bytes + 1
    pieces = [file.read(left)]
    while pieces[-1] and (left := left - len(pieces[-1])) > 0:
        pieces.append(file.read(left))
    return b"".join([piece for piece in pieces if piece])

"""TOML files that people write by hand, read within a limit: the practitioner's decisions, the shop's values."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from analyse.errors import JobError

LARGEST_FILE = 1_000_000  # bytes: a job's decisions are a page or two, the whole trade table has a tenth of that


def content_of(path: Path, what: str, option: str) -> bytes:
    """The bytes of a file, `LARGEST_FILE` and one at most. what: as in "the decisions". Errors: JobError."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_FILE + 1)
    except OSError as error:
        raise JobError(f"{what} cannot be read: {error.strerror}", str(path), f"name a file with {option}") from error


def parsed(content: bytes, what: str, where: str) -> tuple[str, dict[str, Any]]:
    """The text of such a file and its tables. Errors: JobError for a file too large, or that is no TOML."""
    if len(content) > LARGEST_FILE:
        raise JobError(f"{what}: the file is too large to be one", where, "it holds a page or two of TOML")
    try:
        text = content.decode("utf-8")
        return text, tomllib.loads(text)
    except ValueError as error:
        raise JobError(f"{what}: the file is no TOML: {error}", where, "mend that line") from error

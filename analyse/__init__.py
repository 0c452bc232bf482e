"""What is in the artwork: colours, regions, parts, and what survives at a size."""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOMES = {
    "read_artwork": "analyse.files",
    "trace": "analyse.tracing",
    "Artwork": "analyse.values",
    "Drawing": "analyse.values",
    "SizedDrawing": "analyse.values",
    "ScantlingError": "analyse.errors",
    "JobError": "analyse.errors",
    "ArtworkError": "analyse.errors",
    "NothingToSewError": "analyse.errors",
    "OutputError": "analyse.errors",
}


def __getattr__(name: str) -> Any:
    """Load what is asked for, and nothing before."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'analyse' has no attribute {name!r}")


def __dir__() -> list[str]:
    """What may be asked for."""
    return sorted(_HOMES)

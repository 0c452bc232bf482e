"""What to do about it: layers, angles, stitches, order, density, counts, and the folder a person reads."""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOMES = {
    "Job": "plans.job",
    "Plan": "plans.values",
    "make_plan": "plans.planning",
    "write_plan": "plans.folder",
}


def __getattr__(name: str) -> Any:
    """Load what is asked for, and nothing before."""
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'plans' has no attribute {name!r}")


def __dir__() -> list[str]:
    """What may be asked for."""
    return sorted(_HOMES)

"""Ourselves once more, in a process of its own: with our modules, and nothing of the folder or the user's own start."""

from __future__ import annotations

import os
import sys
from pathlib import Path

_ROOT = str(Path(__file__).parents[1])


def command(module: str, function: str, *words: str) -> list[str]:
    """The command line that calls `function` of `module`; further words follow in sys.argv from place 3."""
    start = f"import sys; sys.path[:] = sys.argv[1].split(sys.argv[2]); from {module} import {function}; {function}()"
    paths = [_ROOT, *(path for path in sys.path if path)]
    return [sys.executable, "-I", "-S", "-c", start, os.pathsep.join(paths), os.pathsep, *words]

"""The step's name while it works: on a terminal in one line that goes away, with --verbose a line and its time each."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Progress:
    """Tells standard error what is being done; says nothing when piped, or when quiet."""

    quiet: bool = False
    verbose: bool = False

    @contextmanager
    def step(self, name: str) -> Iterator[None]:
        """Show `name` while the block runs."""
        shown = not self.quiet and not self.verbose and sys.stderr.isatty()
        start = time.perf_counter()
        if shown:
            self._write(f"\r\x1b[K{name} …")
        try:
            yield
        finally:
            if shown:
                self._write("\r\x1b[K")
        if self.verbose:
            self._write(f"{name}: {time.perf_counter() - start:.2f} s\n")

    @staticmethod
    def _write(text: str) -> None:
        sys.stderr.write(text)
        sys.stderr.flush()

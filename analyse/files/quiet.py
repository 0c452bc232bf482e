"""What libraries in C print by themselves, kept off the user's terminal."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def quiet() -> Iterator[None]:
    """Standard error led nowhere while this lasts: libtiff prints what it finds wrong there, past Python."""
    try:
        kept = os.dup(2)
    except OSError:  # there is no standard error to keep
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(nowhere)
        os.close(kept)

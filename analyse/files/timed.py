"""A decoder's time, counted wherever it asks for more of the file."""

from __future__ import annotations

import io
import time


class OutOfTimeError(Exception):
    """A decoder has had the processor time it was given."""


class TimedBytes(io.BytesIO):
    """The bytes of a file; once the thread has spent `seconds` of processor time, reading them raises OutOfTimeError.

    Bounds decoders that read piece by piece, and every loop over a file's headers; what reads all at once and then
    works by itself belongs in a process of its own.
    """

    def __init__(self, data: bytes, seconds: float) -> None:
        super().__init__(data)
        self._end = time.thread_time() + seconds

    def read(self, size: int | None = -1, /) -> bytes:
        """As `io.BytesIO.read`. Errors: OutOfTimeError."""
        self.check()
        return super().read(size)

    def check(self) -> None:
        """Errors: OutOfTimeError."""
        if time.thread_time() > self._end:
            raise OutOfTimeError

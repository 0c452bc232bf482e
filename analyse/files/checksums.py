"""A PNG's own checksums, which decoders pass over where the pixels are."""

from __future__ import annotations

import zlib
from collections.abc import Callable

_SIGNATURE = 8
_FRAME = 12  # length, type and checksum round a chunk's body


def damaged_chunk(data: bytes, check: Callable[[], None]) -> str | None:
    """The first critical chunk whose checksum is wrong or that is cut short; None in a sound file.

    `check` is called at every chunk, and may stop it.

    Source: PNG, W3C Recommendation, sections 5.3 to 5.5; critical chunks have a capital first letter.
    """
    at = _SIGNATURE
    while at + _FRAME <= len(data):
        check()
        size = int.from_bytes(data[at : at + 4], "big")
        name, end = data[at + 4 : at + 8], at + 8 + size
        stated = data[end : end + 4]
        if len(stated) < 4:
            return "truncated"
        if not name[0] & 0x20 and zlib.crc32(memoryview(data)[at + 4 : end]) != int.from_bytes(stated, "big"):
            return name.decode("latin-1")
        if name == b"IEND":
            return None
        at = end + 4
    return "truncated"

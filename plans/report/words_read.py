"""The words of a line of lettering, read by tesseract where it is installed; nothing waits for it or needs it."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

READER = "tesseract"
SECONDS = 6.0  # after which it is ended and the report goes on without words
MOST = 24  # lines read
SURE = 50.0  # percent of certainty under which a word is not shown
ONE_LINE = "7"  # its mode for a picture of a single line


def read_words(pictures: Sequence[NDArray[np.uint8]]) -> list[str]:
    """What each picture, (H, W) grey, dark letters on white, says; "" for what cannot be read.

    One child process for all of them. The same pictures give the same words with the same reader.
    """
    reader = shutil.which(READER)
    if reader is None or not pictures:
        return [""] * len(pictures)
    with tempfile.TemporaryDirectory(prefix="scantling-") as folder:
        told = _told(reader, pictures[:MOST], Path(folder))
    return [*_words(told, len(pictures[:MOST])), *[""] * len(pictures[MOST:])]


def _told(reader: str, pictures: Sequence[NDArray[np.uint8]], folder: Path) -> str:
    """Its table of words; "" if it fails or takes too long."""
    names = [folder / f"{number}.png" for number in range(len(pictures))]
    for name, picture in zip(names, pictures, strict=True):
        Image.fromarray(picture).save(name, dpi=(300, 300))
    listed = folder / "lines.txt"
    listed.write_text("".join(f"{name}\n" for name in names), encoding="utf-8")
    asked = [reader, str(listed), "stdout", "--psm", ONE_LINE, "tsv"]
    alone = {"OMP_THREAD_LIMIT": "1", "LC_ALL": "C"}
    try:
        done = subprocess.run(  # noqa: S603 - a program of the user's own, asked about pictures of our own
            asked, stdin=subprocess.DEVNULL, capture_output=True, timeout=SECONDS, env=alone, cwd=folder, check=True
        )
    except (OSError, subprocess.SubprocessError):
        return ""
    return done.stdout.decode("utf-8", "replace")


def _words(told: str, count: int) -> list[str]:
    said: list[list[str]] = [[] for _ in range(count)]
    for row in csv.DictReader(io.StringIO(told), delimiter="\t", quoting=csv.QUOTE_NONE):
        page, sure, word = row.get("page_num") or "", row.get("conf") or "", (row.get("text") or "").strip()
        if page.isdigit() and 1 <= int(page) <= count and _number(sure) >= SURE and any(map(str.isalnum, word)):
            said[int(page) - 1].append("".join(letter for letter in word if letter.isprintable()))
    return [" ".join(words) for words in said]


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0

"""Small plan folders whose files all say the same number: which generation a folder holds is seen at once."""

from __future__ import annotations

import json
from pathlib import Path

from plans.folder import DECISIONS, SUGGESTIONS, place_files


def generation(number: int) -> dict[str, bytes]:
    """A small plan folder whose files all say the same number."""
    document = json.dumps({"schema": "scantling.plan/1", "number": number}).encode()
    return {"plan.json": document, **{f: str(number).encode() for f in ("report.html", "sheet.pdf", "stitches.csv")}}


def numbers(folder: Path) -> set[int]:
    told = {
        int(path.read_bytes()) for path in folder.iterdir() if path.name not in {"plan.json", DECISIONS, SUGGESTIONS}
    }
    return told | {json.loads((folder / "plan.json").read_bytes())["number"]}


def place(folder: Path, number: int, given: bytes | None = None) -> None:
    place_files(generation(number), folder, given, b"# suggested\n")

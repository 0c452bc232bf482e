"""Scans and photographs of prints, read: ours beside methods that are squared for free and told the colours.

python tests/benchmarks/scans.py --cache DIR [--count 60] [--part development|held-back|all] [--state scan photo ...]
                                 [--peers] [--each]

States: scan, scan hard, photo, photo mild, photo hard. Art, and the third held back, as in reading.py. Labels are
compared on the pixels of the art before it was printed; a mean over pictures, with the worst tenth. Corners: error of
the worst of the four as a share of the sheet's shortest side, 90th percentile and largest. Scores are kept under
--cache until the code changes, so that a run that was broken off goes on where it was.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from reading import code_mark
from reading_art import art_files, colours_of, fetched_maki, is_held_back, number_of, render
from reading_score import SAME_DE, edge_mask
from scans_states import Sent, centred, photographed, scanned

import analyse
from analyse import read_artwork, trace
from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab

Picture = NDArray[np.uint8]
NEAR_PX = 2
_CODE = ("files", "tracing.py", "values.py", "colours", "regions", "scans")


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """colours: (K, 3), what surrounds the design included. labels: (H, W) into them, by majority of 16 samples."""

    colours: Picture
    labels: Picture


@dataclass(frozen=True, slots=True)
class Score:
    """Shares 0..1; corner_share nan where there is no sheet to find."""

    right: float
    right_at_edges: float
    count_right: float
    recall: float
    corner_share: float = float("nan")
    seconds: float = 0.0


def find_truth(path: Path, wide: int, store: Path) -> Truth | None:
    """Truth from a render four times as fine, without smoothing, kept on disk; None if not 2 to 12 flat colours."""
    store.mkdir(parents=True, exist_ok=True)
    kept = store / f"{path.stem}-{wide}.npz"
    if not kept.exists():
        colours = colours_of(render(path, 600, smooth=False))
        if not 2 <= len(colours) <= 12:
            np.savez_compressed(kept, colours=colours[:1], labels=np.zeros((1, 1), np.uint8))
            return None
        fine = render(path, wide * 4, smooth=False)
        shares = []
        for colour in colours:
            same = (fine == colour).all(axis=2).astype(np.float32)
            shares.append(cv2.resize(same, (wide, fine.shape[0] // 4), interpolation=cv2.INTER_AREA))
        np.savez_compressed(kept, colours=colours, labels=np.argmax(shares, axis=0).astype(np.uint8))
    held = np.load(kept)
    return Truth(held["colours"], held["labels"]) if len(held["colours"]) > 1 else None


def sent(state: str, art: Picture, seed: int) -> Sent:
    """The art in one of the states."""
    match state:
        case "scan":
            return scanned(art, seed)
        case "scan hard":
            return scanned(art, seed, turn_deg=3.0, grain=5.0, quality=70)
        case "photo mild":
            return photographed(art, seed, strength=0.4)
        case "photo hard":
            return photographed(art, seed, strength=1.3, quality=70)
        case _:
            return photographed(art, seed)


def score(colours: Picture, labels: NDArray[np.int64], truth: Truth) -> tuple[float, float, float, float]:
    """Right, right at edges, count right, recall of a labelling on the art's own pixels."""
    apart = ciede2000(srgb_to_lab(colours)[:, None], srgb_to_lab(truth.colours)[None])
    right = np.argmin(apart, axis=1)[labels] == truth.labels
    ring = cv2.dilate(edge_mask(truth.labels), np.ones((2 * NEAR_PX - 1, 2 * NEAR_PX - 1), np.uint8)) > 0
    found = float((apart.min(axis=0) < 2 * SAME_DE).mean())
    return float(right.mean()), float(right[ring].mean()), float(len(colours) == len(truth.colours)), found


def read_ours(file: Sent, truth: Truth) -> Score:
    begun = time.process_time()
    drawing = trace(read_artwork(file.data))
    spent = time.process_time() - begun
    rows, columns = truth.labels.shape
    y, x = np.mgrid[:rows, :columns] + 0.5
    places = np.stack([x, y, np.ones_like(x)], axis=-1) @ (drawing.from_picture @ file.from_art).T
    across, down = (np.floor(places[..., axis] / places[..., 2]).astype(int) for axis in (0, 1))
    high, wide = drawing.labels.shape
    labels = drawing.labels[down.clip(0, high - 1), across.clip(0, wide - 1)].astype(np.int64)
    around = drawing.background.rgb if drawing.background else (255, 255, 255)
    rgb = np.array([colour.rgb for colour in drawing.palette] + [around], np.uint8)
    colours, place = np.unique(rgb, axis=0, return_inverse=True)
    labels = place.reshape(-1)[np.where(labels < 0, len(rgb) - 1, labels)]
    return Score(*score(colours, labels, truth), corner_share(file, drawing.from_picture, (wide, high)), spent)


def corner_share(file: Sent, from_file: NDArray[np.float64], size: tuple[int, int]) -> float:
    """Largest distance in the file of the drawing's corners from the sheet's, as a share of its shortest side."""
    if file.corners is None:
        return float("nan")
    wide, high = size
    back = np.array([[0, 0, 1], [wide, 0, 1], [wide, high, 1], [0, high, 1.0]]) @ np.linalg.inv(from_file).T
    found = back[:, :2] / back[:, 2:]
    sides = np.linalg.norm(np.roll(file.corners, -1, axis=0) - file.corners, axis=1)
    nearest = np.linalg.norm(found[:, None] - file.corners[None], axis=2).min(axis=0)
    return float(nearest.max() / sides.min())


def peers(file: Sent, truth: Truth) -> dict[str, Score]:
    """What one would otherwise put together, laid on the art's pixels by the true warp."""
    rows, columns = truth.labels.shape
    seen = cv2.imdecode(np.frombuffer(file.data, np.uint8), cv2.IMREAD_COLOR)[..., ::-1]
    flat = cv2.warpPerspective(
        seen, centred(file.from_art), (columns, rows), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    )
    calm = cv2.bilateralFilter(np.ascontiguousarray(flat), 9, 40, 3)
    lab = cv2.medianBlur(np.ascontiguousarray(flat), 5)
    even = evened(calm)
    scores = {}
    pictures = {"k-means": flat, "k-means, bilateral": calm, "k-means, median": lab, "k-means, bilateral, evened": even}
    for name, picture in pictures.items():
        scores[name] = Score(*score(*clustered(picture, len(truth.colours)), truth))
    for name, picture in (("true palette", flat), ("true palette, bilateral, evened", even)):
        apart = np.stack([((srgb_to_lab(picture) - srgb_to_lab(c)) ** 2).sum(axis=-1) for c in truth.colours])
        scores[name] = Score(*score(truth.colours, np.argmin(apart, axis=0), truth))
    return scores


def evened(picture: Picture) -> Picture:
    """Light divided out as is usually done: by the brightest in a wide neighbourhood, smoothed."""
    bright = cv2.dilate(cv2.resize(picture, None, fx=0.125, fy=0.125, interpolation=cv2.INTER_AREA), np.ones((25, 25)))
    ground = cv2.resize(cv2.GaussianBlur(bright, (0, 0), 8), picture.shape[1::-1]).astype(float)
    return np.clip(picture / np.maximum(ground, 1) * 255, 0, 255).astype(np.uint8)


def clustered(picture: Picture, count: int) -> tuple[Picture, NDArray[np.int64]]:
    cv2.setRNGSeed(1)
    lab = srgb_to_lab(picture).reshape(-1, 3).astype(np.float32)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 30, 0.2)
    _, _, centres = cv2.kmeans(lab[::17], count, None, stop, 4, cv2.KMEANS_PP_CENTERS)
    apart = np.stack([((lab - centre) ** 2).sum(axis=1) for centre in centres])
    labels = np.argmin(apart, axis=0).reshape(picture.shape[:2])
    rgb = [np.median(picture[labels == k], axis=0) if (labels == k).any() else np.zeros(3) for k in range(count)]
    return np.array(rgb).astype(np.uint8), labels


def table(scores: dict[str, dict[str, list[Score]]]) -> str:
    heads = ("n", "right %", "at edges %", "count %", "recall %", "corners %", "s")
    lines = [f"{'state':12}{'reader':34}" + "".join(f"{head:>15}" for head in heads)]
    for state, readers in scores.items():
        for reader, found in readers.items():
            shares = [np.array([getattr(one, name) for one in found]) * 100 for name in ("right", "right_at_edges")]
            corners = [one.corner_share for one in found if np.isfinite(one.corner_share)]
            cells = [
                str(len(found)),
                *(f"{share.mean():.2f} ({np.percentile(share, 10):.1f})" for share in shares),
                f"{100 * np.mean([one.count_right for one in found]):.0f}",
                f"{100 * np.mean([one.recall for one in found]):.1f}",
                f"{100 * np.percentile(corners, 90):.3f} {100 * max(corners):.3f}" if corners else "-",
                f"{np.mean([one.seconds for one in found]):.2f}",
            ]
            lines.append(f"{state:12}{reader:34}" + "".join(f"{cell:>15}" for cell in cells))
    return "\n".join(lines)


def kept(place: Path, make: Callable[[], dict[str, Score]]) -> dict[str, Score]:
    """Scores by reader, made only if they are not kept yet."""
    if not place.exists():
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(json.dumps({name: asdict(one) for name, one in make().items()}), encoding="utf-8")
    return {name: Score(**one) for name, one in json.loads(place.read_text("utf-8")).items()}


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cache", type=Path, required=True)
    parser.add_argument("--count", type=int, default=60, help="pictures of which --part takes its own")
    parser.add_argument("--wide", type=int, default=1200, help="width of the art, px")
    parser.add_argument("--part", choices=("development", "held-back", "all"), default="all")
    parser.add_argument("--state", nargs="*", default=["scan", "photo"])
    parser.add_argument("--peers", action="store_true")
    parser.add_argument("--each", action="store_true", help="a line for every picture that is not held back")
    options = parser.parse_args()
    home, here = Path(analyse.__file__).parent, Path(__file__).parent
    judged = [here / "scans.py", here / "scans_states.py"]
    ours = options.cache / "scans" / code_mark([*(home / part for part in _CODE), *judged])
    theirs = options.cache / "scans" / f"peers-{code_mark(judged)}"
    scores: dict[str, dict[str, list[Score]]] = defaultdict(lambda: defaultdict(list))
    for path in art_files(fetched_maki(options.cache / "maki"))[: options.count]:
        if options.part != "all" and is_held_back(path) != (options.part == "held-back"):
            continue
        truth = find_truth(path, options.wide, options.cache / "scans-truth")
        if truth is None:
            continue
        for state in options.state:
            file = sent(state, render(path, options.wide, smooth=True), number_of(path) % 2**32)
            found = kept(
                ours / f"{path.stem}-{state}.json", lambda file=file, truth=truth: {"scantling": read_ours(file, truth)}
            )
            if options.peers:
                found |= kept(theirs / f"{path.stem}-{state}.json", lambda file=file, truth=truth: peers(file, truth))
            for name, one in found.items():
                scores[state][name].append(one)
            if options.each and not is_held_back(path):
                print(f"{path.stem:30}{state:12}{found['scantling']}", file=sys.stderr)
    print(table(scores))


if __name__ == "__main__":
    main()

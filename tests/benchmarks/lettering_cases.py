"""The ways lettering is set on badges, one by one: found, in parts, or missed. The table of the README.

Run: python tests/benchmarks/lettering_cases.py [FONT FILE NAME ...]. Each case is drawn by outlines in open fonts; it
is found if one line holds nine tenths of the letters and at most one thing more, in parts if lines hold half of them.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path as File

sys.path.insert(0, str(File(__file__).parents[2]))
sys.path.insert(0, str(File(__file__).parent))

from lettering import holders, matching, read
from lettering_art import CREAM, NAVY, SIDE, Truth, _middles, _svg

sys.path.insert(0, str(File(__file__).parents[1] / "artworks"))

from letters import FONTS, ring, straight
from pen import Path, joined

from analyse.lettering.lines import Line
from analyse.values import Drawing

CAP = 80.0
FACES = ("LiberationSans-Regular", "Lato-Black", "EBGaramond12-Regular", "LiberationSerif-Bold")
Case = tuple[Path, str]


def inked(path: Path, ink: str = NAVY, rule: str = "nonzero") -> str:
    return f'<path fill-rule="{rule}" fill="{ink}" d="{path.d()}"/>'


def line(text: str, face: str, at: complex = 750 + 700j, cap: float = CAP, tracking: float = 5.0) -> Path:
    return straight(text, face, cap=cap, at=at, tracking=tracking)


def plain(text: str) -> Callable[[str], Case]:
    def case(face: str) -> Case:
        path = line(text, face)
        return path, inked(path)

    return case


def ringed(face: str) -> Case:
    path = ring("SALTMARSH ROWING CLUB", face, cap=CAP, centre=750 + 750j, radius=560, tracking=8)
    return path, inked(path) + f'<circle cx="750" cy="750" r="520" fill="none" stroke="{NAVY}" stroke-width="14"/>'


def arc(face: str) -> Case:
    path = ring("Winter Regatta", face, cap=CAP, centre=750 + 1700j, radius=1000, tracking=4)
    return path, inked(path)


def slanted(face: str) -> Case:
    path = line("NORTH PIER", face).turned(-23, 750 + 750j)
    return path, inked(path)


def monogram(face: str) -> Case:
    places = (("R", 560 + 800j), ("S", 750 + 620j), ("C", 940 + 800j))
    path = joined([line(letter, face, at, 130) for letter, at in places])
    oars = f'<path d="M480,420L1020,960M1020,420L480,960" stroke="{NAVY}" stroke-width="26"/>'
    return path, oars + inked(path)


def overlaid(face: str) -> Case:
    path = joined([line("R", face, 720 + 800j, 300), line("C", face, 830 + 800j, 300)])
    return path, inked(path)


def small_capitals(face: str) -> Case:
    size, x, placed = (CAP, 0.75 * CAP), 330.0, []
    for word in ("HARBOUR", "LIGHT"):
        for number, letter in enumerate(word):
            glyph = line(letter, face, cap=size[number > 0])
            zs = [z.real for _, points in glyph.commands for z in points]
            placed.append(glyph.moved(x - min(zs)))
            x += max(zs) - min(zs) + 9
        x += 40
    path = joined(placed)
    return path, inked(path)


def touching(face: str) -> Case:
    path = line("OPEN STUDIO", face)
    return path, inked(path) + f'<path fill="{NAVY}" d="M200,690H1300V730H200Z"/>'


def touching_ring(face: str) -> Case:
    path = ring("SALTMARSH ROWING CLUB", face, cap=CAP, centre=750 + 750j, radius=560, tracking=8)
    return path, inked(path) + f'<circle cx="750" cy="750" r="556" fill="none" stroke="{NAVY}" stroke-width="14"/>'


def in_frame(face: str) -> Case:
    path = line("HARBOUR LIGHT", face)
    frame = f'fill="none" stroke="{NAVY}" stroke-width="8"'
    return path, inked(path) + f'<rect x="200" y="605" width="1100" height="98" {frame}/>'


def near_border(face: str) -> Case:
    path = line("OPEN STUDIO", face)
    return path, inked(path) + f'<path fill="{NAVY}" d="M200,712H1300V740H200ZM200,580H1300V608H200Z"/>'


def cut_out(face: str) -> Case:
    path = line("OPEN STUDIO", face)
    return path, f'<path fill-rule="evenodd" fill="#a8322d" d="M150,540H1350V780H150Z{path.d()}"/>'


def light_on_dark(face: str) -> Case:
    path = line("GARDEN GATE", face)
    return path, f'<path fill="{NAVY}" d="M150,540H1350V780H150Z"/>' + inked(path, CREAM)


def outlined(face: str) -> Case:
    path = line("TIGERS", face, cap=140, tracking=30)
    return path, f'<path fill="{CREAM}" stroke="{NAVY}" stroke-width="16" d="{path.d()}"/>'


def script(_: str) -> Case:
    path = line("Brightwater Tackle", "Z003-MediumItalic", tracking=0)
    return path, inked(path)


CASES: dict[str, Callable[[str], Case]] = {
    "round a ring": ringed, "on an arc": arc, "slanted": slanted, "monogram about crossed oars": monogram,
    "monogram of letters that overlap": overlaid, "script face": script, "small capitals": small_capitals,
    "numbers": plain("1887-2035"), "ampersand": plain("FISH & SONS"), "two letters": plain("RC"),
    "accents": plain("CAFÉ ÖRNSKÖLD"), "between borders": near_border, "touching a border": touching,
    "touching a ring": touching_ring, "touching its frame": in_frame,
    "cut out of a shape": cut_out, "light on dark": light_on_dark, "outlined in another colour": outlined,
}  # fmt: skip


def told(drawing: Drawing, lines: tuple[Line, ...], path: Path) -> str:
    """Found, in parts, missed."""
    truth = Truth("", "", _middles(path, CAP), CAP, None, None)
    if matching(drawing, lines, truth):
        return "found"
    boxes = [each for line in lines for each in holders(drawing, line)]
    held = sum(any(b[0] < m.real < b[2] and b[1] < m.imag < b[3] for b in boxes) for m in truth.middles)
    return "in parts" if held >= 0.5 * len(truth.middles) else "missed"


def main() -> None:
    """Print the table."""
    faces = [face for face in (sys.argv[1:] or FACES) if face in FONTS]
    print("| lettering | " + " | ".join(faces) + " |")
    print("|---|" + "---|" * len(faces))
    for name, case in CASES.items():
        row = []
        for face in faces:
            path, body = case(face)
            drawing, lines, _ = read(_svg(body, SIDE), small=False)
            row.append(told(drawing, lines, path))
        print(f"| {name} | " + " | ".join(row) + " |", flush=True)


if __name__ == "__main__":
    main()

"""Contact sheets of the stitch kinds, needle points drawn, at eight times life size: look at them, mend what is wrong.

python tests/contact/stitches.py FOLDER [fill | column | running | dot | underlay | joins]
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate, scale, translate

sys.path.insert(0, str(Path(__file__).parents[2]))

from analyse.trade import default_trade
from analyse.values import Spine
from plans.stitching.joins import move_between, tied
from plans.stitching.laying import lay_sewing
from plans.stitching.trails import chained
from plans.values import Lay, Sewing, Trail, Underlay
from tests.contact.stitches_drawn import draw, sheet
from tests.plans.stitching.shapes import random_shape
from tests.plans.stitching.spines import arc, band, outline, spine
from tests.plans.stitching.spines import line as path

TRADE = default_trade()
LEATHER, PLAIN = TRADE.cloth("leather"), {"pull_mm": 0.15}
EDGE_RUN, ROWS = Underlay("edge-run", 0.5), Underlay("rows", 0.5, 2.5)


def cornered(turn_deg: float, width: float, leg: float) -> Spine:
    """Two legs that meet at a sharp corner, their stitch lines fanned round the inner corner as a trace gives them."""
    turn, reach = math.radians(turn_deg), width * math.tan(math.radians(turn_deg) / 2)
    ahead, aside = np.array([math.cos(turn), math.sin(turn)]), np.array([math.sin(turn), -math.cos(turn)])
    outer = [np.array([x, -width]) for x in np.linspace(-leg, 0, 60)]
    inner = [np.array([x, 0.0]) for x in np.linspace(-leg, 0, 60)]
    rim = [np.array([0.0, -width]), np.array([reach, -width]), aside * width]
    fan = shapely.get_coordinates(shapely.segmentize(LineString(rim), 0.1))
    outer += list(fan[1:-1]) + [aside * width + ahead * x for x in np.linspace(0, leg, 60)]
    inner += [np.zeros(2)] * (len(fan) - 2) + [ahead * x for x in np.linspace(0, leg, 60)]
    return spine(np.array(outer), np.array(inner))


def fills() -> list[np.ndarray]:
    """Easy to nasty fills."""
    ring = Point(0, 0).buffer(8) - Point(0, 0).buffer(4)
    comb = box(0, 0, 24, 4) | box(0, 0, 4, 14) | box(10, 0, 14, 14) | box(20, 0, 24, 14)
    bay = Point(0, 0).buffer(9) - box(-2, -10, 2, 3)
    holes = box(0, 0, 20, 15) - Point(5, 5).buffer(2.5) - Point(14, 9).buffer(3) - box(3, 10, 7, 12.5)
    star = Polygon(
        [
            (10 * math.sin(a) * (1 if i % 2 else 0.42), -10 * math.cos(a) * (1 if i % 2 else 0.42))
            for i, a in enumerate(np.linspace(0, 2 * math.pi, 11)[:-1])
        ]
    )
    cases = [
        ("square 12", box(0, 0, 12, 12), 0.0, ()),
        ("square at 30", box(0, 0, 12, 12), 30.0, ()),
        ("disc", Point(0, 0).buffer(6), 0.0, (EDGE_RUN, ROWS)),
        ("triangle", Polygon([(0, 0), (16, 3), (4, 12)]), 20.0, ()),
        ("ring", ring, 0.0, ()),
        ("comb", comb, 0.0, ()),
        ("comb at 90", comb, 90.0, ()),
        ("bay", bay, 0.0, ()),
        ("holes", holes, 0.0, (EDGE_RUN,)),
        ("star", star, 45.0, ()),
        ("leather", Point(0, 0).buffer(6) - Point(1, 1).buffer(2), 20.0, (EDGE_RUN,)),
        ("two apart", MultiPolygon([box(0, 0, 5, 5), box(7, 0, 12, 5)]), 0.0, ()),
        ("sliver", Polygon([(0, 0), (22, 2.2), (0, 2.4)]), 90.0, ()),
        ("sliver along", Polygon([(0, 0), (22, 2.2), (0, 2.4)]), 0.0, ()),
    ]
    cases += [(f"random {seed}", random_shape(seed), 25.0 * seed, ()) for seed in (1, 3, 4, 6, 9, 12)]
    cells = []
    arch = LineString(arc(14, 180, 360)).buffer(4, cap_style="flat")
    x = np.linspace(0, 40, 80)
    scarf = np.column_stack([x, 5 * np.sin(x / 7)])
    for title, shape, guide, under in (
        ("guided arch", arch, arc(14, 180, 360), ()),
        ("guided scarf", LineString(scarf).buffer(3.5, cap_style="flat"), scarf, (EDGE_RUN, ROWS)),
    ):
        sewing = Sewing(
            0, 0, "fill", "body", 0, shape, angle_deg=90.0, spacing_mm=0.4, pull_mm=0.15, underlay=under, guide=guide
        )
        cells.append(draw(title, sewing, lay_sewing(sewing, TRADE)))
    for title, shape, angle, under in cases:
        more = {"shortest_mm": LEATHER.shortest_mm, "pull_mm": LEATHER.pull_mm} if title == "leather" else PLAIN
        sewing = Sewing(
            0, 0, "fill", "body", 0, shape, angle_deg=angle % 180, spacing_mm=0.4, push_mm=0.2, underlay=under, **more
        )
        cells.append(draw(title, sewing, lay_sewing(sewing, TRADE)))
    return cells


def columns() -> list[np.ndarray]:
    """Easy to nasty columns."""
    taper = np.linspace(0, 1, 60)
    x = np.linspace(0, 20, 60)
    cases: list[tuple[str, tuple[Spine, ...], float, tuple[Underlay, ...]]] = [
        ("straight 2", (band(path((0, 0), (14, 0)), 2.0),), 0.4, (Underlay("centre-run"),)),
        ("straight 3", (band(path((0, 0), (14, 3)), 3.0),), 0.4, (Underlay("edge-run", 0.5),)),
        (
            "wide 5",
            (band(path((0, 0), (14, 0)), 5.0),),
            0.38,
            (Underlay("edge-run", 0.6), Underlay("zigzag", 0.6, 2.0)),
        ),
        ("split 9", (band(path((0, 0), (14, 0)), 9.0),), 0.38, ()),
        ("taper", (band(np.column_stack([x, 0 * x]), 3.5 * np.sin(np.pi * taper)),), 0.4, (Underlay("centre-run"),)),
        ("bend", (band(arc(4, 0, 200), 3.0),), 0.4, (Underlay("edge-run", 0.5),)),
        ("tight bend", (band(arc(2.2, 0, 180), 4.0),), 0.4, ()),
        ("ring", (band(arc(6, 0, 360, 120)[:-1], 2.5, closed=True),), 0.4, (Underlay("centre-run"),)),
        ("small ring", (band(arc(2, 0, 360, 60)[:-1], 2.4, closed=True),), 0.4, ()),
        ("s bend", (band(np.column_stack([x, 3 * np.sin(x / 2)]), 2.2),), 0.4, ()),
        ("corner, turns 30", (cornered(30, 2.5, 8),), 0.4, ()),
        ("corner, turns 60", (cornered(60, 2.5, 8),), 0.4, ()),
        ("corner, turns 90", (cornered(90, 2.5, 8),), 0.4, ()),
        ("corner, turns 130", (cornered(130, 2.5, 8),), 0.4, ()),
        ("corner, turns 90, wide", (cornered(90, 5.0, 8),), 0.38, ()),
        (
            "star of 3",
            tuple(band(path((0, 0), (7 * math.cos(a), 7 * math.sin(a))), 2.0) for a in (0.3, 2.4, 4.5)),
            0.4,
            (Underlay("centre-run"),),
        ),
        (
            "hatch",
            tuple(band(path((i * 2.0, 0), (i * 2.0 + 2, 8)), 1.2) for i in range(6)),
            0.45,
            (Underlay("centre-run"),),
        ),
        ("open", (band(path((0, 0), (14, 0)), 2.5),), 0.55, (Underlay("centre-run"),)),
    ]
    cells = []
    for title, spines, spacing, under in cases:
        shape = shapely.union_all([outline(one) for one in spines])
        sewing = Sewing(
            0,
            0,
            "column",
            "body",
            0,
            shape,
            spines=spines,
            spacing_mm=spacing,
            pull_mm=0.15,
            push_mm=0.2,
            underlay=under,
        )
        cells.append(draw(title, sewing, lay_sewing(sewing, TRADE)))
    bare = [
        ("no spine, bar", rotate(box(0, 0, 14, 2), 20)),
        ("no spine, ring", Point(0, 0).buffer(5) - Point(0.4, 0).buffer(3)),
        ("no spine, bent", LineString(arc(6, 0, 150)).buffer(1.2)),
    ]
    for title, shape in bare:
        sewing = Sewing(0, 0, "column", "body", 0, shape, spacing_mm=0.4, pull_mm=0.15, push_mm=0.2)
        cells.append(draw(title, sewing, lay_sewing(sewing, TRADE)))
    return cells


def runnings() -> list[np.ndarray]:
    """Lines and networks."""
    leaf = [path((0, 0), (16, 0))] + [path((2 + 3 * i, 0), (4.5 + 3 * i, s * 4)) for i in range(4) for s in (-1, 1)]
    grid = [path((0, 4 * i), (12, 4 * i)) for i in range(4)] + [path((4 * i, 0), (4 * i, 12)) for i in range(4)]
    x = np.linspace(0, 16, 200)
    cases = [
        ("straight", [path((0, 0), (15, 2))], 2, False),
        ("wave", [np.column_stack([x, 2 * np.sin(x)])], 2, False),
        ("zigzag", [path(*[(i * 2.0, 3.0 * (i % 2)) for i in range(8)])], 3, False),
        ("circle", [arc(4, 0, 360, 100)[:-1]], 2, True),
        ("small circle", [arc(1, 0, 360, 60)[:-1]], 2, True),
        ("leaf", leaf, 2, False),
        ("grid", grid, 2, False),
        ("three", [path((0, 0), (6, 0)), path((6, 0), (11, 4)), path((6, 0), (11, -4))], 3, False),
        ("apart", [path((0, 0), (6, 0)), path((8, 0), (14, 0))], 2, False),
    ]
    cells = []
    for title, lines, passes, closed in cases:
        spines = tuple(band(line, 0.3, closed=closed) for line in lines)
        shape = shapely.union_all([outline(one).buffer(0.01) for one in spines])
        sewing = Sewing(
            0, 0, "running", "detail", 0, shape, spines=spines, stitch_mm=2.5 if passes == 3 else 1.5, passes=passes
        )
        cells.append(draw(title, sewing, lay_sewing(sewing, TRADE)))
    return cells


def dots() -> list[np.ndarray]:
    """Dots, tied."""
    cases = [
        ("round 1.0", Point(0, 0).buffer(0.5)),
        ("oval", scale(Point(0, 0).buffer(0.5), 1.3, 0.8)),
        ("square", box(0, 0, 1, 1)),
    ]
    cells = []
    for title, shape in cases:
        for angle in (0.0, 60.0):
            spines = (band(path((-0.3, 0), (0.3, 0)), 1.0),) if angle else ()
            sewing = Sewing(0, 0, "column", "detail", 0, shape, spines=spines, angle_deg=angle)
            cells.append(draw(title, sewing, tied(lay_sewing(sewing, TRADE), TRADE)))
    return cells


def underlays() -> list[np.ndarray]:
    """Every kind of underlay, without the top."""
    bay = translate(Point(0, 0).buffer(9) - box(-2, -10, 2, 3) - Point(5, 3).buffer(1.5), 10, 10)
    kinds = {
        "edge run": (EDGE_RUN,),
        "rows": (EDGE_RUN, ROWS),
        "crossed": (EDGE_RUN, Underlay("rows", 0.5, 2.5, 75.0), Underlay("rows", 0.5, 2.5, 165.0)),
        "nap": (Underlay("nap-rows", 0.5, 1.5, 90.0), EDGE_RUN, Underlay("rows", 0.5, 2.5, 75.0)),
    }
    cells = []
    for title, under in kinds.items():
        sewing = Sewing(
            0, 0, "fill", "body", 0, bay, angle_deg=30.0, spacing_mm=0.4, pull_mm=0.15, push_mm=0.2, underlay=under
        )
        trail = lay_sewing(sewing, TRADE)
        last = int(np.flatnonzero(trail.lay == Lay.UNDERLAY)[-1]) + 1
        cells.append(draw(title, sewing, Trail(trail.xy[:last], trail.move[:last], trail.lay[:last])))
    return cells


def joins() -> list[np.ndarray]:
    """Ties on each kind, and each way from one sewing to the next."""
    sewings = [
        Sewing(0, 0, "fill", "body", 0, box(0, 0, 6, 6), angle_deg=0.0, spacing_mm=0.4, pull_mm=0.15),
        Sewing(
            0,
            0,
            "column",
            "body",
            0,
            box(0, -1, 8, 1),
            spines=(band(path((0, 0), (8, 0)), 2.0),),
            spacing_mm=0.4,
            pull_mm=0.15,
        ),
        Sewing(
            0,
            0,
            "column",
            "body",
            0,
            box(0, -0.5, 8, 0.5),
            spines=(band(path((0, 0), (8, 0)), 1.0),),
            spacing_mm=0.45,
            pull_mm=0.1,
            underlay=(Underlay("centre-run"),),
        ),
        Sewing(
            0,
            0,
            "running",
            "detail",
            0,
            box(0, -0.2, 8, 0.2),
            spines=(band(path((0, 0), (8, 0)), 0.3),),
            stitch_mm=2.5,
            passes=2,
        ),
    ]
    ties = [draw(s.kind, s, tied(lay_sewing(s, TRADE), TRADE)) for s in sewings]
    hidden = box(-1, 1, 22, 5)
    ways = [("hidden travel", 14.0, hidden), ("jump", 1.8, None), ("trim", 5.0, None), ("trim, too far", 27.0, hidden)]
    return [*ties, *(draw_way(title, apart, under) for title, apart, under in ways)]


def draw_way(title: str, apart: float, hidden: Polygon | None) -> np.ndarray:
    """Two squares of one thread and the way between them, tied; hidden: what will lie over it."""
    squares = [box(0, 0, 4, 4), box(4 + apart, 0, 8 + apart, 4)]
    one, two = (Sewing(0, 0, "fill", "body", 0, square, angle_deg=0.0, spacing_mm=0.4) for square in squares)
    first = lay_sewing(one, TRADE, end=(4.0, 3.9))
    at = (float(first.xy[-1, 0]), float(first.xy[-1, 1]))
    second = lay_sewing(two, TRADE, start=at)
    entry = (float(second.xy[0, 0]), float(second.xy[0, 1]))
    way = move_between(at, entry, hidden=hidden, same_thread=True, trade=TRADE)
    whole = chained([first, way, Trail(second.xy[1:], second.move[1:], second.lay[1:])])
    return draw(title, replace(one, shape=MultiPolygon(squares)), tied(whole, TRADE))


KINDS = {"fill": fills, "column": columns, "running": runnings, "dot": dots, "underlay": underlays, "joins": joins}

if __name__ == "__main__":
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for name in sys.argv[2:] or KINDS:
        cv2.imwrite(str(folder / f"{name}.png"), sheet(KINDS[name]()))

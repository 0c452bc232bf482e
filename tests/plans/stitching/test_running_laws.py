"""What must hold of every running line and network of lines: trade facts (common practice, no source) as properties."""

from __future__ import annotations

import math
from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiLineString

from analyse.trade import default_trade
from analyse.values import Floats
from plans.stitching.laying import lay_sewing
from plans.stitching.network import euler_walk, network_of
from plans.values import Sewing
from tests.plans.stitching.laws import jumps, steps_mm
from tests.plans.stitching.spines import arc, band, line, random_spine

TRADE = default_trade()
CHORD = TRADE.value("running.chord_error")
FEW = settings(derandomize=True, deadline=None, max_examples=25)
SEEDS = st.integers(0, 500)


def running(*lines: Floats, passes: int = 2, stitch_mm: float = 2.5, closed: bool = False) -> Sewing:
    spines = tuple(band(one, 0.3, closed=closed) for one in lines)
    shape = MultiLineString([one[:, :2] for one in lines]).buffer(0.15)
    return Sewing(0, 0, "running", "detail", 0, shape, spines=spines, stitch_mm=stitch_mm, passes=passes)


def tree(seed: int) -> list[Floats]:
    """A branching network: each line begins on the end or the middle of one before."""
    rng = np.random.default_rng(seed)
    lines = [line((0, 0), (10, rng.uniform(-3, 3)))]
    for _ in range(int(rng.integers(1, 7))):
        trunk = lines[int(rng.integers(len(lines)))]
        root = trunk[-1] if rng.random() < 0.4 else trunk[len(trunk) // 2]
        turn = rng.uniform(0, 2 * math.pi)
        reach = rng.uniform(3, 8)
        lines.append(line(tuple(root), (root[0] + reach * math.cos(turn), root[1] + reach * math.sin(turn))))
    return lines


@FEW
@given(SEEDS, st.sampled_from([1.5, 2.5]))
def test_stitches_keep_their_length_and_the_curve(seed: int, stitch: float) -> None:
    curve = random_spine(seed).line[:, :2]
    trail = lay_sewing(running(curve, passes=1, stitch_mm=stitch), TRADE)
    assert steps_mm(trail).max() <= stitch + 1e-9
    assert steps_mm(trail).min() >= TRADE.value("stitch.shortest_shaped")
    steps = shapely.linestrings(np.stack([trail.xy[:-1], trail.xy[1:]], axis=1))
    off = shapely.hausdorff_distance(shapely.union_all(steps), LineString(curve), 0.1)
    assert off <= CHORD * 1.01  # a sampled curve


@FEW
@given(SEEDS, st.integers(1, 4))
def test_all_passes_fall_in_the_same_holes(seed: int, passes: int) -> None:
    curve = random_spine(seed).line[:, :2]
    once = lay_sewing(running(curve, passes=1), TRADE)
    trail = lay_sewing(running(curve, passes=passes), TRADE)
    assert len(trail.xy) - 1 == passes * (len(once.xy) - 1)
    assert len(np.unique(np.round(trail.xy, 6), axis=0)) == len(once.xy)
    far = passes % 2 == 1
    assert np.allclose(trail.xy[-1], once.xy[-1] if far else once.xy[0])


@FEW
@given(SEEDS)
def test_a_network_is_sewn_there_and_back_without_a_jump_and_ends_where_it_began(seed: int) -> None:
    lines = tree(seed)
    trail = lay_sewing(running(*lines, passes=2), TRADE)
    assert jumps(trail) == 0
    assert np.hypot(*(trail.xy[0] - trail.xy[-1])) < 0.5
    assert steps_mm(trail).sum() == pytest.approx(2 * sum(LineString(one).length for one in lines), rel=0.03)


@FEW
@given(SEEDS, st.sampled_from([1, 2, 3]))
def test_every_line_is_passed_as_often_as_asked_or_once_more(seed: int, passes: int) -> None:
    lines = tree(seed)
    stretches, knots = network_of(lines, [False] * len(lines), passes)
    walks = euler_walk(stretches, knots, np.zeros(2), None)
    times = np.bincount([one.stretch for walk in walks for one in walk], minlength=len(stretches))
    assert set(times.tolist()) <= {passes, passes + 1}
    graph = nx.MultiGraph([one.ends for one in stretches for _ in range(passes)])
    if nx.has_eulerian_path(graph, source=0):  # a published algorithm says whether the passes asked for will do
        assert (times == passes).all()


@FEW
@given(SEEDS, st.sampled_from([2, 3]))
def test_a_walk_goes_on_from_where_it_is(seed: int, passes: int) -> None:
    lines = tree(seed)
    stretches, knots = network_of(lines, [False] * len(lines), passes)
    for walk in euler_walk(stretches, knots, np.array([3.0, 1.0]), None):
        ends = [stretches[one.stretch].ends[:: -1 if one.back else 1] for one in walk]
        assert all(here[1] == there[0] for here, there in pairwise(ends))


def test_lines_apart_are_joined_by_a_trim_when_far_and_a_jump_when_near() -> None:
    near = lay_sewing(running(line((0, 0), (6, 0)), line((7, 0), (13, 0)), passes=1), TRADE)
    far = lay_sewing(running(line((0, 0), (6, 0)), line((16, 0), (22, 0)), passes=1), TRADE)
    assert near.move[1:].max() == 2
    assert far.move[1:].max() == 3


@pytest.mark.parametrize("radius", [1.0, 3.0, 10.0])
def test_a_closed_line_begins_nearest_to_its_start_and_returns(radius: float) -> None:
    ring = arc(radius, 0, 360)[:-1]
    trail = lay_sewing(running(ring, passes=2, closed=True), TRADE, start=(0, 2 * radius))
    assert np.hypot(*(trail.xy[0] - [0, radius])) < 0.1
    assert np.allclose(trail.xy[0], trail.xy[-1])


def test_corners_get_a_needle_point() -> None:
    zigzag = line((0, 0), (3.3, 4), (6.6, 0), (9.9, 4))
    trail = lay_sewing(running(zigzag, passes=1), TRADE)
    for corner in ((3.3, 4), (6.6, 0)):
        assert np.hypot(*(trail.xy - corner).T).min() < 0.05

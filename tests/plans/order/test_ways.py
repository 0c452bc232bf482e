"""Ways: through where thread does not show, near the shortest there is, with leaps no longer than may show."""

from __future__ import annotations

import numpy as np

from plans.order.ways import straightened, terrain_of, way_between


def test_a_way_goes_round_a_corner_near_its_true_length() -> None:
    """An L of two arms of 40 cells, three wide: between the city-block and the straight distance."""
    hidden = np.zeros((50, 50), bool)
    hidden[4:7, 4:45] = True
    hidden[4:45, 42:45] = True
    (way,) = way_between(terrain_of(hidden, 0.0), (5, 5), (43, 43), 200, 0.0)
    assert tuple(way[0]) == (5, 5)
    assert tuple(way[-1]) == (43, 43)
    assert all(hidden[y, x] for x, y in way)
    assert np.abs(np.diff(way, axis=0)).max() == 1
    line = straightened(way.astype(float), 1.0)
    assert np.hypot(*np.diff(line, axis=0).T).sum() <= 76


def test_there_is_no_way_across_open_cloth_or_past_the_longest() -> None:
    hidden = np.ones((20, 20), bool)
    hidden[:, 8:12] = False
    assert way_between(terrain_of(hidden, 2.0), (2, 2), (18, 2), 100, 2.0) == []
    whole = terrain_of(np.ones((20, 20), bool), 2.0)
    assert way_between(whole, (0, 0), (19, 0), 10, 2.0) == []
    assert len(way_between(whole, (0, 0), (19, 0), 30, 2.0)) == 1


def test_a_strip_is_leapt_over_where_it_is_narrowest() -> None:
    hidden = np.ones((20, 30), bool)
    hidden[:, 12:20] = False
    hidden[15, 12:18] = True
    before, after = way_between(terrain_of(hidden, 5.0), (3, 3), (26, 3), 200, 5.0)
    assert tuple(before[0]) == (3, 3)
    assert tuple(after[-1]) == (26, 3)
    assert all(hidden[y, x] for way in (before, after) for x, y in way)
    assert before[-1].tolist() == [17, 15]
    assert after[0].tolist() == [20, 15]


def stripes(count: int, gap: int) -> np.ndarray:
    hidden = np.zeros((10, count * (4 + gap)), bool)
    for number in range(count):
        hidden[:, number * (4 + gap) : number * (4 + gap) + 4] = True
    return hidden


def test_all_leaps_of_a_way_together_are_no_longer_than_one_may_be() -> None:
    terrain = terrain_of(stripes(4, 2), 8.0)
    assert len(way_between(terrain, (1, 5), (13, 5), 100, 8.0)) == 3
    assert way_between(terrain, (1, 5), (19, 5), 100, 8.0) == []

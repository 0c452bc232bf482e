"""Many lines in one array read as each line would by itself."""

from __future__ import annotations

import numpy as np

from analyse.widths.lines import lines_of, medians, spread, together

RANDOM = np.random.default_rng(3)
EACH = [np.cumsum(RANDOM.uniform(0.1, 2.0, (count, 2)), axis=0) for count in (2, 9, 5, 30)]


def test_every_line_is_read_at_its_own_ways() -> None:
    points, count = together(EACH)
    lines = lines_of(points, count)
    for number, line in enumerate(EACH):
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        ways = np.linspace(-1.0, along[-1] + 1.0, 17)
        alone = np.column_stack([np.interp(ways, along, column) for column in line.T])
        np.testing.assert_allclose(lines.read(np.full(17, number), ways, points), alone, rtol=1e-12)


def test_medians_are_those_of_each_stretch_and_none_of_an_empty_one() -> None:
    values = RANDOM.uniform(size=40)
    first, count = np.array([0, 3, 10, 20]), np.array([3, 6, 0, 20])
    alone = [np.median(values[a : a + n]) if n else np.nan for a, n in zip(first, count, strict=True)]
    np.testing.assert_allclose(medians(values, first, count), alone)
    assert spread(first, count).tolist() == [i for a, n in zip(first, count, strict=True) for i in range(a, a + n)]

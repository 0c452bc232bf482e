"""Heights of what passes for lettering."""

from __future__ import annotations

import numpy as np

from analyse.lettering.baselines import Stand
from analyse.lettering.heights import Ends, _zero


def test_a_line_none_of_whose_shapes_stands_on_its_baseline_has_a_foot_all_the_same() -> None:
    """Noise passes for lettering now and then: it is measured like any, and doubted."""
    at = np.arange(4) * 10.0
    places = Stand(np.full(4, 5.0), np.full(4, 12.0), at, at + 6.0, np.column_stack([at, at]))
    plain = np.zeros(4)
    assert np.allclose(_zero(places, Ends(plain + 6.0, plain, plain, plain), 12.0), 5.0)

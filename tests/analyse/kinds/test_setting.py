"""Pull grows with the stitch: the narrow figure under 2 mm, the full one from 4 mm (common practice, no source)."""

from __future__ import annotations

import pytest

from analyse.kinds.setting import pull_mm
from analyse.trade import default_trade, with_own

TRADE = default_trade()


@pytest.mark.parametrize(("stitch_mm", "pull"), [(0.5, 0.15), (2.0, 0.15), (3.0, 0.225), (4.0, 0.30), (9.0, 0.30)])
def test_pull_grows_in_proportion(stitch_mm: float, pull: float) -> None:
    assert pull_mm(TRADE.cloth("pique-knit"), stitch_mm, TRADE) == pytest.approx(pull)


def test_a_shops_own_limits_are_kept_to() -> None:
    own = with_own(
        TRADE, {"pull.full_from": 3.0, "cloth.twill.pull_mm": 0.0, "cloth.twill.pull_narrow_mm": 0.0}, "shop"
    )
    assert pull_mm(own.cloth("pique-knit"), 3.0, own) == pytest.approx(0.30)
    assert pull_mm(own.cloth("twill"), 3.0, own) == 0.0

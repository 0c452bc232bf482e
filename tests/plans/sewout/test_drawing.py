"""The sew-out against what thread and cloth are known to do."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from analyse.colours.difference import ciede2000
from analyse.colours.lab import srgb_to_lab
from analyse.trade import default_trade
from analyse.values import Floats
from plans.sewout import at_arms_length, draw_sewout, frame
from plans.sewout.eye import blur_mm
from plans.sewout.tones import to_linear, to_srgb
from plans.values import Lay
from tests.plans.sewout.pieces import line, rows, sew, sized_of, turned, zigzag

DIAMETERS = Path(__file__).parents[2] / "published/thread_diameter.csv"
THREADS = {
    "navy": (27, 42, 74), "gold": (201, 151, 56), "white": (246, 244, 238), "red": (170, 30, 40), "black": (0, 0, 0),
    "green": (0, 110, 60), "grey": (120, 120, 120), "yellow": (250, 200, 0),
}  # fmt: skip


def mean_colour(picture: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """As the eye mixes it: in linear light."""
    return to_srgb(to_linear(picture).reshape(-1, 3).mean(axis=0)[None])[0]


@pytest.mark.parametrize("name", THREADS)
def test_a_full_fill_has_the_colour_of_its_thread(name: str) -> None:
    """Within a CIEDE2000 of 6 whatever way it runs, though each way shines differently."""
    lightness = []
    for turn in (0, 45, 90, 135):
        stitches, steps = sew([(turned(rows(-8, -8, 8, 8), turn) + 12, "fill", 0, Lay.TOP)])
        picture = draw_sewout(stitches, steps, sized_of([THREADS[name]], (24.0, 24.0)), dpi=200)
        middle = picture.shape[0] // 2
        seen = srgb_to_lab(mean_colour(picture[middle - 35 : middle + 35, middle - 35 : middle + 35]))
        assert ciede2000(seen, srgb_to_lab(np.array(THREADS[name]))) < 6.0
        lightness.append(float(seen[0]))
    assert max(lightness) - min(lightness) > 1.5


def seen_colour(rgb: tuple[int, int, int], cloth: str, cloth_rgb: tuple[int, int, int], points: Floats) -> Floats:
    """CIELAB of the middle of a fill, as the eye mixes it."""
    sized = sized_of([rgb], (24.0, 24.0), cloth=cloth, cloth_rgb=cloth_rgb)
    picture = draw_sewout(*sew([(points, "fill", 0, Lay.TOP)]), sized, dpi=150)
    middle = picture.shape[0] // 2
    return srgb_to_lab(mean_colour(picture[middle - 25 : middle + 25, middle - 25 : middle + 25]))


@pytest.mark.parametrize("cloth", default_trade().names("cloth"))
def test_a_full_fill_has_the_colour_of_its_thread_on_every_cloth(cloth: str) -> None:
    """Within a CIEDE2000 of 6, dark thread on white cloth and white thread on black."""
    for name, ground in (("navy", (255, 255, 255)), ("white", (20, 20, 20))):
        seen = seen_colour(THREADS[name], cloth, ground, rows(4, 4, 20, 20))
        assert ciede2000(seen, srgb_to_lab(np.array(THREADS[name]))) < 6.0


@pytest.mark.parametrize("turn", [0, 45, 90])
def test_a_fill_sewn_upward_looks_like_one_sewn_downward(turn: float) -> None:
    """One thread in one direction shines alike, whatever piece of a fill was sewn first: no seam is seen."""
    points = turned(rows(-8, -8, 8, 8), turn) + 12
    up, down = (seen_colour(THREADS["gold"], "twill", (226, 222, 210), way) for way in (points, points[::-1]))
    assert ciede2000(up, down) < 1.5


def peirce(weight: str, column: str) -> tuple[float, float]:
    """Least and greatest of the published diameters of a weight."""
    table = csv.DictReader(row for row in DIAMETERS.read_text(encoding="utf-8").splitlines() if row[:1] != "#")
    widths = [float(row[column]) for row in table if row["thread"].startswith(f"{weight} wt")]
    return min(widths), max(widths)


@pytest.mark.parametrize("thread", ["40", "60"])
def test_a_lone_strand_is_as_wide_as_peirces_formula_says(thread: str) -> None:
    """Peirce's yarn diameter, round up to flattened 2 : 1 (tests/published/thread_diameter.csv)."""
    stitches, steps = sew([(line((0, 10), (40, 10), 8.0), "running", 0, Lay.TOP)])
    sized = sized_of([(0, 0, 0)], (40.0, 20.0), cloth_rgb=(255, 255, 255), thread=thread)
    picture = draw_sewout(stitches, steps, sized, dpi=600)[..., 1].astype(float)
    dark = picture[:, 400:900].min(axis=1) < 130
    rows_dark = (picture[:, 400:900] < 130).sum(axis=0)
    assert dark.any()
    width_mm = float(np.median(rows_dark)) * 25.4 / 600
    least, most = peirce(thread, "diameter_mm")[0], peirce(thread, "flattened_2_mm")[1]
    assert least <= width_mm <= most


def test_the_picture_is_at_true_scale() -> None:
    stitches, steps = sew([(rows(0, 0, 20, 10), "fill", 0, Lay.TOP)])
    sized = sized_of([(0, 0, 0)], (20.0, 10.0), cloth_rgb=(255, 255, 255))
    place = frame(sized, stitches)
    for dpi in (150, 300):
        picture = draw_sewout(stitches, steps, sized, dpi=dpi)
        assert picture.shape[:2] == place.pixels(dpi / 25.4)
        dark = picture[..., 1] < 100
        across = np.flatnonzero(dark.mean(axis=0) > 0.2)
        assert (across[-1] - across[0]) * 25.4 / dpi == pytest.approx(20 - 2 * 0.15 + 0.28, abs=0.2)
        assert place.left_mm + across[0] * 25.4 / dpi == pytest.approx(0.15, abs=0.3)


def test_later_stitches_lie_over_earlier_ones() -> None:
    pieces = [(rows(0, 0, 20, 20), "fill", 0, Lay.TOP), (zigzag(2, 8, 16, 4), "column", 1, Lay.TOP)]
    sized = sized_of([(0, 0, 0), (255, 255, 255)], (20.0, 20.0))
    over, under = (draw_sewout(*sew(order), sized, dpi=100)[..., 1] for order in (pieces, pieces[::-1]))
    middle = (slice(55, 65), slice(50, 70))
    assert over[middle].mean() > 170
    assert under[middle].mean() < 60


def test_a_base_shows_between_open_columns() -> None:
    """An open column of 0.55 mm leaves a good part of the base to be seen, a full one of 0.40 mm hardly any."""
    sized = sized_of([(170, 30, 40), (255, 255, 255)], (24.0, 12.0))

    def redness(spacing: float) -> float:
        sewn = sew(
            [(rows(0, 0, 24, 12), "fill", 0, Lay.TOP), (zigzag(2, 4, 20, 4, spacing=spacing), "column", 1, Lay.TOP)]
        )
        picture = draw_sewout(*sewn, sized, dpi=200)[80:95, 80:180].astype(float)
        return float((picture[..., 0] - picture[..., 1]).mean())

    assert redness(0.8) > redness(0.55) > redness(0.40)


def test_drift_opens_a_gap_between_what_is_sewn_first_and_last() -> None:
    left, right = rows(0, 0, 10, 20), rows(10.2, 0, 20, 20)
    between = [(line((-5 + k * 0.01, 30), (25, 30)), "running", 0, Lay.TOP) for k in range(40)]
    sewn = sew([(left, "fill", 0, Lay.TOP), *between, (right, "fill", 0, Lay.TOP)])
    sized = sized_of([(0, 0, 0)], (20.0, 30.0), cloth_rgb=(255, 255, 255))
    still, drifted = (draw_sewout(*sewn, sized, dpi=300, drift_mm=drift) for drift in (0.0, 1.0))
    assert np.abs(still.astype(int) - drifted.astype(int)).mean() > 1.0


def test_pile_swallows_a_thin_line_and_not_a_fill() -> None:
    def dark_share(cloth: str) -> tuple[float, float]:
        sewn = sew([(rows(0, 0, 20, 8), "fill", 0, Lay.TOP), (line((0, 14), (20, 14)), "running", 0, Lay.TOP)])
        sized = sized_of([(0, 0, 0)], (20.0, 20.0), cloth=cloth, cloth_rgb=(255, 255, 255))
        dark = draw_sewout(*sewn, sized, dpi=200)[..., 1] < 110
        return float(dark[60:90, 60:180].mean()), float(dark[140:160, 60:180].max(axis=0).mean())

    fill, thin = dark_share("towelling")
    assert fill > 0.9
    assert thin < 0.6 * dark_share("twill")[1]


def test_leather_keeps_its_holes() -> None:
    """Where thread is short of its hole, the hole is seen: wide and dark on leather, closed on twill."""
    from plans.sewout.drawing import HOLE_MM, LEATHER_HOLE_MM

    assert LEATHER_HOLE_MM > 1.5 * HOLE_MM


def test_the_back_shows_bobbin_thread_and_is_turned_over() -> None:
    sewn = sew([(rows(0, 0, 8, 8), "fill", 0, Lay.TOP)])
    sized = sized_of([(0, 0, 0)], (30.0, 8.0))
    front, back = (draw_sewout(*sewn, sized, dpi=150, back=side) for side in (False, True))
    dark = [(picture[..., 1] < 100).mean(axis=0) for picture in (front, back)]
    assert dark[0][: len(dark[0]) // 2].sum() > 5 * dark[0][len(dark[0]) // 2 :].sum()
    assert dark[1][len(dark[1]) // 2 :].sum() > 5 * dark[1][: len(dark[1]) // 2].sum()
    assert dark[1].sum() < 0.6 * dark[0].sum()


def test_the_same_stitches_give_the_same_picture() -> None:
    sewn = sew([(rows(0, 0, 10, 10), "fill", 0, Lay.TOP)])
    for cloth in ("twill", "towelling", "leather"):
        sized = sized_of([(0, 0, 0)], (10.0, 10.0), cloth=cloth)
        assert np.array_equal(draw_sewout(*sewn, sized, dpi=100), draw_sewout(*sewn, sized, dpi=100))


@pytest.mark.parametrize("cloth", sized_of([(0, 0, 0)], (1.0, 1.0)).trade.names("cloth"))
def test_every_cloth_keeps_its_own_colour(cloth: str) -> None:
    sewn = sew([(line((0, 0), (2, 0)), "running", 0, Lay.TOP)])
    for rgb in ((30, 45, 90), (150, 150, 155), (240, 238, 230)):
        picture = draw_sewout(*sewn, sized_of([(0, 0, 0)], (30.0, 30.0), cloth=cloth, cloth_rgb=rgb), dpi=150)
        seen = mean_colour(picture[80:, 80:])
        assert ciede2000(srgb_to_lab(seen), srgb_to_lab(np.array(rgb))) < 4.0


def test_a_grating_finer_than_the_eye_is_grey_at_arms_length() -> None:
    """One minute of arc at 600 mm is 0.17 mm (Snellen 1862): finer lines melt, lines of 1 mm stay."""
    dpi = 4800.0

    def contrast(line_mm: float) -> float:
        x = np.arange(2400) * 25.4 / dpi
        picture = np.repeat((np.floor(x / line_mm) % 2 * 255).astype(np.uint8)[None, :, None], 20, 0).repeat(3, 2)
        seen = to_linear(at_arms_length(picture, dpi))[10, 500:-500, 1]
        return float((seen.max() - seen.min()) / (seen.max() + seen.min()))

    assert contrast(0.1745) == pytest.approx(0.1 * 4 / np.pi, abs=0.02)
    assert contrast(0.1) < 0.03
    assert contrast(1.0) > 0.99


def test_the_eyes_blur_grows_with_distance() -> None:
    assert blur_mm(1200) == pytest.approx(2 * blur_mm(600))

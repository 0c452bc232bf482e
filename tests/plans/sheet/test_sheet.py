"""The sheet is at true size, holds every figure to type, and is the same file every time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from plans.minding import mind
from plans.pictures import Pictures, draw_pictures
from plans.sheet import render_sheet
from tests.plan_fixture import plan

POINT_MM = 25.4 / 72


@pytest.fixture(scope="module")
def pictures() -> Pictures:
    return draw_pictures(plan())


@pytest.fixture
def document(pictures: Pictures) -> Iterator[pypdfium2.PdfDocument]:
    opened = pypdfium2.PdfDocument(render_sheet(plan(), pictures))
    yield opened
    opened.close()


def words_of(document: pypdfium2.PdfDocument) -> str:
    pages = [document[n].get_textpage().get_text_range() for n in range(len(document))]
    return " ".join(" ".join(pages).split())


def test_it_is_on_a4_and_names_the_job(document: pypdfium2.PdfDocument) -> None:
    width, height = (side * POINT_MM for side in document[0].get_size())
    assert (width, height) == (pytest.approx(210, abs=0.1), pytest.approx(297, abs=0.1))
    text = words_of(document)
    for fact in ("oar-badge.png", "sews with changes", "76.2 × 60.0 mm", "left chest, pique knit", "75/11, light ball"):
        assert fact in text


def test_every_figure_to_type_stands_in_the_table(document: pypdfium2.PdfDocument) -> None:
    text = words_of(document)
    for step in plan().steps:
        x, y = step.entry_mm
        assert f"{x:.1f}, {y:.1f}" in text
        assert f"{step.stitches:,}" in text
    for figure in (
        "0.60 (lines 0.30 apart)",
        "20°",
        "pull 0.30, push 0.30, under 1.20",
        "3 passes",
        "2.50 line to line",
    ):
        assert figure in text


def test_the_design_is_drawn_at_true_size(pictures: Pictures, document: pypdfium2.PdfDocument) -> None:
    """The disc's ring spans 60 mm: measured on the page drawn at 8 px for each mm."""
    px_per_mm = 8
    page = document[0].render(scale=px_per_mm * POINT_MM).to_numpy()[..., :3].astype(int)
    golden = (np.abs(page - (0.75 * 56, 0.75 * 151, 0.75 * 201)).max(axis=-1) < 12) | (
        np.abs(page - (0.75 * 201, 0.75 * 151, 0.75 * 56)).max(axis=-1) < 12
    )
    rows = np.flatnonzero(golden[:, : page.shape[1] // 2].any(axis=1)) / px_per_mm
    assert rows[-1] - rows[0] == pytest.approx(60.0, abs=0.35)


@pytest.mark.parametrize(("width", "paper"), [(150.0, 210.0), (250.0, 297.0), (380.0, 420.0), (900.0, None)])
def test_a_large_design_gets_a_larger_sheet_rather_than_a_smaller_scale(
    pictures: Pictures, width: float, paper: float | None
) -> None:
    made = plan()
    sized = replace(made.sized, size_mm=(width, width))
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, sized=sized), pictures))
    page_width, page_height = (side * POINT_MM for side in opened[0].get_size())
    opened.close()
    assert page_width >= width + 20
    assert page_height >= width + 60
    assert paper is None or page_width == pytest.approx(paper, abs=0.1)


def test_the_same_plan_gives_the_same_bytes(pictures: Pictures) -> None:
    assert render_sheet(plan(), pictures) == render_sheet(plan(), pictures)


def test_a_wild_name_and_many_steps_do_not_break_it(pictures: Pictures) -> None:
    made = plan("\u202e\x00" + "wide " * 60 + "\udc80.png")
    many = replace(made.laid, steps=made.steps * 60)
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, approaches=(many,)), pictures))
    assert len(opened) > 5
    assert "240" in words_of(opened)
    opened.close()


def test_parts_sewn_alike_take_a_few_columns_not_a_row_each(pictures: Pictures) -> None:
    """A hundred and fifty strands of a rope are one row, and a page or two of places."""
    made = plan()
    many = replace(made.laid, steps=made.steps[:1] * 150)
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, approaches=(many,)), pictures))
    text = words_of(opened)
    assert len(opened) <= 3
    assert "1 to 150" in text
    assert all(f" {number} " in text for number in range(1, 151))
    opened.close()


def test_what_a_part_has_of_its_own_stands_beside_it(pictures: Pictures) -> None:
    made = plan()
    step = made.steps[0]
    wider = replace(step, sewing=replace(step.sewing, pull_mm=step.sewing.pull_mm + 0.17))
    several = replace(made.laid, steps=(step, wider, step))
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, approaches=(several,)), pictures))
    assert words_of(opened).count(f"pull {wider.sewing.pull_mm:.2f}") == 1
    opened.close()


def test_the_fonts_are_in_the_file(pictures: Pictures) -> None:
    assert b"/FontFile2" in render_sheet(plan(), pictures)


def test_what_to_mind_and_the_frame_stand_at_its_head(document: pypdfium2.PdfDocument) -> None:
    text = " ".join(document[0].get_textpage().get_text_range().split())
    assert text.index("Mind these") < text.index("50 mm when printed")
    assert "100 × 100 mm inside, or larger" in text
    for said in mind(plan()):
        assert said[1:] in text


@pytest.mark.parametrize("before", range(24))
def test_a_row_is_not_parted_from_its_parts_at_a_pages_end(pictures: Pictures, before: int) -> None:
    """However many rows stand above it, the nine parts of a row are on the page of its figures."""
    made = plan()
    base, column = made.steps[0], made.steps[1]
    turned = [replace(base, sewing=replace(base.sewing, angle_deg=float(3 * n))) for n in range(before)]
    nine = [replace(column, entry_mm=(50.0 + n, 11.1), stitches=700 + n) for n in range(9)]
    several = replace(made.laid, steps=(*turned, *nine))
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, approaches=(several,)), pictures))
    pages = [" ".join(opened[n].get_textpage().get_text_range().split()) for n in range(len(opened))]
    opened.close()
    heads = [n for n, page in enumerate(pages) if f"{before + 1} to {before + 9} column, detail" in page]
    assert len(heads) == 1
    assert all(f"{50.0 + n:.1f}, 11.1" in pages[heads[0]] for n in range(9))


def test_parts_that_run_over_a_page_say_there_whose_they_are(pictures: Pictures) -> None:
    made = plan()
    many = replace(made.laid, steps=made.steps[1:2] * 400)
    opened = pypdfium2.PdfDocument(render_sheet(replace(made, approaches=(many,)), pictures))
    pages = [opened[n].get_textpage().get_text_range() for n in range(len(opened))]
    opened.close()
    assert any("1 to 400, continued: column, detail" in page for page in pages[1:])

"""What a line needs at a size, held against published strokes of open fonts, and which usual cure is offered."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

from analyse.kinds.lettering import growth_mm, needed_height
from analyse.kinds.setting import Setting
from analyse.lettering.lines import Line, lines_of
from analyse.sizing import setting_of, size_drawing
from analyse.trade import default_trade
from analyse.values import Drawing
from analyse.widths.measuring import measure
from tests.drawings import drawing_of
from tests.lettered import along, lettering

CAP = 80.0
STROKES = Path("tests/published/font_strokes.csv").read_text(encoding="utf-8").splitlines()
STEMS = [row for row in csv.DictReader(STROKES) if row["glyph"] == "H" and row["part"] == "stem"]


def drawn(text: str, *, spacing: float = 0.06) -> Drawing:
    return drawing_of(*lettering(text, CAP, along(600, 300), spacing=spacing))


def setting(drawing: Drawing, cap_mm: float, thread: str = "40") -> Setting:
    return setting_of(drawing, cap_mm / CAP, thread, "twill", default_trade())


def only_line(drawing: Drawing) -> Line:
    (line,) = lines_of(drawing, measure(drawing))
    return line


def told(drawing: Drawing, cap_mm: float, thread: str = "40") -> str:
    left, _, right, _ = drawing.extent_px
    sized = size_drawing(drawing, width_mm=(right - left) * cap_mm / CAP, thread=thread)
    return next(feature.text for feature in sized.detail.features if feature.kind == "lettering")


@pytest.mark.parametrize("row", STEMS, ids=lambda row: f"{row['font']} {row['style']}")
def test_stems_must_grow_by_what_published_fonts_lack(row: dict[str, str]) -> None:
    """tests/published/font_strokes.csv: stems at 5 mm capitals, and the capitals at which a stem is 1 mm."""
    art = drawn("HARBOUR LIGHT")
    units = float(row["stem_units"]) / float(row["cap_height_units"])
    line = replace(only_line(art), cap_height=CAP, stem=units * CAP)
    least = float(default_trade().value("column.narrowest", thread="40"))
    assert growth_mm(line, setting(art, 5.0)) == pytest.approx(max(least - float(row["stem_mm_at_5mm"]), 0.0), abs=6e-4)
    enough = float(row["cap_mm_for_1mm_stroke"])
    assert growth_mm(line, setting(art, 1.001 * enough)) <= 2e-3
    assert growth_mm(line, setting(art, 0.95 * enough)) > 0


@pytest.mark.parametrize(
    ("text", "spacing", "cap_mm", "thread", "cure"),
    [
        ("HARBOUR LIGHT", 0.2, 5.0, "40", "widen the stems by"),
        ("HILL TILL", -0.02, 6.0, "40", "open the spacing by"),
        ("BARBER", 0.1, 3.8, "40", "reset in a plain sans"),
        ("Harbour Lights", 0.06, 5.0, "40", "set it in capitals only"),
        ("HARBOUR LIGHT", 0.06, 4.0, "40", "60-weight thread"),
        ("HARBOUR LIGHT", 0.06, 3.2, "60", "running line"),
        ("HARBOUR LIGHT", 0.06, 2.5, "40", "leave the line out"),
        ("HARBOUR LIGHT", 0.06, 4.0, "40", "mm wide"),
    ],
)
def test_the_cure_that_fits_is_offered(text: str, spacing: float, cap_mm: float, thread: str, cure: str) -> None:
    assert cure in told(drawn(text, spacing=spacing), cap_mm, thread)


@pytest.mark.parametrize(
    ("text", "cap_mm", "thread", "cure"),
    [
        ("HARBOUR LIGHT", 12.0, "40", "reset"),
        ("HARBOUR LIGHT", 12.0, "40", "must grow"),
        ("HARBOUR LIGHT", 4.0, "40", "capitals only"),
        ("Harbour Lights", 4.5, "40", "capitals only"),
        ("HARBOUR LIGHT", 3.5, "40", "60-weight"),
        ("HARBOUR LIGHT", 2.5, "40", "sew it as a running line"),
    ],
)
def test_a_cure_that_does_not_fit_is_not_offered(text: str, cap_mm: float, thread: str, cure: str) -> None:
    assert cure not in told(drawn(text), cap_mm, thread)


def test_small_letters_decide_in_mixed_case() -> None:
    assert "small letters 3.8 mm under capitals of 5.0 mm" in told(drawn("Harbour Lights"), 5.0)


def test_stems_that_pull_makes_wide_enough_need_nothing() -> None:
    """0.81 mm drawn are 1.01 mm sewn on twill: a column as it is."""
    assert "stems" in told(drawn("HARBOUR LIGHT", spacing=0.2), 6.0, "40")
    assert "widen" not in told(drawn("HARBOUR LIGHT", spacing=0.2), 6.0, "40")
    assert "must grow" not in told(drawn("HARBOUR LIGHT", spacing=0.2), 6.0, "40")


def test_on_leather_letters_must_be_as_much_taller_as_its_columns_are_wider() -> None:
    """Common practice, no source: 1.5 mm at least for a stem where 1.0 mm would do on cloth."""
    art = drawn("HARBOUR LIGHT")
    line, trade = only_line(art), default_trade()
    on = {name: replace(setting(art, 5.0), cloth=trade.cloth(name)) for name in ("twill", "leather")}
    assert needed_height(line, on["leather"])[1] == pytest.approx(1.5 * needed_height(line, on["twill"])[1])


@pytest.mark.parametrize("cap_mm", [1.5, 2.0, 2.5, 2.9, 3.1, 3.6, 4.2, 5.5])
@pytest.mark.parametrize("text", ["HARBOUR LIGHT", "OOOO8888"])
@pytest.mark.parametrize("weight", [0.0, 3.0])
def test_what_is_advised_to_be_left_out_is_not_sewn_and_what_is_not_is(text: str, cap_mm: float, weight: float) -> None:
    glyphs = [shape.buffer(weight, join_style="mitre") for shape in lettering(text, CAP, along(600, 300))]
    drawing = drawing_of(*glyphs)
    left, _, right, _ = drawing.extent_px
    sized = size_drawing(drawing, width_mm=(right - left) * cap_mm / CAP)
    lines = [feature for feature in sized.detail.features if feature.kind == "lettering"]
    assert lines
    advised = any("leave the line out" in line.text for line in lines)
    assert advised == all(part.kind == "drop" for part in sized.parts)
    assert advised or not any(part.kind == "drop" for part in sized.parts)

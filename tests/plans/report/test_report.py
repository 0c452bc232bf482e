"""The report answers the three questions, in one file that asks nothing and obeys no file name."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import combinations

import pytest
from shapely import LineString

from analyse.survival import survival
from analyse.values import Detail
from plans import words
from plans.pictures import Pictures, draw_pictures
from plans.report import render_report
from plans.report.marks import APART, Mark, placed, radius
from plans.report.steps import _spanned
from tests.badge import features
from tests.plan_fixture import plan

EVIL = "<script>alert(1)</script>\"'&\x1b]0;x\x07\u202e.png"


class Reader(HTMLParser):
    """Collects tags, what they refer to, and the text a person reads."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.references: list[str] = []
        self.attributes: list[str] = []
        self.words: list[str] = []
        self.inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]
        self.references += [value or "" for name, value in attrs if name in {"src", "href", "action", "data", "srcset"}]
        if tag in {"script", "style"}:
            self.inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()

    def handle_data(self, data: str) -> None:
        if not self.inside:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def read(page: str) -> Reader:
    reader = Reader()
    reader.feed(page)
    return reader


@pytest.fixture(scope="module")
def pictures() -> Pictures:
    return draw_pictures(plan())


@pytest.fixture(scope="module")
def page(pictures: Pictures) -> str:
    return render_report(plan(), pictures)


def test_it_answers_the_three_questions(page: str) -> None:
    text = read(page).text
    for question in ("Does the detail survive at 76 mm?", "What to sew how", "What it costs"):
        assert question in text
    assert text.index("Sews with changes") < text.index("Does the detail")


def test_each_detail_has_its_measure_need_and_width(page: str) -> None:
    text = read(page).text
    for figures in ("0.40 mm 0.60 mm 120.0 mm wide", "0.80 mm 1.00 mm 95.2 mm wide", "48.0 dE00 10.0 dE00 every width"):
        assert figures in text


def test_steps_say_spacing_across_two_lines_and_line_to_line(page: str) -> None:
    text = read(page).text
    assert "0.60 (lines 0.30 apart)" in text
    assert "0.425 (lines 0.213 apart)" in text
    assert "edge run inset 0.5; open rows, 2.50 line to line at 90°" in text


def test_the_four_approaches_stand_side_by_side(page: str) -> None:
    text = read(page).text
    for name in ("base and detail", "side by side", "stacked", "line work"):
        assert name in text


def test_it_asks_nothing_of_a_network_and_has_no_inline_style(page: str) -> None:
    reader = read(page)
    assert all(reference.startswith(("#", "data:image/")) for reference in reader.references)
    assert "style" not in reader.attributes
    assert not [name for name in reader.attributes if name.startswith("on")]
    assert "://" not in re.sub(r"http://www\.w3\.org/\S+", "", page)


def test_its_policy_allows_its_own_script_and_style_alone(page: str) -> None:
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    assert policy
    assert "default-src &#39;none&#39;" in policy[1]
    for tag in ("style", "script"):
        own = re.search(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        assert own
        digest = base64.b64encode(hashlib.sha256(own[1].encode()).digest()).decode()
        assert f"{tag}-src &#39;sha256-{digest.replace('+', '&#43;')}&#39;" in policy[1].replace("+", "&#43;")


def test_a_file_name_stays_text(pictures: Pictures) -> None:
    page = render_report(plan(EVIL), pictures)
    assert "<script>alert" not in page
    assert read(page).tags.count("script") == 2
    assert "\x1b" not in page
    assert "\u202e" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page


def test_words_of_the_artwork_stay_text_everywhere(pictures: Pictures) -> None:
    made = plan()
    spiked = tuple(replace(feature, text="</svg><script>x", words="<b>&") for feature in features())
    page = render_report(replace(made, sized=replace(made.sized, detail=Detail(spiked))), pictures)
    assert "<script>x" not in page
    assert "<b>&" not in page


def test_the_same_plan_gives_the_same_bytes(page: str, pictures: Pictures) -> None:
    assert render_report(plan(), pictures) == page


def test_it_keeps_to_a_size_one_can_send(page: str) -> None:
    assert len(page.encode()) < 1_500_000


def test_the_order_is_told_to_the_script_needle_point_by_needle_point(page: str) -> None:
    told = re.search(r'id="order-data">(.*?)</script>', page)
    assert told
    data = json.loads(told[1])
    made = plan()
    assert data["count"] == len(made.stitches.xy)
    assert len(base64.b64decode(data["points"])) == 4 * data["count"]
    assert [step["first"] for step in data["steps"]] == [
        made.stitches.step.tolist().index(number) for number in range(len(made.steps))
    ]


def test_hard_places_are_ringed_on_a_map_and_told_with_their_cure(page: str) -> None:
    assert len(re.findall(r'<circle class="hard"', page)) == 1
    text = read(page).text
    told = "2.6 layers middle, 30, 30 mm A column crosses the ring over a full fill. "
    told += "Cure: cut the base out under the oar."
    assert told in text


def test_the_curve_marks_the_asked_width_and_rises_to_the_right(page: str) -> None:
    """The badge's dot, 0.8 mm at 76 mm, holds at 1.0: from 95 mm on, by hand; asked are 76."""
    curve = re.search(r'<path class="curve" d="M([^"]+)"', page)
    assert curve
    heights = [float(height) for height in re.findall(r"V([\d.]+)", curve[1])]
    assert heights == sorted(heights, reverse=True)
    text = read(page).text
    sized = plan().sized
    found = survival(
        sized.drawing, thread=sized.thread, cloth=sized.cloth, cloth_rgb=sized.cloth_rgb, trade=sized.trade,
        widths_mm=[sized.size_mm[0]],
    )  # fmt: skip
    (asked,) = (holding for holding in found.holdings if holding.width_mm == pytest.approx(76.2))
    assert f"76 mm: {asked.share:.0%}".replace("%", " %") in text
    told = re.search(r"All that a width can help holds from ([\d.]+) mm", text)
    assert told
    assert float(told[1]) == pytest.approx(76.2 * 1.0 / 0.8, rel=0.03)


def lines_of(mark: Mark) -> LineString:
    return LineString([(mark.x, mark.y), (mark.to_x, mark.to_y)])


@pytest.mark.parametrize("count", [1, 2, 5, 17, 24])
def test_marks_stand_apart_and_off_the_artwork(count: int) -> None:
    many = [replace(features()[0], at_mm=(76.2 * (n * 0.37 % 1.0), 60.0 * (n * 0.61 % 1.0))) for n in range(count)]
    size = radius((76.2, 60.0), count)
    marks = placed(many, (76.2, 60.0), size)
    assert [mark.number for mark in marks] == list(range(1, count + 1))
    for mark in marks:
        assert not (-size < mark.x < 76.2 + size and -size < mark.y < 60.0 + size)
    assert not [pair for pair in combinations(marks, 2) if lines_of(pair[0]).crosses(lines_of(pair[1]))]
    for one in marks:
        for other in marks:
            if one.number < other.number:
                assert max(abs(one.x - other.x), abs(one.y - other.y)) > 0.86 * APART * size


def test_a_plan_in_which_all_holds_says_so(pictures: Pictures) -> None:
    made = plan()
    holding = tuple(replace(feature, state="holds") for feature in features())
    page = render_report(replace(made, sized=replace(made.sized, detail=Detail(holding))), pictures)
    assert "Every detail is drawn large enough to sew at this size." in page
    assert read(render_report(replace(made, sized=replace(made.sized, detail=Detail(()))), pictures)).text


def test_the_rows_that_decided_are_named_with_value_unit_and_source(page: str) -> None:
    text = read(page).text
    assert "column.spacing" not in text  # it decided no kind and no detail
    assert "dot.smallest 1 mm drawn CP" in text
    assert "cloth.pique-knit.gap_mm 1 mm CP" in text


def test_decisions_that_wait_for_later_are_told(page: str) -> None:
    made = plan()
    waiting = replace(made, job=replace(made.job, kept=("[[part]]", "[trade]")))
    told = "[[part]], [trade]: kept, not yet acted on"
    assert told in render_report(waiting, draw_pictures(made))
    assert told not in page


def test_what_to_ask_the_customer_for_is_told_before_the_detail(page: str) -> None:
    made = plan()
    asking = render_report(replace(made, source=("this is a screenshot: ask for the file",)), draw_pictures(made))
    told = "This is a screenshot: ask for the file."
    assert told in asking
    assert asking.index('id="survives"') < asking.index(told) < asking.index("By weight in the look")
    assert told not in page


def test_no_step_gives_its_reason_twice(pictures: Pictures) -> None:
    """A sewing's reason begins with its part's: what follows is said once."""
    made = plan()
    part = made.sized.parts[made.steps[0].sewing.part]
    why = f"{words.reason(part.reason)}; and something more"
    first = replace(made.steps[0], sewing=replace(made.steps[0].sewing, why=why))
    laid = replace(made.laid, steps=(first, *made.steps[1:]))
    text = read(render_report(replace(made, approaches=(laid, *made.approaches[1:])), pictures)).text
    assert text.count(f"{words.reason(part.reason)}; and something more") == 1
    assert f"{words.reason(part.reason)}; {words.reason(part.reason)}" not in text


def test_sentences_that_differ_in_their_figures_are_one_with_spans() -> None:
    said = ["0.70 mm drawn: a column", "0.85 mm drawn: a column", "0.85 mm drawn: a column"]
    assert _spanned(said, 3) == ["0.70 to 0.85 mm drawn: a column"]


def test_what_is_not_said_of_all_says_of_how_many() -> None:
    said = ["0.3 mm drawn: a line", "1.2 mm drawn: a column", "1.4 mm drawn: a column"]
    assert _spanned(said, 3) == ["2 of 3: 1.2 to 1.4 mm drawn: a column", "1 of 3: 0.3 mm drawn: a line"]
    assert _spanned(["", "", "its ends run under"], 3) == ["1 of 3: its ends run under"]


def test_figures_in_thousands_and_to_unlike_places_are_spanned_as_they_read() -> None:
    assert _spanned(["1,200 stitches", "2,100 stitches"], 2) == ["1,200 to 2,100 stitches"]
    assert _spanned(["1.50 mm", "1.8 mm"], 2) == ["1.5 to 1.8 mm"]

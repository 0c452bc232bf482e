"""The report in a browser: both themes, a phone and a desk, by keyboard, without script, and on paper."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright import sync_api

from plans.pictures import draw_pictures
from plans.report import render_report
from tests.plan_fixture import plan

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")  # else the one the test tool brings

# WCAG 2.2, 1.4.3: contrast of every piece of text against what lies behind it, by the specification's own formula.
CONTRAST = """
() => {
  const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const channel = (c) => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const found = parts(getComputedStyle(at).backgroundColor);
      if (found.length < 4 || found[3] === 1) return found;
    }
    return [255, 255, 255];
  };
  const poor = [];
  for (const node of document.querySelectorAll("body *:not(script):not(style):not(svg *)")) {
    const own = [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    const style = getComputedStyle(node);
    if (!own || !node.checkVisibility()) continue;
    const [one, other] = [light(parts(style.color)), light(behind(node))].sort((a, b) => b - a);
    const ratio = (one + 0.05) / (other + 0.05);
    if (ratio < 4.5) poor.push(`${node.tagName} ${ratio.toFixed(2)}: ${node.textContent.slice(0, 30)}`);
  }
  return poor;
}
"""
SMALL_TARGETS = """
() => [...document.querySelectorAll("button, input, summary, a:not(.skip)")].map((node) => node.getBoundingClientRect())
  .filter((box) => box.width && (box.width < 24 || box.height < 24)).length
"""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    made = plan("a rather long name, as customers give them " * 3 + ".png")
    path.write_text(render_report(made, draw_pictures(made)), encoding="utf-8")
    return path.as_uri()


@pytest.fixture(scope="module")
def browser() -> Iterator[sync_api.Browser]:
    with sync_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_it_fits_is_legible_and_silent(browser: sync_api.Browser, address: str, scheme: str, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=scheme)
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(CONTRAST) == []
    assert page.evaluate(SMALL_TARGETS) == 0
    assert said == []
    assert {url.split(":")[0] for url in asked} <= {"file", "data"}
    assert page.evaluate("[...document.images].every((image) => image.naturalWidth > 0)")
    page.close()


def test_the_order_is_driven_by_keyboard(browser: sync_api.Browser, address: str) -> None:
    page = browser.new_page()
    page.goto(address)
    slider = page.locator("#order input")
    slider.focus()
    last = int(slider.input_value())
    assert last == len(plan().stitches.xy)
    page.keyboard.press("Home")
    assert slider.input_value() == "0"
    page.keyboard.press("ArrowRight")
    assert slider.input_value() == "1"
    page.keyboard.press("PageDown")
    assert int(slider.input_value()) == plan().stitches.step.tolist().index(1)
    assert "Step 1 of 4" in page.locator("#order .at").inner_text()
    page.keyboard.press("PageDown")
    assert "Step 2 of 4: column, detail, white" in slider.get_attribute("aria-valuetext")
    page.keyboard.press("PageUp")
    page.get_by_role("button", name="Step on").click()
    page.keyboard.press("Tab")
    slider.focus()
    page.keyboard.press("End")
    assert int(slider.input_value()) == last
    page.close()


def test_the_order_is_drawn_in_the_threads_colours(browser: sync_api.Browser, address: str) -> None:
    page = browser.new_page()
    page.goto(address)
    count = """() => {
      const canvas = document.querySelector("#order canvas");
      const data = canvas.getContext("2d").getImageData(0, 0, canvas.width, canvas.height).data;
      let navy = 0;
      for (let n = 0; n < data.length; n += 4) navy += data[n] < 60 && data[n + 2] > 45 && data[n + 2] < 110;
      return navy / (data.length / 4);
    }"""
    whole = page.evaluate(count)
    page.locator("#order input").focus()
    page.keyboard.press("Home")
    assert page.evaluate(count) < 0.001
    assert whole > 0.2
    page.close()


def test_without_script_all_but_the_scrubber_is_there(browser: sync_api.Browser, address: str) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(address)
    text = page.inner_text("body")
    for words in (
        "Does the detail survive",
        "Steps in sewing order",
        "0.60 (lines 0.30 apart)",
        "What it costs",
        "Cautions",
    ):
        assert words in text
    assert not page.locator("#order").is_visible()
    context.close()


def test_it_prints_on_paper_with_what_was_folded_away(browser: sync_api.Browser, address: str, tmp_path: Path) -> None:
    import pypdfium2

    page = browser.new_page()
    page.goto(address)
    path = tmp_path / "report.pdf"
    page.pdf(path=path, format="A4")
    page.close()
    document = pypdfium2.PdfDocument(path)
    text = " ".join(document[n].get_textpage().get_text_range() for n in range(len(document)))
    assert 2 <= len(document) <= 9
    for words in ("What it costs", "the wave", "Cautions"):
        assert words in text
    assert "Step back" not in text
    document.close()

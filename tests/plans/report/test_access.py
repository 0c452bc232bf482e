"""The report for those who do not see it, cannot point, or enlarge it: checked in a browser against WCAG 2.2."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright import sync_api

from plans.pictures import draw_pictures
from plans.report import render_report
from tests.plan_fixture import plan

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
# WCAG 2.2: 1.1.1 names of pictures, 1.3.1 structure, 2.4.1 landmarks, 3.1.1 language, 4.1.2 names of controls.
FAULTS = """
() => {
  const all = (query) => [...document.querySelectorAll(query)];
  const faults = [];
  const must = (holds, what) => { if (!holds) faults.push(what); };
  must(document.documentElement.lang === "en", "no language");
  must(document.title.trim(), "no title");
  for (const mark of ["h1", "main", "header", "footer"]) must(all(mark).length === 1, `not one ${mark}`);
  let level = 0;
  for (const head of all("h1, h2, h3, h4, h5, h6")) {
    const own = Number(head.tagName[1]);
    must(own <= level + 1, `${head.tagName} after H${level}: ${head.textContent}`);
    must(head.textContent.trim(), "an empty heading");
    level = own;
  }
  for (const image of all("img")) must(image.alt.trim(), "a picture without a name");
  for (const svg of all("svg")) {
    const named = svg.getAttribute("role") === "img" && svg.getAttribute("aria-label");
    must(named || svg.closest("[aria-hidden=true]"), "a drawing neither named nor hidden");
  }
  for (const cell of all("th:not([aria-hidden=true])")) must(cell.scope, `no scope: ${cell.textContent}`);
  for (const table of all("table")) must(table.querySelector("th"), "a table without headings");
  for (const row of all("tbody tr:not(.why)")) must(row.querySelector("th, td"), "an empty row");
  for (const region of all("[role=region], section")) {
    must(region.getAttribute("aria-label") || region.querySelector("h2, h3"), "a region without a name");
  }
  for (const box of all(".wide")) must(box.tabIndex === 0, "what scrolls cannot be reached by keyboard");
  for (const field of all("input, button, select")) {
    must(field.labels?.length || field.textContent.trim() || field.ariaLabel, "a control without a name");
  }
  const ids = all("[id]").map((node) => node.id);
  must(new Set(ids).size === ids.length, "an id twice");
  for (const link of all("a[href^='#']")) must(ids.includes(link.hash.slice(1)), `${link.hash} leads nowhere`);
  must(all("[tabindex]").every((node) => node.tabIndex <= 0), "an order of its own");
  return faults;
}
"""
# WCAG 1.4.12: what a reader may do to the text without losing any of it.
SPACED = """
* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important; }
p { margin-bottom: 2em !important; }
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sync_api.Page]:
    path = tmp_path_factory.mktemp("report") / "report.html"
    made = plan()
    path.write_text(render_report(made, draw_pictures(made)), encoding="utf-8")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        context = browser.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
        opened = context.new_page()
        opened.goto(path.as_uri())
        yield opened
        browser.close()


def test_everything_has_its_name_and_its_place(page: sync_api.Page) -> None:
    assert page.evaluate(FAULTS) == []


def test_the_checks_find_what_is_wrong(page: sync_api.Page) -> None:
    """The list above is no list that is always empty."""
    spoilt = """() => {
      document.querySelector("img").alt = "";
      document.querySelector("th").removeAttribute("scope");
      document.querySelector("h3").outerHTML = "<h5>too deep</h5>";
    }"""
    again = page.context.new_page()
    again.goto(page.url)
    again.evaluate(spoilt)
    assert len(again.evaluate(FAULTS)) == 3
    again.close()


def test_the_keyboard_is_seen_wherever_it_goes(page: sync_api.Page) -> None:
    """WCAG 2.4.7: each stop of the tab key shows an outline, and the first leads past the head."""
    stops = []
    for _ in range(12):
        page.keyboard.press("Tab")
        stops.append(
            page.evaluate(
                """() => {
                  const node = document.activeElement, style = getComputedStyle(node);
                  return [node.className || node.tagName, style.outlineStyle, parseFloat(style.outlineWidth)];
                }"""
            )
        )
    assert stops[0][0] == "skip"
    assert len([stop for stop in stops if stop[0] != "BODY"]) >= 8
    assert [stop for stop in stops if stop[0] != "BODY" and (stop[1] != "solid" or stop[2] < 2)] == []


def test_nothing_moves_by_itself(page: sync_api.Page) -> None:
    """WCAG 2.3.3 and 2.2.2: no animation, no transition, no timer that changes the page."""
    assert page.evaluate("document.getAnimations().length") == 0
    moving = (
        "[...document.querySelectorAll('*')].filter((n) => parseFloat(getComputedStyle(n).transitionDuration)).length"
    )
    assert page.evaluate(moving) == 0
    before = page.locator("main").inner_html()
    page.wait_for_timeout(300)
    assert page.locator("main").inner_html() == before


@pytest.mark.parametrize("zoom", [2, 4])
def test_it_can_be_enlarged_without_scrolling_sideways(page: sync_api.Page, zoom: int) -> None:
    """WCAG 1.4.4 and 1.4.10: a desk's window at 200 % and at 400 %."""
    page.set_viewport_size({"width": 1280 // zoom, "height": 900 // zoom})
    assert page.evaluate("document.documentElement.scrollWidth") <= 1280 // zoom
    cut = """() => [...document.querySelectorAll("h1, h2, h3, p, li, dt, dd, figcaption")].filter((node) =>
      node.checkVisibility() && !node.closest(".wide, .skip") && node.getBoundingClientRect().right > innerWidth + 1
    ).map((node) => node.textContent.slice(0, 40))"""
    assert page.evaluate(cut) == []
    page.set_viewport_size({"width": 1280, "height": 900})


def test_text_can_be_spaced_out(page: sync_api.Page) -> None:
    again = page.context.new_page()
    again.set_viewport_size({"width": 390, "height": 900})
    again.goto(page.url)
    again.evaluate(
        "(rules) => { const s = new CSSStyleSheet(); s.replaceSync(rules); document.adoptedStyleSheets = [s]; }", SPACED
    )
    assert again.evaluate("document.documentElement.scrollWidth") <= 390
    again.close()

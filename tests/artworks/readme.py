"""Draws the README's pictures: figures of real reports, as a reader sees them.

    python tests/artworks/readme.py

Needs Debian's Chromium. Writes images/readme/*.webp.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[2]
PICTURES = ROOT / "images" / "readme"
WIDTH_PX = 1280
FIGURES = {
    "survives": ("figure.marked svg", 820),
    "steps": ("figure.map svg", 820),
    "sewout": ("figure.sewn img", 820),
    "cost": ("#cost table", 1100),
}
ARTWORKS = {"crest": "saltmarsh-crest.png", "badger": "brockhurst-badger.svg"}


def report(art: str, folder: Path) -> Path:
    """The report of the plan that the README asks for."""
    command = [
        sys.executable,
        "-m",
        "plans",
        "plan",
        str(ROOT / "images" / art),
        "--width",
        "3in",
        "--on",
        "left chest",
    ]
    subprocess.run([*command, "--quiet", "--out", str(folder)], cwd=ROOT, check=True)
    return folder / "report.html"


def saved(picture: bytes, name: str, width_px: int) -> None:
    """Keep a picture at the width the README shows it."""
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    height = round(image.height * width_px / image.width)
    image.resize((width_px, height), Image.Resampling.LANCZOS).save(PICTURES / f"{name}.webp", quality=82, method=6)


def shoot(page: Page, name: str) -> None:
    """Photograph the figures of the report on the page."""
    for figure, (selector, width_px) in FIGURES.items():
        saved(page.locator(selector).first.screenshot(), f"{name}-{figure}", width_px)


def main() -> None:
    """Plan, open, photograph."""
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH_PX, "height": 900}, device_scale_factor=2)
        for name, art in ARTWORKS.items():
            page.goto(report(art, Path(folder) / name).as_uri())
            shoot(page, name)
        browser.close()


if __name__ == "__main__":
    main()

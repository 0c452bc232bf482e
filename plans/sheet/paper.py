"""The sheet's paper: size, fonts, and text set in columns."""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from analyse.files.fonts import BOLD, REGULAR

PAPERS = ((210.0, 297.0), (297.0, 420.0), (420.0, 594.0), (594.0, 841.0), (841.0, 1189.0))  # A4 to A0, mm
MARGIN_MM = 14.0
INK = (0.13, 0.15, 0.18)
SOFT = (0.38, 0.37, 0.35)
RULE = (0.78, 0.75, 0.69)
EMPTY_START = "BT 1 0 0 1 0 0 Tm "  # what a text object begins with, at the page's corner


@dataclass(slots=True)
class Paper:
    """A PDF being drawn. width, height, mm; y runs down from the top, as everywhere else here."""

    pdf: Canvas
    buffer: io.BytesIO
    width: float
    height: float
    title: str
    y: float = MARGIN_MM
    known: dict[tuple[str, str, float], str] = field(default_factory=dict)

    def text(self, x: float, y: float, text: str, points: float = 8.5, bold: bool = False, right: bool = False) -> None:
        """One line of text with its baseline at y."""
        font = "Sheet-Bold" if bold else "Sheet"
        left = x * mm - (pdfmetrics.stringWidth(text, font, points) if right else 0.0)
        self.pdf.addLiteral(f"BT 1 0 0 1 {left:.3f} {(self.height - y) * mm:.3f} Tm {self._shown(text, font, points)}")

    def _shown(self, text: str, font: str, points: float) -> str:
        """The operators that show a text where the pen stands. Much of a sheet is said again and again."""
        if (text, font, points) not in self.known:
            written = self.pdf.beginText()
            written.setFont(font, points)
            written.textOut(text)
            self.known[text, font, points] = written.getCode().removeprefix(EMPTY_START)
        return self.known[text, font, points]

    def colour(self, rgb: tuple[float, float, float]) -> None:
        """Ink for text and areas."""
        self.pdf.setFillColorRGB(*rgb)

    def swatch(self, x: float, y: float, side: float, rgb: tuple[int, int, int]) -> None:
        """A square of a thread's colour with its lower edge 1 mm under y."""
        self.pdf.setFillColorRGB(*(channel / 255 for channel in rgb))
        self.pdf.setStrokeColorRGB(*SOFT)
        self.pdf.setLineWidth(0.4)
        self.pdf.rect(x * mm, (self.height - y - 1) * mm, side * mm, side * mm, fill=1)
        self.colour(INK)

    def rule(self, y: float, x: float = MARGIN_MM, to: float | None = None) -> None:
        """A hairline across the page."""
        self.pdf.setStrokeColorRGB(*RULE)
        self.pdf.setLineWidth(0.4)
        end = self.width - MARGIN_MM if to is None else to
        self.pdf.line(x * mm, (self.height - y) * mm, end * mm, (self.height - y) * mm)

    def turn(self) -> None:
        """Finish the page and start the next."""
        self._foot()
        self.pdf.showPage()
        self.y = MARGIN_MM

    def done(self) -> bytes:
        """Finish the last page and hand the file over."""
        self._foot()
        self.pdf.save()
        return self.buffer.getvalue()

    def _foot(self) -> None:
        self.colour(SOFT)
        y = self.height - 7
        self.text(MARGIN_MM, y, fitted(self.title, 7, self.width - 2 * MARGIN_MM - 30), 7)
        self.text(self.width - MARGIN_MM, y, f"page {self.pdf.getPageNumber()}", 7, right=True)
        self.colour(INK)


@contextmanager
def binary_streams() -> Iterator[None]:
    """Write streams as bytes: as text, which nothing needs any more, they cost more time than all the rest."""
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def paper_for(size_mm: tuple[float, float], head_mm: float, title: str) -> Paper:
    """The smallest paper that shows a design of `size_mm` at true size under a head of `head_mm`."""
    wide, tall = size_mm[0] + 2 * MARGIN_MM, size_mm[1] + head_mm + 2 * MARGIN_MM
    turned = [(max(pair), min(pair)) for pair in PAPERS]
    sizes = [size for pair in zip(PAPERS, turned, strict=True) for size in pair]
    width, height = next((size for size in sizes if wide <= size[0] and tall <= size[1]), (wide, tall))
    buffer = io.BytesIO()
    pdf = Canvas(buffer, pagesize=(width * mm, height * mm), invariant=1, pageCompression=1)
    pdf.setTitle(title)
    pdf.setCreator("Scantling")
    return Paper(pdf, buffer, width, height, title)


def register_fonts() -> None:
    """Make the sheet's typeface known: before any text is measured."""
    for name, path in (("Sheet", REGULAR), ("Sheet-Bold", BOLD)):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(path)))


def fitted(text: str, points: float, most_mm: float, bold: bool = False) -> str:
    """The text, cut with an ellipsis where it would run over."""
    font = "Sheet-Bold" if bold else "Sheet"
    if pdfmetrics.stringWidth(text, font, points) <= most_mm * mm:
        return text
    while text and pdfmetrics.stringWidth(text + "…", font, points) > most_mm * mm:
        text = text[:-1]
    return text.rstrip() + "…"


@lru_cache(maxsize=4096)
def wrapped(text: str, points: float, most_mm: float) -> tuple[str, ...]:
    """The text in lines no wider than `most_mm`, broken between words."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and pdfmetrics.stringWidth(longer, "Sheet", points) <= most_mm * mm:
            lines[-1] = longer
        else:
            lines.append(fitted(word, points, most_mm))
    return tuple(lines) or ("",)

"""A drawing as a list of flat shapes, written as SVG."""

from __future__ import annotations

from dataclasses import dataclass, field
from html import escape

from pen import Path


@dataclass
class Sheet:
    """Shapes from the back to the front on a picture of the given width and height."""

    width: float
    height: float
    title: str
    rows: list[str] = field(default_factory=list)
    defs: list[str] = field(default_factory=list)

    def fill(self, path: Path, colour: str, clip: str = "") -> None:
        self.rows.append(f'<path d="{path.d()}" fill="{colour}"{self._clipped(clip)}/>')

    def cut(self, path: Path, colour: str, clip: str = "") -> None:
        """Filled by the even-odd rule: a shape within a shape is a hole."""
        self.rows.append(f'<path d="{path.d()}" fill="{colour}" fill-rule="evenodd"{self._clipped(clip)}/>')

    def stroke(self, path: Path, colour: str, width: float, clip: str = "", cap: str = "round") -> None:
        self.rows.append(
            f'<path d="{path.d()}" fill="none" stroke="{colour}" stroke-width="{width:g}" stroke-linecap="{cap}"'
            f' stroke-linejoin="round"{self._clipped(clip)}/>'
        )

    def keyed(self, path: Path, colour: str, key: str, width: float) -> None:
        """Filled, with an even keyline round it."""
        self.rows.append(
            f'<path d="{path.d()}" fill="{colour}" stroke="{key}" stroke-width="{width:g}" stroke-linejoin="round"/>'
        )

    def clip(self, path: Path) -> str:
        name = f"clip{len(self.defs) + 1}"
        self.defs.append(f'<clipPath id="{name}"><path d="{path.d()}"/></clipPath>')
        return name

    def gradient(self, start: complex, end: complex, stops: list[tuple[float, str]]) -> str:
        name = f"gradient{len(self.defs) + 1}"
        rows = "".join(f'<stop offset="{at:g}" stop-color="{colour}"/>' for at, colour in stops)
        self.defs.append(
            f'<linearGradient id="{name}" gradientUnits="userSpaceOnUse" x1="{start.real:g}" y1="{start.imag:g}"'
            f' x2="{end.real:g}" y2="{end.imag:g}">{rows}</linearGradient>'
        )
        return f"url(#{name})"

    def svg(self) -> str:
        defs = f"<defs>{''.join(self.defs)}</defs>\n" if self.defs else ""
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}">'
        return f"{head}\n<title>{escape(self.title)}</title>\n{defs}" + "\n".join(self.rows) + "\n</svg>\n"

    @staticmethod
    def _clipped(clip: str) -> str:
        return f' clip-path="url(#{clip})"' if clip else ""

"""Our own SVGs as PDFs: the paths, clips and flat colours that `sheet.py` writes, and nothing more."""

from __future__ import annotations

import io
import re
from pathlib import Path
from xml.etree import ElementTree as ET

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from analyse.files.svgtree import parse
from analyse.limits import default_limits

SVG = "{http://www.w3.org/2000/svg}"
EVEN_ODD, NON_ZERO = 0, 1
COMMAND = re.compile(r"([MLCZ])([^MLCZ]*)")


def trace(canvas: Canvas, d: str) -> PDFPathObject:
    path = canvas.beginPath()
    steps = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo}
    for name, text in COMMAND.findall(d):
        if name == "Z":
            path.close()
        else:
            steps[name](*(float(number) for number in re.findall(r"-?[\d.]+", text)))
    return path


def paint(canvas: Canvas, element: ET.Element) -> None:
    fill, stroke = element.get("fill", "none"), element.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(HexColor(fill))
    if stroke != "none":
        canvas.setStrokeColor(HexColor(stroke))
        canvas.setLineWidth(float(element.get("stroke-width", "1")))
        canvas.setLineCap(1 if element.get("stroke-linecap") == "round" else 0)
        canvas.setLineJoin(1)
    mode = EVEN_ODD if element.get("fill-rule") == "evenodd" else NON_ZERO
    path = trace(canvas, element.attrib["d"])
    canvas.drawPath(path, fill=int(fill != "none"), stroke=int(stroke != "none"), fillMode=mode)


def draw(canvas: Canvas, element: ET.Element, clips: dict[str, str]) -> None:
    canvas.saveState()
    clip = re.search(r"#(\w+)", element.get("clip-path", ""))
    if clip:
        canvas.clipPath(trace(canvas, clips[clip[1]]), stroke=0, fill=0)
    if element.tag == f"{SVG}path":
        paint(canvas, element)
    elif element.tag == f"{SVG}g":
        for child in element:
            draw(canvas, child, clips)
    canvas.restoreState()


def parsed(svg: Path) -> ET.Element:
    """The markup of a drawing, by the parser that reads customers' files."""
    return parse(svg.read_bytes(), svg.name, default_limits())


def pdf_of(svg: Path, width_mm: float) -> bytes:
    root = parsed(svg)
    _, _, width, height = (float(number) for number in root.attrib["viewBox"].split())
    scale = width_mm * 72 / 25.4 / width
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(width * scale, height * scale), invariant=1)
    canvas.setTitle(root.findtext(f"{SVG}title", ""))
    canvas.transform(scale, 0, 0, -scale, 0, height * scale)
    clips = {clip.attrib["id"]: clip[0].attrib["d"] for clip in root.iter(f"{SVG}clipPath")}
    for element in root:
        draw(canvas, element, clips)
    canvas.save()
    return file.getvalue()

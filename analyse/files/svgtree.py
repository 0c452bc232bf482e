"""An SVG's markup, checked and made harmless: no entities, no deep nesting, no reference that leaves the file."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element, TreeBuilder
from xml.parsers import expat

from analyse.errors import ArtworkError
from analyse.limits import Limits, exceeded

SVG = "{http://www.w3.org/2000/svg}"
_SAFE_HREF = re.compile(r"\s*(#|data:image/)", re.IGNORECASE)
_URL = re.compile(r"url\(\s*(?!['\"]?\s*(?:#|data:image/))[^)]*\)?", re.IGNORECASE)
_IMPORT = re.compile(r"@import[^;]*;?", re.IGNORECASE)
_FAMILY = re.compile(r"(font-family\s*:\s*)([^;}!]+)", re.IGNORECASE)
_FONT = re.compile(r"(font\s*:\s*)([^;}!]+)", re.IGNORECASE)
_FACE = re.compile(r"@font-face\s*\{[^}]*\}?", re.IGNORECASE)
_DROPPED = {"script", "foreignObject", "animate", "animateTransform", "animateMotion", "set", "handler", "listener"}
# A link (`a`) and a style sheet's processing instruction draw nothing by themselves.
_DRAWN_BY_REFERENCE = {
    "use", "image", "feImage", "pattern", "linearGradient", "radialGradient", "filter", "textPath", "tref", "mpath",
    "mask", "clipPath", "marker", "link",
}  # fmt: skip
_SEEN_IN_BROWSERS = "foreignObject"


@dataclass
class _Tally:
    """The parser's events, counted while the tree grows."""

    name: str
    limits: Limits
    builder: TreeBuilder = field(default_factory=TreeBuilder)
    depth: int = 0
    elements: int = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        self.elements += 1
        if self.depth > self.limits.depth:
            raise exceeded(self.limits, "depth", self.depth, self.name, "ask for a simpler file, or a PNG")
        if self.elements > self.limits.elements:
            raise exceeded(self.limits, "elements", self.elements, self.name, "ask for a simpler file, or a PNG")
        self.builder.start(_clark(tag), {_clark(key): value for key, value in attributes.items()})

    def end(self, tag: str) -> None:
        self.depth -= 1
        self.builder.end(_clark(tag))

    def refuse_entities(self, *_: object) -> int:
        raise ArtworkError("the SVG declares entities, which are not read", self.name, "ask for a plain SVG, or a PDF")


def parse(data: bytes, name: str, limits: Limits) -> Element:
    """The root of the markup. Errors: ArtworkError for broken, entity-laden, too deep or too large markup."""
    if len(data) > limits.svg_bytes:
        raise exceeded(limits, "svg_bytes", len(data), name)
    counter = _Tally(name, limits)
    parser = expat.ParserCreate(namespace_separator="}")
    parser.StartElementHandler, parser.EndElementHandler = counter.start, counter.end
    parser.CharacterDataHandler = counter.builder.data
    parser.EntityDeclHandler = parser.UnparsedEntityDeclHandler = counter.refuse_entities
    parser.ExternalEntityRefHandler = parser.SkippedEntityHandler = counter.refuse_entities
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        where = f"{name}, line {error.lineno}"
        raise ArtworkError(f"the SVG is damaged: {expat.ErrorString(error.code)}", where, "ask for it again") from error
    except (LookupError, ValueError) as error:
        raise ArtworkError("the SVG is in an unknown encoding", name, "ask for it in UTF-8") from error
    root = counter.builder.close()
    if root.tag not in (f"{SVG}svg", "svg"):
        raise ArtworkError("this is not an SVG", name, "ask for it as a PNG, SVG or PDF")
    return root


def make_harmless(root: Element, fallback: str) -> tuple[str, ...]:
    """Strip from the tree what reaches outside the file; name `fallback` after every font. Returns notes."""
    found: Counter[str] = Counter()
    for element in root.iter():
        for child in [child for child in element if local_name(child.tag) in _DROPPED]:
            element.remove(child)
            found["pages"] += local_name(child.tag) == _SEEN_IN_BROWSERS
        found.update(_harmless_attributes(element, fallback))
        if local_name(element.tag) == "style" and element.text:
            faceless = _FACE.sub("", element.text)
            text = _IMPORT.sub("", _URL.sub("none", faceless))
            found["references"] += text != faceless
            element.text = _with_fallback(text, fallback)
    return tuple(words for what, words in _STRIPPED.items() if found[what])


_STRIPPED = {
    "pictures": "a picture that the SVG only names was left out: ask for it embedded in the file",
    "references": "what lies outside the file (styles, patterns, typefaces) was left out: ask for a plain SVG",
    "pages": "text set as a web page within the SVG was left out: ask for it as outlines",
}


def _harmless_attributes(element: Element, fallback: str) -> Counter[str]:
    found: Counter[str] = Counter()
    for key, value in list(element.attrib.items()):
        local = local_name(key)
        if (local in ("href", "src") and not _SAFE_HREF.match(value)) or local == "base" or local.startswith("on"):
            del element.attrib[key]
            if local_name(element.tag) in _DRAWN_BY_REFERENCE and local in ("href", "src"):
                found["pictures" if local_name(element.tag) in ("image", "feImage") else "references"] += 1
        elif local == "font-family":
            element.set(key, f"{value}, {fallback}")
        elif "(" in value or local == "style":
            safe = _URL.sub("none", value)
            found["references"] += safe != value
            element.set(key, _with_fallback(safe, fallback))
    return found


def _with_fallback(css: str, fallback: str) -> str:
    css = _FAMILY.sub(rf"\1\2, {fallback}", css)
    return _FONT.sub(rf"\1\2, {fallback}", css)


def _clark(name: str) -> str:
    return f"{{{name}" if "}" in name else name


def local_name(tag: object) -> str:
    """A tag or attribute without its namespace."""
    return str(tag).rpartition("}")[2]

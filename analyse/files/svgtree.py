"""An SVG's markup, checked and made harmless: no entities, no deep nesting, no reference that leaves the file."""

from __future__ import annotations

import re
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
_DROPPED = {"script", "foreignObject", "animate", "animateTransform", "animateMotion", "set", "handler", "listener"}


@dataclass
class _Counter:
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
    counter = _Counter(name, limits)
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
    stripped = 0
    for element in root.iter():
        for child in [child for child in element if _local(child.tag) in _DROPPED]:
            element.remove(child)
        stripped += _harmless_attributes(element, fallback)
        if _local(element.tag) == "style" and element.text:
            text = _IMPORT.sub("", _URL.sub("none", element.text))
            stripped += text != element.text
            element.text = _with_fallback(text, fallback)
    return (f"{stripped} references to things outside the file were left out",) if stripped else ()


def _harmless_attributes(element: Element, fallback: str) -> int:
    stripped = 0
    for key, value in list(element.attrib.items()):
        local = _local(key)
        if (local in ("href", "src") and not _SAFE_HREF.match(value)) or local == "base" or local.startswith("on"):
            del element.attrib[key]
            stripped += local in ("href", "src")
        elif local == "font-family":
            element.set(key, f"{value}, {fallback}")
        elif "(" in value or local == "style":
            safe = _URL.sub("none", value)
            stripped += safe != value
            element.set(key, _with_fallback(safe, fallback))
    return stripped


def _with_fallback(css: str, fallback: str) -> str:
    css = _FAMILY.sub(rf"\1\2, {fallback}", css)
    return _FONT.sub(rf"\1\2, {fallback}", css)


def families(root: Element) -> tuple[str, ...]:
    """The first font family each piece of text asks for, as written, each once; empty if there is no text."""
    if not any(_local(element.tag) == "text" for element in root.iter()):
        return ()
    asked: dict[str, None] = {}
    for element in root.iter():
        texts = [element.get("font-family", ""), *_FAMILY.findall(element.get("style", ""))]
        if _local(element.tag) == "style":
            texts += _FAMILY.findall(element.text or "")
        for text in texts:
            first = (text[1] if isinstance(text, tuple) else text).split(",")[0].strip(" \"'\n\t")
            if first:
                asked[first] = None
    return tuple(asked)


def _clark(name: str) -> str:
    return f"{{{name}" if "}" in name else name


def _local(tag: object) -> str:
    return str(tag).rpartition("}")[2]

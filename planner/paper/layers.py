"""Which layers does a drawn sheet have? The sheet taken apart into drawings of one layer each, in their order.

A PDF shows and hides what stands in a layer; so each layer becomes a drawing of its own, on the same page.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass
from itertools import groupby
from typing import Final
from xml.etree.ElementTree import Element, tostring

from defusedxml.ElementTree import fromstring

_SVG: Final = "{http://www.w3.org/2000/svg}"
_INKSCAPE: Final = "{http://www.inkscape.org/namespaces/inkscape}"
_HREF: Final = "{http://www.w3.org/1999/xlink}href"
_REFERENCE: Final = re.compile(r"url\(\s*#([^)\s]+)\s*\)")
_UNDRAWN: Final = {f"{_SVG}{name}" for name in ("defs", "title", "desc", "metadata", "style")}
_SHAPES: Final = {
    f"{_SVG}{name}"
    for name in ("path", "text", "use", "rect", "circle", "ellipse", "line", "polyline", "polygon", "image")
}


@dataclass(frozen=True, slots=True)
class Piece:
    """What lies in one layer, or between two, as a drawing of the sheet's size."""

    layer: str | None
    markup: str


@dataclass(frozen=True, slots=True)
class DrawnSheet:
    """A sheet as it was drawn: its title, what it shows, its size in inches, its layers from the lowest up."""

    title: str
    description: str
    width: float
    height: float
    pieces: tuple[Piece, ...]


def sheet_of(markup: str, written: Mapping[str, str]) -> DrawnSheet:
    """Take a drawn sheet apart; ``written`` says what is written in place of signs that no font has.

    Raises:
        ValueError: the drawing does not say its size in inches.
    """
    root = fromstring(markup)
    width, height = (_inches(root.get(side, "")) for side in ("width", "height"))
    if written:
        _write_instead(root, written)
    shared = {element.get("id", ""): element for defs in root.iter(f"{_SVG}defs") for element in defs}
    pieces = (Piece(layer, _alone(drawing, shared)) for layer, drawing in _joined(_taken_apart(root)))
    title, description = (root.findtext(f"{_SVG}{name}", "") for name in ("title", "desc"))
    return DrawnSheet(title, description, width, height, tuple(pieces))


def uncommon_signs(markups: Iterable[str]) -> str:
    """Give the signs of the texts of drawings that not every font has, each once, in order."""
    found: set[str] = set()
    for markup in markups:
        if not markup.isascii():
            texts = (text for element in fromstring(markup).iter(f"{_SVG}text") for text in element.itertext())
            found |= {sign for text in texts for sign in text if sign > "\x7f"}
    return "".join(sorted(sign for sign in found if unicodedata.category(sign)[0] not in "MCZ"))


def _inches(text: str) -> float:
    if not text.endswith("in"):
        raise ValueError(f"the drawing's size {text!r} is not in inches")
    return float(text.removesuffix("in"))


def _write_instead(root: Element, written: Mapping[str, str]) -> None:
    table = str.maketrans(dict(written))
    for element in root.iter(f"{_SVG}text"):
        for part in element.iter():
            part.text = part.text and part.text.translate(table)
            part.tail = part.tail and part.tail.translate(table)


def _is_layer(element: Element) -> bool:
    return element.get(f"{_INKSCAPE}groupmode") == "layer"


def _taken_apart(element: Element, around_all: str | None = None) -> Iterator[tuple[str | None, Element]]:
    """Give the drawn children one by one, each within a copy of what is around it, and the innermost layer it is in."""
    for child in element:
        if child.tag in _UNDRAWN:
            continue
        inner: Iterable[tuple[str | None, Element]]
        own = around_all
        if _is_layer(child):
            own = child.get(f"{_INKSCAPE}label") or child.get("id") or "Layer"
        if any(_is_layer(part) for part in child.iter() if part is not child):
            inner = _taken_apart(child, own)
        else:
            inner = [(own, child)]
        for layer, drawn in inner:
            if any(part.tag in _SHAPES for part in drawn.iter()):
                around = copy(element)
                around[:] = [drawn]
                yield layer, around


def _joined(pieces: Iterable[tuple[str | None, Element]]) -> Iterator[tuple[str | None, Element]]:
    """Join neighbours of one layer, and those that lie in none."""
    for layer, neighbours in groupby(pieces, key=lambda piece: piece[0]):
        (_, first), *rest = neighbours
        for _, drawing in rest:
            first.extend(drawing)
        yield layer, first


def _alone(drawing: Element, shared: Mapping[str, Element]) -> str:
    """Write a drawing with those shared things that it refers to."""
    needed: dict[str, Element] = {}
    waiting = list(_references(drawing))
    while waiting:
        name = waiting.pop()
        if name in shared and name not in needed:
            needed[name] = shared[name]
            waiting += _references(shared[name])
    if needed:
        defs = Element(f"{_SVG}defs")
        defs.extend(needed[name] for name in sorted(needed))
        drawing.insert(0, defs)
    return tostring(drawing, encoding="unicode")


def _references(drawing: Element) -> Iterator[str]:
    for element in drawing.iter():
        for key, value in element.items():
            if "url(" in value:
                yield from _REFERENCE.findall(value)
            elif key in (_HREF, "href") and value.startswith("#"):
                yield value[1:]

"""Does a drawing set type that shows, in a font that it does not carry?

What the machine has in place of a font would decide what is etched, so such type must be turned into outlines. But
drawing programs leave type behind that never shows: emptied, switched off, beside the page, in the colour of what is
under it, or covered. So bars stand in for the words, with all that decides whether and where the words would be seen,
and the drawing is drawn small with them and without: where nothing changes, no type shows.

A bar is as long as the words can well get, to both sides of where they start, for how they are aligned is not asked;
and type that cannot be placed so counts as shown. Both err towards asking for outlines.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.etree.ElementTree import Element

import cv2
import numpy as np
from numpy.typing import NDArray

from planner.artwork.measures import PIXELS
from planner.artwork.records import ArtError
from planner.artwork.svg_safety import SVG

_TYPE: Final = frozenset({f"{SVG}text", f"{SVG}flowRoot"})
_NOT_SHOWN: Final = re.compile(r"(?:^|;)\s*display\s*:\s*none\b")
_CSS_OF_TYPE: Final = re.compile(r"(?<![\w.#-])(?:text|tspan|flow\w+)(?![\w-])")

_PLACE: Final = ("x", "y", "dx", "dy", "rotate", "textLength", "lengthAdjust")
_NOT_OF_SPANS: Final = ("transform", "opacity", "clip-path", "mask", "filter")
_STYLES_NOT_OF_SPANS: Final = re.compile(r"(?:^|(?<=;))\s*(?:transform|opacity|clip-path|mask|filter)\s*:[^;]*")

_NUMBER: Final = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?"
_LENGTH: Final = re.compile(rf"\s*({_NUMBER})\s*([a-z%]*)", re.IGNORECASE)
_SIZE: Final = re.compile(rf"(?:^|;)\s*font(?:-size)?\s*:[^;]*?({_NUMBER}(?:[a-z]+|%))", re.IGNORECASE)
_PLAIN_SIZE: Final = re.compile(rf"(?:^|;)\s*font-size\s*:\s*({_NUMBER})\s*(?=;|$)", re.IGNORECASE)

_MEDIUM: Final = 16.0
"""Pixels; the size of type where none is named (common practice of browsers)."""

_ROUNDING: Final = 2
_AT_EDGES: Final = 96
"""Levels of grey by which anything, and single elements, may change without type; edges were seen to change by 48."""

_WIDEST, _ABOVE, _BELOW = 1.0, 1.0, 0.35
"""Of a letter and of a line, in sizes of type; hardly any letter is wider than it is high."""


@dataclass(frozen=True, slots=True)
class _Words:
    """A piece of type: where it hangs in the drawing, the size of type there in pixels, and what it says."""

    parent: Element = field(repr=False)
    index: int
    size: float
    text: str


def check_type(root: Element, look: Callable[[], NDArray[np.uint8]]) -> None:
    """See that no type shows; ``look`` draws the drawing small, as ``root`` is at the moment.

    Raises:
        ArtError: some does, or it cannot be drawn.
    """
    found = list(_found(root))
    if not found:
        return
    styles = "".join("".join(element.itertext()) for element in root.iter(f"{SVG}style"))
    if _CSS_OF_TYPE.search(styles):
        raise _refusal(found[0])  # Rules for type alone would not reach the bars.
    bars = [_bars_of(words) for words in found]
    for words, bar in zip(found, bars, strict=True):
        if bar is None:
            raise _refusal(words)
    without = _looked(found, [None] * len(found), look)
    if _alike(_looked(found, bars, look), without):
        return
    # Halve until one is left that shows, to name it.
    low, high = 0, len(found)
    while high - low > 1:
        middle = (low + high) // 2
        some = [bar if low <= number < middle else None for number, bar in enumerate(bars)]
        if _alike(_looked(found, some, look), without):
            low = middle
        else:
            high = middle
    raise _refusal(found[low])


def _alike(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> bool:
    """Say whether two pictures are the same but for the rounding at edges.

    What is added to a group, even beside the page, may shift the others in it by a trifle: single elements at their
    edges change a little. A bar is a block of elements, or at least a line of them that change much.
    """
    change = cv2.absdiff(one, other)
    blocks = cv2.erode((change > _ROUNDING).astype(np.uint8), np.ones((2, 2), np.uint8))
    return not np.any(blocks) and int(np.max(change)) <= _AT_EDGES


def _refusal(words: _Words) -> ArtError:
    shown = words.text if len(words.text) <= 30 else words.text[:27] + "..."
    return ArtError(
        f'sets type ("{shown}") in a font that it does not carry; turn type into outlines, so that it looks '
        f"alike everywhere"
    )


def _found(root: Element) -> Iterator[_Words]:
    """All type that is neither empty nor switched off where it stands, in the order of the drawing."""
    stack: list[tuple[Element, float]] = [(root, _size(root, _MEDIUM))]
    while stack:
        parent, size = stack.pop()
        inside = []
        for index, element in enumerate(parent):
            if not isinstance(element.tag, str) or _switched_off(element):
                continue
            if element.tag in _TYPE:
                text = " ".join(_said(element).split())
                if text:
                    yield _Words(parent, index, size, text)
            else:
                inside.append((element, _size(element, size)))
        stack.extend(reversed(inside))


def _switched_off(element: Element) -> bool:
    return element.get("display") == "none" or _NOT_SHOWN.search(element.get("style", "")) is not None


def _said(element: Element) -> str:
    """The words of an element and what is in it, without what is switched off."""
    parts = [element.text or ""]
    for child in element:
        if isinstance(child.tag, str) and not _switched_off(child):
            parts.append(_said(child))
        parts.append(child.tail or "")
    return "".join(parts)


def _looked(
    found: Sequence[_Words], bars: Sequence[Element | None], look: Callable[[], NDArray[np.uint8]]
) -> NDArray[np.uint8]:
    """Draw with bars in place of words; without a bar the words are left out."""
    kept = [words.parent[words.index] for words in found]
    try:
        for words, bar in zip(found, bars, strict=True):
            words.parent[words.index] = Element(f"{SVG}g") if bar is None else bar
        return look()
    finally:
        for words, element in zip(found, kept, strict=True):
            words.parent[words.index] = element


def _bars_of(words: _Words) -> Element | None:
    """The bars that stand in for a piece of type; None if it cannot be placed."""
    element = words.parent[words.index]
    if element.tag == f"{SVG}flowRoot":
        return _flow_of(element)
    try:
        bars, _ = _spans(element, words.size, (0.0, 0.0, 0.0), whole=True)
    except ValueError:
        return None
    return bars


def _flow_of(element: Element) -> Element | None:
    """Type that flows into shapes: the shapes, filled with what fills the type."""
    bars = Element(f"{SVG}g", dict(element.attrib))
    shapes = [shape for region in element.iter(f"{SVG}flowRegion") for shape in region]
    for shape in shapes:
        place = {name: value for name, value in shape.attrib.items() if name not in {"style", "class", "fill"}}
        bars.append(Element(shape.tag, place))
    return bars if shapes else None


def _spans(
    element: Element, size: float, at: tuple[float, float, float], *, whole: bool = False
) -> tuple[Element, tuple[float, float, float]]:
    """Bars for an element of type, and where the next words follow: x, y, and pixels that words may have got to.

    Raises:
        ValueError: the words cannot be placed.
    """
    if element.tag not in {f"{SVG}text", f"{SVG}tspan", f"{SVG}a"}:
        raise ValueError(element.tag)  # Along a path, or said elsewhere.
    size = _size(element, size)
    kept = {name: value for name, value in element.attrib.items() if name not in _PLACE}
    if not whole:
        kept = {name: value for name, value in kept.items() if name not in _NOT_OF_SPANS}
        if "style" in kept:
            kept["style"] = _STYLES_NOT_OF_SPANS.sub("", kept["style"])
    bars = Element(f"{SVG}g", kept)
    x, y, reach = at
    across, up = (_lengths(element.get(name, ""), size) for name in ("x", "y"))
    if across or up or whole:
        x, y, reach = across[0] if across else x, up[0] if up else y, 0.0
    spread = max((abs(value - x) for value in across), default=0.0)
    spread += sum(map(abs, _lengths(element.get("dx", ""), size)))
    rise = max((abs(value - y) for value in up), default=0.0)
    rise += sum(map(abs, _lengths(element.get("dy", ""), size)))
    reach += spread
    vertical = "writing-mode" in f"{element.get('style', '')} {' '.join(element.attrib)}"
    for text, child in [(element.text, None), *((child.tail, child) for child in element)]:
        if child is not None and isinstance(child.tag, str) and not _switched_off(child):
            inside, (x, y, reach) = _spans(child, size, (x, y, reach))
            bars.append(inside)
        letters = len(" ".join((text or "").split()))
        if letters:
            reach += letters * size * _WIDEST
            more = rise + (reach if vertical and "lr" not in element.get("style", "") else 0.0)
            bars.append(_bar(x - reach, y - size * _ABOVE - more, 2 * reach, size * (_ABOVE + _BELOW) + 2 * more))
    return bars, (x, y, reach)


def _bar(left: float, top: float, width: float, height: float) -> Element:
    place = {"x": left, "y": top, "width": width, "height": height}
    return Element(f"{SVG}rect", {name: f"{value:.9g}" for name, value in place.items()})


def _size(element: Element, inherited: float) -> float:
    """The size of type of an element in pixels; one that makes no sense counts as none."""
    style = element.get("style", "")
    match = _PLAIN_SIZE.search(style) or _SIZE.search(style)
    length = _LENGTH.fullmatch((match[1] if match else element.get("font-size", "")).strip())
    try:
        return inherited if length is None else _pixels(float(length[1]), length[2].lower(), inherited)
    except ValueError:
        return inherited


def _pixels(value: float, unit: str, size: float) -> float:
    factors = {**PIXELS, "em": size, "ex": size / 2, "%": size / 100}
    if unit not in factors:
        raise ValueError(unit)
    return value * factors[unit]


def _lengths(text: str, size: float) -> list[float]:
    """Places or shifts in pixels.

    Raises:
        ValueError: one is a share of something, or no length.
    """
    found = []
    for part in text.replace(",", " ").split():
        match = _LENGTH.fullmatch(part)
        if match is None or match[2] == "%":
            raise ValueError(part)
        found.append(_pixels(float(match[1]), match[2].lower(), size))
    return found

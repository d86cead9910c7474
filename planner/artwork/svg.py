"""How large is an SVG drawing, and what does it cover?

Physical size comes from width and height with units; a number without a unit is a CSS pixel, 1/96 in (CSS Values and
Units Module Level 3, section 6.2). A percentage, or nothing, is no physical size.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Final
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import cv2
import numpy as np
from numpy.typing import NDArray

from planner.artwork.children import TooLarge, rendered
from planner.artwork.finer import Part
from planner.artwork.framing import Window
from planner.artwork.measures import PIXELS, Measure
from planner.artwork.records import ArtError
from planner.artwork.svg_safety import SVG, parsed
from planner.artwork.svg_type import check_type

_PIXELS: Final = PIXELS["in"]
_LENGTH: Final = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*([a-z%]*)\s*", re.IGNORECASE)

_LOOK: Final = 1000
"""Elements along the longer side of a drawing that is looked at for type that shows."""

_BAND: Final = 64_000_000
"""Elements drawn at a time: a canvas of 256 MB, and as much again while it is packed."""

_SMALLER: Final = 4
"""Into how many parts one is divided, once, when it takes too much memory."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing that may be drawn, its measure, and its own width and height in pixels."""

    root: Element = field(repr=False)
    measure: Measure
    pixels: tuple[float, float]


def opened(data: bytes) -> Drawing:
    """Parse and measure a drawing.

    Raises:
        ArtError: it may not be drawn (see `planner.artwork.svg_safety` and `svg_type`), or it has no size of any kind.
    """
    root = parsed(data)
    view = _view_box(root.get("viewBox"))
    width, height = _length(root.get("width"), "width"), _length(root.get("height"), "height")
    if width is not None and height is not None:
        size = (width, height)
        inches: tuple[float, float] | None = (width / _PIXELS, height / _PIXELS)
    elif view is None:
        raise ArtError("has neither width and height nor a viewBox, so it has no size; save it with a page size")
    else:
        size, inches = view, None
    missing = "says no physical size (width and height with units)"
    drawing = Drawing(root, Measure(size, inches, missing), size)
    check_type(root, partial(_look, drawing))
    return drawing


def _look(drawing: Drawing) -> NDArray[np.uint8]:
    """Draw the whole of it small."""
    width, height = drawing.pixels
    across, down = (max(round(_LOOK * side / max(width, height)), 1) for side in (width, height))
    return coverage(drawing, Window(0, 0, 1, 1, (0, 0), (across, down)), (across, down), 1.0)


def whole_only(drawing: Drawing, elements: tuple[int, int], times: int = 1) -> bool:
    """Say whether it would have to be drawn in parts and cannot be; finer drawings have smaller parts."""
    return elements[1] > _rows(elements[0], times) and _has_filters(drawing)


def things_of(drawing: Drawing) -> int | None:
    """Say how many things a drawing is made of that can be drawn part by part; None if it has to be drawn at once."""
    return None if _has_filters(drawing) else sum(1 for _ in drawing.root.iter())


def _has_filters(drawing: Drawing) -> bool:
    return next(drawing.root.iter(f"{SVG}filter"), None) is not None


def coverage(drawing: Drawing, window: Window, elements: tuple[int, int], per_inch: float) -> NDArray[np.uint8]:
    """Draw a window of the drawing in grey on white: so many elements across and down, so many to the plate's inch.

    Grey is 0.299 red + 0.587 green + 0.114 blue (ITU-R BT.601), as everywhere in this room.

    Raises:
        TooLarge: it takes too much memory.
        ArtError: it cannot be drawn, or takes too long.
    """
    across, down = elements
    rows = min(_rows(across), down)
    if whole_only(drawing, elements):
        raise ArtError(
            f"has filter effects, which cannot be drawn in parts, and at this size takes more than {_BAND:,} elements; "
            f"save it without effects"
        )
    text = _framed(drawing, window, elements, per_inch)
    try:
        return _in_bands(text, elements, rows)
    except TooLarge:
        # Groups that reach beyond the part drawn may take many times its memory.
        if rows == 1 or _has_filters(drawing):
            raise
        return _in_bands(text, elements, -(-rows // _SMALLER))


def parts_of(
    drawing: Drawing, window: Window, elements: tuple[int, int], per_inch: float, parts: Sequence[Part]
) -> Iterator[NDArray[np.uint8]]:
    """Draw parts of what `coverage` draws, one after the other; it raises the same, before the first."""
    return _drawn(_framed(drawing, window, elements, per_inch), parts)


def _in_bands(text: bytes, elements: tuple[int, int], rows: int) -> NDArray[np.uint8]:
    across, down = elements
    bands = [(0, start, across, min(rows, down - start)) for start in range(0, down, rows)]
    grey = np.empty((down, across), dtype=np.uint8)
    for (_, start, _, height), band in zip(bands, _drawn(text, bands), strict=True):
        grey[start : start + height] = band
    return grey


def _drawn(text: bytes, parts: Sequence[Part]) -> Iterator[NDArray[np.uint8]]:
    """Draw parts of a framed drawing."""
    answer = memoryview(rendered({"what": "svg", "parts": parts}, text))
    for _, _, width, height in parts:
        end = 4 + int.from_bytes(answer[:4], "big")
        picture = cv2.imdecode(np.frombuffer(answer[4:end], dtype=np.uint8), cv2.IMREAD_GRAYSCALE)
        if picture is None or picture.shape != (height, width):
            raise ArtError("cannot be drawn at the size asked for; save the art again as plain SVG")
        yield np.asarray(picture, dtype=np.uint8)
        answer = answer[end:]


def _rows(across: int, times: int = 1) -> int:
    """How many rows are drawn at a time."""
    return max(_BAND // (times**2 * across), 1)


def _framed(drawing: Drawing, window: Window, elements: tuple[int, int], per_inch: float) -> bytes:
    """Put the drawing into another one that shows just the window, in the drawing's own pixels."""
    width, height = drawing.pixels
    whole_width, whole_height = window.whole
    # Pixels of the drawing to an element; they differ by less than 1/64 in over the whole image.
    across, down = width / (whole_width * per_inch), height / (whole_height * per_inch)
    outer = Element(
        f"{SVG}svg",
        {
            "width": str(elements[0]),
            "height": str(elements[1]),
            "viewBox": f"{window.left * width:.9g} {window.top * height:.9g} "
            f"{elements[0] * across:.9g} {elements[1] * down:.9g}",
            "preserveAspectRatio": "none",
        },
    )
    inner = Element(drawing.root.tag, dict(drawing.root.attrib))
    # The window lies within the drawing, so nothing beyond shows; a clip would be drawn as a mask, at twice the cost.
    inner.attrib.update({"x": "0", "y": "0", "width": f"{width:.9g}", "height": f"{height:.9g}", "overflow": "visible"})
    if "viewBox" not in inner.attrib:
        inner.set("viewBox", f"0 0 {width:.9g} {height:.9g}")
    inner.text = drawing.root.text
    inner.extend(list(drawing.root))
    outer.append(inner)
    return bytes(ElementTree.tostring(outer, encoding="utf-8"))


def _length(text: str | None, name: str) -> float | None:
    """Give a length in pixels; None where it is no absolute one."""
    match = _LENGTH.fullmatch(text) if text is not None else None
    if match is None or match[2].lower() not in PIXELS:
        return None
    value = float(match[1]) * PIXELS[match[2].lower()]
    if not (math.isfinite(value) and value > 0):
        raise ArtError(f'has a {name} of "{text}"; it must be greater than zero')
    return value


def _view_box(text: str | None) -> tuple[float, float] | None:
    if text is None:
        return None
    try:
        numbers = [float(part) for part in text.replace(",", " ").split()]
    except ValueError:
        numbers = []
    if len(numbers) != 4 or not all(map(math.isfinite, numbers)) or min(numbers[2:]) <= 0:
        shown = text if len(text) <= 60 else text[:57] + "..."
        raise ArtError(f'has a viewBox of "{shown}"; it needs four numbers, width and height greater than zero')
    return numbers[2], numbers[3]

"""SVG as the sheets need it: groups, paths, texts and hatches in inches. The only module that knows svgwrite.

One user unit is one inch. Ids are always ours, numbers are written in one way, attributes in the order given: the same
calls give the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import svgwrite
from svgwrite.base import BaseElement

from planner.plan import Box, Shape

FONTS: Final = "Arial, 'Liberation Sans', 'DejaVu Sans', 'Noto Sans', sans-serif"

DECIMALS: Final = 5
"""Of an inch, where a drawing is measured."""
FEWER: Final = 4
"""Of an inch, where a drawing is looked at."""
FINE: Final = 10
"""Of a factor that thousands of units are multiplied by: they may not be a hundredth of a thousandth of an inch off."""

_ILLEGAL: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_INKSCAPE: Final = "http://www.inkscape.org/namespaces/inkscape"


def number(value: float, decimals: int = DECIMALS) -> str:
    """Write a number: at most so many decimals, no exponent, no minus before nothing."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def numbers(*values: float) -> str:
    """Write numbers with blanks between."""
    return " ".join(map(number, values))


def shape_path(shape: Shape, decimals: int = DECIMALS) -> str:
    """Give the path of a plan's shape; holes are open under the even-odd rule."""
    return "".join(_ring_path(ring, decimals) for polygon in shape for ring in polygon if ring)


def box_path(*boxes: Box) -> str:
    """Give the path of rectangles, each by a corner and its size."""
    return " ".join(
        f"M{numbers(x, y)} H{number(x + width)} V{number(y + height)} H{number(x)} Z" for x, y, width, height in boxes
    )


def line_path(*lines: tuple[float, float, float, float]) -> str:
    """Give the path of straight lines, each by its two ends."""
    return " ".join(f"M{numbers(x1, y1)} L{numbers(x2, y2)}" for x1, y1, x2, y2 in lines)


def outline_path(*lines: Sequence[tuple[float, float]]) -> str:
    """Give the path of open lines, each through all of its points; one that ends where it began is closed."""
    return "".join(_ring_path(line[:-1], FEWER) if line[0] == line[-1] else _way(line, FEWER) for line in lines if line)


def polygon_path(points: Iterable[tuple[float, float]]) -> str:
    """Give the path of one closed polygon."""
    return _ring_path(points, FEWER)


def circle_path(x: float, y: float, radius: float) -> str:
    """Give the path of a circle."""
    half = f"A{numbers(radius, radius)} 0 1 0"
    return f"M{numbers(x - radius, y)} {half} {numbers(x + radius, y)} {half} {numbers(x - radius, y)} Z"


def matrix(a: float, b: float, c: float, d: float, e: float, f: float) -> str:
    """Give a transform by its six numbers, as fine as large drawings need them."""
    return f"matrix({' '.join(number(value, FINE) for value in (a, b, c, d, e, f))})"


@dataclass(frozen=True, slots=True)
class Paint:
    """How a path is stroked and filled; widths and dashes in inches."""

    stroke: str = "none"
    width: float = 0.0
    dash: tuple[float, ...] = ()
    fill: str = "none"
    opacity: float = 1.0

    def attributes(self) -> dict[str, str]:
        """Give the paint as SVG attributes."""
        given = {"fill": self.fill}
        if self.stroke != "none":
            given["stroke"] = self.stroke
            given["stroke-width"] = number(self.width)
        if self.dash:
            given["stroke-dasharray"] = numbers(*self.dash)
        if self.opacity < 1:
            given["fill-opacity"] = number(self.opacity)
        return given


class Group:
    """A group of drawn things."""

    def __init__(self, drawing: svgwrite.Drawing, element: BaseElement) -> None:
        self._drawing = drawing
        self._element = element

    def group(
        self,
        name: str | None = None,
        *,
        layer: str | None = None,
        transform: str | None = None,
        data: Mapping[str, str] | None = None,
        title: str | None = None,
        clip: str | None = None,
    ) -> Group:
        """Add a group; ``name`` is its id, ``layer`` what an editor shows it as, ``clip`` the clip that cuts it off."""
        element = self._drawing.g()
        if name:
            element.attribs["id"] = name
        if layer:
            element.attribs["inkscape:groupmode"] = "layer"
            element.attribs["inkscape:label"] = layer
        if transform:
            element.attribs["transform"] = transform
        if clip:
            element.attribs["clip-path"] = f"url(#{clip})"
        element.attribs.update(_data(data))
        if title:
            element.set_desc(title=_legal(title))
        self._element.add(element)
        return Group(self._drawing, element)

    def path(self, path: str, paint: Paint, data: Mapping[str, str] | None = None) -> None:
        """Add a path; nothing is added for an empty one."""
        if not path:
            return
        element = self._drawing.path(d=path)
        element.attribs.update(paint.attributes())
        element.attribs.update(_data(data))
        self._element.add(element)

    def use(self, name: str, transform: str, paint: Paint, data: Mapping[str, str] | None = None) -> None:
        """Show a path that the drawing shares, by its name; strokes are as wide as in the shared path's own units."""
        element = self._drawing.use(f"#{name}")
        element.attribs["transform"] = transform
        element.attribs.update(paint.attributes())
        element.attribs.update(_data(data))
        self._element.add(element)

    def text(
        self,
        text: str,
        x: float,
        y: float,
        size: float,
        *,
        anchor: str = "start",
        bold: bool = False,
        turned: bool = False,
        fill: str = "#000000",
        data: Mapping[str, str] | None = None,
    ) -> None:
        """Add one line of text; (x, y) is on its base line; ``turned`` text reads upwards."""
        element = self._drawing.text(_legal(text))
        element.attribs.update({"x": number(x, FEWER), "y": number(y, FEWER), "font-size": number(size)})
        if fill != "#000000":
            element.attribs["fill"] = fill
        if anchor != "start":
            element.attribs["text-anchor"] = anchor
        if bold:
            element.attribs["font-weight"] = "bold"
        if turned:
            element.attribs["transform"] = f"rotate(-90 {number(x, FEWER)} {number(y, FEWER)})"
        element.attribs.update(_data(data))
        self._element.add(element)


class Drawing(Group):
    """A page. Its size is set last, when it is known what all has to find room."""

    def __init__(self, title: str, description: str) -> None:
        drawing = svgwrite.Drawing(debug=False)
        super().__init__(drawing, drawing)
        drawing.attribs["xmlns:inkscape"] = _INKSCAPE
        drawing.attribs["role"] = "img"
        # What all paths and texts have in common is said once.
        drawing.attribs["font-family"] = FONTS
        drawing.attribs["fill-rule"] = "evenodd"
        drawing.set_desc(title=_legal(title), desc=_legal(description))

    def size(self, width: float, height: float) -> None:
        """Set the size of the page, in inches."""
        self._element.attribs["width"] = f"{number(width)}in"
        self._element.attribs["height"] = f"{number(height)}in"
        self._element.attribs["viewBox"] = f"0 0 {numbers(width, height)}"

    def pattern(self, name: str, tile: tuple[float, float], transform: str, parts: Sequence[tuple[str, Paint]]) -> None:
        """Define a pattern that repeats a tile of this size; its paths are in inches."""
        element = self._drawing.pattern()
        element.attribs.update(
            {
                "id": name,
                "patternUnits": "userSpaceOnUse",
                "x": "0",
                "y": "0",
                "width": number(tile[0]),
                "height": number(tile[1]),
                "patternTransform": transform,
            }
        )
        inside = Group(self._drawing, element)
        for path, paint in parts:
            inside.path(path, paint)
        self._drawing.defs.add(element)

    def share(self, name: str, path: str) -> None:
        """Keep a path that is shown as often as wanted, and written once."""
        element = self._drawing.path(d=_legal(path))
        element.attribs["id"] = name
        self._drawing.defs.add(element)

    def clip(self, name: str, path: str) -> None:
        """Define a clip: what lies outside this path is not shown."""
        element = self._drawing.clipPath()
        element.attribs["id"] = name
        inner = self._drawing.path(d=path)
        inner.attribs["clip-rule"] = "evenodd"
        element.add(inner)
        self._drawing.defs.add(element)

    def markup(self) -> str:
        """Give the whole drawing as text."""
        return f'<?xml version="1.0" encoding="UTF-8"?>\n{self._drawing.tostring()}\n'


def _ring_path(points: Iterable[tuple[float, float]], decimals: int) -> str:
    return _way(points, decimals) + "Z"


def _way(points: Iterable[tuple[float, float]], decimals: int) -> str:
    # Pairs that follow a move are straight lines.
    return "M" + " ".join(f"{number(x, decimals)} {number(y, decimals)}" for x, y in points)


def _data(data: Mapping[str, str] | None) -> dict[str, str]:
    return {f"data-{key}": _legal(value) for key, value in (data or {}).items()}


def _legal(text: str) -> str:
    """Drop the few characters that no XML file may hold."""
    return _ILLEGAL.sub("", text)

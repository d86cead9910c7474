"""Reads back what a sheet really draws: the paths inside the groups of plates, as page inches, y turned up.

Only what those paths need is understood: nested groups with transforms, and paths of straight lines. Anything
else there is a fault, never a guess.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeAlias
from xml.etree.ElementTree import Element, ParseError

from defusedxml.ElementTree import fromstring

from planner.proof.shapes import LIMIT

Point: TypeAlias = tuple[float, float]
Matrix: TypeAlias = tuple[float, float, float, float, float, float]

_UNSEEN: Final = frozenset({"defs", "symbol", "pattern", "clipPath", "mask", "marker"})
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
# An e stands inside numbers; as a step it means nothing.
_LETTER: Final = re.compile(r"[A-DF-Za-df-z]")
_STEP: Final = re.compile(r"([A-DF-Za-df-z])([^A-DF-Za-df-z]*)")
_TRANSFORM: Final = re.compile(r"\s*([A-Za-z]+)\s*\(([^()]*)\)[\s,]*")


class DrawingFault(Exception):
    """A drawing that cannot be measured; the message completes 'the drawing ...'."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A path on the page: the plate in whose group it stands ('' if in none), its kind, and its corners."""

    plate: str
    kind: str
    rings: tuple[tuple[Point, ...], ...]


def read_drawing(file: Path, kinds: frozenset[str]) -> list[Drawn]:
    """Give the paths of these kinds, in page inches from the page's upper left corner, y up.

    Raises:
        DrawingFault: the file cannot be read, or draws one of these in a way that cannot be measured.
    """
    try:
        root = fromstring(file.read_bytes(), forbid_dtd=True)
    except OSError as error:
        raise DrawingFault(f"cannot be opened: {error.strerror}") from None
    except (ParseError, ValueError, LookupError) as error:
        raise DrawingFault(f"is no SVG that can be read: {error}") from None
    if _name(root) != "svg":
        raise DrawingFault("is no SVG")
    drawn: list[Drawn] = []
    # A list instead of recursion: a drawing may be nested deeper than Python calls.
    waiting: list[tuple[Element, Matrix, str]] = [(root, _page(root), "")]
    while waiting:
        element, matrix, plate = waiting.pop()
        if element is not root:
            matrix = _after(matrix, _transform(element.get("transform", "")))
        plate = element.get("data-plate", plate)
        kind = element.get("data-kind", "")
        if kind in kinds:
            if _name(element) != "path":
                raise DrawingFault(f"draws the {kind} of {plate or 'the sheet'} as something else than a path")
            path = element.get("d", "")
            rings = tuple(tuple(_moved(point, matrix) for point in ring) for ring in _rings(path))
            drawn.append(Drawn(plate, kind, rings))
        waiting += [(child, matrix, plate) for child in reversed(element) if _name(child) not in _UNSEEN]
    return drawn


def _name(element: Element) -> str:
    # Comments and processing instructions have a function where elements have a name.
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def _page(root: Element) -> Matrix:
    """From the drawing's units to inches; y is turned up."""
    sides = [re.fullmatch(rf"\s*({_NUMBER.pattern})in\s*", root.get(side, "")) for side in ("width", "height")]
    view = _numbers(root.get("viewBox", ""))
    if sides[0] is None or sides[1] is None or len(view) != 4 or min(view[2:]) <= 0:
        raise DrawingFault("does not say how many inches its page measures")
    across, down = float(sides[0][1]) / view[2], float(sides[1][1]) / view[3]
    if not (across > 0 and abs(across - down) <= 1e-9 * across):
        raise DrawingFault("is stretched: its scale is not the same across and down")
    return (across, 0.0, 0.0, -down, -view[0] * across, view[1] * down)


def _numbers(text: str) -> list[float]:
    return [float(found) for found in _NUMBER.findall(text)]


def _transform(text: str) -> Matrix:
    whole: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    end = 0
    while end < len(text.rstrip()):
        found = _TRANSFORM.match(text, end)
        if found is None:
            raise DrawingFault(f"has a transform that cannot be read: {text[:60]}")
        whole = _after(whole, _single(found[1], _numbers(found[2])))
        end = found.end()
    return whole


def _single(name: str, values: list[float]) -> Matrix:
    match name, values:
        case "matrix", [a, b, c, d, e, f]:
            return (a, b, c, d, e, f)
        case "translate", [across, *down] if len(down) < 2:
            return (1.0, 0.0, 0.0, 1.0, across, down[0] if down else 0.0)
        case "scale", [across, *down] if len(down) < 2:
            return (across, 0.0, 0.0, down[0] if down else across, 0.0, 0.0)
        case "rotate", [degrees, *about] if len(about) in (0, 2):
            x, y = about or (0.0, 0.0)
            cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
            return (cosine, sine, -sine, cosine, x - cosine * x + sine * y, y - sine * x - cosine * y)
    raise DrawingFault(f"has a transform that cannot be read: {name[:20]} with {len(values)} numbers")


def _after(outer: Matrix, inner: Matrix) -> Matrix:
    """The transform that does the inner one first."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (a * g + c * h, b * g + d * h, a * i + c * j, b * i + d * j, a * k + c * m + e, b * k + d * m + f)


def _moved(point: Point, matrix: Matrix) -> Point:
    (x, y), (a, b, c, d, e, f) = point, matrix
    place = a * x + c * y + e, b * x + d * y + f
    if not (abs(place[0]) <= LIMIT and abs(place[1]) <= LIMIT):
        raise DrawingFault("has a point that lies on no page")
    return place


def _rings(path: str) -> Iterator[list[Point]]:
    """Give the corners of each subpath; only absolute straight lines are understood."""
    ring: list[Point] = []
    for letter, values in _steps(path):
        match letter, values:
            case "M", [x, y, *more] if len(more) % 2 == 0:
                if ring:
                    yield ring
                ring = [(x, y), *zip(more[::2], more[1::2], strict=True)]
            case "L", [_, _, *more] if ring and len(more) % 2 == 0:
                ring += zip(values[::2], values[1::2], strict=True)
            case "H", [_, *_] if ring:
                ring += [(x, ring[-1][1]) for x in values]
            case "V", [_, *_] if ring:
                ring += [(ring[-1][0], y) for y in values]
            case "Z", [] if ring:
                yield ring
                ring = []
            case _:
                raise DrawingFault(f"has a path that cannot be measured at its step {letter}")
    if ring:
        yield ring


def _steps(path: str) -> Iterator[tuple[str, list[float]]]:
    start = _LETTER.search(path)
    if path[: start.start() if start else None].strip():
        raise DrawingFault("has a path that does not begin with a step")
    for letter, values in _STEP.findall(path):
        try:
            yield letter, [float(value) for value in values.replace(",", " ").split()]
        except ValueError:
            raise DrawingFault(f"has a path with numbers that cannot be read: {values.strip()[:40]}") from None

"""What shape did they write? Points or SVG path data, into one checked area in inches.

The result is moved so that its bounding rectangle starts at (0, 0): a plate or an image is measured from its own
lower left corner. Path data is read as SVG reads it, y down, and turned right way up.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Annotated, Any, Final, Literal

from pydantic import Field, PrivateAttr, model_validator
from shapely import Polygon, affinity
from shapely.errors import GEOSException
from shapely.geometry import MultiPolygon
from shapely.validation import explain_validity
from svgelements import Arc, Close, CubicBezier, Line, Move, Path, QuadraticBezier

from planner.forms import Form, Place
from planner.geometry import CHORD, TINY_AREA, area_of
from planner.lengths import LONGEST, SMALLEST, parse_length

MOST_CORNERS: Final = 5000
"""Corners of one shape, curves counted by their chords; drawings have hundreds."""

MOST_RINGS: Final = 500
"""Separate lines of one shape: outlines and holes."""

_PATH_SIGNS: Final = re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE+\-.,\s]+")
_NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_UNREADABLE: Final = "holds path data that cannot be read; check its letters and numbers"
_PARSER_FAILURES: Final = (IndexError, TypeError, AttributeError, ZeroDivisionError, OverflowError)
"""What the path parser raises on malformed data beside ValueError."""


class Outline(Form):
    """A shape: corner points with holes, or SVG path data with the unit its numbers are in."""

    points: Annotated[tuple[Place, ...] | None, Field(default=None, description="corners, in order")]
    holes: Annotated[
        tuple[tuple[Place, ...], ...], Field(default=(), description="holes, each a list of corners in order")
    ]
    path: Annotated[str | None, Field(default=None, description="SVG path data; subpaths inside others are holes")]
    unit: Annotated[
        Literal["in", "mm", "cm", "pt", "pica"] | None,
        Field(default=None, description="what one unit of the path data is"),
    ]
    _area: MultiPolygon = PrivateAttr()

    @model_validator(mode="after")
    def _readable(self) -> Outline:
        if (self.points is None) == (self.path is None):
            raise ValueError("must hold either points (with holes) or path (with unit)")
        if self.path is not None:
            if self.unit is None:
                raise ValueError('must say the unit of its path data, like unit = "in" or unit = "mm"')
            if self.holes:
                raise ValueError("must draw its holes in the path data itself, as subpaths")
            area = _area_of_path(self.path, parse_length(f"1 {self.unit}"))
        else:
            area = _area_of_points(self.points or (), self.holes)
        self._area = _from_its_corner(area)
        return self

    @property
    def area(self) -> MultiPolygon:
        """The shape in inches, its bounding rectangle starting at (0, 0)."""
        return self._area


def _from_its_corner(area: MultiPolygon) -> MultiPolygon:
    left, bottom, right, top = area.bounds
    if min(right - left, top - bottom) < SMALLEST:
        raise ValueError("is smaller than 1/64 in one way; check its unit")
    if max(right - left, top - bottom) > LONGEST:
        raise ValueError(f"is wider or higher than any sheet of metal ({LONGEST:g} in); check its unit")
    return area_of(affinity.translate(area, -left, -bottom))


def _area_of_points(
    points: Sequence[tuple[float, float]], holes: Sequence[Sequence[tuple[float, float]]]
) -> MultiPolygon:
    _refuse_too_much([points, *holes])
    for what, ring in [("outline", points), *((f"hole {n}", hole) for n, hole in enumerate(holes, 1))]:
        if len(ring) < 3:
            raise ValueError(f"has {len(ring)} points in its {what}; an area needs at least three")
        _refuse_bad_ring(ring, what)
    polygon = Polygon(points, holes)
    if not polygon.is_valid:
        raise ValueError(f"has holes that touch, overlap or leave it {_spot(polygon)}")
    return _some_area(area_of(polygon))


def _refuse_too_much(rings: Sequence[Sequence[tuple[float, float]]]) -> None:
    corners = sum(map(len, rings))
    if corners > MOST_CORNERS:
        raise ValueError(
            f"has {corners} corners, curves counted by their chords; simplify it to {MOST_CORNERS} or fewer"
        )
    if len(rings) > MOST_RINGS:
        raise ValueError(f"has {len(rings)} separate lines; simplify it to {MOST_RINGS} or fewer")


def _refuse_bad_ring(ring: Sequence[tuple[float, float]], what: str, upwards: int = 1) -> None:
    area = Polygon(ring)
    if area.convex_hull.area <= TINY_AREA:
        raise ValueError(f"encloses no area in its {what}")
    if not area.is_valid:
        raise ValueError(f"crosses or touches itself in its {what} {_spot(area, upwards)}")


def _spot(area: Polygon, upwards: int = 1) -> str:
    """Where shapely found the fault, in inches, y as it was written: its text ends in ``[x y]``."""
    found = re.search(r"\[(\S+) (\S+)\]", explain_validity(area))
    return f"near {float(found[1]):.3f}, {upwards * float(found[2]):.3f} in" if found else ""


def _some_area(area: MultiPolygon) -> MultiPolygon:
    if area.is_empty:
        raise ValueError("encloses no area")
    return area


def _area_of_path(data: str, unit: float) -> MultiPolygon:
    """Subpaths are combined by the even-odd rule, so a ring inside another is a hole whichever way it runs."""
    if not _PATH_SIGNS.fullmatch(data) or not data.strip():
        raise ValueError("holds signs that are no SVG path data; it is made of letters like M, L, C, Z and numbers")
    if sum(1 for _ in _NUMBER.finditer(data)) > 4 * MOST_CORNERS:
        raise ValueError(f"has more than {4 * MOST_CORNERS} numbers in its path data; simplify it")
    area = MultiPolygon()
    try:
        rings = _rings(_parsed(data), unit)
        _refuse_too_much(rings)
        for ring in rings:
            if len(ring) < 3:
                raise ValueError("has a subpath with fewer than three points, which encloses no area")
            _refuse_bad_ring(ring, "path data", -1)
            area = area_of(area.symmetric_difference(Polygon(ring)))
    except (GEOSException, *_PARSER_FAILURES):
        raise ValueError(_UNREADABLE) from None
    return _some_area(area)


def _parsed(data: str) -> Any:  # noqa: ANN401 - svgelements has no types
    try:
        return Path(data)
    except (ValueError, *_PARSER_FAILURES):
        raise ValueError(_UNREADABLE) from None


def _rings(path: Any, unit: float) -> list[list[tuple[float, float]]]:  # noqa: ANN401 - svgelements has no types
    rings: list[list[tuple[float, float]]] = []
    closed = False
    for segment in path:
        if isinstance(segment, Move):
            rings.append([_point(segment.end, unit)])
            closed = False
            continue
        if not rings:
            raise ValueError("must begin its path data with M, the starting point")
        if isinstance(segment, Close):
            closed = True
            continue
        if closed:
            # What follows a closed subpath without an M starts where that subpath started.
            rings.append([rings[-1][0]])
            closed = False
        if isinstance(segment, Line):
            rings[-1].append(_point(segment.end, unit))
        elif isinstance(segment, (CubicBezier, QuadraticBezier, Arc)):
            rings[-1].extend(_chords(segment, unit))
    return [_without_repeats(ring) for ring in rings]


def _chords(segment: Any, unit: float) -> list[tuple[float, float]]:  # noqa: ANN401 - svgelements has no types
    """Halve the steps until the middle of every chord lies within `CHORD` of the curve."""
    steps = 4
    while True:
        points = [_point(segment.point(n / (2 * steps)), unit) for n in range(2 * steps + 1)]
        off = max(
            math.dist(points[n + 1], ((points[n][0] + points[n + 2][0]) / 2, (points[n][1] + points[n + 2][1]) / 2))
            for n in range(0, 2 * steps, 2)
        )
        if off <= CHORD or steps >= 1024:
            return points[1:]
        steps *= 2


def _point(point: Any, unit: float) -> tuple[float, float]:  # noqa: ANN401 - svgelements has no types
    x, y = float(point.x) * unit, -float(point.y) * unit
    if not (math.isfinite(x) and math.isfinite(y)):
        raise ValueError("holds path data with a number that is not finite")
    return x, y


def _without_repeats(ring: list[tuple[float, float]]) -> list[tuple[float, float]]:
    kept = [point for n, point in enumerate(ring) if n == 0 or math.dist(point, ring[n - 1]) > 1e-12]
    if len(kept) > 1 and math.dist(kept[0], kept[-1]) <= 1e-12:
        kept.pop()
    return kept

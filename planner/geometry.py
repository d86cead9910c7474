"""The few helpers with shapes that several rooms share: plain shapes, growing, moving, comparing, writing rings.

Shapes are in inches. A *plain shape* is what a plan carries: polygons, each a tuple of rings (the outer first, then
holes), each ring a tuple of (x, y) whose last point is not a repeat of the first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final, TypeAlias

import numpy as np
from shapely import (
    LinearRing,
    Polygon,
    affinity,
    box,
    get_coordinates,
    make_valid,
    normalize,
    set_precision,
    unary_union,
)
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

Ring: TypeAlias = tuple[tuple[float, float], ...]
PlainShape: TypeAlias = tuple[tuple[Ring, ...], ...]

TINY_AREA: Final = 1e-9
"""Square inches; below it a leftover of set operations is rounding, not metal."""

CHORD: Final = 1 / 2000
"""Inches; how far a chord may lie from the curve it stands for."""

ARC_SEGMENTS: Final = 16
"""Chords in a quarter turn when a shape is grown or shrunk."""

_DIGITS: Final = 9


def area_of(shape: BaseGeometry) -> MultiPolygon:
    """Give only the areas of a shape as one valid `MultiPolygon`, dropping points, lines and rounding crumbs."""
    if not shape.is_valid:
        shape = make_valid(shape)
    return MultiPolygon([part for part in _polygons(shape) if part.area > TINY_AREA])


def union_of(shapes: Iterable[BaseGeometry]) -> MultiPolygon:
    """Join shapes into one area."""
    return area_of(unary_union(list(shapes)))


def grown(shape: BaseGeometry, distance: float) -> MultiPolygon:
    """Grow a shape by a distance with round corners, never by less: chords stand outside the true arc.

    GEOS divides an arc into a rounded number of chords, so one chord spans up to 1.5 of the nominal angle pi / 2n (n
    chords to a quarter turn), and its middle comes nearer than the radius by the factor cos(1.5 pi / 4n). The
    distance is enlarged by the inverse, so that no point of the true grown shape is left out.
    """
    if distance <= 0:
        return area_of(shape)
    return area_of(shape.buffer(distance / math.cos(1.5 * math.pi / (4 * ARC_SEGMENTS)), quad_segs=ARC_SEGMENTS))


def rectangle(x: float, y: float, width: float, height: float) -> Polygon:
    """Give a rectangle by its lower left corner and its size."""
    return box(x, y, x + width, y + height)


def is_upright_rectangle(shape: BaseGeometry) -> bool:
    """Say whether a shape is one rectangle with upright sides and no holes."""
    parts = list(_polygons(shape))
    if len(parts) != 1 or parts[0].interiors:
        return False
    return bool(parts[0].envelope.area - parts[0].area <= TINY_AREA)


def turned_quarter(shape: BaseGeometry, quarters: int, width: float, height: float) -> BaseGeometry:
    """Turn a shape that lies in a width x height blank by quarter turns anticlockwise, back into the first quadrant.

    Exact: coordinates are swapped and subtracted, never multiplied by a rounded sine.
    """
    matrices = {
        0: (1, 0, 0, 1, 0, 0),
        1: (0, -1, 1, 0, height, 0),
        2: (-1, 0, 0, -1, width, height),
        3: (0, 1, -1, 0, 0, width),
    }
    if quarters % 4 == 0:
        return shape
    return affinity.affine_transform(shape, matrices[quarters % 4])


def moved(shape: BaseGeometry, across: float, up: float) -> BaseGeometry:
    """Move a shape."""
    return affinity.translate(shape, across, up) if across or up else shape


def spun(shape: BaseGeometry, degrees: float, about: tuple[float, float]) -> BaseGeometry:
    """Turn a shape by any angle, anticlockwise, about a point."""
    return affinity.rotate(shape, degrees, origin=about) if degrees else shape


def plain(shape: BaseGeometry) -> PlainShape:
    """Give a shape as plain numbers in a settled order, so that equal shapes are written alike.

    Coordinates are brought to whole billionths of an inch in a way that keeps the shape valid: rounding each by itself
    could make a narrow ring touch itself.
    """
    polygons = normalize(area_of(set_precision(area_of(shape), 10**-_DIGITS))).geoms
    return tuple(tuple(_ring(ring) for ring in (polygon.exterior, *polygon.interiors)) for polygon in polygons)


def shape_of(plain_shape: PlainShape) -> MultiPolygon:
    """Give back the shapely area of a plain shape."""
    return MultiPolygon([Polygon(rings[0], rings[1:]) for rings in plain_shape])


def _ring(ring: LinearRing) -> Ring:
    """A whole number over a power of ten is the float that is written with so many digits."""
    points = np.rint(get_coordinates(ring)[:-1] * 10**_DIGITS) / 10**_DIGITS + 0.0
    return tuple(map(tuple, points.tolist()))


def _polygons(shape: BaseGeometry) -> Iterable[Polygon]:
    if isinstance(shape, Polygon):
        if not shape.is_empty:
            yield shape
    elif hasattr(shape, "geoms"):
        for part in shape.geoms:
            yield from _polygons(part)

"""Which holes of what must stand make no difference, and may be filled so that shapes have fewer corners?

Between the letters of a page are thousands of little holes, each with as many corners as the letters round it.
"""

from __future__ import annotations

from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree
from shapely.geometry import MultiPolygon

_Holes: TypeAlias = NDArray[Any]
"""Holes, each as the area inside it."""


def without_narrow_holes(shape: MultiPolygon, width: float) -> MultiPolygon:
    """Fill the holes that fit between two upright or level lines no farther apart than a width in inches.

    Grown by half that width, the shape fills them itself.
    """
    holes = _holes_of(shape)
    left, bottom, right, top = shapely.bounds(holes).T
    return _with_holes(shape, holes, np.minimum(right - left, top - bottom) > width)


def without_holes_off(shape: MultiPolygon, other: MultiPolygon) -> MultiPolygon:
    """Fill the holes in which nothing of another shape lies."""
    holes = _holes_of(shape)
    used = np.zeros(len(holes), dtype=bool)
    used[STRtree(list(other.geoms)).query(holes, predicate="intersects")[0]] = True
    return _with_holes(shape, holes, used)


def _holes_of(shape: MultiPolygon) -> _Holes:
    return np.array([Polygon(ring) for part in shape.geoms for ring in part.interiors], dtype=object)


def _with_holes(shape: MultiPolygon, holes: _Holes, stay: NDArray[np.bool_]) -> MultiPolygon:
    """The same shape with only those of its holes that stay; what lay in the others is part of what fills them."""
    if stay.all():
        return shape
    parts = np.array(shape.geoms, dtype=object)
    inside = STRtree(holes[~stay]).query([part.representative_point() for part in parts], predicate="intersects")[0]
    outer = np.ones(len(parts), dtype=bool)
    outer[inside] = False
    found: list[Polygon] = []
    first = 0
    for part, is_outer in zip(parts, outer, strict=True):
        here = slice(first, first + len(part.interiors))
        first = here.stop
        if is_outer:
            found.append(Polygon(part.exterior, [hole.exterior for hole in holes[here][stay[here]]]))
    return MultiPolygon(found)

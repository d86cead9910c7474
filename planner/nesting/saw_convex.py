"""Polygons with holes taken apart into convex parts, never losing any of their area.

Overlap of two convex parts has a closed form, so the whole engine rests on this. The
parts may together cover a hair more than the polygon (at most the tolerance): that
errs on the safe side. They may overlap one another.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

Points = NDArray[np.float64]

# More points than this on a silhouette cost time and gain nothing that a saw could follow.
MOST_POINTS = 48


def convex_parts(polygon: Polygon, tolerance: float) -> list[Points]:
    """Convex rings (not closed, anticlockwise) whose union covers the polygon.

    `tolerance` is how far, in the unit of the polygon, the cover may exceed it.
    """
    shape = coarsened(polygon, tolerance / 2)
    within = shape.buffer(tolerance / 2)
    shapely.prepare(within)
    slabs = (_slabs(shape, across) for across in (False, True))
    parts = min((_joined(some, within) for some in slabs), key=len)
    return hulls_of(parts)


def coarsened(polygon: Polygon, tolerance: float) -> Polygon:
    """The polygon with fewer points if it has many, covering it and at most `tolerance` beyond."""
    points = len(polygon.exterior.coords) + sum(len(ring.coords) for ring in polygon.interiors)
    if points <= MOST_POINTS:
        return polygon
    simple = polygon.simplify(tolerance / 2).buffer(tolerance / 2, join_style="mitre", mitre_limit=1.5)
    if isinstance(simple, Polygon) and simple.is_valid and simple.covers(polygon):
        return simple
    return polygon


def hulls_of(sets: Sequence[Points]) -> list[Points]:
    """The convex hull of each set of points, a ring not closed and anticlockwise; flat ones are dropped."""
    hulls = _hulls(sets)
    points, owners = shapely.get_coordinates(hulls[shapely.get_type_id(hulls) == 3], return_index=True)
    rings = []
    for ring in np.split(points, np.flatnonzero(np.diff(owners)) + 1):
        x, y = (ring - ring[0]).T
        anticlockwise = (x[:-1] * y[1:] - x[1:] * y[:-1]).sum() > 0
        rings.append(ring[:-1] if anticlockwise else ring[:0:-1])
    return rings


def _hulls(sets: Sequence[Points]) -> NDArray[np.object_]:
    # One call for all of them, and lines, not points: making the objects is what takes time.
    owners = np.repeat(np.arange(len(sets)), [len(points) for points in sets])
    return np.asarray(shapely.convex_hull(shapely.linestrings(np.concatenate(sets), indices=owners)))


def _slabs(polygon: Polygon, across: bool) -> list[Points]:
    """The polygon cut at every corner, upright or `across`, but not where the same two sides go on.

    Sides of a valid polygon never cross, so between two neighbouring cuts they keep
    their order, and every second gap between them is inside. No intersection has to be
    computed, which leaves nothing for rounding to spoil.
    """
    sides: list[Points] = []
    for ring in [polygon.exterior, *polygon.interiors]:
        points = np.asarray(ring.coords)[:, ::-1] if across else np.asarray(ring.coords)
        sides.extend(np.stack([points[:-1], points[1:]], axis=1))
    ends = np.asarray(sides)
    ends = np.take_along_axis(ends, ends[:, :, :1].argsort(axis=1), axis=1)  # from left to right
    cuts = np.unique(ends[:, :, 0])
    smallest = (cuts[-1] - cuts[0]) * 1e-12
    open_parts: dict[tuple[int, int], float] = {}
    found: list[tuple[int, int, float, float]] = []
    for left, right in pairwise(cuts.tolist()):
        if right - left <= smallest:
            continue
        here = np.flatnonzero((ends[:, 0, 0] <= left) & (ends[:, 1, 0] >= right))
        middle = _heights(ends[here], (left + right) / 2)
        order = here[middle.argsort(kind="stable")].tolist()
        pairs = list(zip(order[::2], order[1::2], strict=True))
        for pair in [pair for pair in open_parts if pair not in pairs]:
            found.append((*pair, open_parts.pop(pair), left))
        for pair in pairs:
            open_parts.setdefault(pair, left)
    found.extend((*pair, start, float(cuts[-1])) for pair, start in open_parts.items())
    parts = []
    for low, high, left, right in found:
        levels = [_heights(ends[[low, high]], at) for at in (left, right)]
        corners = [(left, levels[0][0]), (right, levels[1][0]), (right, levels[1][1]), (left, levels[0][1])]
        points = np.asarray(corners)
        parts.append(points[:, ::-1] if across else points)
    return parts


def _heights(ends: Points, at: float) -> Points:
    start, end = ends[:, 0], ends[:, 1]
    share = (at - start[:, 0]) / (end[:, 0] - start[:, 0])
    heights: Points = start[:, 1] + share * (end[:, 1] - start[:, 1])
    return heights


def _joined(parts: Sequence[Points], within: Polygon | MultiPolygon) -> list[Points]:
    """The parts, two at a time made one wherever their hull stays within the given area."""
    # Slivers that rounding flattened to a line have no inside to lose.
    rest = hulls_of(parts)
    done: list[Points] = []
    while rest:
        part = rest.pop()
        while rest:
            hulls = _hulls([np.concatenate([part, other]) for other in rest])
            fitting = np.flatnonzero(shapely.covers(within, hulls))
            if not len(fitting):
                break
            largest = int(fitting[shapely.area(hulls[fitting]).argmax()])
            part = shapely.get_coordinates(hulls[largest])[:-1]
            del rest[largest]
        done.append(part)
    return done

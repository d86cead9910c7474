"""What may be left out of a shape that is looked at and not measured? Corners that nobody sees and no label minds.

Each ring and each line is thinned by itself (Douglas and Peucker's way, by GEOS): no point of it moves farther than it
is allowed to. Neighbouring rings may come to touch, which no eye sees at these distances and no sum is made of.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import MultiPolygon

from planner.plan import Ring, Shape
from planner.sheets.svg import FEWER, shape_path

UNSEEN: Final = 0.0008
"""Inches; a curve is drawn with no more corners than it takes to come so near: a twentieth of 1/64."""
COVERED: Final = 0.004
"""Inches; the same for what is seen only where finer drawing on top of it leaves it free."""

_FEW: Final = 20
"""Corners of a shape up to which none is looked for to leave out."""


def seen_path(shape: Shape, tolerance: float = UNSEEN) -> str:
    """Give the path of an area that is looked at: without the corners that nobody would see."""
    return shape_path(thinned(shape, tolerance), FEWER)


def seen_lines(lines: Sequence[Ring]) -> list[Ring]:
    """Give lines that are looked at, without the corners that nobody would see."""
    return _thin([line for line in lines if len(line) > 1], UNSEEN, closed=False)


def thinned(shape: Shape, tolerance: float) -> Shape:
    """Leave out corners of a shape whose rings stay within a tolerance; a ring that would vanish stays as it is."""
    rings = [ring for polygon in shape for ring in polygon if len(ring) > 2]
    if sum(map(len, rings)) < _FEW:
        return shape
    kept = iter(_thin(rings, tolerance, closed=True))
    return tuple(tuple(next(kept) for ring in polygon if len(ring) > 2) for polygon in shape)


def rough_area(shape: Shape, tolerance: float) -> MultiPolygon:
    """Give an area whose rings are thinned, to weigh labels against: valid, and near enough."""
    parts = [shapely.Polygon(polygon[0], polygon[1:]) for polygon in thinned(shape, tolerance) if polygon]
    sound = [part if part.is_valid else shapely.make_valid(part) for part in parts]
    return MultiPolygon([one for part in sound for one in shapely.get_parts(part) if one.geom_type == "Polygon"])


def _thin(lines: Sequence[Ring], tolerance: float, *, closed: bool) -> list[Ring]:
    if not lines:
        return []
    points = [np.asarray((*line, line[0]) if closed else line, dtype=float) for line in lines]
    places = np.repeat(np.arange(len(points)), [len(one) for one in points])
    drawn = shapely.linestrings(np.concatenate(points), indices=places)
    thin = shapely.simplify(drawn, tolerance, preserve_topology=False)
    coordinates, places = shapely.get_coordinates(thin, return_index=True)
    ends = np.searchsorted(places, np.arange(1, len(points)))
    found = []
    for line, corners in zip(lines, np.split(coordinates, ends), strict=True):
        # Three corners and the first again are the least that encloses anything.
        if closed and len(corners) < 4:
            found.append(line)
        else:
            found.append(tuple(map(tuple, (corners[:-1] if closed else corners).tolist())))
    return found

"""How are drawn shapes grown that may have very many corners?"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of, grown

_MANY: Final = 5_000
"""Corners; shapes with more are simplified before they are grown."""

_SIMPLER: Final = 1 / 8000
"""Inches; how far their edge may move by that."""

_ROUNDER: Final = 1 / 4000
"""Inches; how far chords may make it larger."""

_FEWEST: Final = 4
"""Chords in a quarter turn."""

_CLOSED: Final = 4
"""Corners that a ring has at least, the first and the last being one."""


def grown_safely(shape: BaseGeometry, distance: float) -> MultiPolygon:
    """Grow a shape by a distance in inches, never by less; one with many corners by up to 1/2000 in more.

    Chords stand outside the true arc as in `planner.geometry.grown`, as few of them as that allows: a quarter turn of
    n chords is enlarged by the factor 1 / cos(1.5 pi / 4n), which is hardly more than 1 + (1.5 pi / 4n)^2 / 2.
    """
    if distance <= 0 or shapely.get_num_coordinates(shape) <= _MANY:
        return grown(shape, distance)
    distance += _SIMPLER
    chords = math.ceil(1.5 * math.pi / 4 * math.sqrt(distance / (2 * _ROUNDER)))
    enlarged = distance / math.cos(1.5 * math.pi / (4 * max(chords, _FEWEST)))
    return area_of(simplified(shape, _SIMPLER).buffer(enlarged, quad_segs=max(chords, _FEWEST)))


def simplified(shape: BaseGeometry, amount: float) -> BaseGeometry:
    """Move the edges of areas by at most this much (inches) to have fewer corners; no part, neck or hole is lost.

    Each ring for itself, which is quick; areas whose edges would cross by that are simplified the careful way. (A
    polygon simplified in one go without care for crossings is mended in silence, and loses its thin necks.)
    """
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    if not parts:
        return shape
    rings, owners = shapely.get_rings(np.array(parts), return_index=True)
    simple = shapely.simplify(rings, amount, preserve_topology=False)
    short = shapely.get_num_coordinates(simple) < _CLOSED
    simple[short] = rings[short]
    firsts = np.searchsorted(owners, np.arange(len(parts) + 1))
    made = np.array([Polygon(simple[low], simple[low + 1 : high]) for low, high in pairwise(firsts.tolist())])
    wrong = ~shapely.is_valid(made)
    made[wrong] = shapely.simplify(np.array(parts)[wrong], amount)
    joined = MultiPolygon(list(shapely.get_parts(made)))
    return joined if joined.is_valid else shapely.simplify(shape, amount)

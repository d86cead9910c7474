"""How are rings of whole units written as path data, and read again?

Path data of M, l and z alone, the even-odd rule: what prints of art, in the units that its record names.
"""

from __future__ import annotations

import re
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

Ring = NDArray[np.int64]
"""Corners, shape (corners, 2), the first once more at the end."""

_SUBPATH: Final = re.compile(r"M(-?\d+) (-?\d+)l([-\d ]+)z")
_NUMBER: Final = re.compile(r"-?\d+")


def subpath(ring: NDArray[np.int64]) -> str:
    """Write a ring of whole units that ends where it starts as path data; nothing if rounding left no area of it."""
    steps = np.diff(ring, axis=0)[:-1]  # z closes the ring.
    steps = steps[steps.any(axis=1)]
    if len(steps) < 2:
        return ""
    numbers = " ".join(map(str, steps.ravel().tolist())).replace(" -", "-")
    return f"M{ring[0, 0]} {ring[0, 1]}l{numbers}z"


def rings_of(path: str) -> list[Ring] | None:
    """The closed rings of path data; None where it is not of the plan's kind."""
    rings = []
    end = 0
    for found in _SUBPATH.finditer(path):
        if found.start() != end:
            return None
        end = found.end()
        steps = np.array(_NUMBER.findall(found[3]), dtype=np.int64)
        if len(steps) % 2 or len(steps) < 4:
            return None
        start = np.array([[int(found[1]), int(found[2])]], dtype=np.int64)
        corners = np.cumsum(np.concatenate((start, steps.reshape(-1, 2))), axis=0)
        rings.append(np.concatenate((corners, start)))
    return rings if rings and end == len(path) else None


def shape_of_path(path: str, unit: float) -> shapely.MultiPolygon:
    """The area inside path data by the even-odd rule, in inches; ``unit`` is how many inches a unit is.

    Raises:
        ValueError: the path is not of the plan's kind.
    """
    rings = rings_of(path) if path else []
    if rings is None:
        raise ValueError("the path of a piece of art is not of M, l and z with whole numbers")
    if not rings:
        return shapely.MultiPolygon()
    corners = [ring * unit for ring in rings]
    # Made valid by its lines, a polygon keeps what lies inside an odd number of its rings, whichever is the outer one.
    area = shapely.make_valid(shapely.Polygon(corners[0], corners[1:]), method="linework")
    # Parts of a collection may be of several polygons themselves; a ring without area leaves a line.
    parts = shapely.get_parts(shapely.get_parts(area))
    return shapely.MultiPolygon([part for part in parts if part.geom_type == "Polygon"])

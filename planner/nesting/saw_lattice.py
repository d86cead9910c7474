"""How fine a lattice to lay shapes on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import Polygon

from .saw_raster import Lattice, turned

# Rows of a lattice at best, at worst, and how many positions all clash maps may have together.
MOST_ROWS = 300
LEAST_ROWS = 80
_MOST_POSITIONS = 15_000_000


def lattice_rows(polygons: Sequence[Polygon], turns: Iterable[int], height: float, spacing: float) -> int:
    """How many rows to divide a height into: fewer when there are many different shapes.

    A map for each pair of outlines has to be worked out and kept, whatever its use.
    """
    both = len(set(turns) & {90, 270}) > 0 and len(set(turns) & {0, 180}) > 0
    sizes = {
        (round(polygon.area, 6), round(east - west + spacing, 6), round(north - south + spacing, 6))
        for polygon in polygons
        for west, south, east, north in [polygon.bounds]
    }
    number = len(sizes) * (2 if both else 1)
    mean = sum(math.sqrt(width * tall) for _, width, tall in sizes) / len(sizes)
    positions = number * number / 2 * (2 * mean / height) ** 2
    return round(min(MOST_ROWS, max(LEAST_ROWS, math.sqrt(_MOST_POSITIONS / positions))))


def lattice_step(polygons: Sequence[Polygon], turns: Iterable[int], height: float, spacing: float, rows: int) -> float:
    """A step that divides `height` into about `rows`, and the shapes with little lost to rounding.

    Shapes drawn on a grid of their own meet exactly only on a lattice that contains it,
    so steps that are whole parts of the shapes' own sizes are tried, and the one that
    wastes least is taken. All lengths in the unit of the polygons.
    """
    lengths = _own_lengths(polygons, turns, spacing)
    coarse, fine = height / (rows * 0.8), height / (rows * 1.25)
    candidates = {height / rows}
    for length in lengths[:: max(1, len(lengths) // 24)]:
        first, last = math.ceil(length / coarse), math.floor(length / fine)
        candidates.update(length / parts for parts in range(max(1, first), last + 1))
    values = np.asarray(lengths)

    def waste(step: float) -> float:
        steps = values / step
        return float((np.ceil(steps - 1e-6) - steps).mean()) * step

    # Among steps that waste equally the coarser one is quicker.
    return min(sorted(candidates, reverse=True), key=lambda step: round(waste(step) / height, 9))


def _own_lengths(polygons: Sequence[Polygon], turns: Iterable[int], spacing: float) -> list[float]:
    found: set[float] = set()
    for polygon in polygons:
        for turn in sorted(set(turns) & {0, 90}) or [0]:
            points = shapely.get_coordinates(turned(polygon, turn))
            sizes = points.max(axis=0)
            found.update(round(float(size) + spacing, 9) for size in sizes)
            # Long outlines are curves: their points lie on no grid and would drown the rest.
            if len(points) <= 24:
                found.update(round(float(value), 9) for value in points.ravel() if value > 0)
    return sorted(found)


def lattice_for(polygons: Sequence[Polygon], turns: Sequence[Sequence[int]], height: float, spacing: float) -> Lattice:
    """An empty lattice that suits the polygons, the turns each may take, and sheets of that height."""
    together = {turn for some in turns for turn in some}
    rows = lattice_rows(polygons, together, height, spacing)
    return Lattice(lattice_step(polygons, together, height, spacing, rows), spacing)

"""Shapes on a raster of the proof's own: which elements does a shape cover, and how far is each from it?

An element is a square; it stands for the point in its middle. Whether that point is in a shape is counted out by the
even-odd rule along its row. A shape's edge is followed as well, so that a line finer than an element is not missed:
an element is *touched* if a point of the edge, taken every half element, falls in it. The nearest element that a
shape covers or touches is then no further off than the shape itself, and no nearer, by more than `BLUR` elements.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import ndimage
from shapely.geometry.base import BaseGeometry

from planner.proof.frames import Points

Mask: TypeAlias = NDArray[np.bool_]
Squares: TypeAlias = NDArray[np.int32]
"""Squared distances in elements, from middle to middle."""

HALF: Final = math.sqrt(0.5)
"""Elements from the middle of an element to its corner."""

BLUR: Final = HALF + 0.25
"""Elements: half a diagonal, and half the way between two points that an edge is followed by."""

_AT_ONCE: Final = 1_000_000
"""Points of an edge that are looked at together."""

_LONGEST: Final = 20_000
"""Elements in a row or a column; squared distances across it still fit their numbers."""

_STRIP: Final = 64
"""Rows that are worked on together."""

_NOWHERE: Final = np.int32(2**30)


@dataclass(frozen=True, slots=True)
class Grid:
    """Where the raster lies: its lower left corner and the side of an element in inches, its rows and columns."""

    left: float
    bottom: float
    step: float
    rows: int
    columns: int

    @property
    def blur(self) -> float:
        """How far off a distance to a shape may be, in inches."""
        return BLUR * self.step

    def covered(self, shape: BaseGeometry) -> Mask:
        """Say which elements have their middle in the shape; of rings, an odd number must lie round it."""
        return self.enclosed(*edges_of(shape))

    def enclosed(self, start: Points, end: Points) -> Mask:
        """Say which elements have their middle inside the edges, by the even-odd rule."""
        flips = np.zeros((self.rows, self.columns + 1), dtype=np.uint8)
        u1, v1 = self._middles(start)
        u2, v2 = self._middles(end)
        first = np.clip(np.ceil(np.minimum(v1, v2)), 0, self.rows).astype(np.int64)
        after = np.clip(np.ceil(np.maximum(v1, v2)), 0, self.rows).astype(np.int64)
        for some in _portions(after - first):
            counts = after[some] - first[some]
            edge = np.repeat(np.arange(some.start, some.stop), counts)
            row = _runs(counts) + first[edge]
            crossing = u1[edge] + (row - v1[edge]) * ((u2[edge] - u1[edge]) / (v2[edge] - v1[edge]))
            column = np.clip(np.ceil(crossing), 0, self.columns).astype(np.int64)
            np.add.at(flips.reshape(-1), row * (self.columns + 1) + column, np.uint8(1))
        np.add.accumulate(flips, axis=1, out=flips)
        return (flips[:, : self.columns] & 1).astype(bool)

    def touched(self, start: Points, end: Points) -> Mask:
        """Say which elements an edge runs through, followed from half element to half element."""
        mask = np.zeros((self.rows, self.columns), dtype=bool)
        u1, v1 = (values + 0.5 for values in self._middles(start))
        u2, v2 = (values + 0.5 for values in self._middles(end))
        low, high = _within(u1, u2, v1, v2, self.columns, self.rows)
        across, up = u2 - u1, v2 - v1
        there = high >= low
        counts = np.where(there, np.ceil(2 * np.hypot(across, up) * np.where(there, high - low, 0.0)) + 1, 0)
        counts = counts.astype(np.int64)
        for some in _portions(counts):
            number = counts[some]
            edge = np.repeat(np.arange(some.start, some.stop), number)
            part = _runs(number) / np.maximum(np.repeat(number, number) - 1, 1)
            along = low[edge] + (high[edge] - low[edge]) * part
            column = np.clip((u1[edge] + across[edge] * along).astype(np.int64), 0, self.columns - 1)
            row = np.clip((v1[edge] + up[edge] * along).astype(np.int64), 0, self.rows - 1)
            mask[row, column] = True
        return mask

    def over(self, shape: BaseGeometry) -> Mask:
        """Say which elements a shape covers or touches."""
        edges = edges_of(shape)
        return self.enclosed(*edges) | self.touched(*edges)

    def under(self, shape: BaseGeometry) -> Mask:
        """Say which elements have their middle in a shape and are not run through by its edge."""
        edges = edges_of(shape)
        return self.enclosed(*edges) & ~self.touched(*edges)

    def part(self, bounds: tuple[float, float, float, float]) -> tuple[Grid, slice, slice]:
        """Give the part of the raster that holds a rectangle, and its rows and columns in the whole."""
        columns = self._span(bounds[0] - self.left, bounds[2] - self.left, self.columns)
        rows = self._span(bounds[1] - self.bottom, bounds[3] - self.bottom, self.rows)
        left, bottom = self.left + columns.start * self.step, self.bottom + rows.start * self.step
        return Grid(left, bottom, self.step, rows.stop - rows.start, columns.stop - columns.start), rows, columns

    def _span(self, low: float, high: float, most: int) -> slice:
        start = min(max(math.floor(low / self.step), 0), most - 1)
        return slice(start, min(max(math.ceil(high / self.step), start + 1), most))

    def area(self, mask: Mask) -> float:
        """Square inches of the elements."""
        return float(np.count_nonzero(mask)) * self.step**2

    def within(self, squares: Squares, inches: float) -> Mask:
        """Say which elements are no further off than that."""
        return squares <= (inches / self.step) ** 2 if inches >= 0 else np.zeros(squares.shape, dtype=bool)

    def beyond(self, squares: Squares, inches: float) -> Mask:
        """Say which elements are at least so far off."""
        return squares >= (max(inches, 0.0) / self.step) ** 2

    def _middles(self, points: Points) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Columns and rows of points, so that the middle of an element has whole numbers."""
        return (points[:, 0] - self.left) / self.step - 0.5, (points[:, 1] - self.bottom) / self.step - 0.5


def grid_over(bounds: tuple[float, float, float, float], margin: float, finest: float, most: int) -> Grid:
    """Lay a raster over a rectangle and a margin: elements of ``finest`` inches, larger if more than ``most``."""
    left, bottom, right, top = bounds[0] - margin, bounds[1] - margin, bounds[2] + margin, bounds[3] + margin
    step = max(finest, math.sqrt((right - left) * (top - bottom) / most))
    step = max(step, max(right - left, top - bottom) / _LONGEST)
    return Grid(left, bottom, step, math.ceil((top - bottom) / step), math.ceil((right - left) / step))


def squares_to(mask: Mask) -> Squares:
    """Give the squared distance of every element to the nearest of a mask, in elements."""
    if not mask.any():
        return np.full(mask.shape, _NOWHERE, dtype=np.int32)
    nearest = ndimage.distance_transform_edt(~mask, return_distances=False, return_indices=True)
    squares = np.empty(mask.shape, dtype=np.int32)
    columns = np.arange(mask.shape[1], dtype=np.int32)
    # In strips, so that what is needed for it stays small.
    for first in range(0, mask.shape[0], _STRIP):
        strip = slice(first, first + _STRIP)
        across, up = nearest[1, strip] - columns, nearest[0, strip]
        up -= np.arange(first, first + len(up), dtype=np.int32)[:, np.newaxis]
        np.multiply(across, across, out=across)
        np.multiply(up, up, out=up)
        np.add(across, up, out=squares[strip])
    return squares


def window(mask: Mask, margin: float) -> tuple[slice, slice]:
    """Give the rows and columns that hold a mask that is not empty, and so many more on each side."""
    more = math.ceil(margin)
    places = []
    for axis in (1, 0):
        there = np.flatnonzero(mask.any(axis=axis))
        places.append(slice(max(int(there[0]) - more, 0), int(there[-1]) + more + 1))
    return places[0], places[1]


def edges_of(shape: BaseGeometry) -> tuple[Points, Points]:
    """Give every edge of a shape, or of lines, by its two ends."""
    parts = shapely.get_parts(np.asarray([shape], dtype=object))
    rings = shapely.get_rings(parts) if shape.area > 0 else parts
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    return points[:-1][same], points[1:][same]


def _within(
    u1: NDArray[np.float64], u2: NDArray[np.float64], v1: NDArray[np.float64], v2: NDArray[np.float64],
    columns: int, rows: int,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:  # fmt: skip
    """Give the part of each edge that lies on the raster, from 0 at its start to 1 at its end; low > high: none."""
    low, high = np.zeros(len(u1)), np.ones(len(u1))
    for one, other, size in ((u1, u2, columns), (v1, v2, rows)):
        way = other - one
        flat = way == 0
        slope = np.where(flat, 1.0, way)
        at_zero, at_size = -one / slope, (size - one) / slope
        outside = flat & ((one < 0) | (one > size))
        low = np.where(flat, low, np.maximum(low, np.minimum(at_zero, at_size)))
        high = np.where(flat, high, np.minimum(high, np.maximum(at_zero, at_size)))
        high = np.where(outside, -1.0, high)
    return low, high


def _portions(counts: NDArray[np.int64]) -> Iterator[slice]:
    """Divide edges into runs that have a bearable number of points together."""
    sums = np.cumsum(counts)
    start = 0
    while start < len(counts):
        before = sums[start - 1] if start else 0
        stop = max(int(np.searchsorted(sums, before + _AT_ONCE, side="right")), start + 1)
        yield slice(start, stop)
        start = stop


def _runs(counts: NDArray[np.int64]) -> NDArray[np.int64]:
    """Count 0, 1, 2 ... anew for each."""
    return np.arange(int(counts.sum())) - np.repeat(np.cumsum(counts) - counts, counts)

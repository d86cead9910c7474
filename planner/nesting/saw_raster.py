"""Where one shape may lie beside another, worked out on a fine lattice of positions.

For a fixed shape A at the origin, the *clash map* of a moving shape B says for each
lattice position of B how deep the two lie in one another, 0 where they keep their
distance. Positions are discrete, the test at each position is exact. All lengths here
are lattice steps, and a position is that of the lower left of a bounding box.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, affinity

from .saw_convex import Points, convex_parts

Depths = NDArray[np.float32]

# Rounding may not make shapes that just touch clash; this many steps is far below any saw.
HAIR = 1e-6
MOST_BYTES = 400_000_000
_CORNERS = 16


class Clash(NamedTuple):
    """Depths by row and column; entry [0, 0] is the position (column, row) beside the fixed shape."""

    depths: Depths
    row: int
    column: int
    rows: int
    columns: int


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """A shape in one turn: convex parts in steps, lower left of the bounding box at (0, 0)."""

    parts: list[Points]
    width: float
    height: float


def turned(polygon: Polygon, turn: int) -> Polygon:
    """The polygon turned anticlockwise, its bounding box's lower left at the origin; exact for quarter turns."""
    cosine, sine = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[turn]
    result = affinity.affine_transform(polygon, [cosine, -sine, sine, cosine, 0, 0])
    west, south, _, _ = result.bounds
    return affinity.translate(result, -west, -south)


class Lattice:
    """The step of the lattice, the distinct outlines and the clash maps between them."""

    def __init__(self, step: float, spacing: float) -> None:
        self.step = step
        self.spacing = spacing / step
        self.outlines: list[Outline] = []
        self.clashes: dict[tuple[int, int], Clash] = {}
        self._known: dict[bytes, int] = {}
        self._bytes = 0

    def add(self, polygon: Polygon, turn: int) -> int:
        """The number of the outline of a polygon in a turn; equal outlines share one number."""
        placed = turned(polygon, turn)
        shape = placed.normalize()
        assert isinstance(shape, Polygon)
        # Adding 0 makes one zero of the two that floats have.
        key = (np.round(shapely.get_coordinates(shape) / self.step, 6) + 0.0).tobytes() + bytes(len(shape.interiors))
        if key not in self._known:
            scaled = affinity.scale(placed, 1 / self.step, 1 / self.step, origin=(0, 0))
            _, _, width, height = scaled.bounds
            self._known[key] = len(self.outlines)
            self.outlines.append(Outline(convex_parts(scaled, 0.2), width, height))
        return self._known[key]

    def turns(self, polygon: Polygon, turns: Sequence[int]) -> dict[int, int]:
        """The different outlines of a polygon in the turns given, each with the first turn that shows it."""
        found: dict[int, int] = {}
        for turn in turns:
            found.setdefault(self.add(polygon, turn), turn)
        return found

    def clash(self, fixed: int, moving: int) -> Clash:
        """The clash map of the moving outline beside the fixed one."""
        known = self.clashes.get((fixed, moving))
        if known is not None:
            return known
        opposite = self.clashes.get((moving, fixed))
        if opposite is not None:
            # B beside A at d clashes as A beside B at -d does.
            result = Clash(
                opposite.depths[::-1, ::-1],
                1 - opposite.row - opposite.rows,
                1 - opposite.column - opposite.columns,
                opposite.rows,
                opposite.columns,
            )
        else:
            result = clash_of(self.hulls(fixed, moving))
            self._bytes += result.depths.nbytes
            if self._bytes > MOST_BYTES:
                # Hundreds of different shapes: forgetting all is crude but keeps memory bounded.
                self.clashes.clear()
                self._bytes = result.depths.nbytes
        self.clashes[fixed, moving] = result
        return result

    def hulls(self, fixed: int, moving: int) -> list[Points]:
        """Convex rings, anticlockwise, whose insides are exactly where `moving` clashes with `fixed`."""
        return _sums(self.outlines[fixed].parts, self.outlines[moving].parts, self.spacing)


def _sums(fixed: list[Points], moving: list[Points], spacing: float) -> list[Points]:
    if spacing > 0:
        # The polygon around the circle of that radius, with sides that face the axes.
        angles = (np.arange(_CORNERS) + 0.5) * (2 * math.pi / _CORNERS)
        radius = spacing / math.cos(math.pi / _CORNERS)
        rim = np.column_stack([np.cos(angles), np.sin(angles)]) * radius
        fixed = [(part[:, None, :] + rim[None, :, :]).reshape(-1, 2) for part in fixed]
        fixed = [shapely.get_coordinates(shapely.MultiPoint(part).convex_hull)[:-1] for part in fixed]
    differences = [(one[:, None, :] - other[None, :, :]).reshape(-1, 2) for one in fixed for other in moving]
    # One call for all of them: most of the time would go into crossing over to the library.
    owners = np.repeat(np.arange(len(differences)), [len(points) for points in differences])
    hulls = shapely.convex_hull(shapely.multipoints(np.concatenate(differences), indices=owners))
    points, owners = shapely.get_coordinates(hulls, return_index=True)
    rings = []
    for ring in np.split(points, np.flatnonzero(np.diff(owners)) + 1):
        x, y = (ring - ring[0]).T
        anticlockwise = (x[:-1] * y[1:] - x[1:] * y[:-1]).sum() > 0
        rings.append(ring[:-1] if anticlockwise else ring[:0:-1])
    return rings


def clash_of(hulls: list[Points]) -> Clash:
    """The clash map given by the convex rings of clashing positions."""
    starts = np.concatenate(hulls)
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in hulls])
    column, row = (math.floor(value) for value in starts.min(axis=0))
    columns, rows = (math.ceil(value) + 1 for value in starts.max(axis=0) - (column, row))
    offsets = np.cumsum([0, *(len(ring) for ring in hulls[:-1])])
    levels = np.arange(rows, dtype=np.float64) + row
    low, high = _intervals(starts, ends, offsets, levels)
    # A position just on the rim touches and does not clash.
    first = np.floor(low + HAIR).astype(np.int64) + 1 - column
    last = np.ceil(high - HAIR).astype(np.int64) - 1 - column
    part, line = np.nonzero(last >= first)
    edges = np.zeros((rows, columns + 2), dtype=np.int32)
    np.add.at(edges, (line, first[part, line]), 1)
    np.add.at(edges, (line, last[part, line] + 1), -1)
    inside = edges.cumsum(axis=1)[:, :columns] > 0
    return Clash(_depths(inside), row, column, rows, columns)


def _intervals(starts: Points, ends: Points, offsets: NDArray[np.int64], levels: Points) -> tuple[Points, Points]:
    """For each ring and level the stretch of the level inside the ring; an empty one has low > high."""
    bottom = np.minimum(starts[:, 1], ends[:, 1])[:, None]
    top = np.maximum(starts[:, 1], ends[:, 1])[:, None]
    rise = ends[:, 1] - starts[:, 1]
    slope = np.divide(ends[:, 0] - starts[:, 0], rise, out=np.zeros_like(rise), where=rise != 0)
    at = starts[:, :1] + (levels[None, :] - starts[:, 1:]) * slope[:, None]
    crossed = (bottom <= levels) & (levels <= top) & (rise != 0)[:, None]
    low = np.minimum.reduceat(np.where(crossed, at, 1e15), offsets, axis=0)
    high = np.maximum.reduceat(np.where(crossed, at, -1e15), offsets, axis=0)
    # Levels on or below the lowest point, or on or above the highest, only touch.
    lowest = np.minimum.reduceat(bottom, offsets, axis=0)
    highest = np.maximum.reduceat(top, offsets, axis=0)
    outside = (levels <= lowest + HAIR) | (levels >= highest - HAIR)
    return np.where(outside, 1e9, low), np.where(outside, -1e9, high)


def _depths(inside: NDArray[np.bool_]) -> Depths:
    """How far each clashing position is from a free one, straight left, right, down or up."""
    rows, columns = inside.shape
    across = np.arange(columns, dtype=np.int32)[None, :]
    along = np.arange(rows, dtype=np.int32)[:, None]
    left = across - np.maximum.accumulate(np.where(inside, np.int32(-1), across), axis=1)
    right = np.minimum.accumulate(np.where(inside, np.int32(columns), across)[:, ::-1], axis=1)[:, ::-1] - across
    down = along - np.maximum.accumulate(np.where(inside, np.int32(-1), along), axis=0)
    up = np.minimum.accumulate(np.where(inside, np.int32(rows), along)[::-1], axis=0)[::-1] - along
    return np.minimum(np.minimum(left, right), np.minimum(down, up)).astype(np.float32)

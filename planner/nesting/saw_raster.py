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

from .saw_convex import Points, convex_parts, hulls_of

Depths = NDArray[np.float32]

# Rounding may not make shapes that just touch clash; this many steps is far below any saw.
HAIR = 1e-6
# How far, in steps, the parts of a shape may reach beyond it, so that they be few.
TOLERANCE = 0.2
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
        self._wide: dict[int, list[Points]] = {}
        self._bytes = 0

    def turns(self, polygon: Polygon, turns: Sequence[int]) -> dict[int, int]:
        """The different outlines of a polygon in the turns given, each with the first turn that shows it.

        An outline is known by its number; equal outlines of different polygons share one.
        """
        found: dict[int, int] = {}
        upright = turned(polygon, 0)
        scaled = affinity.scale(upright, 1 / self.step, 1 / self.step, origin=(0, 0))
        _, _, width, height = scaled.bounds
        parts: list[Points] | None = None
        for turn in turns:
            shape = turned(polygon, turn).normalize()
            assert isinstance(shape, Polygon)
            # Adding 0 makes one zero of the two that floats have.
            points = np.round(shapely.get_coordinates(shape) / self.step, 6) + 0.0
            key = points.tobytes() + bytes(len(shape.interiors))
            if key not in self._known:
                if parts is None:
                    parts = convex_parts(scaled, TOLERANCE)
                self._known[key] = len(self.outlines)
                size = (width, height) if turn in (0, 180) else (height, width)
                self.outlines.append(Outline(_quarter_turned(parts, turn, width, height), *size))
            found.setdefault(self._known[key], turn)
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
        wide = self._wide.get(fixed)
        if wide is None:
            wide = self._wide[fixed] = _widened(self.outlines[fixed].parts, self.spacing)
        return _sums(wide, self.outlines[moving].parts)


def _widened(parts: list[Points], spacing: float) -> list[Points]:
    """The parts, each wider all round by the spacing."""
    if spacing <= 0:
        return parts
    # The polygon around the circle of that radius, with sides that face the axes.
    angles = (np.arange(_CORNERS) + 0.5) * (2 * math.pi / _CORNERS)
    rim = np.column_stack([np.cos(angles), np.sin(angles)]) * (spacing / math.cos(math.pi / _CORNERS))
    return hulls_of([(part[:, None, :] + rim[None, :, :]).reshape(-1, 2) for part in parts])


def _sums(fixed: list[Points], moving: list[Points]) -> list[Points]:
    return hulls_of([(one[:, None, :] - other[None, :, :]).reshape(-1, 2) for one in fixed for other in moving])


def _quarter_turned(parts: list[Points], turn: int, width: float, height: float) -> list[Points]:
    """The parts of a shape of that width and height, turned with it, its lower left at (0, 0) again."""
    if turn == 0:
        return parts
    if turn == 180:
        return [np.array([width, height]) - part for part in parts]
    if turn == 90:
        return [np.column_stack([height - part[:, 1], part[:, 0]]) for part in parts]
    return [np.column_stack([part[:, 1], width - part[:, 0]]) for part in parts]


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

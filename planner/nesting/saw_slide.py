"""Exact finish of a strip: every shape slid left as far as it goes, off the lattice.

A shape slides straight left, then along whatever stopped it, as long as that leads
further left. Positions are lattice steps but no longer whole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from .saw_convex import Points
from .saw_raster import HAIR, Lattice

Position = tuple[float, float]
_Rings = tuple[Points, Points, NDArray[np.int64]]
_MOST_ROUNDS = 12
_MOST_LEGS = 6


class _Sides:
    """The sides of many convex rings: outward unit normals, distances, and where each ring begins."""

    def __init__(self, rings: Sequence[Points]) -> None:
        starts = np.concatenate(rings)
        along = np.concatenate([np.roll(ring, -1, axis=0) - ring for ring in rings])
        lengths = np.hypot(along[:, 0], along[:, 1])
        kept = lengths > HAIR
        self.normals = np.column_stack([along[:, 1], -along[:, 0]])[kept] / lengths[kept][:, None]
        # A hair less, so that what touches is outside.
        self.distances = (self.normals * starts[kept]).sum(axis=1) - HAIR
        counts = np.add.reduceat(kept, np.cumsum([0, *(len(ring) for ring in rings[:-1])])).astype(np.int64)
        self.offsets = np.concatenate([[0], np.cumsum(counts)[:-1]])


def slid(lattice: Lattice, outlines: Sequence[int], positions: Sequence[Position], height: float) -> list[Position]:
    """The positions (column, row) of the outlines after sliding; `height` is that of the strip in steps."""
    result = list(positions)
    cache: dict[tuple[int, int], _Sides] = {}
    for _ in range(_MOST_ROUNDS):
        gained = 0.0
        for moving in sorted(range(len(result)), key=lambda shape: result[shape]):
            before = result[moving][0]
            for _ in range(_MOST_LEGS):
                if not _leg(lattice, outlines, result, moving, height, cache):
                    break
            gained = max(gained, before - result[moving][0])
        if gained < 0.01:
            break
    return result


def _leg(
    lattice: Lattice,
    outlines: Sequence[int],
    positions: list[Position],
    moving: int,
    height: float,
    cache: dict[tuple[int, int], _Sides],
) -> bool:
    """Slide one shape left and then along what stopped it; whether that was worth while."""
    column, row = positions[moving]
    shape = lattice.outlines[outlines[moving]]
    normals, distances, offsets = [], [], []
    count = 0
    for other, (left, bottom) in enumerate(positions):
        # What lies wholly to the right is never met on the way left.
        if other == moving or left >= column + shape.width + lattice.spacing:
            continue
        key = (outlines[other], outlines[moving])
        sides = cache.get(key)
        if sides is None:
            sides = cache[key] = _Sides(lattice.hulls(*key))
        normals.append(sides.normals)
        distances.append(sides.distances + sides.normals @ np.array([left, bottom]))
        offsets.append(sides.offsets + count)
        count += len(sides.distances)
    if not normals:
        positions[moving] = (0.0, row)
        return False
    rings = (np.concatenate(normals), np.concatenate(distances), np.concatenate(offsets))
    reach, side = _reach(rings, np.array([column, row]), np.array([-1.0, 0.0]))
    reach = min(reach, column)
    moved = reach > HAIR
    at = np.array([column - max(reach, 0.0), row])
    if side is not None and at[0] > 0:
        normal = rings[0][side]
        along = np.array([-normal[1], normal[0]])
        if along[0] > 0:
            along = -along
        if along[0] < -0.02:
            # Never further than the strip is high or long.
            limit = at[0] / -along[0]
            if along[1] > 0:
                limit = min(limit, (height - shape.height - at[1]) / along[1])
            elif along[1] < 0:
                limit = min(limit, at[1] / -along[1])
            reach, _ = _reach(rings, at, along)
            reach = min(reach, limit)
            if reach > HAIR:
                at = at + along * reach
                moved = moved or reach > 0.01
    positions[moving] = (max(0.0, float(at[0])), float(at[1]))
    return moved


def _reach(rings: _Rings, start: Points, along: Points) -> tuple[float, int | None]:
    """How far one may go from a point before a convex ring is entered, and the side one meets."""
    normals, distances, offsets = rings
    slack = distances - normals @ start
    pace = normals @ along
    with np.errstate(divide="ignore", invalid="ignore"):
        times = slack / pace
    entering = np.where(pace < -1e-12, times, -math.inf)
    leaving = np.where(pace > 1e-12, times, math.inf)
    # Parallel to a side and outside it: never inside.
    entering = np.where((np.abs(pace) <= 1e-12) & (slack <= 0), math.inf, entering)
    first = np.maximum.reduceat(entering, offsets)
    last = np.minimum.reduceat(leaving, offsets)
    met = (first < last - 1e-12) & (last > HAIR)
    if not met.any():
        return math.inf, None
    blocks = np.where(met, np.maximum(first, 0.0), math.inf)
    ring = int(blocks.argmin())
    end = offsets[ring + 1] if ring + 1 < len(offsets) else len(distances)
    return float(blocks[ring]), int(offsets[ring] + entering[offsets[ring] : end].argmax())

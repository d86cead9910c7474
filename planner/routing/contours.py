"""Which lines follow the edge of a shape inwards, and in which chains are they run from the middle outwards?

Contour-parallel passes: the edge of the shape itself, then the edge of the shape shrunk by one step, and so on until
nothing is left (M. Held, On the Computational Geometry of Pocket Machining, 1991, from memory). Where a step is no
longer than the cutter's radius these lines sweep everything. With longer steps islands stay between them, in sharp
corners and along the middle; each gets a stroke of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon, STRtree
from shapely.geometry import MultiPolygon

from planner.geometry import area_of

Points: TypeAlias = NDArray[np.float64]
"""Corners of a line, one in a row: x, y."""

_FEW: Final = 1 / 500
"""Of the diameter; how far an inner line may be moved to have fewer corners. The step is shorter by as much."""

_SAMPLES: Final = 24
"""Corners of a line that stand for it where lines are looked up beside it."""


@dataclass(slots=True)
class Chain:
    """Lines to be run one after the other.

    Closed ones lead from the innermost outwards, each a step from the one before. ``lead`` is a place on a line
    further in, already cut, to begin from. ``inner`` says that the first line is at least a step from the shape's
    edge.
    """

    lines: list[Points]
    closed: bool = True
    lead: tuple[float, float] | None = None
    inner: bool = False


def chains_in(shape: MultiPolygon, radius: float, step: float) -> list[Chain]:
    """Give the passes that sweep a shape with a disc of this radius whose middle stays in it, in chains.

    ``shape`` is where the cutter's middle is to go. Lengths are in inches.
    """
    chains: list[Chain] = []
    tips: list[Chain] = []
    levels = list(_levels(shape, radius, step))
    for depth, level in reversed(list(enumerate(levels))):
        tips = _lengthened(_rings(level), tips, step, depth > 0)
        chains += [chain for chain in tips if len(chain.lines) == 1]
    if step > radius:
        for depth, outer in enumerate(levels):
            inner = levels[depth + 1] if depth + 1 < len(levels) else MultiPolygon()
            chains += _strokes(outer, inner, radius)
    return chains


def _levels(shape: MultiPolygon, radius: float, step: float) -> Iterator[MultiPolygon]:
    few = 2 * radius * _FEW
    while not shape.is_empty:
        yield shape
        shape = area_of(shape.buffer(-(step - 2 * few), quad_segs=8).simplify(few))


def _rings(shape: MultiPolygon) -> list[Points]:
    return [np.array(ring.coords) for part in shape.geoms for ring in (part.exterior, *part.interiors)]


def _lengthened(rings: list[Points], tips: list[Chain], step: float, inner: bool) -> list[Chain]:
    """Put each ring behind the chain that ends beside it, or let it begin a chain; the chains that now end here.

    Of several chains beside one ring the nearest goes on; the others end where they are.
    """
    beside = _beside(rings, tips, step)
    taken: set[int] = set()
    chain_for: dict[int, Chain] = {}
    for _, ring, tip in sorted((distance, ring, tip) for (ring, tip), distance in beside.items()):
        if ring not in chain_for and tip not in taken:
            taken.add(tip)
            chain_for[ring] = tips[tip]
    ends: list[Chain] = []
    for number, points in enumerate(rings):
        if number in chain_for:
            chain_for[number].lines.append(points)
            ends.append(chain_for[number])
            continue
        beside_it = [tips[tip].lines[-1] for ring, tip in sorted(beside) if ring == number]
        ends.append(Chain([points], lead=_place_on(beside_it[0], points) if beside_it else None, inner=inner))
    return ends


def _beside(rings: list[Points], tips: list[Chain], step: float) -> dict[tuple[int, int], float]:
    """By ring and chain: how far the chain's last line is from the ring, where that is about one step."""
    if not tips:
        return {}
    lines = np.array([LineString(points) for points in rings])
    samples = [chain.lines[-1][:: max(1, len(chain.lines[-1]) // _SAMPLES)] for chain in tips]
    owners = np.repeat(np.arange(len(tips)), [len(sample) for sample in samples])
    spots = np.concatenate(samples)
    points = np.array([Point(spot) for spot in spots])
    found, near = STRtree(lines).query(points, predicate="dwithin", distance=1.3 * step)
    distances = np.asarray(shapely.distance(points[found], lines[near]))
    beside: dict[tuple[int, int], float] = {}
    for ring, tip, distance in zip(near.tolist(), owners[found].tolist(), distances.tolist(), strict=True):
        beside[ring, tip] = min(distance, beside.get((ring, tip), distance))
    return beside


def _place_on(line: Points, other: Points) -> tuple[float, float]:
    """The corner of a line that is nearest to another line, of a few that are looked at."""
    sample = line[:: max(1, len(line) // _SAMPLES)]
    nearest = sample[int(np.argmin(shapely.distance(shapely.points(sample), LineString(other))))]
    return float(nearest[0]), float(nearest[1])


def _strokes(outer: MultiPolygon, inner: MultiPolygon, radius: float) -> Iterator[Chain]:
    """Lines over the islands that stay between the edge of one shape and the edge of the next one further in."""
    reach = radius * 0.98
    islands = area_of(outer.buffer(-reach).difference(inner.buffer(reach)))
    for island in islands.geoms:
        axis = _axis(island, reach)
        if axis is not None and outer.covers(axis):
            yield Chain([np.array(axis.coords)], closed=False, inner=True)
        else:
            yield Chain([np.array(island.exterior.coords)], inner=True)


def _axis(island: Polygon, reach: float) -> LineString | None:
    """The middle line of the narrowest rectangle round an island, if a disc run along it sweeps the rectangle."""
    box = island.minimum_rotated_rectangle
    if not isinstance(box, Polygon):
        return None
    corners = np.array(box.exterior.coords)
    sides = np.hypot(*np.diff(corners[:3], axis=0).T)
    if sides[0] < sides[1]:
        corners = np.roll(corners[:4], -1, axis=0)
    long, short = max(sides), min(sides)
    if short >= 1.8 * reach or long <= 0:
        return None
    start, end = (corners[0] + corners[3]) / 2, (corners[1] + corners[2]) / 2
    # What the disc's ends sweep of the rectangle need not be run; a dab is still a short line.
    off = min(float(np.sqrt(reach**2 - (short / 2) ** 2)), 0.45 * long) / long
    return LineString([start + off * (end - start), end - off * (end - start)])

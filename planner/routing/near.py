"""Where does the edge of a piece run close to fine detail, and where is that worst?

Fine detail is what is thinner than the house says: hairlines, points, small dots. The tips of corners that are no
sharper than a square are not: every plate has those. Edges that are interrupted by less than the distance itself
are joined. None is left out, however many there are: a page of small type has some hundreds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, TypeAlias

import numpy as np
import shapely
from shapely import LineString, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from planner.house import Routing
from planner.plates import OrderedPlate
from planner.routing.records import Piece, Stretch

_BLUNT: Final = 0.22
"""Of the square of half the fine width. The tip of a square corner that a disc of that radius cannot fill has
1 - pi / 4 of it, and loses a third of that as `planner.detail.thin_parts` gives it; sharper corners have more."""

_ROUNDER: Final = 1.06
"""How much farther the corners of a disc of few chords are from its middle, so that the chords are no nearer than the
disc's edge, and than what simplifying moves."""

_Lines: TypeAlias = list[tuple[int, LineString]]


def stretches_near(plate: OrderedPlate, pieces: Sequence[Piece], routing: Routing) -> tuple[Stretch, ...]:
    """Give the edges of pieces within the house's distance of fine detail, the worst first.

    The worst is the nearest, and of equally near ones that beside the thinnest. Lengths are in inches.
    """
    if not pieces or routing.near <= 0 or routing.fine <= 0:
        return ()
    edges = [piece.shape.boundary for piece in pieces]
    fine = _fine_parts(plate, edges, routing)
    if not fine:
        return ()
    lines = _lines(edges, fine, routing.near, routing.near / 2)
    from_art = any(film.art for film in plate.films)
    beside = _Beside(fine, routing.fine, plate.printing if from_art else None)
    found = [beside.stretch(pieces[place].number, line) for place, line in lines]
    # An edge may come and go within what lies between two fine parts, farther from both.
    found = [stretch for stretch in found if stretch.distance <= routing.near]
    return tuple(sorted(found, key=lambda one: (one.distance, one.width, one.piece, one.line)))


def _fine_parts(plate: OrderedPlate, edges: Sequence[BaseGeometry], routing: Routing) -> list[Polygon]:
    """The parts of fine detail that lie near any edge, without the tips of blunt corners."""
    found = plate.thinner_than(routing.fine, edges, routing.near)
    return [part for part in found if part.area > _BLUNT * (routing.fine / 2) ** 2]


def _lines(edges: Sequence[BaseGeometry], fine: list[Polygon], near: float, gap: float) -> _Lines:
    """By the place of its piece: each stretch of an edge near fine detail; gaps of up to twice ``gap`` are joined."""
    parts = shapely.simplify(np.array(fine), near / 100)
    close = shapely.union_all(shapely.buffer(parts, (near + gap) * _ROUNDER, quad_segs=4)).buffer(-gap, quad_segs=4)
    shapely.prepare(close)
    found: _Lines = []
    for place, edge in enumerate(edges):
        if not close.intersects(edge):
            continue
        merged = shapely.get_parts(shapely.line_merge(edge.intersection(close)))
        found += [(place, line) for line in merged if isinstance(line, LineString) and line.length > 0]
    return found


class _Beside:
    """The fine parts, ready to be asked what lies beside a line."""

    def __init__(self, parts: list[Polygon], fine: float, printing: BaseGeometry | None) -> None:
        """``printing`` is what the parts belong to, where they are outlined more coarsely than that."""
        self._parts = parts
        self._fine = fine
        self._tree = STRtree(parts)
        self._printing = printing
        if printing is not None:
            shapely.prepare(printing)

    def stretch(self, number: int, line: LineString) -> Stretch:
        """The record of one stretch: how near the detail is, and how thin where it is nearest."""
        nearest, distances = self._tree.query_nearest(line, return_distance=True)
        distance = float(distances[0])
        if self._printing is not None:
            distance = max(distance, float(shapely.distance(self._printing, line)))
        width = min(self._thickness(self._parts[place], line) for place in nearest.tolist())
        points = tuple(map(tuple, (np.round(shapely.get_coordinates(line), 6) + 0.0).tolist()))
        return Stretch(number, points, round(distance, 6), round(min(width, self._fine), 6))

    def _thickness(self, part: Polygon, line: LineString) -> float:
        """How thick detail is where it is nearest to a line: as thick as a rectangle of its area and girth there."""
        x, y = shapely.get_coordinates(shapely.shortest_line(part, line))[0]
        reach = self._fine
        here = part.intersection(shapely.box(x - reach, y - reach, x + reach, y + reach))
        half_girth = here.length / 2
        return float((half_girth - math.sqrt(max(half_girth**2 - 4 * here.area, 0.0))) / 2)

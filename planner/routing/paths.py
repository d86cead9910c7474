"""Along which lines does the middle of a cutter go to take its zone?

The middle goes round inside what the cutter may reach and what it is to take, less a little under its radius, so that
along the clearance its edge runs exactly on the limit, and along open edges it runs over them by an overlap. What this
leaves in places narrower than the cutter, between the limit and an open edge, it takes by running along the limit only
there; what still stands (a rib with open air on both sides) it takes by running round on it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import LineString, MultiLineString, Point, Polygon, STRtree
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of, union_of
from planner.house import Routing
from planner.routing.contours import Chain, chains_in
from planner.routing.reach import Centres

OVERLAP: Final = 1 / 4
"""Of the radius; how far the sweep runs over an open edge, or into what a larger cutter has cleared."""

LEFT: Final = 1 / 80
"""Of the radius; what stands between two sweeps and is thinner is rounding, and nothing to go back for."""

_CORNERS: Final = 48
"""Corners to a stretch of a long line, so that stretches near a place are found quickly."""


def ways_for(pieces: MultiPolygon, centres: Centres, routing: Routing) -> list[list[Chain]]:
    """Give for each piece of one cutter's zone the chains of lines that take it."""
    found: list[list[Chain]] = [[] for _ in pieces.geoms]
    tree = STRtree(list(pieces.geoms))
    radius = centres.radius
    step = 2 * radius * routing.step_over

    wide = area_of(pieces.buffer(-radius * (1 - OVERLAP), quad_segs=8).intersection(centres.shape))
    left = _round_in(wide, found, tree, radius, step)
    left = _standing(pieces, left, radius)
    along = _along_limit(left, tree, centres)
    for place, lines in along.items():
        found[place] += [Chain([np.array(line.coords)], closed=line.is_ring) for line in lines]
    if along:
        swept = shapely.union_all([MultiLineString(lines).buffer(radius) for lines in along.values()])
        left = _standing(left, swept, radius)
    for inward in (radius / 2, 0.0):
        if left.is_empty:
            break
        core = left.buffer(-inward, quad_segs=8) if inward else left
        rib = area_of(core.intersection(centres.shape))
        left = _standing(left, _round_in(rib, found, tree, radius, step), radius)
    for place, chains in enumerate(found):
        if not chains:
            chains.append(_dab(pieces.geoms[place], centres))
    return found


def _dab(piece: Polygon, centres: Centres) -> Chain:
    """A small round for a piece so small that no other line is made for it, at the nearest place for the cutter."""
    foot = shapely.get_coordinates(shapely.shortest_line(centres.shape, piece.representative_point()))[0]
    # Where the cutter only just goes in, that is narrower than what counts as an area elsewhere.
    found = shapely.get_parts(centres.shape.intersection(Point(foot).buffer(centres.radius / 8)))
    widest = max((part for part in found if isinstance(part, Polygon)), key=lambda part: part.area)
    return Chain([np.array(widest.exterior.coords)])


def _round_in(shape: MultiPolygon, found: list[list[Chain]], tree: STRtree, radius: float, step: float) -> BaseGeometry:
    """Add the chains that go round in each part of a shape to the piece it lies in; what they sweep."""
    for part in shape.geoms:
        place = _piece_at(part, tree)
        found[place] += chains_in(MultiPolygon([part]), radius, step)
    return shape.buffer(radius)


def _piece_at(shape: BaseGeometry, tree: STRtree) -> int:
    inside = tree.query(shape.representative_point(), predicate="intersects")
    return int(inside.min()) if inside.size else int(tree.nearest(shape))


def _standing(shape: MultiPolygon, swept: BaseGeometry, radius: float) -> MultiPolygon:
    """What a sweep leaves of a shape, without what is thinner than `LEFT`."""
    half = radius * LEFT / 2
    cores = (part.buffer(-half, join_style="mitre") for part in area_of(shape.difference(swept)).geoms)
    return union_of(core.buffer(half, quad_segs=2) for core in cores if not core.is_empty)


def _along_limit(left: MultiPolygon, tree: STRtree, centres: Centres) -> dict[int, list[LineString]]:
    """By piece: the stretches of the limit of a cutter's middle from which it sweeps what is left."""
    by_piece: dict[int, list[Polygon]] = {}
    for part in left.geoms:
        by_piece.setdefault(_piece_at(part, tree), []).append(part)
    if not by_piece:
        return {}
    stretches = np.array(_stretches(centres.shape))
    limit = STRtree(stretches)
    found: dict[int, list[LineString]] = {}
    for place, parts in sorted(by_piece.items()):
        near = MultiPolygon(parts).buffer(centres.radius * (1 - LEFT / 2), quad_segs=16)
        here = stretches[np.sort(limit.query(near, predicate="intersects"))]
        if here.size:
            lines = shapely.line_merge(shapely.union_all(shapely.intersection(here, near)))
            found[place] = [
                line for line in getattr(lines, "geoms", [lines]) if isinstance(line, LineString) and line.length > 0
            ]
    return {place: lines for place, lines in found.items() if lines}


def _stretches(shape: MultiPolygon) -> Sequence[LineString]:
    found: list[LineString] = []
    for part in shape.geoms:
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            found += [LineString(points[low : low + _CORNERS + 1]) for low in range(0, len(points) - 1, _CORNERS)]
    return found

"""Where do nails go through a plate that is nailed through its dead metal?

A nail needs a disc of its head and the house's clearance on the plate and off everything that prints or stays. Nails
hold a plate flat where they are far apart: one goes as far into each corner of the plate as may be, and each further
one as far as may be from those that are there. Four at least where they find room, then more until the plate's middle
lies between them and no place on its edge is farther from a nail than `FARTHEST` (all common practice).
"""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPoint, Point
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of, grown
from planner.house import House
from planner.plates import OrderedPlate
from planner.routing.records import Nails
from planner.routing.zones import Metal, keep_off, without

LEAST: Final = 4
"""Nails that hold a plate flat."""

FARTHEST: Final = 3.0
"""Inches from any place on the plate's edge to a nail where there is room for one (common practice)."""

_APART: Final = 1.5
"""Times the width of a nail's disc: nearer nails hold no more than one."""

_ALONG_EDGE: Final = 1 / 16
"""Inches between the places that are looked at along an edge."""

_MARGIN: Final = 1e-5
"""Inches; so that middles rounded to a millionth stay where there is room."""


def nails_for(plate: OrderedPlate, metal: Metal, staying: BaseGeometry, house: House) -> Nails:
    """Find places for nails through a plate that is nailed; in dead metal if they do there, else in any bare metal."""
    width = house.nailing.head + 2 * house.nailing.clearance
    if plate.mounting != "nailed":
        return Nails((), width)
    room = _room(plate, metal, staying, width / 2, house)
    in_dead = area_of(room.intersection(metal.dead))
    spots = _spread(in_dead, plate, width)
    if len(spots) < LEAST or not holds(spots, plate):
        anywhere = _spread(room, plate, width)
        if len(anywhere) > len(spots) or (len(anywhere) == len(spots) and holds(anywhere, plate)):
            spots = anywhere
    return Nails(tuple((round(float(x), 6) + 0.0, round(float(y), 6) + 0.0) for x, y in spots), width)


def holds_flat(nails: Nails, plate: OrderedPlate) -> bool:
    """Whether the middle of a plate's metal lies between its nails."""
    return holds(np.array(nails.at).reshape(-1, 2), plate)


def holds(spots: NDArray[np.float64], plate: OrderedPlate) -> bool:
    """Whether the middle of a plate's metal lies between its nails."""
    return bool(MultiPoint(spots).convex_hull.covers(plate.face.centroid)) if len(spots) else False


def _room(plate: OrderedPlate, metal: Metal, staying: BaseGeometry, radius: float, house: House) -> MultiPolygon:
    """Where the middle of a nail may be."""
    off = keep_off(plate, metal.kept, radius, house.routing)
    inside = plate.face.buffer(-(radius + _MARGIN), join_style="mitre")
    room = without(without(inside, off.buffer(_MARGIN, quad_segs=1)), grown(staying, radius + _MARGIN))
    return area_of(room)


def _spread(room: MultiPolygon, plate: OrderedPlate, width: float) -> NDArray[np.float64]:
    """Choose places as far from one another as may be."""
    places = _places(room)
    edge = _corners(plate.face.boundary.segmentize(1 / 4))
    middle = np.array(plate.face.centroid.coords[0])
    chosen: list[int] = []
    nearest = np.full(len(places), np.inf)
    for best in _outermost(places, plate):
        if nearest[best] >= _APART * width:
            chosen.append(best)
            nearest = np.minimum(nearest, _gaps(places, places[best]))
    while len(places):
        if len(chosen) < LEAST:
            best = int(np.argmax(np.round(nearest, 6)))
        elif not holds(places[chosen], plate):
            best = _towards(places, places[chosen], middle)
        else:
            best = _for_edge(places, edge, places[chosen])
        if best < 0 or nearest[best] < _APART * width:
            break
        chosen.append(best)
        nearest = np.minimum(nearest, _gaps(places, places[best]))
    return places[chosen]


def _outermost(places: NDArray[np.float64], plate: OrderedPlate) -> list[int]:
    """The place farthest towards each corner of the rectangle round the plate; opposite corners follow each other."""
    if not len(places):
        return []
    left, bottom, right, top = plate.face.bounds
    across = places[:, 0] / (right - left)
    up = places[:, 1] / (top - bottom)
    return [int(np.argmax(np.round(x * across + y * up, 6))) for x, y in ((-1, -1), (1, 1), (1, -1), (-1, 1))]


def _towards(places: NDArray[np.float64], chosen: NDArray[np.float64], middle: NDArray[np.float64]) -> int:
    """The place farthest beyond the middle, seen from the nails that leave it outside; -1 if none is."""
    hull = MultiPoint(chosen).convex_hull
    foot = shapely.get_coordinates(shapely.shortest_line(hull, Point(middle)))[0]
    beyond = (places - middle) @ (middle - foot)
    best = int(np.argmax(np.round(beyond, 6)))
    return best if beyond[best] > 0 else -1


def _for_edge(places: NDArray[np.float64], edge: NDArray[np.float64], chosen: NDArray[np.float64]) -> int:
    """The place nearest to the place on the edge that is farthest from any nail; -1 if none is too far."""
    gaps = np.min([_gaps(edge, spot) for spot in chosen], axis=0)
    order = np.argsort(-np.round(gaps, 6), kind="stable")
    for place in order[gaps[order] > FARTHEST]:
        to_places = _gaps(places, edge[place])
        best = int(np.argmin(np.round(to_places, 6)))
        if to_places[best] < gaps[place] / 2:
            return best
    return -1


def _places(room: MultiPolygon) -> NDArray[np.float64]:
    """Places along the edges of a room, in which the farthest apart are."""
    if room.is_empty:
        return np.empty((0, 2))
    return _corners(room.simplify(_MARGIN / 2).boundary.segmentize(_ALONG_EDGE))


def _corners(shape: BaseGeometry) -> NDArray[np.float64]:
    return np.unique(np.round(shapely.get_coordinates(shape), 9), axis=0)


def _gaps(places: NDArray[np.float64], place: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.hypot(places[:, 0] - place[0], places[:, 1] - place[1]))

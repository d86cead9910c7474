"""Where is metal dead, what does each cutter reach of it, and what does none?

Dead metal is the plate less what prints, grown by the clearance, less metal that must stay. Whites narrower than the
house's width are left: paper does not sag into them (common practice). The open air round a plate counts as white, so
a narrow strip along an edge is dead too. A round cutter cannot reach into a corner sharper than its radius; beyond
the plate's edge it may run freely, except over a flange.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of, grown, opened
from planner.house import Routing
from planner.plates import OrderedPlate
from planner.routing.records import Zone

LEAST_WIDTH: Final = 1 / 128
"""Inches; what is left between two cutters' arcs and is thinner is no work for a cutter or a hand tool."""


def dead_metal(plate: OrderedPlate, staying: BaseGeometry, routing: Routing) -> MultiPolygon:
    """Give the metal of a plate that must be cut away.

    No point of it is nearer to the printing area than the clearance. Shapes are in the plate's frame.
    """
    printing = plate.printing
    white = opened(_surroundings(plate, routing.least_white).difference(printing), routing.least_white / 2)
    kept = grown(printing, routing.clearance)
    return area_of(white.intersection(plate.face).difference(kept).difference(staying))


def zones_of(plate: OrderedPlate, flange: BaseGeometry, staying: BaseGeometry, routing: Routing) -> list[Zone]:
    """Share the dead metal out among the cutters, the largest first, and what is left to hand tools.

    Zones do not overlap. Pieces between two cutters' arcs that are nowhere 1/128 in wide are in no zone.
    """
    left = dead_metal(plate, staying, routing)
    zones: list[Zone] = []
    for diameter in sorted(routing.cutters, reverse=True):
        if left.is_empty:
            break
        room = _room(plate, flange, staying, diameter, routing)
        reached = _without_slivers(opened(room, diameter / 2).intersection(left))
        if not reached.is_empty:
            zones.append(Zone(diameter, reached))
            left = area_of(left.difference(reached))
    by_hand = _without_slivers(left)
    if not by_hand.is_empty:
        zones.append(Zone(None, by_hand))
    return zones


def _without_slivers(shape: BaseGeometry) -> MultiPolygon:
    """Drop the pieces that are nowhere as wide as `LEAST_WIDTH`; the others stay as they are."""
    return MultiPolygon([part for part in area_of(shape).geoms if not part.buffer(-LEAST_WIDTH / 2).is_empty])


def _surroundings(plate: OrderedPlate, margin: float) -> BaseGeometry:
    """The plate and the air round it, as far as it matters."""
    return plate.face.envelope.buffer(2 * margin + 1, join_style="mitre")


def _room(
    plate: OrderedPlate, flange: BaseGeometry, staying: BaseGeometry, diameter: float, routing: Routing
) -> MultiPolygon:
    """Where a cutter may be: dead metal, and the air beyond the edge unless a flange stands there."""
    kept: Sequence[BaseGeometry] = (grown(plate.printing, routing.clearance), flange, staying)
    room: BaseGeometry = _surroundings(plate, diameter)
    for shape in kept:
        room = room.difference(shape)
    return area_of(room)

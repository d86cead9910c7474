"""Where is metal dead, and which of it falls to each cutter, to hand tools, to none?

Dead metal is the plate less what prints, grown by the clearance, less metal that must stay. Whites narrower than the
house's width are left: paper does not sag into them (common practice). The open air round a plate counts as white, so
a narrow strip along an edge is dead too. A round cutter cannot reach into a corner sharper than its radius; beyond
the plate's edge it may run freely, except over a flange.

All shapes lie on the safe side of one shape, the printing area grown by the clearance, so that no zone and no path
can be nearer to print than it allows.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
import shapely
from shapely import GEOSException, Polygon, make_valid
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of, grown, union_of
from planner.growing import simplified
from planner.house import House, Routing
from planner.plates import OrderedPlate
from planner.routing.holes import without_holes_off, without_narrow_holes
from planner.routing.reach import Centres, centres_of, room_round
from planner.routing.records import Zone

LEAST_WIDTH: Final = 1 / 128
"""Inches; what is left between two cutters' arcs and is thinner is no work for a cutter or a hand tool.

Such pieces are in no zone: the metal account has them among the metal that stands."""

THREAD: Final = 1 / 512
"""Inches; walls keep rims for the next cutter that are thinner than this, by rounding: GEOS fills hollows of an edge
that are shallower than a hundredth of the distance by which it is moved. Pieces that hang together by such threads
only are taken apart; the threads are in no zone."""

_COARSE: Final = 1 / 4000
"""Inches; how far an edge may move before it is grown a long way, which is slow for edges with many corners."""

_GRID: Final = 1e-9
"""Inches; shapes in a plan lie on whole ones, see `planner.geometry.plain`."""

_CLOSEST: Final = 4
"""Tolerances of art to the least distance at which it is measured: 1/125 in as houses come."""

_FINE_ARCS: Final = 32
"""Chords in a quarter turn of a white's round end."""


@dataclass(frozen=True, slots=True)
class Share:
    """What falls to one cutter, and where its middle may be; None for hand tools."""

    zone: Zone
    centres: Centres | None


@dataclass(frozen=True, slots=True)
class Metal:
    """The bare metal of a plate's face, farther from print than the clearance and not staying, in two classes."""

    dead: MultiPolygon
    whites: MultiPolygon
    """Needs no routing, because the white it lies in is narrow; crumbs nowhere 1/128 in wide are left out."""
    kept: MultiPolygon
    """What prints with the clearance round it, and a little more."""
    solid: MultiPolygon
    """The same, its holes filled where no dead metal is: none of a cutter's work is there."""

    def without(self, shape: BaseGeometry) -> Metal:
        """Give what is left when a shape must stay."""
        dead, whites = area_of(without(self.dead, shape)), without_slivers(without(self.whites, shape))
        return replace(self, dead=dead, whites=whites)


def distances_for(house: House) -> tuple[float, ...]:
    """Give every distance in inches at which this room asks for the printing area grown, in rising order.

    Each is at least the smaller one of the clearance and half the least white, and not so small that art would have to
    be read with far more dots than its tolerance asks for.
    """
    routing = house.routing
    white = routing.least_white / 2
    closing = max(min(routing.clearance, white), _CLOSEST * house.art.tolerance)
    return tuple(sorted({max(distance, closing) for distance in (routing.clearance, white)}))


def keep_off(plate: OrderedPlate, kept: MultiPolygon, distance: float, routing: Routing) -> MultiPolygon:
    """Give what is within a distance in inches of print, never less.

    Art has it ready. For drawn shapes ``kept``, the printing area grown by the clearance, is grown on where it can be.
    """
    drawn = all(film.art is None for film in plate.films)
    if drawn and distance >= routing.clearance:
        return _grown_far(kept, distance - routing.clearance)
    return plate.printing_grown(max(distance, min(routing.clearance, routing.least_white / 2)))


def metal_of(plate: OrderedPlate, routing: Routing) -> Metal:
    """Share out the bare metal of a plate's face into dead metal and whites that need no routing."""
    kept = plate.printing_grown(routing.clearance)
    bare = area_of(without(plate.face, kept))
    half = routing.least_white / 2
    if half <= 0:
        return Metal(bare, MultiPolygon(), kept, without_holes_off(kept, bare))
    # A disc of the least white has its middle here; what such discs sweep is wide enough to matter.
    middles = without(_surroundings(plate, half), keep_off(plate, kept, half, routing))
    wide = simplified(middles, _COARSE).buffer(half * 1.003 + 2 * _COARSE, quad_segs=_FINE_ARCS)
    dead = area_of(shapely.intersection(bare, wide))
    return Metal(dead, without_slivers(without(bare, wide)), kept, without_holes_off(kept, dead))


def dead_metal(plate: OrderedPlate, staying: BaseGeometry, routing: Routing) -> MultiPolygon:
    """Give the metal of a plate that must be cut away.

    No point of it is nearer to the printing area than the clearance. Shapes are in the plate's frame.
    """
    return metal_of(plate, routing).without(staying).dead


def shares_of(metal: Metal, flange: BaseGeometry, staying: BaseGeometry, routing: Routing) -> list[Share]:
    """Share the dead metal out among the cutters, the largest first, and what is left to hand tools.

    Zones do not overlap. Pieces between two cutters' arcs that are nowhere 1/128 in wide are in no zone.
    """
    left = metal.dead
    shares: list[Share] = []
    room: BaseGeometry = left.envelope.buffer(3 * max(routing.cutters, default=0.0), join_style="mitre")
    for standing in (metal.solid, flange, staying):
        room = without(room, standing)
    for diameter in sorted(routing.cutters, reverse=True):
        if left.is_empty:
            break
        room = room_round(left, diameter, room)
        centres = centres_of(room, diameter / 2)
        claimed = centres.swept
        reached = _settled(shapely.intersection(left, claimed))
        if not reached.is_empty:
            shares.append(Share(Zone(diameter, reached), centres))
            left = _without_threads(without_slivers(without(left, claimed)))
    by_hand = _settled(left)
    if not by_hand.is_empty:
        shares.append(Share(Zone(None, by_hand), None))
    return shares


def zones_of(plate: OrderedPlate, flange: BaseGeometry, staying: BaseGeometry, routing: Routing) -> list[Zone]:
    """Give the zones of a plate by cutter; see `shares_of`."""
    return [share.zone for share in shares_of(metal_of(plate, routing).without(staying), flange, staying, routing)]


def _grown_far(shape: MultiPolygon, distance: float) -> MultiPolygon:
    """Grow a shape by much, never by less: a quarter of the way first, which fills most of its small hollows."""
    if distance <= 0:
        return shape
    shape = without_narrow_holes(shape, 2 * distance)
    for part in (distance / 4, distance * 3 / 4):
        shape = grown(simplified(shape, _COARSE), part + _COARSE)
    return shape


def without(shape: BaseGeometry, other: BaseGeometry) -> BaseGeometry:
    """Take one shape from another."""
    if other.is_empty or shape.is_empty:
        return shape
    try:
        return shape.difference(other)
    except GEOSException:  # an input whose rings touch by rounding
        return make_valid(shape).difference(make_valid(other))


def without_slivers(shape: BaseGeometry) -> MultiPolygon:
    """Drop the pieces that are nowhere as wide as `LEAST_WIDTH`; the others stay as they are."""
    return MultiPolygon([part for part in area_of(shape).geoms if _is_wide(part)])


def _settled(shape: BaseGeometry) -> MultiPolygon:
    """The pieces without slivers; those that would fall apart at a neck when they are written are apart already."""
    parts = np.array(area_of(shape).geoms, dtype=object)
    written = shapely.set_precision(parts, _GRID)
    settled = np.where(shapely.get_num_geometries(written) > 1, written, parts)
    return without_slivers(MultiPolygon(list(shapely.get_parts(settled))))


def _is_wide(part: Polygon) -> bool:
    """Whether a disc of `LEAST_WIDTH` fits: surely where the area is more than half of that along the whole edge."""
    half = LEAST_WIDTH / 2
    return part.area > half * part.length or not part.buffer(-half, quad_segs=4).is_empty


def _without_threads(shape: MultiPolygon) -> MultiPolygon:
    """Cut threads thinner than `THREAD` where pieces hang together by them, so that each counts as a piece."""
    parts = np.array(shape.geoms)
    cores = shapely.buffer(parts, -THREAD / 2, join_style="mitre")
    kept: list[BaseGeometry] = []
    for part, core in zip(parts, cores, strict=True):
        if isinstance(core, Polygon):
            kept.append(part)
        else:
            wide = without_slivers(core).buffer(THREAD * 0.6, quad_segs=4)
            kept.append(part.intersection(wide))
    return union_of(kept)


def _surroundings(plate: OrderedPlate, margin: float) -> BaseGeometry:
    """The plate and the air round it, as far as it matters."""
    return plate.face.envelope.buffer(2 * margin + 1, join_style="mitre")

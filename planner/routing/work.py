"""What is the router's whole work on one plate, in which order, and what does it take?

Cutters are worked from the largest to the smallest; a change of cutter is no travel, so the first piece of each has
none. Metal for hand tools comes last, with its weight and nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from shapely import Polygon
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import union_of
from planner.house import House, Routing
from planner.metals import weight_of
from planner.orders import MetalName
from planner.plates import OrderedPlate
from planner.routing.depth import depth_of
from planner.routing.near import stretches_near
from planner.routing.order import Stop, nearest_next, short_way, way_of
from planner.routing.paths import ways_for
from planner.routing.records import NO_NAILS, Line, Nails, Piece, RouterWork
from planner.routing.runs import Limit, Run, runs_of
from planner.routing.zones import Metal, Share, metal_of, shares_of

_DIGITS = 6
"""Paths are given to a millionth of an inch."""


@dataclass(frozen=True, slots=True)
class _Taken:
    """A piece of one cutter's zone with its runs in working order."""

    shape: Polygon
    runs: list[Run]


def router_work(
    plate: OrderedPlate,
    flange: BaseGeometry,
    staying: BaseGeometry,
    house: House,
    nails: Nails = NO_NAILS,
    metal: Metal | None = None,
) -> RouterWork:
    """Work out zones, pieces, paths and where to take care on one plate; all in the plate's frame, in inches.

    ``flange`` is metal outside the face that stands, ``staying`` metal on it that must stay, the discs of ``nails``
    beside it. ``metal`` is the plate's bare metal, if somebody has it already.
    """
    routing = house.routing
    if nails.at:
        staying = union_of([staying, nails.discs])
    metal = (metal or metal_of(plate, routing)).without(staying)
    shares = shares_of(metal, flange, staying, routing)
    pieces: list[Piece] = []
    travel_nearest = 0.0
    for share in shares:
        taken, nearest = _in_order(share, routing)
        pieces += _pieces(taken, share, len(pieces), plate, house)
        travel_nearest += nearest
    return RouterWork(
        zones=tuple(share.zone for share in shares),
        pieces=tuple(pieces),
        whites=metal.whites,
        nails=nails,
        near=stretches_near(plate, pieces, routing),
        travel_nearest=travel_nearest,
    )


def _in_order(share: Share, routing: Routing) -> tuple[list[_Taken], float]:
    """The pieces of a share in working order, and the travel if the cutter always went to the nearest path next.

    Both finish a piece before they begin another. Pieces for hand tools come from left to right.
    """
    shapes = share.zone.shape.geoms
    if share.centres is None:
        return [_Taken(shape, []) for shape in sorted(shapes, key=lambda shape: shape.bounds)], 0.0
    limit = Limit(share.centres, routing)
    ways = ways_for(share.zone.shape, share.centres, routing)
    runs = [(place, run) for place, chains in enumerate(ways) for run in runs_of(chains, limit)]
    stops = [replace(run.stop, piece=place) for place, run in runs]
    by_piece: dict[int, list[Run]] = {}
    for number, turned in short_way(stops):
        place, run = runs[number]
        by_piece.setdefault(place, []).append(run.turned() if turned else run)
    taken = [_Taken(shapes[place], found) for place, found in by_piece.items()]
    return taken, way_of(stops, nearest_next(stops))


def _pieces(taken: Sequence[_Taken], share: Share, before: int, plate: OrderedPlate, house: House) -> list[Piece]:
    """The records of a share's pieces, numbered on from those before."""
    routing = house.routing
    pieces: list[Piece] = []
    last: Stop | None = None
    for number, piece in enumerate(taken, before + 1):
        stops = [run.stop for run in piece.runs]
        way = [*([last] if last else []), *stops]
        travel = way_of(way, [(place, False) for place in range(len(way))])
        length = sum(run.length for run in piece.runs)
        lifts = len(piece.runs)
        depth, depth_for = depth_of(piece.shape, plate, routing.depth)
        minutes = length / routing.feed + travel / routing.travel + lifts * routing.lift_seconds / 60
        pieces.append(
            Piece(
                number=number, cutter=share.zone.cutter, depth=depth, depth_for=depth_for,
                shape=MultiPolygon([piece.shape]), paths=tuple(_line(run) for run in piece.runs), length=length,
                travel=travel, lifts=lifts, minutes=None if share.centres is None else minutes,
                chips=weight_of(cast(MetalName, plate.metal), piece.shape.area, depth),
            )
        )  # fmt: skip
        last = stops[-1] if stops else None
    return pieces


def _line(run: Run) -> Line:
    """A run to a millionth of an inch, without corners that fall on one another."""
    points = np.round(run.points, _DIGITS) + 0.0
    kept = np.ones(len(points), dtype=bool)
    kept[1:] = (np.diff(points, axis=0) != 0).any(axis=1)
    return tuple((float(x), float(y)) for x, y in points[kept])

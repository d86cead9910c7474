"""The router's work as the plan carries it: once for all plates that are alike."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from planner.geometry import plain
from planner.plan import RouterRecord, RouterZone, StretchRecord
from planner.routing import RouterWork


def router_records(works: Mapping[str, RouterWork], plates: Sequence[str]) -> tuple[RouterRecord, ...]:
    """Give the records of these plates' work, in the order of the plates; plates that share work share a record."""
    alike: dict[int, list[str]] = {}
    for plate in plates:
        alike.setdefault(id(works[plate]), []).append(plate)
    return tuple(_record(works[same[0]], same) for same in alike.values() if _is_any(works[same[0]]))


def _is_any(work: RouterWork) -> bool:
    return bool(work.pieces or work.nails.at)


def _record(work: RouterWork, plates: Sequence[str]) -> RouterRecord:
    zones = tuple(
        RouterZone(
            number=piece.number, cutter=piece.cutter, depth=piece.depth, depth_for=piece.depth_for,
            area=piece.shape.area, shape=plain(piece.shape), paths=piece.paths, length=piece.length,
            travel=piece.travel, lifts=piece.lifts, minutes=piece.minutes, chips=piece.chips,
        )
        for piece in work.pieces
    )  # fmt: skip
    return RouterRecord(
        plates=tuple(plates),
        zones=zones,
        whites=plain(work.whites),
        whites_area=work.whites.area,
        nails=work.nails.at,
        nail_width=work.nails.width,
        near=tuple(
            StretchRecord(
                zone=stretch.piece, line=stretch.line, length=_length(stretch.line), distance=stretch.distance,
                width=stretch.width,
            )
            for stretch in work.near
        ),
        length=sum(zone.length for zone in zones),
        travel=sum(zone.travel for zone in zones),
        travel_nearest=work.travel_nearest,
        lifts=sum(zone.lifts for zone in zones),
        minutes=sum(zone.minutes or 0.0 for zone in zones),
        chips=sum(zone.chips for zone in zones),
    )  # fmt: skip


def _length(line: Sequence[tuple[float, float]]) -> float:
    return sum(math.dist(point, following) for point, following in pairwise(line))

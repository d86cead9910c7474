"""Which plates are the same piece of router's work, so that one of them stands for all?"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from shapely import Point, get_coordinates, unary_union
from shapely.geometry.base import BaseGeometry

from planner.plan import Plan, RouterRecord
from planner.proof.frames import Matrix, back, carried, frame_of
from planner.proof.shapes import LIMIT, NOTHING, LaidFlat, LaidPlate

_GRID = 1e6
"""To the inch; coordinates that agree to a whole one of these are the same."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A plate that stands for all that are like it; shapes are in its flat's frame."""

    laid: LaidPlate
    record: RouterRecord | None
    matrix: Matrix | None
    nails: BaseGeometry
    error: float
    has_art: bool

    @property
    def where(self) -> str:
        """Its name in a sentence."""
        return self.laid.where


def subjects_of(plan: Plan, flats: Iterable[LaidFlat]) -> tuple[Subject, ...]:
    """Give every plate on a flat that differs from those before it in its shapes, its zones or its router's work."""
    records: dict[str, RouterRecord] = {}
    places: dict[str, int] = {}
    for place, record in enumerate(plan.router):
        for plate in record.plates:
            if plate not in records:
                records[plate], places[plate] = record, place
    errors = {art.id: art.error for art in plan.art}
    found: dict[bytes, Subject] = {}
    for flat in flats:
        for laid in flat.plates:
            if laid.outline.is_empty:
                continue
            matrix = frame_of(laid)
            name = _name(laid, matrix, places.get(laid.placement.plate, -1))
            if name not in found:
                work = records.get(laid.placement.plate)
                art = [film.record.art for film in laid.films if film.record.art is not None]
                error = max((errors.get(one, 0.0) for one in art), default=0.0)
                found[name] = Subject(
                    laid, work, matrix, nails_of(work, matrix), min(max(error, 0.0), LIMIT), bool(art)
                )
    return tuple(found.values())


def nails_of(record: RouterRecord | None, matrix: Matrix | None) -> BaseGeometry:
    """Give what stays round the nails of a plate, in its flat's frame."""
    if record is None or matrix is None or not record.nails or not 0 < record.nail_width <= LIMIT:
        return NOTHING
    middles = carried(record.nails, matrix)
    if not np.abs(middles).max() <= LIMIT:
        return NOTHING
    return unary_union([Point(x, y).buffer(record.nail_width / 2) for x, y in middles])


def _name(laid: LaidPlate, matrix: Matrix | None, work: int) -> bytes:
    """Give what tells a plate's shapes from others, wherever it lies and however it was turned.

    Plates that share their router's work need not be told apart by what prints and by their zones: that these agree
    with the plate's record and with that work is checked for each of them.
    """
    digest = hashlib.sha256(str(work).encode())
    shapes: list[tuple[object, BaseGeometry]] = [
        ("outline", laid.outline), ("flange", laid.flange), ("staying", laid.staying),
    ]  # fmt: skip
    if work < 0:
        shapes += [("printing", laid.printing), *((zone.record.cutter, zone.shape) for zone in laid.zones)]
    for what, shape in shapes:
        points = get_coordinates(shape)
        if matrix is None:
            digest.update(laid.where.encode())
        else:
            points = carried(points, back(matrix))
        digest.update(f"{what} {len(points)} ".encode())
        # Not a plain rounding: lengths of the trade lie on its very ties, and go either way.
        digest.update(np.floor(points * _GRID + 0.31).tobytes())
    return digest.digest()

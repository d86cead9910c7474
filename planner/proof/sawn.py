"""Follows the saw on a free flat: is the kerf where the plates' lines are, and what becomes of all other metal?"""

from __future__ import annotations

from typing import Final

from shapely import STRtree, unary_union
from shapely.geometry.base import BaseGeometry

from planner.proof.report import Tally
from planner.proof.shapes import (
    AREA_TOLERANCE,
    LIMIT,
    TOLERANCE,
    LaidFlat,
    LaidRest,
    bounds_of,
    holds,
    pieces_of,
    rect_of,
)

_SLACK: Final = 0.01
"""Share of the kerf; round a corner its edge is made of chords, which lie a little inside or outside the arc."""

_CHORDS: Final = 48
"""To a quarter turn: far less off the arc than the slack."""


def check_sawn(laid: LaidFlat, least_offcut: tuple[float, float], tally: Tally) -> None:
    """The kerf runs round every plate's metal and nowhere else; the rest is what is left, none of it twice."""
    flat = laid.flat
    tally.look(len(laid.plates) + len(laid.rest))
    if flat.how_cut != "saw":
        tally.wrong(f"{laid.where}: plates cannot be taken out along their own lines by {flat.how_cut}.")
    if flat.cut_tree or flat.cuts:
        tally.wrong(f"{laid.where}: its plates are sawn out one by one, yet it has cuts from edge to edge.")
    if not flat.kerf >= 0:
        tally.wrong(f"{laid.where}: the kerf is {flat.kerf:.6g} in wide.")
    for plate in laid.plates:
        if plate.metal.is_empty:
            continue
        off = max(abs(side - wanted) for side, wanted in zip(plate.part, bounds_of(plate.metal), strict=True))
        if not off <= TOLERANCE:
            tally.wrong(f"{plate.where}: the box of its metal is {off:.6g} in off the metal.")
    metal = unary_union([plate.metal for plate in laid.plates])
    _check_kerf(laid, metal, tally)
    _check_rest(laid, metal, least_offcut, tally)


def _check_kerf(laid: LaidFlat, metal: BaseGeometry, tally: Tally) -> None:
    width = min(max(laid.flat.kerf, 0.0), LIMIT)
    shapes = [plate.metal for plate in laid.plates]
    most, least = (
        unary_union([shape.buffer(width * share, quad_segs=_CHORDS) for shape in shapes])
        for share in (1 + _SLACK, 1 - _SLACK)
    )
    _check_area(laid.kerf.intersection(metal), f"{laid.where}: the kerf takes", "of the plates' metal", tally)
    _check_area(laid.kerf.difference(most), f"{laid.where}: the kerf takes", "farther off than it is wide", tally)
    off = least.difference(metal).intersection(laid.sheet.polygon()).difference(laid.kerf)
    _check_area(off, f"{laid.where}: the kerf lacks", "round the plates' metal", tally)
    _check_area(laid.kerf.difference(laid.sheet.polygon()), f"{laid.where}: the kerf has", "off the sheet", tally)


def _check_rest(laid: LaidFlat, metal: BaseGeometry, least_offcut: tuple[float, float], tally: Tally) -> None:
    usable, sheet = rect_of(laid.flat.usable).polygon(), laid.sheet.polygon()
    there = [rest for rest in laid.rest if not rest.shape.is_empty]
    for rest in there:
        _check_area(rest.shape.intersection(metal), f"{rest.where}: it takes", "of the plates' metal", tally)
        _check_area(rest.shape.intersection(laid.kerf), f"{rest.where}: it takes", "of the kerf", tally)
        _check_area(rest.shape.difference(sheet), f"{rest.where}: it has", "off the sheet", tally)
        if rest.record.use == "grip":
            _check_area(rest.shape.intersection(usable), f"{rest.where}: it takes", "of the usable area", tally)
        if rest.record.use == "offcut":
            _check_offcut(rest, least_offcut, tally)
    if not there:
        return
    shapes = [rest.shape for rest in there]
    pairs = STRtree(shapes).query(shapes, predicate="intersects")
    for first, second in zip(*(side.tolist() for side in pairs), strict=True):
        if first < second:
            shared = shapes[first].intersection(shapes[second])
            _check_area(shared, f"{there[first].where}: it has", f"in common with {there[second].where}", tally)


def _check_offcut(rest: LaidRest, least: tuple[float, float], tally: Tally) -> None:
    box = bounds_of(rest.shape)
    if pieces_of(rest.shape) != 1 or not box.area - rest.shape.area <= AREA_TOLERANCE:
        tally.wrong(f"{rest.where}: it is no upright rectangle, and cannot go back on the rack.")
    if not holds(box.width, box.height, least, TOLERANCE):
        tally.wrong(
            f"{rest.where}: {box.width:.6g} x {box.height:.6g} in is smaller than {least[0]:.6g} x {least[1]:.6g} in."
        )


def _check_area(shape: BaseGeometry, what: str, where: str, tally: Tally) -> None:
    """Areas are compared, since edges that were rounded apart touch or miss each other by luck."""
    if not shape.area <= AREA_TOLERANCE:
        tally.wrong(f"{what} {shape.area:.6g} sq in {where}.")

"""Double printing: surprints wait for a second exposure from a second flat in register, reverses go on in the first.

A surprint is exposed through a flat of its own, laid on the same metal by register crosses that stand at the same
places on both flats; meanwhile everything but the overlays' fields is masked. A reverse is a positive laid over its
halftone negative, and is exposed with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations
from math import dist
from typing import Annotated, Final

import shapely
from pydantic import Field
from shapely import MultiPoint, Point, Polygon, box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    Charge,
    FilmRecord,
    Finding,
    LaidFlat,
    LaidPlate,
    Length,
    Mark,
    Money,
    OrderedPlate,
    Pass,
    PositiveLength,
    RouterWork,
    Rule,
    Settings,
    Step,
    amount_text,
    hookimpl,
    length_text,
    shape_of,
)

SHEET: Final = "second exposure"
"""What the page of the second flat is called."""

_TINY: Final = 1e-6
"""Inches and square inches; less is rounding."""

_LAYER: Final = "Register crosses"


class DoubleSettings(Settings):
    """How the house brings the second flat into register, and what it takes for it."""

    # Common practice: what can be scratched and seen through a glass, clear of the plates.
    cross: Annotated[PositiveLength, Field(default=1 / 4, description="length of a register cross, arm to arm")]
    distance: Annotated[Length, Field(default=1 / 8, description="from a register cross to the metal of any plate")]
    crosses: Annotated[
        int,
        Field(default=3, ge=2, le=4, strict=True, description="register crosses where there is room; never below 2"),
    ]
    # Common practice: enough for the mask to be laid by eye.
    safe_edge: Annotated[
        Length,
        Field(default=1 / 8, description="how far the opening should run past the illustration, where film does"),
    ]
    charge: Annotated[Money, Field(default=Decimal(0), description="for the second exposure of a plate")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    about = "surprints on a second flat in register, the rest masked; reverses in the first exposure"
    return Rule("double-print", "1.0", about, DoubleSettings)


@hookimpl
def flatwright_charges(plate: OrderedPlate, work: RouterWork, settings: DoubleSettings) -> Sequence[Charge]:
    """Charge the second exposure to every plate that carries a surprint."""
    if not settings.charge or not any(film.use == "surprint" for film in plate.films):
        return []
    return [
        Charge(
            "second exposure", 1, "each", settings.charge, "its surprint is exposed from a flat of its own", "charge"
        )
    ]


@hookimpl
def flatwright_passes(flat: LaidFlat, settings: DoubleSettings) -> Sequence[Pass]:
    """Give the second exposure of a flat that has surprints: their fields open, all else masked."""
    overlays = list(_overlays(flat, "surprint"))
    if not overlays:
        return []
    opens = _areal(shapely.union_all([overlay.opening for overlay in overlays]).intersection(flat.area))
    return [
        Pass(
            SHEET,
            "second exposure",
            "glass",
            opens,
            flat.area.difference(opens),
            "surprints print solid over their halftones, which takes an exposure of their own",
            plates=tuple(dict.fromkeys(overlay.plate for overlay in overlays)),
            films=tuple((overlay.plate, overlay.film.number) for overlay in overlays),
            notes="lay the flat by its register crosses, and mask everything but the fields of the surprints",
        )
    ]


@hookimpl
def flatwright_marks(flat: LaidFlat, settings: DoubleSettings) -> Sequence[Mark]:
    """Draw the register crosses at the same places on both flats and on the metal."""
    crosses = _crosses(flat, settings)
    if len(crosses) < 2:
        return []
    words = f"register crosses, {length_text(settings.cross)} long, at the same places on both flats"
    return [Mark("cross", MultiPoint(crosses), _LAYER, words, ("stripper", "metal", SHEET))]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: DoubleSettings) -> Sequence[Step]:
    """Tell the stripper which overlay goes on which flat, and the etcher what to mask when."""
    steps = [
        Step(
            "stripper",
            f"Lay {overlay.words} over {overlay.under} on plate {overlay.laid.number}, on the first flat: it is "
            "exposed with it.",
            (overlay.plate,),
        )
        for overlay in _overlays(flat, "reverse")
    ]
    surprints = list(_overlays(flat, "surprint"))
    if not surprints:
        return steps
    crosses = _crosses(flat, settings)
    how = f"the {len(crosses)} register crosses" if len(crosses) >= 2 else "the plates' own corners"
    steps += [
        Step(
            "stripper",
            f"Keep {overlay.words} of plate {overlay.laid.number} off the first flat; strip it on the second, true to "
            f"{overlay.under} by {how}.",
            (overlay.plate,),
        )
        for overlay in surprints
    ]
    plates = tuple(dict.fromkeys(overlay.plate for overlay in surprints))
    numbers = list(dict.fromkeys(overlay.laid.number for overlay in surprints))
    many = f"plate {numbers[0]}" if len(numbers) == 1 else f"plates {', '.join(map(str, numbers[:20]))}"
    more = " and more" if len(numbers) > 20 else ""
    words = (
        f"Expose a second time from the second flat, laid by {how}, before developing: mask everything but the fields "
        f"of the surprints on {many}{more}."
    )
    return [*steps, Step("etcher", words, plates)]


@hookimpl
def flatwright_inspect_flat(flat: LaidFlat, settings: DoubleSettings) -> Sequence[Finding]:
    """Look for room for the crosses, and for openings that end before the safe edge of their film."""
    surprints = list(_overlays(flat, "surprint"))
    found = [finding for overlay in surprints for finding in _cut_short(overlay, flat, settings)]
    if surprints and len(_crosses(flat, settings)) < 2:
        found.append(_no_room(flat, settings))
    return found


@dataclass(frozen=True, slots=True)
class _Overlay:
    """An overlay in its place on the flat."""

    laid: LaidPlate
    film: FilmRecord
    """The plan's record of the film."""

    @property
    def plate(self) -> str:
        return self.laid.record.id

    @property
    def words(self) -> str:
        return f'the {self.film.use} "{self.film.name}"'

    @property
    def illustration(self) -> FilmRecord:
        return next(film for film in self.laid.placement.films if film.number == self.film.on)

    @property
    def under(self) -> str:
        return f'the {self.illustration.kind} negative "{self.illustration.name}"'

    @property
    def opening(self) -> BaseGeometry:
        """Its film, as far as that lies on the plate's own metal."""
        return shape_of(self.film.film).intersection(_metal(self.laid))


def _overlays(flat: LaidFlat, use: str) -> Iterator[_Overlay]:
    for laid in flat.plates:
        for film in laid.placement.films:
            if film.use == use:
                yield _Overlay(laid, film)


def _metal(laid: LaidPlate) -> BaseGeometry:
    """The metal that the plate needs; on a free flat, what is sawn out for it."""
    x, y, width, height = laid.placement.blank
    blank = box(x, y, x + width, y + height)
    sawn = shape_of(laid.placement.metal)
    return blank if sawn.is_empty else sawn


def _cut_short(overlay: _Overlay, flat: LaidFlat, settings: DoubleSettings) -> Iterator[Finding]:
    """Where film runs past its illustration as it should, and the opening does not because the plate's metal ends."""
    image = shape_of(overlay.illustration.image)
    wanted = image.buffer(settings.safe_edge, join_style="mitre").intersection(shape_of(overlay.film.film))
    cut = _areal(wanted.difference(overlay.opening))
    if cut.area <= _TINY:
        return
    by_side = {} if overlay.opening.is_empty else _beyond(wanted.bounds, overlay.opening.bounds)
    where = ", ".join(f"{amount_text(amount)} on the {side}" for side, amount in by_side.items()) or "at a corner"
    beside = [
        f"plate {laid.number}"
        for laid in flat.plates
        if laid is not overlay.laid and cut.intersection(_metal(laid)).area > _TINY
    ]
    why = f"{' and '.join(beside)} lies there" if beside else "the plate's own metal ends there"
    yield Finding(
        "double.opening-cut",
        "warn" if image.difference(overlay.opening).area > _TINY else "note",
        f"the second exposure's opening for {overlay.words} is cut {where} as it lies on the flat, before the film's "
        f"safe edge of {amount_text(settings.safe_edge)} round {overlay.under} ends: {why}",
        f"give the plate {length_text(_up_to_sixteenth(max(by_side.values(), default=1 / 16)))} more trim there, or "
        "mask by hand along the edge of the illustration",
        amount=max(by_side.values(), default=None),
        unit="in" if by_side else "",
        shape=cut.intersection(flat.area),
        plate=overlay.plate,
    )


def _beyond(wanted: tuple[float, ...], given: tuple[float, ...]) -> dict[str, float]:
    amounts = {"left": given[0] - wanted[0], "bottom": given[1] - wanted[1],
               "right": wanted[2] - given[2], "top": wanted[3] - given[3]}  # fmt: skip
    return {side: amount for side, amount in amounts.items() if amount > _TINY}


def _up_to_sixteenth(amount: float) -> float:
    return -int(-(amount - _TINY) * 16 // 1) / 16


def _no_room(flat: LaidFlat, settings: DoubleSettings) -> Finding:
    need = settings.cross + 2 * settings.distance
    return Finding(
        "double.no-register",
        "warn",
        f"there is no room on the sheet for two register crosses of {amount_text(settings.cross)}, "
        f"{amount_text(settings.distance)} off every plate",
        f"leave two places of {amount_text(need)} square free on the flat, far apart: take a larger sheet, or move a "
        "plate to another; else register the second flat by the plates' corners",
        amount=need,
        unit="in",
    )


# ---------------------------------------------------------------- where the crosses stand


def _crosses(flat: LaidFlat, settings: DoubleSettings) -> list[tuple[float, float]]:
    """Places of the crosses; none where no surprint is, fewer than two where there is no room."""
    if not any(True for _ in _overlays(flat, "surprint")):
        return []
    arm = settings.cross / 2
    taken = [_metal(laid).union(shape_of(laid.placement.outline)) for laid in flat.plates]
    spots = [box(x, y, x + width, y + height) for x, y, width, height in flat.record.spots]
    kept_off = shapely.union_all(
        [*(shape.buffer(arm + settings.distance, join_style="mitre") for shape in taken),
         *(spot.buffer(arm, join_style="mitre") for spot in spots)]
    )  # fmt: skip
    anywhere = _shrunk(flat.area, arm).difference(kept_off)
    before = _standing(flat)
    if len(before) >= 2 and all(anywhere.buffer(_TINY).covers(Point(place)) for place in before):
        return before
    for room in (_shrunk(flat.usable, arm), _shrunk(flat.area, arm)):
        found = farthest_apart(room.difference(kept_off), settings.crosses, 2 * settings.cross)
        if len(found) >= 2:
            return found
    return []


def _standing(flat: LaidFlat) -> list[tuple[float, float]]:
    """Crosses that the flat already has: a late plate does not move them."""
    return [line[0] for mark in flat.record.marks
            if mark.rule == "double-print" and mark.kind == "cross" for line in mark.lines]  # fmt: skip


def _shrunk(room: Polygon, arm: float) -> BaseGeometry:
    return room.buffer(-arm, join_style="mitre")


def farthest_apart(room: BaseGeometry, count: int, least: float) -> list[tuple[float, float]]:
    """Give up to ``count`` points of a room: two as far apart as any are, each further one far from all before it.

    Two points of an area that are farthest apart are corners of it, and of its convex hull. No two are nearer to each
    other than ``least``, inches.
    """
    if room.is_empty:
        return []
    hull = sorted({(float(x), float(y)) for x, y in shapely.get_coordinates(room.convex_hull)})
    pairs = [(dist(one, other), one, other) for one, other in combinations(hull, 2)]
    span, first, second = max(pairs, default=(0.0, hull[0], hull[0]), key=lambda pair: pair[0])
    if span < least:
        return [first]
    chosen = [first, second]
    corners = sorted({(float(x), float(y)) for x, y in shapely.get_coordinates(room)})
    while len(chosen) < count:
        # The nearest of those that stand decides; of as far ones the first in order.
        third = max(corners, key=lambda corner: min(dist(corner, one) for one in chosen))
        if min(dist(third, one) for one in chosen) < least:
            break
        chosen.append(third)
    return chosen


def _areal(shape: BaseGeometry) -> MultiPolygon:
    """Only the areas of a shape."""
    parts = [part for part in shapely.get_parts(shape).tolist() if isinstance(part, (Polygon, MultiPolygon))]
    polygons = [polygon for part in parts for polygon in shapely.get_parts(part).tolist()]
    return MultiPolygon([polygon for polygon in polygons if polygon.area > 1e-9])

"""From blanks to flats: nest them on the metal on hand, and put every plate's shapes in its place on the sheet."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal, cast

from shapely import Point
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner import nesting
from planner.blanks import GRID, Blank
from planner.cutting import cut_parts, house_spacing, part_of_plate
from planner.films import Film
from planner.geometry import PlainShape, moved, plain, rectangle, shape_of, spun, turned_quarter
from planner.glass import spots_on, usable_box
from planner.house import House
from planner.lengths import size_text
from planner.orders import MetalName
from planner.plan import (
    Box,
    ChargeRecord,
    FilmRecord,
    Flat,
    HeldPlate,
    Placement,
    StayingRecord,
    TintRecord,
    Transform,
    ZoneRecord,
)
from planner.plates import OrderedPlate
from planner.routing import RouterWork
from planner.stock import Stock, material_of


@dataclass(frozen=True, slots=True)
class Work:
    """All that a plate brings to its flat, in its own frame."""

    blank: Blank
    staying: MultiPolygon
    router: RouterWork
    art: Mapping[int, str]
    """By film's number, the id of the art that it is made from."""
    asked_to_stay: tuple[StayingRecord, ...] = ()
    """Which rule keeps the router off how much of it."""
    charges: tuple[ChargeRecord, ...] = ()


@dataclass(frozen=True, slots=True)
class Search:
    """How long and how the nesting looks for a better plan."""

    seed: int = 0
    iterations: int = 3000
    seconds: float | None = None
    workers: int = 1
    progress: Callable[[nesting.Progress], None] | None = None
    executor: Executor | None = None
    """Where the workers run; processes of this machine if none is handed in."""


def nest(
    blanks: Sequence[Blank], stock: Stock, house: House, search: Search, open_space: Sequence[nesting.Stock] = ()
) -> nesting.Solution:
    """Lay the blanks on the metal on hand, and into open space of flats that are laid already."""
    stocks = (*open_space, *stock.nesting)
    metals = {material_of(plate.metal, plate.gauge): plate.metal for plate in (blank.plate for blank in blanks)}
    keeps = tuple((material, keep_of(house, cast(MetalName, metal))) for material, metal in sorted(metals.items()))
    options = replace(options_for(house, search), keep_of=keeps)
    return nesting.solve(pieces_of(blanks), stocks, options, search.progress, search.executor)


def pieces_of(blanks: Sequence[Blank]) -> list[nesting.Piece]:
    """Give blanks as the nesting counts them."""
    ranks = due_ranks([blank.plate for blank in blanks])
    return [
        nesting.Piece(
            blank.plate.id,
            *blank.grid_size,
            blank.plate.may_turn,
            material_of(blank.plate.metal, blank.plate.gauge),
            blank.share.key,
            ranks[blank.plate.rush, blank.plate.due],
            blank.share.together,
            _wishes(blank),
        )
        for blank in blanks
    ]


def options_for(house: House, search: Search) -> nesting.Options:
    """Give the house's way of cutting, and how long to look, as the nesting takes them; nothing of what is kept."""
    cutting = house.cutting
    return nesting.Options(
        spacing=house_spacing(house),
        iterations=search.iterations,
        seconds=search.seconds,
        seed=search.seed,
        longest_cut=None if cutting.longest_cut is None else math.floor(cutting.longest_cut * GRID),
        least_strip=None if cutting.least_strip is None else math.ceil(cutting.least_strip * GRID),
        stages=cutting.stages,
        due_first=house.flats.due == "first",
        workers=search.workers,
    )


def keep_of(house: House, metal: MetalName) -> tuple[int, int]:
    """Give the smallest offcut of a metal that goes back on the rack, in grid units."""
    width, height = house.flats.least_offcut_of(metal)
    return math.ceil(width * GRID), math.ceil(height * GRID)


def _wishes(blank: Blank) -> tuple[str, ...]:
    """What likes to lie together when it costs nothing: what rules wish, and one customer's plates."""
    customer = blank.plate.customer
    return (*blank.share.near, *((f"customer {customer}",) if customer is not None else ()))


def due_ranks(plates: Sequence[OrderedPlate]) -> dict[tuple[bool, datetime | None], int]:
    """Rush is rank 0; the rest follow by their due time, those without one last."""
    dues = sorted({plate.due for plate in plates if plate.due is not None and not plate.rush})
    ranks: dict[tuple[bool, datetime | None], int] = {}
    for plate in plates:
        late = len(dues) if plate.due is None or plate.rush else dues.index(plate.due)
        ranks[plate.rush, plate.due] = 0 if plate.rush else 1 + late
    return ranks


def flat_of(number: int, layout: nesting.Layout, works: Mapping[str, Work], stock: Stock, house: House) -> Flat:
    """Make the record of one flat: every plate in its place, every cut in its order."""
    record = stock.records[layout.stock]
    parts, cuts = cut_parts(layout, record.metal, record.width, record.height, house)
    boxes = part_of_plate(parts)
    usable = usable_box(record.width, record.height, house)
    return Flat(
        number=number,
        sheet=record,
        share_key=works[layout.placements[0].piece].blank.share.key,
        grip=house.glass.grip,
        usable=usable,
        spots=spots_on(record.width, record.height, house),
        how_cut=house.cutting.how,
        kerf=house.cutting.kerf_width,
        gap=house.cutting.gap,
        layout="straight",
        placements=tuple(
            placement_of(placed, works[placed.piece], usable[:2], boxes[placed.piece]) for placed in layout.placements
        ),
        cut_tree=parts,
        kerf_shape=(),
        rest=(),
        cuts=cuts,
    )


def placement_of(placed: nesting.Placement, work: Work, origin: tuple[float, float], part: Box) -> Placement:
    """Make the record of one plate in its place; ``origin`` is where the layout begins on the sheet."""
    place = Place(work.blank, 1 if placed.turned else 0, origin[0] + placed.x / GRID, origin[1] + placed.y / GRID)
    return placement_at(placed.piece, place, work, part, ())


def placement_at(name: str, place: Place, work: Work, part: Box, metal: PlainShape) -> Placement:
    """Make the record of one plate at a place; ``metal`` is what is sawn out for it on a free flat."""
    plate = work.blank.plate
    sawn = shape_of(metal) if metal else rectangle(*place.box)
    return Placement(
        plate=name,
        blank=place.box,
        part=part,
        metal=metal,
        turned=place.degrees,
        outline=plain(place.put(plate.face)),
        printing=plain(place.put(plate.printing)),
        flange=plain(place.put(work.blank.flange)),
        staying=plain(place.put(work.staying)),
        films=tuple(
            FilmRecord(
                number=film.number, name=film.name, kind=film.kind, use=film.use, on=film.on,
                angle=film.angle + place.degrees, size=film.size,
                film=plain(place.put(film.film)), image=plain(place.clip(film.image).intersection(sawn)),
                art=work.art.get(film.number), art_transform=_art_transform(film, place),
            )
            for film in plate.films
        ),
        tints=tuple(TintRecord(pattern=tint.pattern, area=plain(place.put(tint.area.intersection(plate.face))))
            for tint in plate.tints
            if tint.area.intersects(plate.face)
        ),
        zones=tuple(
            ZoneRecord(cutter=cutter, area=shape_of(shape).area, shape=shape)
            for cutter, shape in ((zone.cutter, plain(place.put(zone.shape))) for zone in work.router.zones)
            if shape
        ),
    )  # fmt: skip


def _art_transform(film: Film, place: Place) -> Transform | None:
    """From the art's frame to the flat's, found by where three points of the art come to lie."""
    art = film.art
    if art is None:
        return None

    def put(x: float, y: float) -> tuple[float, float]:
        on_plate = spun(Point(art.at[0] + x, art.at[1] + y), film.angle, art.about)
        across, up, *_ = place.put(on_plate).bounds
        return across, up

    (e, f), (right_x, right_y), (up_x, up_y) = put(0, 0), put(1, 0), put(0, 1)
    a, b, c, d, e, f = (round(value, 9) + 0.0 for value in (right_x - e, right_y - f, up_x - e, up_y - f, e, f))
    return a, b, c, d, e, f


@dataclass(frozen=True, slots=True)
class Place:
    """Where a blank lies on its sheet: turned by quarters, its lower left corner at (x, y)."""

    blank: Blank
    quarters: int
    x: float
    y: float

    @property
    def degrees(self) -> Literal[0, 90, 180, 270]:
        """How far it is turned, anticlockwise."""
        turns: tuple[Literal[0, 90, 180, 270], ...] = (0, 90, 180, 270)
        return turns[self.quarters % 4]

    @property
    def box(self) -> Box:
        """The blank's box on the sheet."""
        _, _, width, height = self.blank.box
        return (self.x, self.y, height, width) if self.quarters % 2 else (self.x, self.y, width, height)

    def clip(self, shape: BaseGeometry) -> BaseGeometry:
        """Bring a shape to the flat's frame, less what lies outside the blank: other plates' metal, or none."""
        return self.put(shape).intersection(rectangle(*self.box))

    def put(self, shape: BaseGeometry) -> BaseGeometry:
        """Bring a shape from the plate's frame to the flat's."""
        left, bottom, width, height = self.blank.box
        in_blank = moved(shape, -left, -bottom)
        return moved(turned_quarter(in_blank, self.quarters, width, height), self.x, self.y)


def held_plate(left_out: nesting.LeftOut, plate: OrderedPlate, blank: Blank, stock: Stock) -> HeldPlate:
    """Say why a plate is on no flat."""
    _, _, width, height = blank.box
    metal = f"{plate.metal} of {plate.gauge:.4g} in"
    if left_out.reason == "no-stock":
        gauges = sorted({sheet.gauge for sheet in stock.sheets.values() if sheet.metal == plate.metal})
        there = ", ".join(f"{gauge:.4g}" for gauge in gauges)
        if plate.gauge in gauges:
            has = "; no sheet of it has any room inside the grip margin and on the glass"
        else:
            has = f"; on hand is {plate.metal} of {there} in" if gauges else f"; the house has no {plate.metal}"
        return HeldPlate(plate=plate.id, code="no-metal", reason=f"needs {metal}{has}")
    material = material_of(plate.metal, plate.gauge)
    largest = max(
        (sheet for sheet in stock.nesting if sheet.material == material), key=lambda sheet: sheet.width * sheet.height
    )
    if left_out.reason == "too-large":
        room = size_text(*(math.floor(side / GRID * 64) / 64 for side in (largest.width, largest.height)))
        need = size_text(*(math.ceil(side * 64 - 1e-6) / 64 for side in (width, height)))
        film = next((asked for asked in blank.allowances if asked.kind == "film"), None)
        with_film = "" if film is None else (
            f" with its film ({size_text(width - film.left - film.right, height - film.bottom - film.top)} without)"
        )  # fmt: skip
        turning = "" if plate.may_turn else ", and it may not be turned"
        return HeldPlate(
            plate=plate.id, code="too-large",
            reason=f"needs {need} of metal{with_film}; the largest sheet of {metal} leaves {room} "
                   f"inside its margins{turning}",
        )  # fmt: skip
    return HeldPlate(
        plate=plate.id, code="out-of-stock", reason=f"would fit, but the sheets of {metal} on hand are used up"
    )

"""From blanks to flats: nest them on the metal on hand, and put every plate's shapes in its place on the sheet."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner import nesting
from planner.blanks import GRID, Blank
from planner.cutting import cut_parts, house_spacing, part_of_plate, usable_box
from planner.geometry import moved, plain, rectangle, shape_of, turned_quarter
from planner.house import House, Sheet
from planner.lengths import size_text
from planner.plan import Box, FilmRecord, Flat, HeldPlate, Placement, SheetRecord, TintRecord, ZoneRecord
from planner.plates import OrderedPlate
from planner.routing import Zone

_SIZE_COUNTS: Final = 1e-6
"""Money for a square inch, too little to outweigh any price."""


@dataclass(frozen=True, slots=True)
class Work:
    """All that a plate brings to its flat, in its own frame."""

    blank: Blank
    staying: MultiPolygon
    zones: tuple[Zone, ...]


@dataclass(frozen=True, slots=True)
class Stock:
    """The metal on hand, as the nesting and as the flats see it."""

    sheets: Mapping[str, Sheet]
    records: Mapping[str, SheetRecord]
    nesting: tuple[nesting.Stock, ...]


def stock_of(house: House) -> Stock:
    """Give the house's sheets with a name each, and their usable size in grid units, rounded down.

    A sheet costs its price and the price of making up a flat; where a metal has no prices, its square inches stand in.
    """
    sheets: dict[str, Sheet] = {}
    records: dict[str, SheetRecord] = {}
    stocks: list[nesting.Stock] = []
    for sheet in house.sheets:
        name = _free_name(sheet, sheets)
        width, height = sheet.size
        _, _, usable_width, usable_height = usable_box(width, height, house)
        grid_width, grid_height = (math.floor(side * GRID + 1e-6) for side in (usable_width, usable_height))
        sheets[name] = sheet
        records[name] = SheetRecord(
            name=name, metal=sheet.metal, gauge=sheet.gauge, width=width, height=height,
            price=None if sheet.price is None else str(sheet.price), remnant=sheet.remnant,
        )  # fmt: skip
        if grid_width > 0 and grid_height > 0:
            cost = float(sheet.price + house.prices.flat) if sheet.price is not None else width * height
            # Among sheets of one price the smaller is taken.
            cost += width * height * _SIZE_COUNTS
            stocks.append(
                nesting.Stock(
                    name,
                    grid_width,
                    grid_height,
                    sheet.on_hand,
                    cost,
                    _material(sheet.metal, sheet.gauge),
                    sheet.remnant,
                )
            )
    return Stock(sheets, records, tuple(stocks))


def _free_name(sheet: Sheet, taken: Mapping[str, Sheet]) -> str:
    base = sheet.name or f"{sheet.metal} {size_text(*sheet.size)}{' remnant' if sheet.remnant else ''}"
    name, number = base, 2
    while name in taken:
        name, number = f"{base} ({number})", number + 1
    return name


def _material(metal: str, gauge: float) -> str:
    return f"{metal} {gauge}"


def nest(
    blanks: Sequence[Blank],
    stock: Stock,
    house: House,
    *,
    seed: int,
    iterations: int,
    seconds: float | None,
    progress: Callable[[nesting.Progress], None] | None,
) -> nesting.Solution:
    """Lay the blanks on the metal on hand."""
    ranks = _due_ranks([blank.plate for blank in blanks])
    pieces = [
        nesting.Piece(
            blank.plate.id,
            *blank.grid_size,
            blank.plate.may_turn,
            _material(blank.plate.metal, blank.plate.gauge),
            blank.plate.share_key,
            ranks[blank.plate.rush, blank.plate.due],
        )
        for blank in blanks
    ]
    width, height = house.flats.least_offcut
    options = nesting.Options(
        spacing=house_spacing(house), iterations=iterations, seconds=seconds, seed=seed,
        keep=(math.ceil(width * GRID), math.ceil(height * GRID)),
    )  # fmt: skip
    return nesting.solve(pieces, stock.nesting, options, progress)


def _due_ranks(plates: Sequence[OrderedPlate]) -> dict[tuple[bool, datetime | None], int]:
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
    parts, cuts = cut_parts(layout, record.width, record.height, house)
    boxes = part_of_plate(parts)
    usable = usable_box(record.width, record.height, house)
    return Flat(
        number=number,
        sheet=record,
        share_key=works[layout.placements[0].piece].blank.plate.share_key,
        grip=house.glass.grip,
        usable=usable,
        how_cut=house.cutting.how,
        kerf=house.cutting.kerf_width,
        gap=house.cutting.gap,
        placements=tuple(
            _placement(placed, works[placed.piece], usable, boxes[placed.piece]) for placed in layout.placements
        ),
        cut_tree=parts,
        cuts=cuts,
    )


def _placement(placed: nesting.Placement, work: Work, usable: Box, part: Box) -> Placement:
    place = Place(work.blank, 1 if placed.turned else 0, usable[0] + placed.x / GRID, usable[1] + placed.y / GRID)
    plate = work.blank.plate
    return Placement(
        plate=plate.id,
        blank=place.box,
        part=part,
        turned=place.degrees,
        outline=plain(place.put(plate.face)),
        printing=plain(place.put(plate.printing)),
        flange=plain(place.put(work.blank.flange)),
        staying=plain(place.put(work.staying)),
        films=tuple(
            FilmRecord(
                number=film.number, name=film.name, kind=film.kind, use=film.use, on=film.on,
                angle=film.angle + place.degrees, size=film.size,
                film=plain(place.put(film.film)), image=plain(place.clip(film.image)),
            )
            for film in plate.films
        ),
        tints=tuple(TintRecord(pattern=tint.pattern, area=plain(place.put(tint.area.intersection(plate.face))))
            for tint in plate.tints
            if tint.area.intersects(plate.face)
        ),
        zones=tuple(
            ZoneRecord(cutter=cutter, area=shape_of(shape).area, shape=shape)
            for cutter, shape in ((zone.cutter, plain(place.put(zone.shape))) for zone in work.zones)
            if shape
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Place:
    """Where a blank lies on its sheet: turned by quarters, its lower left corner at (x, y)."""

    blank: Blank
    quarters: int
    x: float
    y: float

    @property
    def degrees(self) -> Literal[0, 90]:
        """How far it is turned, anticlockwise."""
        return 90 if self.quarters else 0

    @property
    def box(self) -> Box:
        """The blank's box on the sheet."""
        _, _, width, height = self.blank.box
        return (self.x, self.y, height, width) if self.quarters else (self.x, self.y, width, height)

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
    material = _material(plate.metal, plate.gauge)
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

"""What metal is on hand? Sheets as the nesting counts them, and the open space of flats that are laid already."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from planner import nesting
from planner.blanks import GRID
from planner.glass import spots_on, usable_box
from planner.house import House, Sheet
from planner.lengths import size_text
from planner.plan import Box, Flat, Plan, SheetRecord

_SIZE_COUNTS: Final = 1e-6
"""Money for a square inch, too little to outweigh any price."""


_FLAT_COUNTS: Final = 10.0
"""Square inches that one flat fewer is worth where sheets have no price: of equal metal the fewer flats are taken."""


@dataclass(frozen=True, slots=True)
class Stock:
    """The metal on hand, as the nesting and as the flats see it."""

    sheets: Mapping[str, Sheet]
    records: Mapping[str, SheetRecord]
    nesting: tuple[nesting.Stock, ...]


@dataclass(frozen=True, slots=True)
class OpenSpace:
    """A part of a laid flat that holds nothing, as a small sheet that costs nothing."""

    flat: Flat
    part: int
    """Its place in the flat's list of parts."""
    origin: tuple[float, float]
    """Lower left corner of what can be used of it, on the flat."""
    nesting: nesting.Stock


def stock_of(house: House, used: Mapping[str, int] | None = None) -> Stock:
    """Give the house's sheets with a name each, and their usable size in grid units, rounded down.

    A sheet costs its price and the price of making up a flat; where a metal has no prices, its square inches
    and a few for the work on a flat stand in. ``used`` says how many of each name are laid already.
    """
    sheets: dict[str, Sheet] = {}
    records: dict[str, SheetRecord] = {}
    stocks: list[nesting.Stock] = []
    for sheet in house.sheets:
        name = _free_name(sheet, sheets)
        width, height = sheet.size
        sheets[name] = sheet
        records[name] = SheetRecord(
            name=name, metal=sheet.metal, gauge=sheet.gauge, width=width, height=height,
            price=None if sheet.price is None else str(sheet.price), remnant=sheet.remnant,
        )  # fmt: skip
        usable = usable_box(width, height, house)
        grid_width, grid_height = (math.floor(side * GRID + 1e-6) for side in usable[2:])
        if grid_width <= 0 or grid_height <= 0:
            continue
        cost = float(sheet.price + house.prices.flat) if sheet.price is not None else width * height + _FLAT_COUNTS
        count = sheet.on_hand
        stocks.append(
            nesting.Stock(
                name=name,
                width=grid_width,
                height=grid_height,
                count=None if count is None else max(0, count - (used or {}).get(name, 0)),
                # Among sheets of one price the smaller is taken.
                cost=cost + width * height * _SIZE_COUNTS,
                material=material_of(sheet.metal, sheet.gauge),
                remnant=sheet.remnant,
                blocked=tuple(_on_grid(spots_on(width, height, house), usable, (grid_width, grid_height))),
            )
        )
    return Stock(sheets, records, tuple(stocks))


def open_space(plan: Plan, house: House, finished: Collection[int], gone: Collection[str] = ()) -> list[OpenSpace]:
    """Give all offcut and scrap of a plan's flats that a late plate could be laid in; not of finished flats.

    Offcuts whose names are in ``gone`` were cut off and used already.

    Each side keeps its distance from the cut that made it, so that blanks on both sides of the cut are as far apart
    as on any flat.
    """
    spaces: list[OpenSpace] = []
    cut_off = {(offcut.flat, offcut.box) for offcut in plan.offcuts if offcut.name in gone}
    for flat in plan.flats:
        if flat.number in finished:
            continue
        inset = max(0.0, (house.cutting.spacing - flat.kerf) / 2)
        left, bottom, usable_width, usable_height = flat.usable
        for place, part in enumerate(flat.cut_tree):
            if part.use not in ("offcut", "scrap") or (flat.number, part.box) in cut_off:
                continue
            x, y, width, height = part.box
            near_x, near_y = max(x + inset, left), max(y + inset, bottom)
            far_x, far_y = min(x + width - inset, left + usable_width), min(y + height - inset, bottom + usable_height)
            grid_width, grid_height = (math.floor(side * GRID + 1e-6) for side in (far_x - near_x, far_y - near_y))
            if grid_width <= 0 or grid_height <= 0:
                continue
            area = (near_x, near_y, far_x - near_x, far_y - near_y)
            spots = [spot for spot in (_common(spot, area) for spot in flat.spots) if spot is not None]
            stock = nesting.Stock(
                name=f"flat {flat.number}, part {place}",
                width=grid_width,
                height=grid_height,
                count=1,
                cost=0.0,
                material=material_of(flat.sheet.metal, flat.sheet.gauge),
                remnant=True,
                blocked=tuple(_on_grid(spots, area, (grid_width, grid_height))),
                group=flat.share_key,
            )
            spaces.append(OpenSpace(flat, place, (near_x, near_y), stock))
    return spaces


def material_of(metal: str, gauge: float) -> str:
    """Name metal that is one and the same to the nesting."""
    return f"{metal} {gauge}"


def _free_name(sheet: Sheet, taken: Mapping[str, Sheet]) -> str:
    base = sheet.name or f"{sheet.metal} {size_text(*sheet.size)}{' remnant' if sheet.remnant else ''}"
    name, number = base, 2
    while name in taken:
        name, number = f"{base} ({number})", number + 1
    return name


def _common(spot: Box, area: Box) -> Box | None:
    near_x, near_y = max(spot[0], area[0]), max(spot[1], area[1])
    far_x, far_y = min(spot[0] + spot[2], area[0] + area[2]), min(spot[1] + spot[3], area[1] + area[3])
    return (near_x, near_y, far_x - near_x, far_y - near_y) if near_x < far_x and near_y < far_y else None


def _on_grid(spots: Collection[Box], area: Box, size: tuple[int, int]) -> Iterator[tuple[int, int, int, int]]:
    """Spots in grid units from the lower left of an area, rounded outwards, as far as they lie on it."""
    for x, y, width, height in spots:
        near_x, near_y = (max(0, math.floor((near - start) * GRID)) for near, start in ((x, area[0]), (y, area[1])))
        far_x = min(size[0], math.ceil((x + width - area[0]) * GRID))
        far_y = min(size[1], math.ceil((y + height - area[1]) * GRID))
        if near_x < far_x and near_y < far_y:
            yield near_x, near_y, far_x - near_x, far_y - near_y

"""What would some of a flat's jobs take without the others? The least cost of sheets that hold their plates.

Each coalition's plates are nested by themselves on the metal that the house has of that kind, always in the same way,
so that the same flat gives the same costs. A sheet costs its price and the making up of a flat; off go the offcuts
that return to the rack, where the house pays for those, and what the scrap brings. Saw chips count as solid scrap
here. The flat as it was laid serves every coalition too, so that none costs more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from planner import nesting
from planner.blanks import GRID
from planner.cutting import house_spacing
from planner.estimate.account import sheet_price
from planner.estimate.rounding import cents
from planner.flats import keep_of
from planner.house import House
from planner.metals import weight_of
from planner.orders import MetalName
from planner.plan import Flat, PlateRecord, SheetRecord
from planner.stock import material_of, stock_of

ROUNDS: Final = 10
"""Of the search for each coalition: enough for a handful of plates, and there are many coalitions."""


@dataclass
class Coalitions:
    """The costs of coalitions of one flat's jobs, in whole cents, each worked out once."""

    house: House
    metal: MetalName
    sheets: Mapping[str, SheetRecord]
    stocks: tuple[nesting.Stock, ...]
    pieces: tuple[tuple[nesting.Piece, ...], ...]
    """Of each job, in the order of the jobs."""
    flat_cost: int
    """Of the flat as it was laid, in cents, reckoned in the same way; it serves every coalition."""
    _known: dict[int, int] = field(default_factory=dict)

    @property
    def everybody(self) -> int:
        """The coalition of all jobs."""
        return (1 << len(self.pieces)) - 1

    def cost(self, mask: int) -> int:
        """Give the cents of a coalition's sheets; bit ``1 << place`` of ``mask`` stands for the job at that place."""
        if mask == self.everybody:
            return self.flat_cost
        if mask not in self._known:
            self._known[mask] = min(self.flat_cost, self._nested(mask))
        return self._known[mask]

    def learn(self, costs: Mapping[int, int]) -> None:
        """Take costs of coalitions that somebody else has worked out."""
        self._known.update(costs)

    def _nested(self, mask: int) -> int:
        pieces = [piece for place, found in enumerate(self.pieces) if mask & 1 << place for piece in found]
        solution = nesting.solve(pieces, self.stocks, _options(self.house, self.metal))
        if solution.left_out:
            return self.flat_cost  # there is not so much metal; they lie where they lie
        return sum(self._sheet_cost(layout) for layout in solution.layouts)

    def _sheet_cost(self, layout: nesting.Layout) -> int:
        record = self.sheets[layout.stock]
        price = sheet_price(record) or Decimal(0)
        kept = _kept(layout.root, self.house, self.metal) if self.house.prices.sharing.offcuts == "house" else 0.0
        used = _used(layout.root)
        area = record.width * record.height
        # Kept or not, an offcut is not sold as scrap.
        back = kept if kept else _kept(layout.root, self.house, self.metal)
        pounds = weight_of(record.metal, max(0.0, area - back - used), record.gauge)
        paid = Decimal(pounds) * (self.house.prices.scrap_price(record.metal) or 0)
        net = price + self.house.prices.flat - price * Decimal(kept / area) - paid
        return max(0, int(cents(net) * 100))


def coalitions_of(
    flat: Flat, jobs: Sequence[str], plates: Mapping[str, PlateRecord], house: House, flat_cost: Decimal
) -> Coalitions:
    """Get a flat's coalitions ready; ``jobs`` are those with plates on it, ``flat_cost`` what they pay together."""
    laid = [plates[placement.plate] for placement in flat.placements]
    material = material_of(flat.sheet.metal, flat.sheet.gauge)
    stock = stock_of(house)
    sheets = {name: record for name, record in stock.records.items() if record.price is not None}
    stocks = [
        one if one.name != flat.sheet.name or one.count is None else _with_count(one, max(1, one.count))
        for one in stock.nesting
        if one.material == material and one.name in sheets
    ]
    if flat.sheet.name not in {one.name for one in stocks}:
        sheets[flat.sheet.name] = flat.sheet
        stocks.append(_own_sheet(flat, material, house))
    return Coalitions(
        house=house,
        metal=flat.sheet.metal,
        sheets=sheets,
        stocks=tuple(stocks),
        pieces=tuple(tuple(_piece(plate, material) for plate in laid if plate.job == job) for job in jobs),
        flat_cost=int(cents(flat_cost) * 100),
    )


def _piece(plate: PlateRecord, material: str) -> nesting.Piece:
    width, height = (round(side * GRID) for side in plate.blank[2:])
    return nesting.Piece(plate.id, width, height, plate.may_turn, material, together=plate.together)


def _own_sheet(flat: Flat, material: str, house: House) -> nesting.Stock:
    """A sheet that the plan knows and the house file does not name."""
    width, height = (math.floor(side * GRID + 1e-6) for side in flat.usable[2:])
    price = sheet_price(flat.sheet) or Decimal(0)
    return nesting.Stock(flat.sheet.name, width, height, 1, float(price + house.prices.flat), material)


def _with_count(stock: nesting.Stock, count: int) -> nesting.Stock:
    return nesting.Stock(
        stock.name, stock.width, stock.height, count, stock.cost, stock.material, stock.remnant, stock.blocked,
    )  # fmt: skip


def _options(house: House, metal: MetalName) -> nesting.Options:
    cutting = house.cutting
    return nesting.Options(
        spacing=house_spacing(house),
        iterations=ROUNDS,
        seed=0,
        # Large offcuts are looked for only where they count: looking for them takes most of the time.
        keep=keep_of(house, metal) if house.prices.sharing.offcuts == "house" else None,
        longest_cut=None if cutting.longest_cut is None else math.floor(cutting.longest_cut * GRID),
        least_strip=None if cutting.least_strip is None else math.ceil(cutting.least_strip * GRID),
        stages=cutting.stages,
    )


def _leaves(root: nesting.Part) -> list[nesting.Part]:
    waiting, leaves = [root], []
    while waiting:
        part = waiting.pop()
        if part.low is None or part.high is None:
            leaves.append(part)
        else:
            waiting += [part.low, part.high]
    return leaves


def _kept(root: nesting.Part, house: House, metal: MetalName) -> float:
    """Square inches of a layout that are large enough to go back on the rack."""
    short, long = sorted(keep_of(house, metal))
    return sum(
        leaf.width * leaf.height / GRID**2
        for leaf in _leaves(root)
        if leaf.piece is None and min(leaf.width, leaf.height) >= short and max(leaf.width, leaf.height) >= long
    )


def _used(root: nesting.Part) -> float:
    """Square inches of a layout that its plates come out with."""
    return sum(leaf.width * leaf.height / GRID**2 for leaf in _leaves(root) if leaf.piece is not None)

"""What does a piece of the rack count for, and how does the planner see it? As a remnant of which there is one.

A piece counts for its part of the price of the sheet that it was cut from, times the house's ``[rack] worth``, and
never for less than it brings as scrap. So it is used first where that costs less than new metal does; a flat on it
costs its making up like any other.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_DOWN, Decimal

from planner.estimate.rounding import CENT
from planner.house import House, Sheet
from planner.metals import weight_of
from planner.rack.records import Piece


def house_with(house: House, pieces: Iterable[Piece]) -> House:
    """Give the house with pieces of the rack among its sheets."""
    pieces = list(pieces)
    sheets = tuple(_sheet(piece, house, _has_price(piece.metal, house, pieces)) for piece in pieces)
    return house.model_copy(update={"sheets": (*house.sheets, *sheets)})


def part_of(price: Decimal | None, area: float, whole: float) -> Decimal | None:
    """Give the part of a price that belongs to so many of its square inches, rounded down to the hundredth."""
    return None if price is None else (price * Decimal(area / whole)).quantize(CENT, ROUND_DOWN)


def _sheet(piece: Piece, house: House, priced: bool) -> Sheet:
    # The piece and the house were checked; only the name is longer or shorter than a form would have it.
    return Sheet.model_construct(
        name=piece.name, metal=piece.metal, gauge=piece.gauge, size=piece.size, count=1, remnant=True,
        price=_counts_for(piece, house) if priced else None,
    )  # fmt: skip


def _has_price(metal: str, house: House, pieces: Iterable[Piece]) -> bool:
    """A metal is priced altogether or not at all; where the house has no sheet of it, its pieces say."""
    own = [sheet.price is not None for sheet in house.sheets if sheet.metal == metal]
    return all(own) if own else all(piece.worth is not None for piece in pieces if piece.metal == metal)


def _counts_for(piece: Piece, house: House) -> Decimal:
    worth = piece.worth if piece.worth is not None else _by_area(piece, house)
    paid = max(house.prices.scrap_price(piece.metal) or 0, house.prices.chips_price(piece.metal) or 0)
    # Rounded up, so that no piece counts for less than its scrap brings.
    scrap = Decimal(weight_of(piece.metal, piece.area, piece.gauge)) * paid
    counts = max(worth * Decimal(str(house.rack.worth)), scrap)
    return counts.quantize(CENT, ROUND_CEILING)


def _by_area(piece: Piece, house: House) -> Decimal:
    """What the house's cheapest sheets of this metal cost for so many square inches; of its gauge if there are any."""
    sheets = [sheet for sheet in house.sheets if sheet.metal == piece.metal and sheet.price is not None]
    own = [sheet for sheet in sheets if sheet.gauge == piece.gauge] or sheets
    prices = [part_of(sheet.price, piece.area, sheet.size[0] * sheet.size[1]) or Decimal(0) for sheet in own]
    return min(prices, default=Decimal(0))

"""Which sheets could a day be laid on? Those on hand, and those that could be bought, each a choice with its price."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Annotated, Any, Final

from pydantic import Field

from planner import nesting
from planner.estimate.rounding import cents
from planner.forms import Form, InputError, Problem, checked
from planner.house import BuyableSheet, House, Sheet, place_in_house
from planner.lengths import size_text
from planner.prices import in_one_currency
from planner.stock import material_of, stock_of

_CENT: Final = 100
"""Of the unit of money: costs are compared in whole cents."""


class Sizes(Form):
    """A file of sheets that could be bought."""

    sheets: Annotated[tuple[BuyableSheet, ...], Field(min_length=1, description="each kind of sheet")]


@dataclass(frozen=True, slots=True)
class Choice:
    """One kind of sheet of one metal and gauge."""

    name: str
    material: str
    width: float
    height: float
    price: Decimal | None
    """Of one sheet, in whole cents."""
    to_buy: bool
    lead: int
    """Days until it is here."""
    pack: int
    making_up: Decimal
    stock: nesting.Stock
    """As the nesting sees it. It costs what a flat on it costs; where the metal has no price, its square inches."""
    from_rack: bool = False
    """Whether it is a piece of the rack: there is one, and it may be used beside any mix."""

    def cost(self, count: int) -> int:
        """Give what so many flats on it cost, in cents: whole packs are paid. Square inches where it has no price."""
        if self.price is None:
            return round(self.stock.cost * count)
        paid = math.ceil(count / self.pack) * self.pack if self.to_buy else count
        return round((self.price * paid + self.making_up * count) * _CENT)

    def paid(self, count: int) -> Decimal:
        """Give what has to be bought for so many flats on it."""
        if not self.to_buy or self.price is None:
            return Decimal(0)
        return self.price * (math.ceil(count / self.pack) * self.pack)


def sizes_from(tables: Mapping[str, Any], house: House, source: str) -> tuple[BuyableSheet, ...]:
    """Check the tables of a file of sheets that could be bought; ``source`` names it in messages.

    Raises:
        InputError: with every problem in the tables.
    """
    if "sheets" in tables:
        tables = {**tables, "sheets": in_one_currency(tables["sheets"], ("price",), house.prices.currency)}
    return checked(Sizes, tables, source, place_in_house).sheets


def choices_of(
    house: House, further: Sequence[BuyableSheet], within: int | None, source: str, on_rack: Collection[str] = ()
) -> dict[str, list[Choice]]:
    """Give the choices of each material: the house's sheets, then those that could be bought within so many days.

    Sheets of the house whose names are ``on_rack`` are pieces of its rack.

    Raises:
        InputError: two kinds of sheet have one name, or the sheets on hand have no price to be weighed against.
    """
    buyable = [one for one in (*house.buyable, *further) if within is None or one.lead <= within]
    _check(house, buyable, source)
    own = [sheet for sheet in house.sheets if sheet.on_hand != 0]
    names = stock_of(house.model_copy(update={"sheets": (*own, *(_as_sheet(one) for one in buyable))}))
    by_name = {stock.name: stock for stock in names.nesting}
    found: dict[str, list[Choice]] = {}
    for place, (name, sheet) in enumerate(names.sheets.items()):
        if name not in by_name:
            continue  # it has no room inside the grip margin and on the glass
        offer = buyable[place - len(own)] if place >= len(own) else None
        price = None if sheet.price is None else cents(sheet.price)
        making_up = cents(house.prices.flat)
        stock = by_name[name]
        whole = round(sheet.size[0] * sheet.size[1]) if price is None else float(price + making_up)
        material = material_of(sheet.metal, sheet.gauge)
        found.setdefault(material, []).append(
            Choice(
                name, material, *sheet.size, price, offer is not None, offer.lead if offer else 0,
                offer.pack if offer else 1, making_up, replace(stock, cost=whole),
                offer is None and name in on_rack,
            )
        )  # fmt: skip
    return found


def _as_sheet(offer: BuyableSheet) -> Sheet:
    name = offer.name or f"{offer.metal} {size_text(*offer.size)}, to buy"
    count = None if offer.count is None else offer.count // offer.pack * offer.pack
    # The offer was checked when it was read; a name of ours may be longer than a form's.
    return Sheet.model_construct(
        name=name, metal=offer.metal, gauge=offer.gauge, size=offer.size, count=count, price=offer.price, remnant=False
    )


def _check(house: House, buyable: Sequence[BuyableSheet], source: str) -> None:
    problems = []
    names = [sheet.name for sheet in house.sheets if sheet.name]
    for offer in buyable:
        if offer.name and offer.name in names:
            problems.append(Problem(f'sheet "{offer.name}"', "bears the name of another; give it one of its own"))
        names += [offer.name] if offer.name else []
    unpriced = {sheet.metal for sheet in house.sheets if sheet.price is None}
    problems += [
        Problem("", f"the house's {metal} sheets have no price, so that no sheet to buy can be weighed against them; "
                    "give them one")
        for metal in sorted(unpriced & {offer.metal for offer in buyable})
    ]  # fmt: skip
    if problems:
        raise InputError(source, problems)

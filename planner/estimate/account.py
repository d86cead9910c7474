"""The account: a day's metal in lines that are never split again, so that every sum of them agrees with every other.

A line is one class of one plate, or one class of a sheet that belongs to no plate. The sheet's square inches, pounds
and price are given out to its lines once, in whole thousandths and cents (`planner.estimate.rounding`); jobs, flats
and the day are sums of lines and nothing else.

What is sold of a flat: chips of the router (area of a zone times its depth) and of the saw (kerf at full gauge), and
as solid scrap the trim, the grip margin and the scrap at full gauge. Offcuts go back to the rack and are not sold.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Final, Literal, TypeAlias

from planner.estimate.measures import SHARED_CLASSES, FlatMeasures, measured, routed_chips, sheet_weight
from planner.estimate.rounding import THOUSANDTH, cents, give_out, thousandths
from planner.forms import InputError, Problem, shortened
from planner.house import House
from planner.orders import MetalName
from planner.plan import PLATE_CLASSES, AreaClass, Plan, SheetRecord
from planner.prices import Prices

Item: TypeAlias = AreaClass | Literal["making up"]
ITEMS: Final[tuple[Item, ...]] = (*PLATE_CLASSES, *SHARED_CLASSES, "making up")
"""What a line may be about: the ledger's classes, and the work of making up and etching a flat."""

_SOLID: Final[tuple[Item, ...]] = ("trim", "grip", "scrap")
_NOTHING: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """One class of one plate on its flat, or of what belongs to no plate (``plate`` and ``job`` are None)."""

    flat: int
    job: str | None
    plate: str | None
    item: Item
    area: Decimal
    """Square inches."""
    weight: Decimal
    """Pounds at full gauge."""
    chips: Decimal
    """Pounds of it that become chips."""
    scrap: Decimal
    """Pounds of it that are sold as solid scrap."""
    cost: Decimal | None
    """Of the metal, at the sheet's own price; None where the sheet has none."""
    credit: Decimal
    """What its chips or its scrap bring."""


@dataclass(frozen=True, slots=True)
class FlatOfAccount:
    """A flat of the account: its sheet and that sheet's price."""

    number: int
    sheet: str
    metal: MetalName
    gauge: float
    width: float
    height: float
    price: Decimal | None


@dataclass(frozen=True, slots=True)
class Account:
    """A day's metal and what it costs; money in the house's currency."""

    title: str
    house: str
    currency: str
    lines: tuple[Line, ...]
    flats: tuple[FlatOfAccount, ...]
    jobs: tuple[tuple[str, str], ...]
    """Number and customer of every job of the plan; the customer may be empty."""
    held: tuple[str, ...]
    """Plates on no flat: they are in no line."""
    notes: tuple[str, ...]
    """What somebody who reads the figures has to know."""


def account_of(plan: Plan, house: House) -> Account:
    """Account for a plan's metal; the house gives what scrap brings and what making up a flat costs.

    Raises:
        InputError: plan and house count in different currencies, a sheet's price is none, scrap is worth more than new
            metal, or the plan's ledger does not agree with its shapes.
    """
    if plan.settings.currency != house.prices.currency:
        raise InputError(
            "prices",
            [Problem("", f"the plan counts in {plan.settings.currency}, the house file in {house.prices.currency}; "
                         "account for a plan with the house file that it was made with")],
        )  # fmt: skip
    job_of = {plate.id: plate.job for plate in plan.plates}
    chips = routed_chips(plan)
    lines: list[Line] = []
    flats: list[FlatOfAccount] = []
    for measures in measured(plan):
        sheet = measures.flat.sheet
        price = sheet_price(sheet)
        _refuse_dear_scrap(measures, price, house.prices)
        flats.append(
            FlatOfAccount(measures.flat.number, sheet.name, sheet.metal, sheet.gauge, sheet.width, sheet.height, price)
        )
        lines += _lines(measures, job_of, chips, price, house.prices)
    return Account(
        title=plan.title,
        house=plan.settings.house,
        currency=plan.settings.currency,
        lines=tuple(lines),
        flats=tuple(flats),
        jobs=tuple((job.number, job.customer or "") for job in plan.jobs),
        held=tuple(held.plate for held in plan.held),
        notes=tuple(_notes(plan, flats, house)),
    )


def sheet_price(sheet: SheetRecord) -> Decimal | None:
    """Give the price of a plan's sheet; None if it has none.

    Raises:
        InputError: the plan holds something else than an amount there.
    """
    if sheet.price is None:
        return None
    try:
        price = Decimal(sheet.price)
    except InvalidOperation:
        price = Decimal("nan")
    if not price.is_finite() or not 0 <= price <= 1_000_000:
        raise InputError("the plan", [Problem(f"sheet {sheet.name}", f"{shortened(sheet.price)} is no price")])
    return cents(price)


def _lines(
    measures: FlatMeasures, job_of: dict[str, str], chips: dict[str, float], price: Decimal | None, prices: Prices
) -> list[Line]:
    flat = measures.flat
    keys: list[tuple[str | None, Item]] = []
    areas: list[float] = []
    for plate, by_class in measures.plates.items():
        keys += [(plate, name) for name in PLATE_CLASSES]
        areas += [max(0.0, by_class[name]) for name in PLATE_CLASSES]
    keys += [(None, name) for name in SHARED_CLASSES]
    areas += [max(0.0, measures.shared[name]) for name in SHARED_CLASSES]
    weight = sheet_weight(flat)
    in_inches = give_out(thousandths(measures.sheet_area), areas, THOUSANDTH)
    in_pounds = give_out(thousandths(weight), areas, THOUSANDTH)
    costs = [None] * len(keys) if price is None else give_out(price, areas)
    per_inch = weight / measures.sheet_area
    as_chips = [
        chips.get(plate or "", 0.0) if item == "routed" else area * per_inch if item == "kerf" else 0.0
        for (plate, item), area in zip(keys, areas, strict=True)
    ]
    as_scrap = [area * per_inch if item in _SOLID else 0.0 for (_, item), area in zip(keys, areas, strict=True)]
    # Where the metal has no price its waste is weighed only: a credit alone would look like a gain.
    chips_out, chips_money = _sold(as_chips, None if price is None else prices.chips_price(flat.sheet.metal))
    scrap_out, scrap_money = _sold(as_scrap, None if price is None else prices.scrap_price(flat.sheet.metal))
    lines = [
        Line(
            flat=flat.number, job=None if plate is None else job_of[plate], plate=plate, item=item,
            area=in_inches[place], weight=in_pounds[place], chips=chips_out[place], scrap=scrap_out[place],
            cost=costs[place], credit=chips_money[place] + scrap_money[place],
        )
        for place, (plate, item) in enumerate(keys)
    ]  # fmt: skip
    if prices.flat:
        making_up = cents(prices.flat)
        lines.append(
            Line(flat.number, None, None, "making up", _NOTHING, _NOTHING, _NOTHING, _NOTHING, making_up, _NOTHING)
        )
    return lines


def _sold(pounds: list[float], price: Decimal | None) -> tuple[list[Decimal], list[Decimal]]:
    """Pounds in whole thousandths and what they bring; the sums of a flat are rounded once, and then given out."""
    weights = give_out(thousandths(sum(pounds)), pounds, THOUSANDTH)
    total = sum(weights, _NOTHING)
    return weights, give_out(_NOTHING if price is None else cents(total * price), weights)


def _refuse_dear_scrap(measures: FlatMeasures, price: Decimal | None, prices: Prices) -> None:
    """Scrap that brings more than new metal costs is a slip, and would make waste a gain."""
    sheet = measures.flat.sheet
    dearest = max(prices.scrap_price(sheet.metal) or 0, prices.chips_price(sheet.metal) or 0)
    if price is None or not dearest:
        return
    pounds = Decimal(sheet_weight(measures.flat))
    if dearest * pounds > price:
        raise InputError(
            "prices",
            [Problem(f"sheet {sheet.name}", f"a pound of it costs {cents(price / pounds)} new, and the house file says "
                                            f"that {sheet.metal} waste brings {dearest}; correct one of the two")],
        )  # fmt: skip


def _notes(plan: Plan, flats: list[FlatOfAccount], house: House) -> list[str]:
    notes = []
    unpriced = sorted({flat.sheet for flat in flats if flat.price is None})
    if unpriced:
        notes.append(f"Not priced, so only areas and weights: {', '.join(unpriced)}.")
    silent = sorted(
        {flat.metal for flat in flats if flat.price is not None and house.prices.scrap_price(flat.metal) is None}
    )
    if silent:
        notes.append(f"The house file says nothing of what a pound of scrap brings: {', '.join(silent)}.")
    if house.prices.flat:
        making = cents(house.prices.flat)
        notes.append(
            f"In the cost of every flat are {plan.settings.currency} {making} for making it up and etching it."
        )
    if plan.held:
        notes.append(f"On no flat, and in no figure: {', '.join(held.plate for held in plan.held)}.")
    if house.name != plan.settings.house:
        notes.append(f"The plan was made for {plan.settings.house}; the prices are those of {house.name}.")
    return notes

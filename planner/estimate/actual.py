"""After the work: what was really cut against what was planned, with the difference by cause, in pieces and in money.

The money of a day is what its sheets cost with the making up of a flat on each, less what its chips and scrap bring,
less the worth of the offcuts that go back on the rack. The causes add up to the difference to the cent: spoiled
sheets, sheets for plates made again, sheets more or fewer that nobody gave a cause for, metal for plates made again
that came out of an offcut, and weights sold.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, Final, Literal, TypeAlias

from pydantic import Field, model_validator

from planner.estimate.account import Account, account_of
from planner.estimate.rounding import cents
from planner.estimate.sums import by_plate
from planner.forms import Form, InputError, Label, Money, Problem, checked, several
from planner.house import House
from planner.orders import MetalName
from planner.plan import Plan
from planner.prices import Pounds, amount_and_sign
from planner.stock import stock_of

Cause: TypeAlias = Literal["spoiled sheets", "plates made again", "more or fewer sheets", "weights sold"]
CAUSES: Final[tuple[Cause, ...]] = ("spoiled sheets", "plates made again", "more or fewer sheets", "weights sold")

_NOTHING: Final = Decimal(0)
_NAMES: Final = {"sheets": "name", "spoiled": "sheet", "remade": "plate", "sold": "metal"}

_SheetCount = Annotated[int, Field(ge=0, le=100_000, strict=True)]


class UsedSheets(Form):
    """Sheets of one kind that were taken off the rack, spoiled ones and those for plates made again with them."""

    name: Annotated[Label, Field(description="as the plan or the house file calls it")]
    count: Annotated[_SheetCount, Field(description="how many in all")]
    price: Annotated[Money | None, Field(default=None, description="of one, where the house file has none")]


class SpoiledSheets(Form):
    """Sheets that were spoiled, and why."""

    sheet: Annotated[Label, Field(description="as under [[sheets]]")]
    count: Annotated[_SheetCount, Field(default=1, description="how many")]
    cause: Annotated[Label, Field(description="like scratched in the whirler")]
    made_up: Annotated[
        bool, Field(default=True, strict=True, description="whether its flat was made up and etched before")
    ]


class RemadePlate(Form):
    """A plate that was made again, and why."""

    # An id holds slashes, which no label may.
    plate: Annotated[str, Field(min_length=1, max_length=300, description="its id in the plan")]
    cause: Annotated[Label, Field(description="like image nicked by the router")]
    sheet: Annotated[
        Label | None, Field(default=None, description="the kind of sheet that was cut for it; else from an offcut")
    ]
    sheets: Annotated[_SheetCount, Field(default=1, description="how many of those")]


class SoldMetal(Form):
    """Waste metal that was sold."""

    metal: MetalName
    kind: Annotated[Literal["scrap", "chips"], Field(default="scrap", description="solid scrap, or chips")]
    pounds: Annotated[Pounds, Field(description="how many")]
    paid: Annotated[Money | None, Field(default=None, description="what it brought; at the house's price if left out")]


class Actual(Form):
    """What was really cut."""

    currency: Annotated[Label | None, Field(default=None, description="as in the house file")]
    sheets: Annotated[
        tuple[UsedSheets, ...], Field(default=(), description="kinds not named here were used as planned")
    ]
    spoiled: Annotated[tuple[SpoiledSheets, ...], Field(default=())]
    remade: Annotated[tuple[RemadePlate, ...], Field(default=())]
    sold: Annotated[tuple[SoldMetal, ...], Field(default=(), description="what is not named here was sold as planned")]

    @model_validator(mode="after")
    def _makes_sense(self) -> Actual:
        problems = []
        if not (self.sheets or self.spoiled or self.remade or self.sold):
            problems.append(("", "says nothing; name the sheets that were used, like [[sheets]] name and count"))
        names = [used.name for used in self.sheets]
        problems += [("sheets", f'counts "{name}" twice') for name in sorted(set(names)) if names.count(name) > 1]
        sold = [(one.metal, one.kind) for one in self.sold]
        problems += [
            ("sold", f"weighs {metal} {kind} twice; add it up") for metal, kind in sorted(set(sold))
            if sold.count((metal, kind)) > 1
        ]  # fmt: skip
        if problems:
            raise several(problems)
        return self


@dataclass(frozen=True, slots=True)
class Difference:
    """One entry of the difference; ``money`` is more (less, if below nothing) than was planned."""

    cause: Cause
    what: str
    why: str
    money: Decimal


@dataclass(frozen=True, slots=True)
class SheetsUsed:
    """Sheets of one kind: planned, used, and of those spoiled and for plates made again."""

    name: str
    planned: int
    used: int
    spoiled: int
    remade: int
    price: Decimal | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """A day as it was planned and as it went."""

    account: Account
    sheets: tuple[SheetsUsed, ...]
    differences: tuple[Difference, ...]
    planned: Decimal
    """Money of the plan: sheets, less what waste brings, less the worth of offcuts."""
    actual: Decimal
    notes: tuple[str, ...]

    def of(self, cause: Cause) -> Decimal:
        """Give the money of one cause."""
        return sum((one.money for one in self.differences if one.cause == cause), _NOTHING)


def actual_from(tables: Mapping[str, Any], source: str) -> Actual:
    """Check the tables of such a file; ``source`` names it in messages.

    Raises:
        InputError: with every problem in the tables.
    """
    return checked(Actual, tables, source, _place)


def _place(keys: tuple[int | str, ...]) -> str:
    steps = [int(key) if isinstance(key, str) and key.isdigit() else key for key in keys]
    if len(steps) >= 2 and steps[0] in _NAMES and isinstance(steps[1], int):
        rest = f', key "{steps[2]}"' if len(steps) > 2 else ""
        return f"entry {steps[1] + 1} of [[{steps[0]}]]{rest}"
    return f'key "{".".join(map(str, steps))}"' if steps else ""


def with_own_sign(tables: Mapping[str, Any], currency: str, source: str) -> dict[str, Any]:
    """Take the house's currency sign off the amounts of such a file.

    Raises:
        InputError: an amount, or the file, is in another currency.
    """
    problems = []
    plain: dict[str, Any] = dict(tables)
    if "currency" in tables and str(tables["currency"]).strip() != currency:
        problems.append(Problem('key "currency"', f"is {tables['currency']}, and the house counts in {currency}"))
    for list_name, key in (("sheets", "price"), ("sold", "paid")):
        entries = tables.get(list_name)
        if not isinstance(entries, list):
            continue
        plain[list_name] = [dict(entry) if isinstance(entry, Mapping) else entry for entry in entries]
        for place, entry in enumerate(plain[list_name]):
            if isinstance(entry, dict) and isinstance(entry.get(key), str):
                entry[key], other = amount_and_sign(entry[key], currency)
                if other is not None:
                    problems.append(
                        Problem(_place((list_name, place, key)), f"is in {other}, and the house counts in {currency}")
                    )
    if problems:
        raise InputError(source, problems)
    return plain


def outcome_of(plan: Plan, house: House, actual: Actual, source: str = "what was cut") -> Outcome:
    """Compare what was cut with the plan; kinds of sheet that are not named were used as planned.

    Raises:
        InputError: a sheet or a plate is in no plan, more was spoiled than used, or what `account_of` raises.
    """
    account = account_of(plan, house)
    return _Reckoning(plan, house, account, actual, source).outcome()


class _Reckoning:
    def __init__(self, plan: Plan, house: House, account: Account, actual: Actual, source: str) -> None:
        self.house, self.account, self.actual = house, account, actual
        self.planned = Counter(flat.sheet for flat in account.flats)
        self.prices: dict[str, Decimal | None] = {
            name: None if record.price is None else cents(Decimal(record.price))
            for name, record in stock_of(house).records.items()
        }
        self.prices |= {flat.sheet: flat.price for flat in account.flats}
        given = {used.name: cents(used.price) for used in actual.sheets if used.price is not None}
        # The plan's own price stands: a sheet bought dearer is more sheets' money, not another plan.
        self.prices |= {name: price for name, price in given.items() if self.prices.get(name) is None}
        self.plates = by_plate(account.lines)
        self._refuse_strangers(plan, source)

    def outcome(self) -> Outcome:
        sheets = self._sheets()
        differences = [*self._spoiled(), *self._remade(), *self._more(sheets), *self._weights()]
        planned = sum((line.cost or _NOTHING for line in self.account.lines), _NOTHING)
        planned -= sum((line.credit for line in self.account.lines), _NOTHING)
        planned -= sum((line.cost or _NOTHING for line in self.account.lines if line.item == "offcut"), _NOTHING)
        changed = sum((one.money for one in differences), _NOTHING)
        unpriced = sorted({sheet.name for sheet in sheets if sheet.price is None})
        notes = [f"Not priced, so counted but in no money: {', '.join(unpriced)}."] if unpriced else []
        return Outcome(
            self.account, tuple(sheets), tuple(differences), planned, planned + changed, (*self.account.notes, *notes)
        )

    def _refuse_strangers(self, plan: Plan, source: str) -> None:
        problems = []
        named = [
            *(("sheets", place, "name", used.name) for place, used in enumerate(self.actual.sheets)
              if used.price is None),
            *(("spoiled", place, "sheet", one.sheet) for place, one in enumerate(self.actual.spoiled)),
            *(("remade", place, "sheet", one.sheet) for place, one in enumerate(self.actual.remade) if one.sheet),
        ]  # fmt: skip
        for table, place, key, name in named:
            if name not in self.prices:
                hint = _nearest(name, list(self.prices))
                hint = hint or ("; give its price" if table == "sheets" else "")
                problems.append(
                    Problem(_place((table, place, key)), f'"{name}" is no sheet of the plan or the house{hint}')
                )
        known = [plate.id for plate in plan.plates]
        for place, one in enumerate(self.actual.remade):
            if one.plate not in self.plates:
                what = "is on no flat of the plan" if one.plate in known else "is no plate of the plan"
                problems.append(
                    Problem(_place(("remade", place, "plate")), f'"{one.plate}" {what}{_nearest(one.plate, known)}')
                )
        if not problems:
            problems += [
                Problem(f'sheet "{sheet.name}"', f"{sheet.spoiled + sheet.remade} were spoiled or cut for plates made "
                        f"again, but only {sheet.used} were used")
                for sheet in self._sheets()
                if sheet.spoiled + sheet.remade > sheet.used
            ]  # fmt: skip
        if problems:
            raise InputError(source, problems)

    def _sheets(self) -> list[SheetsUsed]:
        spoiled = Counter[str]()
        for one in self.actual.spoiled:
            spoiled[one.sheet] += one.count
        remade = Counter[str]()
        for again in self.actual.remade:
            if again.sheet is not None:
                remade[again.sheet] += again.sheets
        told = {used.name: used.count for used in self.actual.sheets}
        names = dict.fromkeys([*self.planned, *told, *spoiled, *remade])
        return [
            SheetsUsed(
                name=name,
                planned=self.planned[name],
                # Who does not count a kind says that it went as planned, but for what he names.
                used=told.get(name, self.planned[name] + spoiled[name] + remade[name]),
                spoiled=spoiled[name],
                remade=remade[name],
                price=self.prices[name],
            )
            for name in names
        ]

    def _money(self, name: str, count: int, made_up: bool = True) -> Decimal:
        """Of sheets beyond the plan, and the making up of a flat on each; nothing where the sheet has no price."""
        price = self.prices[name]
        if price is None:
            return _NOTHING
        return (price + (cents(self.house.prices.flat) if made_up else _NOTHING)) * count

    def _spoiled(self) -> list[Difference]:
        return [
            Difference(
                "spoiled sheets",
                f"{one.count} of {one.sheet}",
                one.cause,
                self._money(one.sheet, one.count, one.made_up),
            )
            for one in self.actual.spoiled
            if one.count
        ]

    def _remade(self) -> list[Difference]:
        found = []
        for one in self.actual.remade:
            if one.sheet is not None:
                what, money = f"{one.plate}, {one.sheets} of {one.sheet}", self._money(one.sheet, one.sheets)
            else:
                what, money = f"{one.plate}, out of an offcut", self.plates[one.plate].cost or _NOTHING
            found.append(Difference("plates made again", what, one.cause, money))
        return found

    def _more(self, sheets: list[SheetsUsed]) -> list[Difference]:
        found = []
        for sheet in sheets:
            more = sheet.used - sheet.planned - sheet.spoiled - sheet.remade
            if more:
                what = f"{abs(more)} {'more' if more > 0 else 'fewer'} of {sheet.name}"
                found.append(Difference("more or fewer sheets", what, "", self._money(sheet.name, more)))
        # A kind that the plan prices, bought at another price: the sheets used cost so much more.
        for used in self.actual.sheets:
            price = self.prices[used.name]
            if used.price is not None and price is not None and cents(used.price) != price and used.count:
                more_money = (cents(used.price) - price) * used.count
                what = f"{used.count} of {used.name} at {cents(used.price)} instead of {price}"
                found.append(Difference("more or fewer sheets", what, "bought at another price", more_money))
        return found

    def _weights(self) -> list[Difference]:
        metal_of = {flat.number: flat.metal for flat in self.account.flats}
        found = []
        for one in self.actual.sold:
            lines = [line for line in self.account.lines if metal_of[line.flat] == one.metal]
            chips = one.kind == "chips"
            pounds = sum((line.chips if chips else line.scrap for line in lines), _NOTHING)
            # A line is chips or solid, never both.
            planned = sum((line.credit for line in lines if (line.chips if chips else line.scrap)), _NOTHING)
            prices = self.house.prices
            price = (prices.chips_price(one.metal) if chips else prices.scrap_price(one.metal)) or _NOTHING
            brought = cents(one.paid) if one.paid is not None else cents(one.pounds * price)
            what = f"{one.metal} {one.kind}: {one.pounds} lb sold, {pounds} lb planned"
            why = "" if one.paid is None else f"brought {brought}"
            found.append(Difference("weights sold", what, why, planned - brought))
        return found


def _nearest(name: str, known: list[str]) -> str:
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f'; did you mean "{near[0]}"?' if near else ""

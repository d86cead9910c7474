"""The quote: what jobs that are not planned yet would cost, in metal and by the price table.

The metal is a range. At most a job takes sheets of its own. With the day's other jobs it takes less: what it adds to
their sheets, its share of all sheets by blank area, or the open space of flats that are laid. Straight cuts are
reckoned with throughout; offcuts that come back are not taken off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, cast

from planner import nesting
from planner.blanks import GRID, Blank, blanks_for
from planner.crew import Crew, crew_of
from planner.estimate.charging import PricedPlate, priced
from planner.estimate.rounding import cents, thousandths
from planner.flats import Search, nest
from planner.forms import InputError, Problem
from planner.house import House
from planner.metals import weight_of
from planner.orders import MetalName, Orders
from planner.plan import ChargeRecord, Plan
from planner.planning import Prepared, prepare, read_day
from planner.plates import OrderedPlate, plates_of
from planner.rules import RuleFailure, Rules
from planner.stock import OpenSpace, Stock, material_of, open_space, stock_of

ROUNDS: Final = 500
"""Of the search for each layout of a quote."""

_NOTHING: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class MetalRange:
    """What one job takes of metal. Money is None where a sheet of it has no price."""

    area: Decimal
    """Square inches of its blanks."""
    weight: Decimal
    """Pounds of its blanks."""
    alone: Decimal | None
    """On sheets of its own: their price and the making up of their flats."""
    alone_sheets: tuple[tuple[str, int], ...]
    least: Decimal | None
    reason: str
    """Why it may be less than alone."""
    held: tuple[str, ...]
    """Plates that no sheet on hand can hold, and that are in no figure."""


@dataclass(frozen=True, slots=True)
class JobQuote:
    """One job's quote; ``price`` is None in a house without a price table whose rules charge nothing either."""

    number: str
    customer: str
    plates: tuple[PricedPlate, ...]
    price: Decimal | None
    metal: MetalRange


@dataclass(frozen=True, slots=True)
class Quote:
    """The quotes of an order file's jobs."""

    title: str
    house: str
    currency: str
    valid_days: int
    jobs: tuple[JobQuote, ...]
    notes: tuple[str, ...]


def quote_of(
    orders: Orders,
    house: House,
    rules: Rules,
    others: Sequence[Orders] = (),
    onto: Plan | None = None,
    processes: int = 1,
    gone: Collection[str] = (),
) -> Quote:
    """Quote for the jobs of an order file, alone, and with other orders or onto a plan if they are given.

    Offcuts of the plan whose names are in ``gone`` were cut off and used already.

    Raises:
        InputError: art cannot be used, a rule failed, a kind of plate has no price, a job is in two of the files, or
            plan and house count in different currencies.
    """
    _refuse_twice(orders, others, onto)
    if onto is not None and onto.settings.currency != house.prices.currency:
        raise InputError(
            "prices",
            [Problem("", f"the plan counts in {onto.settings.currency}, the house file in {house.prices.currency}")],
        )
    rules.refuse_broken()
    with crew_of(processes) as crew:
        ready = _prepared(orders, house, rules, crew)
        beside = [plate for other in others for plate in plates_of(other, house, (), crew)]
    charges: Mapping[str, Sequence[ChargeRecord]] = {plate: work.charges for plate, work in ready.works.items()}
    plates = priced(list(ready.blanks.values()), charges, house.prices, orders.source)
    charged = house.prices.has_table or any(charges.values())
    metal = _Metal(house, rules, ready, beside, onto, gone)
    jobs = []
    for job in orders.jobs:
        mine = tuple(plate for plate in plates if plate.job == job.number)
        price = sum((plate.price for plate in mine), _NOTHING) if charged else None
        jobs.append(JobQuote(job.number, job.customer or "", mine, price, metal.range_of(job.number)))
    return Quote(
        title=orders.title, house=house.name, currency=house.prices.currency, valid_days=house.prices.valid_days,
        jobs=tuple(jobs), notes=tuple(_notes(house, jobs)),
    )  # fmt: skip


def _prepared(orders: Orders, house: House, rules: Rules, crew: Crew) -> Prepared:
    day = read_day(orders, house, crew)
    while True:
        try:
            return prepare(day, house, rules, crew)
        except RuleFailure as failure:
            rules = rules.without(failure)


def _refuse_twice(orders: Orders, others: Sequence[Orders], onto: Plan | None) -> None:
    known = {job.number: "the plan" for job in (onto.jobs if onto else ())}
    problems = []
    for file in (*others, orders):
        for job in file.jobs:
            if job.number in known:
                problems.append(Problem(f"job {job.number}", f"is in {known[job.number]} too; quote for it once"))
        known |= {job.number: file.source for job in file.jobs}
    if problems:
        raise InputError(orders.source, problems)


def _notes(house: House, jobs: Sequence[JobQuote]) -> list[str]:
    notes = []
    if not house.prices.has_table:
        notes.append("The house file has no price table ([prices.line] and its fellows): only metal, and what rules "
                     "charge, is quoted.")  # fmt: skip
    if any(job.metal.alone is None for job in jobs):
        notes.append("Metal without a price on its sheets is told by its square inches and pounds only.")
    return notes


class _Metal:
    """Lays the quoted jobs in every way that is compared."""

    def __init__(
        self, house: House, rules: Rules, ready: Prepared, beside: Sequence[OrderedPlate], onto: Plan | None,
        gone: Collection[str],
    ) -> None:  # fmt: skip
        self.house = house
        self.own = list(ready.blanks.values())
        self.stock = stock_of(house)
        self.onto = onto
        self.gone = gone
        self.beside: list[Blank] = []
        if beside:
            together = blanks_for([*ready.plates, *beside], rules, house)
            self.beside = [together[plate.id] for plate in beside]
        self.without = self._laid(self.beside) if beside else None

    def range_of(self, job: str) -> MetalRange:
        """Give one job's metal."""
        mine = [blank for blank in self.own if blank.plate.job == job]
        alone = self._laid(mine)
        held = {left.piece for left in alone.left_out}
        cost = self._cost(alone)
        laid = [blank for blank in mine if blank.plate.id not in held]
        least, reason = self._least(laid, cost)
        area = sum(blank.box[2] * blank.box[3] for blank in mine)
        weight = sum(_weight(blank) for blank in mine)
        return MetalRange(
            area=thousandths(area),
            weight=thousandths(weight),
            alone=cost,
            alone_sheets=tuple(Counter(layout.stock for layout in alone.layouts).items()),
            least=least if least is None or cost is None else min(least, cost),
            reason=reason,
            held=tuple(sorted(held)),
        )

    def _least(self, mine: list[Blank], alone: Decimal | None) -> tuple[Decimal | None, str]:
        if not mine:
            return alone, "none of its plates fits a sheet on hand"
        if self.onto is not None:
            return self._onto(mine, self.onto)
        if self.without is not None:
            return self._with(mine, self.without, alone)
        return self._fully_used(mine), "at least the metal of its plates, if the rest of its sheets serves other jobs"

    def _with(self, mine: list[Blank], without: nesting.Solution, alone: Decimal | None) -> tuple[Decimal | None, str]:
        together = self._laid([*self.beside, *mine])
        before, after = self._cost(without), self._cost(together)
        if before is None or after is None or alone is None:
            more = len(together.layouts) - len(without.layouts)
            return None, f"with the other orders it takes {_sheets(more)}"
        adds = max(_NOTHING, after - before)
        share = self._share(together, mine)
        more = max(0, len(together.layouts) - len(without.layouts))
        reason = (
            f"with the other orders it takes {_sheets(more)} and adds {adds:.2f} to their cost of {before:.2f}; its "
            f"share of all sheets by blank area is {share}"
        )
        return min(adds, share, alone), reason

    def _share(self, solution: nesting.Solution, mine: list[Blank]) -> Decimal:
        """A job's part of every sheet it lies on, by blank area."""
        areas = {blank.plate.id: blank.box[2] * blank.box[3] for blank in [*self.beside, *mine]}
        names = {blank.plate.id for blank in mine}
        total = _NOTHING
        for layout in solution.layouts:
            all_of_it = sum(areas[placed.piece] for placed in layout.placements)
            of_mine = sum(areas[placed.piece] for placed in layout.placements if placed.piece in names)
            total += self._sheet_cost(layout.stock) * Decimal(of_mine / all_of_it)
        return cents(total)

    def _onto(self, mine: list[Blank], plan: Plan) -> tuple[Decimal | None, str]:
        stock = stock_of(self.house, Counter(flat.sheet.name for flat in plan.flats))
        spaces = {space.nesting.name: space for space in open_space(plan, self.house, (), self.gone)}
        solution = self._laid(mine, stock, list(spaces.values()))
        new = [layout for layout in solution.layouts if layout.stock not in spaces]
        used = [(spaces[layout.stock].flat, layout) for layout in solution.layouts if layout.stock in spaces]
        flats = sorted({flat.number for flat, _ in used})
        if not flats:
            return self._cost(solution), "the flats of the plan have no open space for it"
        where = f"open space of flat{'s' if len(flats) > 1 else ''} {', '.join(map(str, flats))} of the plan takes "
        where += "all of it" if not new else f"a part of it, and it takes {_sheets(len(new))}"
        held = f"; {len(solution.left_out)} of its plates find no metal beside the plan" if solution.left_out else ""
        if any(flat.sheet.price is None for flat, _ in used) or any(not self._priced(one.stock) for one in new):
            return None, where + held
        worth = _NOTHING
        for flat, layout in used:
            area = sum(placed.width * placed.height for placed in layout.placements) / GRID**2
            worth += Decimal(str(flat.sheet.price)) * Decimal(area / (flat.sheet.width * flat.sheet.height))
        sheets = sum((self._sheet_cost(layout.stock) for layout in new), _NOTHING)
        return cents(worth) + sheets, f"{where}, metal that counts as {cents(worth)}{held}"

    def _fully_used(self, mine: list[Blank]) -> Decimal | None:
        """Its blanks at the least price of a square inch of their metal."""
        total = _NOTHING
        for blank in mine:
            material = material_of(blank.plate.metal, blank.plate.gauge)
            prices = [
                sheet.price / Decimal(sheet.size[0] * sheet.size[1])
                for sheet in self.stock.sheets.values()
                if sheet.price is not None and material_of(sheet.metal, sheet.gauge) == material
            ]
            if not prices:
                return None
            total += min(prices) * Decimal(blank.box[2] * blank.box[3])
        return cents(total)

    def _laid(
        self, blanks: list[Blank], stock: Stock | None = None, spaces: Sequence[OpenSpace] = ()
    ) -> nesting.Solution:
        search = Search(iterations=ROUNDS)
        return nest(blanks, stock or self.stock, self.house, search, [space.nesting for space in spaces])

    def _cost(self, solution: nesting.Solution) -> Decimal | None:
        names = [layout.stock for layout in solution.layouts]
        if not all(self._priced(name) for name in names):
            return None
        return sum((self._sheet_cost(name) for name in names), _NOTHING)

    def _priced(self, name: str) -> bool:
        return self.stock.sheets[name].price is not None

    def _sheet_cost(self, name: str) -> Decimal:
        return cents((self.stock.sheets[name].price or _NOTHING) + self.house.prices.flat)


def _weight(blank: Blank) -> float:
    metal = cast(MetalName, blank.plate.metal)
    return weight_of(metal, blank.box[2] * blank.box[3], blank.plate.gauge)


def _sheets(count: int) -> str:
    if count <= 0:
        return "no further sheet"
    return f"{count} further sheet{'s' if count > 1 else ''}"

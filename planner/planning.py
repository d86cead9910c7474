"""The conductor: calls the rooms in order, from orders and house to the Plan. It decides nothing itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import version

from planner import nesting
from planner.blanks import Blank, blank_for
from planner.checks import check_plate
from planner.findings import Finding
from planner.flats import Search, Work, held_plate
from planner.geometry import union_of
from planner.house import House
from planner.laying import lay_day
from planner.ledger import ledger_of
from planner.orders import Orders
from planner.plan import FindingRecord, HeldPlate, Plan
from planner.plates import OrderedPlate, plates_of
from planner.records import finding_records, job_record, plate_record, settings_record
from planner.routing import Zone, zones_of
from planner.rules import Rules
from planner.stock import stock_of


@dataclass(frozen=True, slots=True)
class Prepared:
    """A day's plates as far as they can be made ready before anything is laid."""

    plates: tuple[OrderedPlate, ...]
    blanks: dict[str, Blank]
    works: dict[str, Work]
    found: tuple[tuple[str, str, Finding], ...]
    """What is found on plates: the plate's id, the rule or check that says so, and the finding."""

    def held(self, left_out: Iterable[nesting.LeftOut], house: House) -> tuple[HeldPlate, ...]:
        """Give the plates that are on no flat, in the order in which they were ordered."""
        stock = stock_of(house)
        reasons = {left.piece: left for left in left_out}
        return tuple(
            held_plate(reasons[plate.id], plate, self.blanks[plate.id], stock)
            for plate in self.plates
            if plate.id in reasons
        )


def prepare(orders: Orders, house: House, rules: Rules) -> Prepared:
    """Make a day's plates ready: blanks, findings, router zones.

    Raises:
        InputError: a rule failed, or is broken and not switched off.
    """
    rules.refuse_broken()
    plates = tuple(plates_of(orders, house))
    blanks = {plate.id: blank_for(plate, rules, house) for plate in plates}
    return Prepared(plates, blanks, _works(blanks, rules, house), tuple(_inspected(plates, rules, house)))


def make_plan(
    orders: Orders,
    house: House,
    rules: Rules,
    search: Search = Search(),  # noqa: B008 - frozen, so safe to share
) -> Plan:
    """Plan a day.

    The same orders, house, rules, seed and iterations give the same plan; seconds can only stop the search earlier,
    and the plan's settings say whether they did.

    Raises:
        InputError: a rule failed, or is broken and not switched off.
    """
    ready = prepare(orders, house, rules)
    stock = stock_of(house)
    laid = lay_day(list(ready.blanks.values()), ready.works, stock, house, search)
    flats = laid.flats
    held = ready.held(laid.left_out, house)
    records = tuple(plate_record(ready.blanks[plate.id], house) for plate in ready.plates)
    return Plan(
        title=orders.title,
        version=version("flatwright"),
        settings=settings_record(house, rules, search.seed, laid.straight),
        jobs=tuple(job_record(job, ready.plates) for job in orders.jobs),
        plates=records,
        flats=flats,
        held=held,
        findings=finding_records(ready.found, flats, held, ready.blanks, records),
        bounds=laid.bounds,
        ledger=ledger_of(flats, records),
    )


def _inspected(plates: Sequence[OrderedPlate], rules: Rules, house: House) -> list[tuple[str, str, Finding]]:
    """All findings on plates, each with its plate and the rule or check that made it."""
    found: list[tuple[str, str, Finding]] = []
    for plate in plates:
        found += [(plate.id, "check", finding) for finding in check_plate(plate, house)]
        for rule in rules.active:
            found += [(plate.id, rule.rule.name, finding) for finding in rule.inspect(plate)]
    return found


def _works(blanks: dict[str, Blank], rules: Rules, house: House) -> dict[str, Work]:
    """Ask every rule for every plate; copies and colours with the same answers share the router zones."""
    made: dict[tuple[str, str, bytes, bytes], tuple[Zone, ...]] = {}
    works: dict[str, Work] = {}
    for plate_id, blank in blanks.items():
        plate = blank.plate
        metal = [metal for rule in rules.active for metal in rule.staying_metal(plate)]
        staying = union_of(entry.shape.intersection(plate.face) for entry in metal)
        key = (plate.job, plate.name, staying.wkb, blank.flange.wkb)
        if key not in made:
            made[key] = tuple(zones_of(plate, blank.flange, staying, house.routing))
        works[plate_id] = Work(blank, staying, made[key])
    return works


def stopping(plan: Plan) -> Iterator[FindingRecord]:
    """Give the findings that must be cured before work begins."""
    return (finding for finding in plan.findings if finding.severity == "stop")

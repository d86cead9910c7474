"""The conductor: calls the rooms in order, from orders and house to the Plan. It decides nothing itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version

from planner import nesting
from planner.art_records import ArtOfTheDay, art_of
from planner.blanks import Blank, blanks_for
from planner.camera import settings_for
from planner.checks import check_plate, check_work
from planner.crew import Crew, crew_of
from planner.findings import Finding
from planner.flats import Search, Work, held_plate
from planner.house import House
from planner.laid import DayRecords
from planner.laid_rules import laid_findings, with_additions
from planner.laying import lay_day
from planner.ledger import ledger_of
from planner.offcuts import named_offcuts, slug_of
from planner.orders import Orders
from planner.plan import FindingRecord, HeldPlate, Plan, RouterRecord
from planner.plate_work import works_for
from planner.plates import OrderedPlate, plates_of
from planner.records import finding_records, job_record, plate_records, settings_record
from planner.router_records import router_records
from planner.routing import distances_for
from planner.rules import RuleFailure, Rules
from planner.seams import with_seams
from planner.stock import stock_of


@dataclass(frozen=True, slots=True)
class Read:
    """A day's plates as ordered, with their art read: all that does not depend on rules."""

    plates: tuple[OrderedPlate, ...]
    art: ArtOfTheDay


@dataclass(frozen=True, slots=True)
class Prepared:
    """A day's plates as far as they can be made ready before anything is laid."""

    plates: tuple[OrderedPlate, ...]
    art: ArtOfTheDay
    blanks: dict[str, Blank]
    works: dict[str, Work]
    found: tuple[tuple[str, str, Finding], ...]
    """What is found on plates: the plate's id, the rule or check that says so, and the finding."""

    @property
    def router(self) -> tuple[RouterRecord, ...]:
        """The router's work, in the order of the plates."""
        works = {plate_id: work.router for plate_id, work in self.works.items()}
        return router_records(works, [plate.id for plate in self.plates])

    def held(self, left_out: Iterable[nesting.LeftOut], house: House) -> tuple[HeldPlate, ...]:
        """Give the plates that are on no flat, in the order in which they were ordered."""
        stock = stock_of(house)
        reasons = {left.piece: left for left in left_out}
        return tuple(
            held_plate(reasons[plate.id], plate, self.blanks[plate.id], stock)
            for plate in self.plates
            if plate.id in reasons
        )


def read_day(orders: Orders, house: House, crew: Crew, first_art: int = 1) -> Read:
    """Read the art of a day's plates.

    Raises:
        InputError: art cannot be used.
    """
    plates = tuple(plates_of(orders, house, distances_for(house), crew))
    return Read(plates, art_of(plates, first_art))


def prepare(day: Read, house: House, rules: Rules, crew: Crew) -> Prepared:
    """Make a day's plates ready: blanks, findings, the router's work.

    Raises:
        InputError: a rule failed, or rules contradict each other.
    """
    blanks = blanks_for(day.plates, rules, house)
    works = works_for(blanks, day.art, rules, house, crew)
    return Prepared(day.plates, day.art, blanks, works, tuple(_inspected(day.plates, works, rules, house)))


def with_rules(rules: Rules, make: Callable[[Rules], Plan]) -> Plan:
    """Make a plan with the rules; where the house wants it, again without one that fails.

    Raises:
        InputError: a rule failed, and the house wants to stop.
    """
    while True:
        try:
            return make(rules)
        except RuleFailure as failure:
            rules = rules.without(failure)


def make_plan(
    orders: Orders,
    house: House,
    rules: Rules,
    search: Search = Search(),  # noqa: B008 - frozen, so safe to share
    processes: int = 1,
) -> Plan:
    """Plan a day.

    The same orders, art, house, rules, seed and iterations give the same plan; seconds can only stop the search
    earlier, and the plan's settings say whether they did. Art is read and the router's work is planned in at most so
    many ``processes``; a script that asks for more than one must be one that can be imported.

    Raises:
        InputError: art cannot be used, a rule failed, is broken and not switched off, or rules contradict each other.
    """
    rules.refuse_broken()
    with crew_of(processes) as crew:
        day = read_day(orders, house, crew)
        return with_rules(rules, lambda rules: _planned(orders, day, house, rules, search, crew))


def _planned(orders: Orders, day: Read, house: House, rules: Rules, search: Search, crew: Crew) -> Plan:
    ready = prepare(day, house, rules, crew)
    laid = lay_day(list(ready.blanks.values()), ready.works, stock_of(house), house, search)
    held = ready.held(laid.left_out, house)
    plates = plate_records(ready.works.values(), house)
    jobs = tuple(job_record(job, ready.plates) for job in orders.jobs)
    records = DayRecords(plates, jobs, ready.art.records)
    flats = with_seams(with_additions(laid.flats, records, rules))
    on_laid = laid_findings(flats, records, held, rules)
    return Plan(
        title=orders.title,
        version=version("flatwright"),
        settings=settings_record(house, rules, search.seed, laid.straight),
        jobs=jobs,
        plates=plates,
        flats=flats,
        held=held,
        findings=finding_records(ready.found, flats, held, ready.blanks, plates, on_laid),
        bounds=laid.bounds,
        ledger=ledger_of(flats, plates),
        art=ready.art.records,
        camera=settings_for(ready.art.copies, house.camera.tolerance),
        router=ready.router,
        offcuts=named_offcuts(flats, slug_of(orders.title)),
    )


def _inspected(
    plates: Sequence[OrderedPlate], works: Mapping[str, Work], rules: Rules, house: House
) -> list[tuple[str, str, Finding]]:
    """All findings on plates, each with its plate and the rule or check that made it."""
    found: list[tuple[str, str, Finding]] = []
    checked: dict[tuple[str, str, int], list[Finding]] = {}
    for plate in plates:
        work = works[plate.id].router
        # Copies and colours have the same films; what is asked of them is asked once.
        key = (plate.job, plate.name, id(work))
        if key not in checked:
            checked[key] = [*check_plate(plate, house), *check_work(plate, work, house)]
        found += [(plate.id, "check", finding) for finding in checked[key]]
        for rule in rules.active:
            found += [(plate.id, rule.name, finding) for finding in rule.inspect_plate(plate, work)]
    return found


def stopping(plan: Plan) -> Iterator[FindingRecord]:
    """Give the findings that must be cured before work begins."""
    return (finding for finding in plan.findings if finding.severity == "stop")

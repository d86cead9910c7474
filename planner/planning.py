"""The conductor: calls the rooms in order, from orders and house to the Plan. It decides nothing itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version

from shapely.geometry import MultiPolygon

from planner import nesting
from planner.art_records import ArtOfTheDay, art_of
from planner.blanks import Blank, blank_for
from planner.camera import settings_for
from planner.checks import check_plate, check_work
from planner.crew import Crew, crew_of
from planner.findings import Finding
from planner.flats import Search, Work, held_plate
from planner.geometry import union_of
from planner.house import House
from planner.laying import lay_day
from planner.ledger import ledger_of
from planner.orders import Orders
from planner.plan import FindingRecord, HeldPlate, Plan, RouterRecord
from planner.plates import OrderedPlate, plates_of
from planner.records import finding_records, job_record, plate_records, settings_record
from planner.router_records import router_records
from planner.routing import RouterWork, distances_for, router_work
from planner.rules import Rules
from planner.stock import stock_of


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


def prepare(orders: Orders, house: House, rules: Rules, processes: int = 1, first_art: int = 1) -> Prepared:
    """Make a day's plates ready: art read, blanks, findings, the router's work.

    Raises:
        InputError: art cannot be used, a rule failed, or is broken and not switched off.
    """
    rules.refuse_broken()
    with crew_of(processes) as crew:
        plates = tuple(plates_of(orders, house, distances_for(house), crew))
        art = art_of(plates, first_art)
        blanks = {plate.id: blank_for(plate, rules, house) for plate in plates}
        works = _works(blanks, art, rules, house, crew)
    return Prepared(plates, art, blanks, works, tuple(_inspected(plates, works, rules, house)))


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
        InputError: art cannot be used, a rule failed, or is broken and not switched off.
    """
    ready = prepare(orders, house, rules, processes)
    stock = stock_of(house)
    laid = lay_day(list(ready.blanks.values()), ready.works, stock, house, search)
    flats = laid.flats
    held = ready.held(laid.left_out, house)
    records = plate_records(ready.blanks.values(), house)
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
        art=ready.art.records,
        camera=settings_for(ready.art.copies, house.camera.tolerance),
        router=ready.router,
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
            found += [(plate.id, rule.rule.name, finding) for finding in rule.inspect(plate)]
    return found


def _works(blanks: Mapping[str, Blank], art: ArtOfTheDay, rules: Rules, house: House, crew: Crew) -> dict[str, Work]:
    """Ask every rule for every plate; copies and colours with the same answers share the router's work."""
    staying: dict[str, MultiPolygon] = {}
    keys: dict[str, tuple[str, str, bytes, bytes]] = {}
    asked: dict[tuple[str, str, bytes, bytes], _RouterTask] = {}
    for plate_id, blank in blanks.items():
        plate = blank.plate
        metal = [metal for rule in rules.active for metal in rule.staying_metal(plate)]
        staying[plate_id] = union_of(entry.shape.intersection(plate.face) for entry in metal)
        keys[plate_id] = (plate.job, plate.name, staying[plate_id].wkb, blank.flange.wkb)
        asked.setdefault(keys[plate_id], _RouterTask(plate, blank.flange, staying[plate_id], house))
    heavy = [any(film.art for film in task.plate.films) for task in asked.values()]
    made = dict(zip(asked, crew.does(_routed, list(asked.values()), heavy), strict=True))
    return {
        plate_id: Work(
            blank, _with_nails(staying[plate_id], made[keys[plate_id]]), made[keys[plate_id]],
            art.by_plate.get(plate_id, {}),
        )
        for plate_id, blank in blanks.items()
    }  # fmt: skip


@dataclass(frozen=True, slots=True)
class _RouterTask:
    plate: OrderedPlate
    flange: MultiPolygon
    staying: MultiPolygon
    house: House


def _routed(task: _RouterTask) -> RouterWork:
    return router_work(task.plate, task.flange, task.staying, task.house)


def _with_nails(staying: MultiPolygon, work: RouterWork) -> MultiPolygon:
    """Metal that must stay, the places of nails with it."""
    return union_of([staying, work.nails.discs])


def stopping(plan: Plan) -> Iterator[FindingRecord]:
    """Give the findings that must be cured before work begins."""
    return (finding for finding in plan.findings if finding.severity == "stop")

"""The conductor: calls the rooms in order, from orders and house to the Plan. It decides nothing itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from importlib.metadata import version
from typing import Final

from planner import nesting
from planner.blanks import Blank, blank_for
from planner.checks import check_plate
from planner.checks.placing import check_placing
from planner.checks.sets import check_sets
from planner.findings import SEVERITIES, Finding
from planner.flats import Place, Work, flat_of, held_plate, nest, stock_of
from planner.geometry import plain, union_of
from planner.house import House
from planner.ledger import ledger_of
from planner.orders import Job, Orders
from planner.plan import (
    BoundRecord,
    FindingRecord,
    Flat,
    HeldPlate,
    JobRecord,
    Plan,
    PlateRecord,
    RuleRecord,
    Settings,
)
from planner.plates import OrderedPlate, plates_of
from planner.routing import Zone, zones_of
from planner.rules import Rules

DEFAULT_ITERATIONS: Final = nesting.Options().iterations


def make_plan(
    orders: Orders,
    house: House,
    rules: Rules,
    *,
    seed: int = 0,
    iterations: int = DEFAULT_ITERATIONS,
    seconds: float | None = None,
    progress: Callable[[nesting.Progress], None] | None = None,
) -> Plan:
    """Plan a day.

    The same orders, house, rules, seed and iterations give the same plan; ``seconds`` can only stop the search
    earlier, and the plan's settings say whether it did.

    Raises:
        InputError: a rule failed, or is broken and not switched off.
    """
    rules.refuse_broken()
    plates = plates_of(orders, house)
    blanks = {plate.id: blank_for(plate, rules, house) for plate in plates}
    found = _inspected(plates, rules, house)
    works = _works(blanks, rules, house)
    stock = stock_of(house)
    solution = nest(
        list(blanks.values()), stock, house, seed=seed, iterations=iterations, seconds=seconds, progress=progress
    )
    flats = tuple(flat_of(number, layout, works, stock, house) for number, layout in enumerate(solution.layouts, 1))
    by_id = {plate.id: plate for plate in plates}
    held = tuple(
        held_plate(left, by_id[left.piece], blanks[left.piece], stock)
        for left in sorted(solution.left_out, key=lambda left: list(by_id).index(left.piece))
    )
    records = tuple(_plate_record(blanks[plate.id], house) for plate in plates)
    return Plan(
        title=orders.title,
        version=version("flatwright"),
        settings=_settings(house, rules, seed, solution),
        jobs=tuple(_job_record(job, plates) for job in orders.jobs),
        plates=records,
        flats=flats,
        held=held,
        findings=_finding_records(found, flats, held, blanks, records),
        bounds=tuple(
            BoundRecord(
                share_key=bound.group,
                flats=bound.used,
                proven_least=bound.sheets,
                cost=round(bound.spent, 2),
                least_cost=round(bound.cost, 2),
            )
            for bound in solution.bounds
        ),
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


def _finding_records(
    found: Iterable[tuple[str, str, Finding]],
    flats: Sequence[Flat],
    held: Sequence[HeldPlate],
    blanks: dict[str, Blank],
    plates: Sequence[PlateRecord],
) -> tuple[FindingRecord, ...]:
    places = {
        placement.plate: (flat.number, Place(blanks[placement.plate], placement.turned // 90, *placement.blank[:2]))
        for flat in flats
        for placement in flat.placements
    }
    records = [_held_finding(plate) for plate in held]
    for plate_id, rule, finding in found:
        number, place = places.get(plate_id, (None, None))
        shape = finding.shape if finding.shape is None or place is None else place.clip(finding.shape)
        turned = finding.sided and place is not None and place.quarters
        said = replace(finding, cure=f"{finding.cure} ({_TURNED})") if turned else finding
        records.append(_finding_record(said, rule, plate_id, number, () if shape is None else plain(shape)))
    on_flats = [entry for flat in flats for entry in check_placing(flat)]
    for plate_id, finding in (*on_flats, *check_sets(flats, plates)):
        shape_there = () if finding.shape is None else plain(finding.shape)
        records.append(_finding_record(finding, "check", plate_id, places[plate_id][0], shape_there))
    order = {plate_id: position for position, plate_id in enumerate(blanks)}
    records.sort(
        key=lambda record: (SEVERITIES.index(record.severity), order[record.plate or ""], record.code, record.message)
    )
    return tuple(records)


_TURNED: Final = (
    "sides are said as the plate reads; on the flat it lies turned a quarter anticlockwise: its top is at the left "
    "there, its right side at the top"
)


def _finding_record(
    finding: Finding,
    rule: str,
    plate: str,
    flat: int | None,
    shape: tuple[tuple[tuple[tuple[float, float], ...], ...], ...],
) -> FindingRecord:
    return FindingRecord(
        code=finding.code, severity=finding.severity, rule=rule, plate=plate, flat=flat,
        message=finding.message, cure=finding.cure, amount=finding.amount, unit=finding.unit, shape=shape,
    )  # fmt: skip


_HELD_CURES: Final = {
    "too-large": "split it, or buy a larger sheet",
    "no-metal": "buy it, or agree on another metal or gauge with the customer",
    "out-of-stock": "buy metal, or leave the plate for another day",
}


def _held_finding(held: HeldPlate) -> FindingRecord:
    return FindingRecord(
        code=f"held.{held.code}", severity="stop", rule="nesting", plate=held.plate, flat=None,
        message=f"it is on no flat: it {held.reason}", cure=_HELD_CURES[held.code], amount=None, unit="", shape=(),
    )  # fmt: skip


def _plate_record(blank: Blank, house: House) -> PlateRecord:
    plate = blank.plate
    return PlateRecord(
        id=plate.id, job=plate.job, name=plate.name, copy_number=plate.copy_number, copies=plate.copies,
        colour=plate.colour, metal=plate.metal, gauge=plate.gauge, screen=plate.screen, mounting=plate.mounting,
        block=None if plate.mounting == "unmounted" else max(0.0, house.type_height - plate.gauge),
        may_turn=plate.may_turn, notes=plate.notes, width=plate.width, height=plate.height,
        outline=plain(plate.outline), printing=plain(plate.printing), films=len(plate.films),
        blank=blank.box, allowances=blank.allowances, share_key=plate.share_key,
    )  # fmt: skip


def _job_record(job: Job, plates: Sequence[OrderedPlate]) -> JobRecord:
    count = sum(1 for plate in plates if plate.job == job.number)
    return JobRecord(
        number=job.number, customer=job.customer, due=job.due, rush=job.rush, notes=job.notes, plates=count
    )


def _settings(house: House, rules: Rules, seed: int, solution: nesting.Solution) -> Settings:
    return Settings(
        seed=seed, iterations=solution.iterations, stopped=solution.stopped,
        house=house.name, currency=house.prices.currency,
        register_tolerance=house.film.register_tolerance, clearance=house.routing.clearance,
        least_white=house.routing.least_white, cutters=tuple(sorted(house.routing.cutters, reverse=True)),
        least_offcut=house.flats.least_offcut,
        rules=tuple(
            RuleRecord(name=rule.rule.name, version=rule.rule.version, source=rule.source) for rule in rules.active
        ),
    )  # fmt: skip


def stopping(plan: Plan) -> Iterator[FindingRecord]:
    """Give the findings that must be cured before work begins."""
    return (finding for finding in plan.findings if finding.severity == "stop")

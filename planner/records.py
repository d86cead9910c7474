"""What the rooms found and made, as the records that a plan consists of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final, get_args

from planner import nesting
from planner.blanks import Blank
from planner.checks.placing import check_placing
from planner.checks.sets import check_sets
from planner.findings import SEVERITIES, Finding
from planner.flats import Place, Work
from planner.geometry import plain
from planner.house import House
from planner.orders import Job, MetalName
from planner.plan import (
    BoundRecord,
    FindingRecord,
    Flat,
    HeldPlate,
    JobRecord,
    PlateRecord,
    RuleRecord,
    Scope,
    Settings,
    Shape,
)
from planner.plates import OrderedPlate
from planner.rules import Rules


def finding_records(
    found: Iterable[tuple[str, str, Finding]],
    flats: Sequence[Flat],
    held: Sequence[HeldPlate],
    blanks: dict[str, Blank],
    plates: Sequence[PlateRecord],
    on_laid: Iterable[tuple[str, Scope, Finding]],
) -> tuple[FindingRecord, ...]:
    """Give all findings on these blanks, the most severe first, each where its plate lies.

    Shapes are in the flat's frame where the plate lies on one; flats may hold other plates too. ``on_laid`` are those
    on flats and on the day, with the rule and what it looked at.
    """
    places = {
        placement.plate: (flat.number, Place(blanks[placement.plate], placement.turned // 90, *placement.blank[:2]))
        for flat in flats
        for placement in flat.placements
        if placement.plate in blanks
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
        if plate_id not in blanks:
            continue
        shape_there = () if finding.shape is None else plain(finding.shape)
        records.append(_finding_record(finding, "check", plate_id, places[plate_id][0], shape_there))
    for rule, scope, finding in on_laid:
        shape_there = () if finding.shape is None else plain(finding.shape)
        number = (
            finding.flat if finding.plate is None or finding.flat is not None else places.get(finding.plate, (None,))[0]
        )
        records.append(_finding_record(finding, rule, finding.plate, number, shape_there, scope))
    order = {plate_id: position for position, plate_id in enumerate(blanks)}
    records.sort(
        key=lambda record: (
            SEVERITIES.index(record.severity), order.get(record.plate or "", -1), record.code, record.message
        )
    )  # fmt: skip
    return tuple(records)


_TURNED: Final = (
    "sides are said as the plate reads; on the flat it lies turned a quarter anticlockwise: its top is at the left "
    "there, its right side at the top"
)


def _finding_record(
    finding: Finding,
    rule: str,
    plate: str | None,
    flat: int | None,
    shape: Shape,
    scope: Scope = "plate",
) -> FindingRecord:
    return FindingRecord(
        code=finding.code, severity=finding.severity, rule=rule, plate=plate, flat=flat,
        message=finding.message, cure=finding.cure, amount=finding.amount, unit=finding.unit, shape=shape, scope=scope,
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


def plate_records(works: Iterable[Work], house: House) -> tuple[PlateRecord, ...]:
    """Give the records of plates; copies and colours share what prints, which is written once."""
    written: dict[tuple[str, str], Shape] = {}
    records = []
    for work in works:
        plate = work.blank.plate
        key = (plate.job, plate.name)
        if key not in written:
            written[key] = plain(plate.printing)
        records.append(_plate_record(work, written[key], house))
    return tuple(records)


def _plate_record(work: Work, printing: Shape, house: House) -> PlateRecord:
    blank, plate = work.blank, work.blank.plate
    return PlateRecord(
        id=plate.id, job=plate.job, name=plate.name, copy_number=plate.copy_number, copies=plate.copies,
        colour=plate.colour, metal=plate.metal, gauge=plate.gauge, screen=plate.screen, mounting=plate.mounting,
        block=None if plate.mounting == "unmounted" else max(0.0, house.type_height - plate.gauge),
        on_block=plate.on_block, may_turn=plate.may_turn, notes=plate.notes, width=plate.width, height=plate.height,
        outline=plain(plate.outline), printing=printing, films=len(plate.films),
        blank=blank.box, allowances=blank.allowances, share_key=blank.share.key,
        together=blank.share.together, sharing=blank.share.asked, staying=work.asked_to_stay, charges=work.charges,
    )  # fmt: skip


def job_record(job: Job, plates: Sequence[OrderedPlate]) -> JobRecord:
    """Give a job's record."""
    count = sum(1 for plate in plates if plate.job == job.number)
    return JobRecord(
        number=job.number,
        customer=job.customer,
        due=job.due,
        rush=job.rush,
        paper=job.paper,
        notes=job.notes,
        plates=count,
    )


def settings_record(house: House, rules: Rules, seed: int, solution: nesting.Solution) -> Settings:
    """Give what the plan was made with."""
    return Settings(
        seed=seed, iterations=solution.iterations, stopped=solution.stopped,
        house=house.name, currency=house.prices.currency,
        register_tolerance=house.film.register_tolerance, clearance=house.routing.clearance,
        least_white=house.routing.least_white, cutters=tuple(sorted(house.routing.cutters, reverse=True)),
        least_offcut=house.flats.least_offcut,
        least_offcut_of={name: own for name in get_args(MetalName) if (own := getattr(house.flats.least_of, name))},
        rules=tuple(
            RuleRecord(name=rule.name, version=rule.rule.version, source=rule.source) for rule in rules.active
        ),
    )  # fmt: skip


def bound_records(solution: nesting.Solution) -> tuple[BoundRecord, ...]:
    """Give what is proven of each group's flats."""
    return tuple(
        BoundRecord(
            share_key=bound.group,
            flats=bound.used,
            proven_least=bound.sheets,
            cost=round(bound.spent, 2),
            least_cost=round(bound.cost, 2),
        )
        for bound in solution.bounds
    )

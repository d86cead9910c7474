"""Calls the roll: is every plate of every job there, exactly once, and in a place where it may be?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from planner.plan import Flat, Placement, Plan, PlateRecord
from planner.proof.report import Check, Tally
from planner.proof.shapes import TOLERANCE


def check_roll(plan: Plan) -> Check:
    """Nothing is lost: each job has its plates, each plate is on one flat or held, on metal it may share."""
    tally = Tally("nothing lost", "plates")
    tally.look(len(plan.plates))
    _check_names(plan, tally)
    _check_jobs(plan, tally)
    _check_whereabouts(plan, tally)
    records = {plate.id: plate for plate in plan.plates}
    for flat in plan.flats:
        for placement in flat.placements:
            plate = records.get(placement.plate)
            if plate is None:
                tally.wrong(f"flat {flat.number}: there lies plate {placement.plate}, which nobody ordered.")
            else:
                _check_placement(flat, placement, plate, tally)
    _check_held(plan, records, tally)
    _check_findings(plan, records, tally)
    _check_bounds(plan, tally)
    return tally.done()


def _twice(names: Iterable[object]) -> list[object]:
    return [name for name, count in Counter(names).items() if count > 1]


def _check_names(plan: Plan, tally: Tally) -> None:
    for name in _twice(plate.id for plate in plan.plates):
        tally.wrong(f"Plate {name} is in the plan's list of plates more than once.")
    for name in _twice(job.number for job in plan.jobs):
        tally.wrong(f"Job {name} is in the plan's list of jobs more than once.")
    for name in _twice(flat.number for flat in plan.flats):
        tally.wrong(f"There is more than one flat {name}.")


def _check_jobs(plan: Plan, tally: Tally) -> None:
    found = Counter(plate.job for plate in plan.plates)
    for job in plan.jobs:
        if found[job.number] != job.plates:
            tally.wrong(f"Job {job.number}: it should have {job.plates} plates, but has {found[job.number]}.")
    known = {job.number for job in plan.jobs}
    for plate in plan.plates:
        if plate.job not in known:
            tally.wrong(f"Plate {plate.id}: its job {plate.job} is not in the plan.")


def _check_whereabouts(plan: Plan, tally: Tally) -> None:
    laid = Counter(placement.plate for flat in plan.flats for placement in flat.placements)
    held = Counter(plate.plate for plate in plan.held)
    for name in dict.fromkeys(plate.id for plate in plan.plates):
        if laid[name] + held[name] != 1:
            flats = ", ".join(
                f"flat {flat.number}"
                for flat in plan.flats
                if any(placement.plate == name for placement in flat.placements)
            )
            tally.wrong(
                f"Plate {name} lies in {laid[name]} places ({flats or 'no flat'}), held {held[name]} times; "
                "it must be exactly one of them."
            )


def _check_placement(flat: Flat, placement: Placement, plate: PlateRecord, tally: Tally) -> None:
    where = f"flat {flat.number}, plate {plate.id}"
    if placement.turned and not plate.may_turn:
        tally.wrong(f"{where}: it is turned by {placement.turned} degrees, but may not be turned.")
    width, height = plate.blank[2:]
    if placement.turned in (90, 270):
        width, height = height, width
    off = max(abs(placement.blank[2] - width), abs(placement.blank[3] - height))
    if not off <= TOLERANCE:
        tally.wrong(
            f"{where}: its blank measures {placement.blank[2]:.6g} x {placement.blank[3]:.6g} in "
            f"instead of {width:.6g} x {height:.6g} in."
        )
    if plate.share_key != flat.share_key:
        tally.wrong(f"{where}: it belongs on a flat of {plate.share_key}, and this one is of {flat.share_key}.")
    if plate.metal != flat.sheet.metal:
        tally.wrong(f"{where}: it is to be {plate.metal}, and the sheet is {flat.sheet.metal}.")
    if not abs(plate.gauge - flat.sheet.gauge) <= TOLERANCE:
        tally.wrong(f"{where}: it is to be {plate.gauge:.6g} in thick, the sheet is {flat.sheet.gauge:.6g} in.")


def _check_held(plan: Plan, records: dict[str, PlateRecord], tally: Tally) -> None:
    stopped = {
        finding.plate for finding in plan.findings if finding.severity == "stop" and finding.code.startswith("held.")
    }
    for held in plan.held:
        if held.plate not in records:
            tally.wrong(f"Plate {held.plate} is held, but nobody ordered it.")
        elif held.plate not in stopped:
            tally.wrong(f"Plate {held.plate} is held ({held.code}), but no finding stops it.")


def _check_findings(plan: Plan, records: dict[str, PlateRecord], tally: Tally) -> None:
    numbers = {flat.number for flat in plan.flats}
    for finding in plan.findings:
        if finding.plate is not None and finding.plate not in records:
            tally.wrong(f"A finding ({finding.code}) speaks of plate {finding.plate}, which nobody ordered.")
        if finding.flat is not None and finding.flat not in numbers:
            tally.wrong(f"A finding ({finding.code}) speaks of flat {finding.flat}, which is not there.")


def _check_bounds(plan: Plan, tally: Tally) -> None:
    """What is said to be proven agrees with the flats that are there."""
    flats = Counter(flat.share_key for flat in plan.flats)
    said = {bound.share_key: bound for bound in plan.bounds}
    if len(said) != len(plan.bounds):
        tally.wrong("There is more than one bound for what may share a flat.")
    for key, count in flats.items():
        if key not in said:
            tally.wrong(f"There is no bound for the flats of {key}.")
        elif said[key].flats != count:
            tally.wrong(f"The bound of {key} speaks of {said[key].flats} flats, and there are {count}.")
    for key, bound in said.items():
        if not 0 <= bound.proven_least <= bound.flats or not bound.least_cost <= bound.cost:
            tally.wrong(f"{key}: more is said to be proven necessary than was used.")
        if key not in flats and bound.flats:
            tally.wrong(f"The bound of {key} speaks of flats that are not there.")

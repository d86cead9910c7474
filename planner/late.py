"""A late job enters a plan: into the open space of flats that are laid, without moving what lies there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping

from planner import nesting
from planner.camera import settings_for
from planner.crew import crew_of
from planner.cutting import part_of_plate, parts_with
from planner.findings import SEVERITIES
from planner.flats import Search, Work, flat_of, nest, placement_of
from planner.forms import InputError, Problem
from planner.house import House
from planner.laid import DayRecords
from planner.laid_rules import laid_findings, with_additions
from planner.ledger import ledger_of
from planner.offcuts import named_offcuts, slug_of
from planner.orders import Orders
from planner.plan import BoundRecord, FindingRecord, Flat, Plan
from planner.planning import Prepared, prepare, read_day, with_rules
from planner.records import bound_records, finding_records, job_record, plate_records, settings_record
from planner.rules import Rules
from planner.seams import with_seams
from planner.stock import OpenSpace, open_space, stock_of


def add_to_plan(
    plan: Plan,
    late: Orders,
    house: House,
    rules: Rules,
    search: Search,
    finished: Collection[int] = (),
    processes: int = 1,
    gone: Collection[str] = (),
) -> Plan:
    """Give the plan with late jobs laid into it; every placement of the plan stays as it is.

    New plates go into open space of flats that are not ``finished``, and onto new flats where there is none; never
    into offcuts that are ``gone``, by their names. The sheets that the plan used are taken off the house's counts.

    Raises:
        InputError: a late job's number is in the plan already, the house cuts differently from the plan's flats, a
            finished flat is not there, or a rule failed.
    """
    _refuse_what_does_not_fit(plan, late, house, finished)
    rules.refuse_broken()
    with crew_of(processes) as crew:
        day = read_day(late, house, crew, len(plan.art) + 1)
        return with_rules(
            rules,
            lambda rules: _added(plan, late, prepare(day, house, rules, crew), house, rules, search, finished, gone),
        )


def _added(
    plan: Plan,
    late: Orders,
    ready: Prepared,
    house: House,
    rules: Rules,
    search: Search,
    finished: Collection[int],
    gone: Collection[str],
) -> Plan:
    stock = stock_of(house, Counter(flat.sheet.name for flat in plan.flats))
    spaces = open_space(plan, house, finished, gone)
    solution = nest(list(ready.blanks.values()), stock, house, search, [space.nesting for space in spaces])
    laid = _flats(plan.flats, solution.layouts, spaces, ready.works, house)
    new_held = ready.held(solution.left_out, house)
    new_plates = plate_records(ready.works.values(), house)
    plates, held = (*plan.plates, *new_plates), (*plan.held, *new_held)
    jobs = (*plan.jobs, *(job_record(job, ready.plates) for job in late.jobs))
    touched = {flat.number for flat in laid if any(placement.plate in ready.blanks for placement in flat.placements)}
    records = DayRecords(plates, jobs, (*plan.art, *ready.art.records))
    flats = with_seams(with_additions(laid, records, rules, touched))
    copies = (copy for setting in plan.camera for copy in setting.copies)
    on_laid = laid_findings(flats, records, held, rules, touched)
    new = finding_records(ready.found, flats, new_held, ready.blanks, new_plates, on_laid)
    findings = [*(finding for finding in plan.findings if _still_holds(finding, touched)), *new]
    findings.sort(key=lambda finding: SEVERITIES.index(finding.severity))
    return plan.model_copy(
        update={
            "settings": settings_record(house, rules, search.seed, solution),
            "jobs": jobs,
            "plates": plates,
            "flats": flats,
            "held": held,
            "findings": tuple(findings),
            "bounds": _bounds(plan.bounds, bound_records(solution), flats),
            "ledger": ledger_of(flats, plates),
            "art": records.art,
            "camera": settings_for((*copies, *ready.art.copies), house.camera.tolerance),
            "router": (*plan.router, *ready.router),
            "offcuts": named_offcuts(flats, slug_of(plan.title), plan.offcuts),
        }
    )


def _still_holds(finding: FindingRecord, touched: Collection[int]) -> bool:
    """What was said of a flat that has changed, or of the day, has been asked anew."""
    return finding.scope == "plate" or (finding.scope == "flat" and finding.flat not in touched)


def _refuse_what_does_not_fit(plan: Plan, late: Orders, house: House, finished: Collection[int]) -> None:
    problems = [
        Problem(f"job {job.number}", "is in the plan already; give the late plates a job number of their own")
        for job in late.jobs
        if job.number in {known.number for known in plan.jobs}
    ]
    cutting = house.cutting
    for flat in plan.flats:
        if (flat.how_cut, flat.kerf, flat.gap) != (cutting.how, cutting.kerf_width, cutting.gap):
            problems.append(
                Problem("table [cutting]", f"differs from how flat {flat.number} was cut; use the plan's house file")
            )
            break
    numbers = {flat.number for flat in plan.flats}
    problems += [Problem("", f"there is no flat {number} that could be finished") for number in finished
                 if number not in numbers]  # fmt: skip
    if problems:
        raise InputError("the late jobs", problems)


def _flats(
    laid: Iterable[Flat],
    layouts: Iterable[nesting.Layout],
    spaces: Iterable[OpenSpace],
    works: Mapping[str, Work],
    house: House,
) -> tuple[Flat, ...]:
    flats = {flat.number: flat for flat in laid}
    by_name = {space.nesting.name: space for space in spaces}
    stock = stock_of(house)
    for layout in layouts:
        space = by_name.get(layout.stock)
        if space is None:
            number = max(flats, default=0) + 1
            flats[number] = flat_of(number, layout, works, stock, house)
        else:
            number = space.flat.number
            flats[number] = _with_layout(flats[number], space, layout, works, house)
    return tuple(flats.values())


def _with_layout(flat: Flat, space: OpenSpace, layout: nesting.Layout, works: Mapping[str, Work], house: House) -> Flat:
    parts, cuts = parts_with(flat, space.part, layout, space.origin, house)
    boxes = part_of_plate(parts)
    new = tuple(
        placement_of(placed, works[placed.piece], space.origin, boxes[placed.piece]) for placed in layout.placements
    )
    return flat.model_copy(update={"placements": (*flat.placements, *new), "cut_tree": parts, "cuts": cuts})


def _bounds(
    before: Iterable[BoundRecord], late: Iterable[BoundRecord], flats: Iterable[Flat]
) -> tuple[BoundRecord, ...]:
    """What was proven of a part of the plates holds for all of them; what late plates cost is added."""
    used = Counter(flat.share_key for flat in flats)
    known = {bound.share_key: bound for bound in before}
    for bound in late:
        old = known.get(bound.share_key)
        if old is None:
            known[bound.share_key] = bound
        else:
            known[bound.share_key] = old.model_copy(update={"cost": round(old.cost + bound.cost, 2)})
    return tuple(
        bound.model_copy(update={"flats": used[key], "proven_least": min(bound.proven_least, used[key])})
        for key, bound in known.items()
    )

"""Measures every square inch again, from the shapes alone, and compares it with the plan's ledger."""

from __future__ import annotations

from shapely import unary_union

from planner.plan import AREA_CLASSES, Account, AreaClass, Plan
from planner.proof.cuts import strip_of
from planner.proof.report import Check, Tally
from planner.proof.shapes import AREA_TOLERANCE, TOLERANCE, LaidFlat, LaidPlate, rect_of

Areas = dict[AreaClass, float]

# Typed here once more on purpose, from the same table: CRC Handbook of Chemistry and Physics, 80th edition.
_GRAMS_IN_CUBIC_CENTIMETRE = {"copper": 8.96, "zinc": 7.133, "magnesium": 1.738}
_GRAMS_IN_POUND = 453.59237


def check_ledger(plan: Plan, flats: tuple[LaidFlat, ...]) -> Check:
    """The accounts of flats, jobs and the day agree with the shapes; each flat's adds up to its sheet."""
    tally = Tally("ledger", "accounts")
    total = _none()
    jobs: dict[str, Areas] = {job.number: _none() for job in plan.jobs}
    slack = 0.0
    said = {account.flat: account for account in plan.ledger.flats}
    if len(said) != len(plan.ledger.flats):
        tally.wrong("The ledger has more than one account of a flat.")
    for laid in flats:
        tally.look()
        allowed = TOLERANCE * laid.sheet.area
        slack += allowed
        areas = _areas_of_flat(laid, jobs, tally)
        _add(total, areas)
        account = said.pop(laid.flat.number, None)
        if account is None:
            tally.wrong(f"{laid.where}: the ledger has no account of it.")
            continue
        if not abs(account.sheet_area - laid.sheet.area) <= allowed:
            tally.wrong(
                f"{laid.where}: the ledger gives its sheet {account.sheet_area:.6f} sq in instead of "
                f"{laid.sheet.area:.6f}."
            )
        _compare(laid.where, account.areas, areas, allowed, tally)
        weight = _GRAMS_IN_CUBIC_CENTIMETRE[laid.flat.sheet.metal] * laid.sheet.area * laid.flat.sheet.gauge * 2.54**3
        if not abs(account.weight - weight / _GRAMS_IN_POUND) <= allowed:
            tally.wrong(f"{laid.where}: its sheet weighs {weight / _GRAMS_IN_POUND:.3f} lb, not {account.weight:.3f}.")
        filled = sum(getattr(account.areas, name) for name in AREA_CLASSES)
        if not abs(filled - laid.sheet.area) <= allowed:
            tally.wrong(f"{laid.where}: its account adds up to {filled:.6f} sq in, not to {laid.sheet.area:.6f}.")
    for number in said:
        tally.wrong(f"The ledger has an account of flat {number}, which is not there.")
    _compare_jobs(plan, jobs, slack, tally)
    tally.look()
    _compare("the total", plan.ledger.total, total, slack, tally)
    return tally.done()


def _none() -> Areas:
    return dict.fromkeys(AREA_CLASSES, 0.0)


def _add(sums: Areas, areas: Areas) -> None:
    for name, area in areas.items():
        sums[name] += area


def _compare(where: str, account: Account, areas: Areas, allowed: float, tally: Tally) -> None:
    for name in AREA_CLASSES:
        given = getattr(account, name)
        if not abs(given - areas[name]) <= allowed:
            tally.wrong(f"{where}: the ledger says {given:.6f} sq in of {name}, the shapes {areas[name]:.6f}.")


def _compare_jobs(plan: Plan, jobs: dict[str, Areas], slack: float, tally: Tally) -> None:
    said: set[str] = set()
    for account in plan.ledger.jobs:
        tally.look()
        if account.job in said:
            tally.wrong(f"Job {account.job}: the ledger has more than one account of it.")
        elif account.job not in jobs:
            tally.wrong(f"Job {account.job}: the ledger has an account of it, but the plan has no such job.")
        else:
            _compare(f"Job {account.job}", account.areas, jobs[account.job], slack, tally)
        said.add(account.job)
    for number, areas in jobs.items():
        # A job whose plates are all held takes no metal and needs no account.
        if number not in said and any(areas.values()):
            tally.wrong(f"Job {number}: the ledger has no account of it.")


def _areas_of_flat(laid: LaidFlat, jobs: dict[str, Areas], tally: Tally) -> Areas:
    areas = _none()
    for plate in laid.plates:
        taken = _areas_of_plate(plate, tally)
        _add(areas, taken)
        if plate.plate is not None and plate.plate.job in jobs:
            _add(jobs[plate.plate.job], taken)
    if laid.free:
        areas["kerf"] = laid.kerf.area
        for rest in laid.rest:
            areas[rest.record.use] += rest.shape.area
        return areas
    strips = [strip for part in laid.flat.cut_tree if (strip := strip_of(part)) is not None]
    areas["kerf"] = unary_union([strip.polygon() for strip in strips]).area
    for part in laid.flat.cut_tree:
        if part.cut is None and part.use is not None and part.use != "plate":
            areas[part.use] += rect_of(part.box).area
    return areas


def _areas_of_plate(plate: LaidPlate, tally: Tally) -> Areas:
    areas = _none()
    routed = 0.0
    for number, zone in enumerate(plate.zones, 1):
        if not abs(zone.record.area - zone.shape.area) <= AREA_TOLERANCE:
            tally.wrong(
                f"{plate.where}: zone {number} is said to have {zone.record.area:.6f} sq in, "
                f"its shape has {zone.shape.area:.6f}."
            )
        routed += zone.shape.area
    double = routed - plate.dead.area
    if not double <= AREA_TOLERANCE:
        tally.wrong(f"{plate.where}: its zones overlap by {double:.6g} sq in.")
    areas["printing"] = plate.outline.area - plate.dead_on_plate
    areas["routed"] = routed
    areas["flange"] = plate.flange.area
    areas["trim"] = plate.metal.difference(unary_union([plate.outline, plate.flange])).area
    return areas

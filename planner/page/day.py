"""What does the page say of the day? The glance, the jobs, the flats, what is held, the findings, the metal account."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from planner.findings import SEVERITIES
from planner.lengths import amount_text, size_text
from planner.page.picture import flat_picture
from planner.page.plate_words import plates_told
from planner.plan import AREA_CLASSES, Account, Flat, JobRecord, Plan
from planner.sheets.cautions import ALL, MAGNESIUM, metal_cautions, router_cautions, stripper_cautions
from planner.summary import used_share


def day_told(plan: Plan) -> dict[str, Any]:
    """Tell of the whole day, for the page's script; every word as people wrote it."""
    plates = plates_told(plan)
    # As planned, not as told plate by plate: a sum of rounded minutes is not what the router's sheet says.
    minutes = {plate: work.minutes for work in plan.router if work.zones for plate in work.plates}
    magnesium = any(flat.sheet.metal == "magnesium" for flat in plan.flats)
    return {
        "title": plan.title or "The day's flats",
        "made": f"flatwright {plan.version}",
        "facts": [*_facts(plan, minutes)],
        "jobs": [_job(plan, job) for job in plan.jobs],
        "plates": plates,
        "flats": [_flat(plan, flat, minutes) for flat in plan.flats],
        "held": [{"plate": one.plate, "reason": one.reason} for one in plan.held],
        "findings": [
            {"severity": one.severity, "code": one.code, "rule": one.rule, "plate": one.plate, "flat": one.flat,
             "message": one.message, "cure": one.cure,
             "amount": "" if one.amount is None else f"{one.amount:g} {one.unit}".strip()}
            for one in plan.findings
        ],
        "severities": list(SEVERITIES),
        "account": _account(plan.ledger.total),
        "used": _used_sheets(plan),
        "offcuts": [
            {"name": one.name, "flat": one.flat, "size": size_text(*one.box[2:]),
             "after": "" if one.after_cut is None else f"cut {one.after_cut}"}
            for one in plan.offcuts
        ],
        "cutters": [amount_text(cutter) for cutter in plan.settings.cutters],
        "cautions": [*((MAGNESIUM[0],) if magnesium else ()), *ALL],
    }  # fmt: skip


def _facts(plan: Plan, minutes: dict[str, float]) -> Iterator[list[str]]:
    """The figures at the head of the page: label, figure, what belongs to it."""
    placed = sum(len(flat.placements) for flat in plan.flats)
    rush = sum(job.rush for job in plan.jobs)
    yield ["Jobs", str(len(plan.jobs)), f"{rush} rush" if rush else "none rush"]
    held = len(plan.held)
    yield ["Plates", str(placed), f"{held} held, on no flat" if held else "all on flats"]
    new = sum(not flat.sheet.remnant for flat in plan.flats)
    rest = len(plan.flats) - new
    yield ["Flats", str(len(plan.flats)), f"{new} whole, {rest} of remnants" if rest else "all whole sheets"]
    total = sum(account.sheet_area for account in plan.ledger.flats)
    used = sum(used_share(plan, flat) * flat.sheet.width * flat.sheet.height for flat in plan.flats)
    share = f"{used / total:.0%}" if total else "none"
    yield ["Metal used", share, f"of {total:.0f} sq in, {sum(one.weight for one in plan.ledger.flats):.1f} lb"]
    laid = {placement.plate for flat in plan.flats for placement in flat.placements}
    time = sum(value for plate, value in minutes.items() if plate in laid)
    yield ["Router", f"{time:.0f} min", f"{len(laid & minutes.keys())} plates to rout"]
    counts = Counter(finding.severity for finding in plan.findings)
    parts = ", ".join(f"{counts[severity]} {severity}" for severity in SEVERITIES if counts[severity])
    yield ["Findings", str(len(plan.findings)), parts or "nothing found"]


def _job(plan: Plan, job: JobRecord) -> dict[str, Any]:
    return {
        "number": job.number,
        "customer": job.customer or "",
        "due": "" if job.due is None else job.due.isoformat(sep=" ", timespec="minutes"),
        "rush": job.rush,
        "paper": job.paper or "",
        "notes": job.notes,
        "plates": [place for place, plate in enumerate(plan.plates) if plate.job == job.number],
    }


def _flat(plan: Plan, flat: Flat, minutes: dict[str, float]) -> dict[str, Any]:
    sheet = flat.sheet
    numbers = {placed.plate: number for number, placed in enumerate(flat.placements, start=1)}
    surprint = any(film.use == "surprint" for placed in flat.placements for film in placed.films)
    account = next(one for one in plan.ledger.flats if one.flat == flat.number)
    return {
        "number": flat.number,
        "name": sheet.name,
        "sheet": f"{sheet.metal} {amount_text(sheet.gauge)}, {size_text(sheet.width, sheet.height)}",
        "remnant": sheet.remnant,
        "width": sheet.width,
        "height": sheet.height,
        "plates": len(flat.placements),
        "used": f"{used_share(plan, flat):.0%}",
        "cutting": "sawn out freely" if flat.layout == "free" else f"{flat.cuts} cuts by {flat.how_cut}",
        "minutes": round(sum(minutes.get(plate, 0.0) for plate in numbers), 1),
        "account": _account(account.areas),
        "weight": f"{account.weight:.2f} lb",
        "steps": [
            {"who": step.who, "words": step.words, "rule": step.rule,
             "plates": sorted(numbers[plate] for plate in step.plates if plate in numbers)}
            for step in flat.steps
        ],
        "passes": [{"name": one.name, "sheet": one.sheet, "side": one.side, "notes": one.notes,
                    "reason": one.reason, "rule": one.rule} for one in flat.passes],
        "cautions": {
            "stripper": list(stripper_cautions(surprint, sheet.metal)),
            "metal": list(dict.fromkeys((*metal_cautions(sheet.metal), *router_cautions(sheet.metal)))),
        },
        "picture": flat_picture(flat),
    }  # fmt: skip


def _account(areas: Account) -> list[list[str]]:
    """Square inches and share of each class that there is any of."""
    values = {name: getattr(areas, name) for name in AREA_CLASSES}
    total = sum(values.values())
    return [[name, f"{area:.1f}", f"{area / total:.1%}"] for name, area in values.items() if area > 0]


def _used_sheets(plan: Plan) -> list[list[str]]:
    """Each kind of sheet, how many flats were made of it, and how heavy they are."""
    weights = {account.flat: account.weight for account in plan.ledger.flats}
    kinds: dict[str, list[float]] = {}
    for flat in plan.flats:
        words = f"{flat.sheet.metal} {amount_text(flat.sheet.gauge)}, {size_text(flat.sheet.width, flat.sheet.height)}"
        kinds.setdefault(words + (" (remnant)" if flat.sheet.remnant else ""), []).append(weights[flat.number])
    return [[words, str(len(heavy)), f"{sum(heavy):.2f} lb"] for words, heavy in kinds.items()]

"""What does the page say of one plate? All that the plan knows of it, in words; lengths as the house reads them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from planner.lengths import amount_text, fraction_text, size_text
from planner.plan import Flat, JobRecord, Placement, Plan, PlateRecord, RouterRecord
from planner.reasons import KINDS, SHARES, who_said, widths_words


def plates_told(plan: Plan) -> list[dict[str, Any]]:
    """Tell of every plate of the day, in the plan's order; those on no flat with why."""
    places = {
        placed.plate: (flat, number, placed)
        for flat in plan.flats
        for number, placed in enumerate(flat.placements, start=1)
    }
    held = {one.plate: one.reason for one in plan.held}
    work = {plate: record for record in plan.router for plate in record.plates}
    jobs = {job.number: job for job in plan.jobs}
    found: dict[str, list[int]] = {}
    for place, finding in enumerate(plan.findings):
        if finding.plate is not None:
            found.setdefault(finding.plate, []).append(place)
    return [
        {
            **_plate(plan, plate, jobs),
            **_place(places.get(plate.id)),
            "held": held.get(plate.id),
            "router": _router(work.get(plate.id)),
            "findings": found.get(plate.id, []),
        }
        for plate in plan.plates
    ]


def _plate(plan: Plan, plate: PlateRecord, jobs: Mapping[str, JobRecord]) -> dict[str, Any]:
    job = jobs.get(plate.job)
    screen = [["Screen", f"{plate.screen} lines"]] if plate.screen else []
    block = [["On block", plate.on_block]] if plate.on_block else []
    return {
        "id": plate.id,
        "job": plate.job,
        "customer": (job.customer if job else None) or "",
        "rush": bool(job and job.rush),
        "name": _name(plate),
        "size": size_text(plate.width, plate.height),
        "facts": [
            ["Metal", f"{plate.metal} {amount_text(plate.gauge)}"],
            ["Needs", f"{size_text(*plate.blank[2:])} of metal"],
            ["Mounting", plate.mounting],
            *screen,
            *block,
        ],
        "notes": plate.notes,
        "allowances": [
            f"{widths_words(asked)} {KINDS[asked.kind]}: {asked.reason}{who_said(asked.rule, asked.setting)}"
            for asked in plate.allowances
        ],
        "reasons": [*_reasons(plan, plate)],
    }


def _name(plate: PlateRecord) -> str:
    copies = f"copy {plate.copy_number}/{plate.copies}" if plate.copies > 1 else ""
    return ", ".join(word for word in (plate.name, plate.colour, copies) if word)


def _reasons(plan: Plan, plate: PlateRecord) -> list[str]:
    """What rules wanted beside metal."""
    shared = [f'{SHARES[one.kind]} "{one.key}": {one.reason}{who_said(one.rule, one.setting)}' for one in plate.sharing]
    staying = [
        f"{one.area:.3f} sq in stay though they do not print: {one.reason}{who_said(one.rule, one.setting)}"
        for one in plate.staying
    ]
    charged = [
        f"charged: {one.what}, {one.quantity:g} {one.unit} at {plan.settings.currency}{one.rate}: "
        f"{one.reason}{who_said(one.rule, one.setting)}"
        for one in plate.charges
    ]
    return [*shared, *staying, *charged]


def _place(place: tuple[Flat, int, Placement] | None) -> dict[str, Any]:
    if place is None:
        return {"flat": None, "number": None, "corner": "", "turned": 0, "films": []}
    flat, number, placed = place
    # On a free flat blanks overlap: there the metal sawn out says where a plate lies.
    x, y = (placed.part if flat.layout == "free" else placed.blank)[:2]
    films = []
    for film in placed.films:
        over = f" over film {film.on}" if film.on is not None else ""
        films.append(f"{film.number}: {film.name or film.kind}, {film.kind if film.use == 'base' else film.use}{over}")
    return {
        "flat": flat.number,
        "number": number,
        "corner": f"{fraction_text(x)} in from the left, {fraction_text(y)} in from the bottom, "
        "as the stripper sees it",
        "turned": placed.turned,
        "films": films,
    }


def _router(work: RouterRecord | None) -> dict[str, Any] | None:
    if work is None or not work.zones:
        return None
    by_hand = sum(zone.cutter is None for zone in work.zones)
    cutters = sorted({zone.cutter for zone in work.zones if zone.cutter is not None}, reverse=True)
    words = [f"{work.minutes:.1f} minutes", f"{len(work.zones)} pieces of dead metal", f"{work.lifts} lifts"]
    if cutters:
        words.append("cutters " + ", ".join(amount_text(cutter) for cutter in cutters))
    if by_hand:
        words.append(f"{by_hand} pieces for hand tools")
    return {"minutes": round(work.minutes, 1), "words": ", ".join(words)}

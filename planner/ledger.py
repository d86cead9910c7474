"""The metal account: every square inch of every sheet in exactly one class, computed from the shapes themselves.

No class is a remainder of the others, so the account closes only if the geometry is right.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from planner.geometry import rectangle, shape_of, union_of
from planner.metals import weight_of
from planner.plan import (
    AREA_CLASSES,
    Account,
    AreaClass,
    CutPart,
    Flat,
    FlatAccount,
    JobAccount,
    Ledger,
    Placement,
    PlateRecord,
)


def ledger_of(flats: Iterable[Flat], plates: Iterable[PlateRecord]) -> Ledger:
    """Account for the metal of all flats, by flat, by job and in total."""
    job_of = {plate.id: plate.job for plate in plates}
    by_job: dict[str, list[dict[AreaClass, float]]] = {job: [] for job in job_of.values()}
    accounts: list[FlatAccount] = []
    for flat in flats:
        entries = [_free_areas(flat) if flat.layout == "free" else _sheet_areas(flat.cut_tree)]
        for placement in flat.placements:
            areas = placement_areas(placement)
            entries.append(areas)
            by_job[job_of[placement.plate]].append(areas)
        sheet_area = flat.sheet.width * flat.sheet.height
        accounts.append(
            FlatAccount(
                flat=flat.number,
                sheet_area=sheet_area,
                weight=weight_of(flat.sheet.metal, sheet_area, flat.sheet.gauge),
                areas=_sum(entries),
            )
        )
    return Ledger(
        flats=tuple(accounts),
        jobs=tuple(JobAccount(job=job, areas=_sum(entries)) for job, entries in by_job.items()),
        total=_sum([_areas(account.areas) for account in accounts]),
    )


def placement_areas(placement: Placement) -> dict[AreaClass, float]:
    """Give the square inches of one plate's metal by class; together they are the part that the cuts leave it."""
    outline, flange = shape_of(placement.outline), shape_of(placement.flange)
    dead = union_of(shape_of(zone.shape) for zone in placement.zones)
    part = shape_of(placement.metal) if placement.metal else rectangle(*placement.part)
    return {
        "printing": outline.difference(dead).area,
        "routed": dead.area,
        "flange": flange.area,
        "trim": part.difference(outline).difference(flange).area,
    }


def _sheet_areas(parts: Iterable[CutPart]) -> dict[AreaClass, float]:
    areas: dict[AreaClass, float] = defaultdict(float)
    for part in parts:
        _, _, width, height = part.box
        if part.cut is not None:
            areas["kerf"] += (part.kerf or 0.0) * (height if part.cut == "vertical" else width)
        elif part.use in ("grip", "offcut", "scrap"):
            areas[part.use] += width * height
    return areas


def _areas(account: Account) -> dict[AreaClass, float]:
    return {name: getattr(account, name) for name in AREA_CLASSES}


def _free_areas(flat: Flat) -> dict[AreaClass, float]:
    areas: dict[AreaClass, float] = defaultdict(float)
    areas["kerf"] = shape_of(flat.kerf_shape).area
    for rest in flat.rest:
        areas[rest.use] += shape_of(rest.shape).area
    return areas


def _sum(entries: Iterable[Mapping[AreaClass, float]]) -> Account:
    rows = list(entries)
    return Account(**{name: sum(row.get(name, 0.0) for row in rows) for name in AREA_CLASSES})

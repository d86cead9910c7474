"""Is the router's work on each plate complete, true to its zones, and added up rightly?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from shapely import affinity, unary_union
from shapely.geometry.base import BaseGeometry

from planner.plan import Plan, PlateRecord, RouterRecord, RouterZone
from planner.proof.frames import Matrix, frame_of
from planner.proof.marks import check_marks
from planner.proof.passes import check_passes
from planner.proof.report import Check, Tally
from planner.proof.shapes import AREA_TOLERANCE, TOLERANCE, LaidFlat, LaidPlate, pieces_of, read_shape
from planner.proof.subjects import Subject

# Typed here once more on purpose, from the same table: CRC Handbook of Chemistry and Physics, 80th edition.
_POUNDS_IN_CUBIC_INCH: Final = {
    metal: grams * 2.54**3 / 453.59237 for metal, grams in (("copper", 8.96), ("zinc", 7.133), ("magnesium", 1.738))
}

_SUM: Final = 1e-6
"""Part of a sum that rounding may change."""


def check_work(plan: Plan, flats: Iterable[LaidFlat], subjects: Sequence[Subject], elements: int) -> Check:
    """Every plate with zones has its router's work; it cuts those zones, clear of all that stands, and adds up."""
    tally = Tally("work", "pieces of dead metal")
    plates: dict[str, PlateRecord] = {}
    for plate in plan.plates:
        plates.setdefault(plate.id, plate)
    laid: dict[str, list[LaidPlate]] = {}
    for flat in flats:
        for one in flat.plates:
            laid.setdefault(one.placement.plate, []).append(one)
    records = _records(plan, plates, laid, tally)
    depths: dict[str, float] = {}
    for record in plan.router:
        _check_record(record, plates, plan.settings.cutters, depths, tally)
    shapes = {id(record): _shapes(record, tally) for record in plan.router}
    for name, places in laid.items():
        if name in records:
            for place in places:
                _check_agreement(place, records[name], shapes[id(records[name])], tally)
    for subject in subjects:
        if subject.record is not None and subject.matrix is not None:
            pieces = [affinity.affine_transform(shape, subject.matrix) for shape in shapes[id(subject.record)]]
            check_passes(subject, pieces, plan.settings, len(subjects), elements, tally)
            check_marks(subject, pieces, plan.settings, tally)
    return tally.done()


def _records(
    plan: Plan, plates: dict[str, PlateRecord], laid: dict[str, list[LaidPlate]], tally: Tally
) -> dict[str, RouterRecord]:
    """Give the router's work of each plate, and see that each that needs some has exactly one."""
    records: dict[str, RouterRecord] = {}
    for number, record in enumerate(plan.router, 1):
        if not record.plates:
            tally.wrong(f"The router's work {number} is on no plate.")
        for name in record.plates:
            if name in records:
                tally.wrong(f"plate {name}: the router's work on it is in the plan more than once.")
            elif name not in plates:
                tally.wrong(f"plate {name}: the router's work on it is in the plan, but the plate is not.")
            elif not _alike(plates[name], plates.get(record.plates[0])):
                tally.wrong(f"plate {name}: it shares its router's work with plate {record.plates[0]}, unlike it.")
            records.setdefault(name, record)
    for name, places in laid.items():
        for place in places:
            if name not in records and place.zones:
                tally.wrong(f"{place.where}: it has zones, but the plan has no router's work on it.")
    return records


def _alike(plate: PlateRecord, other: PlateRecord | None) -> bool:
    return other is not None and (plate.outline, plate.printing, plate.metal, plate.gauge) == (
        other.outline, other.printing, other.metal, other.gauge,
    )  # fmt: skip


def _shapes(record: RouterRecord, tally: Tally) -> list[BaseGeometry]:
    """Read the pieces, in the plate's frame."""
    silent = Tally("", "")
    shapes = []
    for zone in record.zones:
        where = f"{_name(record)}: piece {zone.number}"
        tally.look()
        shape = read_shape(zone.shape, where, silent, needed=True)
        shapes.append(shape)
        if not abs(shape.area - zone.area) <= AREA_TOLERANCE:
            tally.wrong(f"{where} is said to have {zone.area:.6f} sq in, its shape has {shape.area:.6f}.")
        if pieces_of(shape) > 1:
            tally.wrong(f"{where} falls into {pieces_of(shape)} pieces.")
    for sentence in silent.sentences:
        tally.wrong(sentence)
    return shapes


def _name(record: RouterRecord) -> str:
    return f"plate {record.plates[0]}" if record.plates else "the router's work on no plate"


def _check_record(
    record: RouterRecord,
    plates: dict[str, PlateRecord],
    cutters: tuple[float, ...],
    depths: dict[str, float],
    tally: Tally,
) -> None:
    name = _name(record)
    numbers = [zone.number for zone in record.zones]
    if numbers != list(range(1, len(numbers) + 1)):
        tally.wrong(f"{name}: its pieces are not numbered from 1 to {len(numbers)} in working order.")
    plate = plates.get(record.plates[0]) if record.plates else None
    for zone in record.zones:
        where = f"{name}: piece {zone.number}"
        if zone.cutter is not None and not any(abs(zone.cutter - known) <= TOLERANCE for known in cutters):
            tally.wrong(f"{where} is for a cutter of {zone.cutter:.6g} in, which the house does not have.")
        _check_zone(where, zone, plate, tally)
        usual = depths.setdefault(zone.depth_for, zone.depth)
        if not abs(zone.depth - usual) <= TOLERANCE:
            tally.wrong(f"{where} is {zone.depth:.6g} in deep for {zone.depth_for}, others are {usual:.6g} in.")
    for what, said, parts in (
        ("length", record.length, [zone.length for zone in record.zones]),
        ("travel", record.travel, [zone.travel for zone in record.zones]),
        ("minutes", record.minutes, [zone.minutes or 0.0 for zone in record.zones]),
        ("weight of chips", record.chips, [zone.chips for zone in record.zones]),
        ("number of lifts", record.lifts, [float(zone.lifts) for zone in record.zones]),
    ):
        whole = math.fsum(parts)
        if not abs(said - whole) <= _slack(whole):
            tally.wrong(f"{name}: the {what} of its router's work is {said:.6g}, its pieces make {whole:.6g}.")
    travel, paths = _travel(record.zones), sum(len(zone.paths) for zone in record.zones)
    if not abs(record.travel - travel) <= _slack(travel, 2 * paths):
        tally.wrong(f"{name}: its cutters travel {travel:.6g} in lifted, not {record.travel:.6g} in.")
    if not record.travel_nearest >= 0:
        tally.wrong(f"{name}: by going to the nearest path next it would travel {record.travel_nearest:.6g} in.")


def _slack(whole: float, points: int = 0) -> float:
    """How far a sum may be off; the points of paths are rounded to a millionth of an inch."""
    return TOLERANCE * (1 + points) + _SUM * abs(whole)


def _check_zone(where: str, zone: RouterZone, plate: PlateRecord | None, tally: Tally) -> None:
    if plate is not None:
        if not 0 < zone.depth < plate.gauge:
            tally.wrong(f"{where} is {zone.depth:.6g} in deep in metal of {plate.gauge:.6g} in.")
        if plate.metal in _POUNDS_IN_CUBIC_INCH:
            chips = zone.area * zone.depth * _POUNDS_IN_CUBIC_INCH[plate.metal]
            if not abs(zone.chips - chips) <= _slack(chips):
                tally.wrong(f"{where} gives {chips:.6g} lb of chips, not {zone.chips:.6g} lb.")
    if zone.cutter is None:
        if zone.paths or zone.length or zone.lifts or zone.travel or zone.minutes is not None:
            tally.wrong(f"{where} is left to hand tools, yet the router is to work on it.")
        return
    if not zone.paths:
        tally.wrong(f"{where} has no path of the {zone.cutter:.6g} in cutter.")
    if zone.lifts != len(zone.paths):
        tally.wrong(f"{where} has {len(zone.paths)} paths, and the cutter is set down {zone.lifts} times.")
    length = math.fsum(_length(path) for path in zone.paths)
    if not abs(zone.length - length) <= _slack(length, sum(len(path) for path in zone.paths)):
        tally.wrong(f"{where}: its paths are {length:.6g} in long, not {zone.length:.6g} in.")
    if zone.minutes is None or not zone.minutes > 0:
        tally.wrong(f"{where} takes the router some time, and the plan does not say how much.")


def _length(path: Sequence[Sequence[float]]) -> float:
    points = np.asarray(path, dtype=np.float64).reshape(-1, 2)
    return float(np.hypot(*np.diff(points, axis=0).T).sum()) if len(points) > 1 else 0.0


def _travel(zones: Iterable[RouterZone]) -> float:
    """How far the cutters go lifted, from the end of each path to the start of the next; to change one is no travel."""
    travel = 0.0
    at: tuple[float, float] | None = None
    cutter: float | None = None
    for zone in zones:
        if zone.cutter != cutter:
            at, cutter = None, zone.cutter
        for path in zone.paths:
            if path:
                travel += math.dist(at, path[0]) if at is not None else 0.0
                at = path[-1]
    return travel


def _check_agreement(place: LaidPlate, record: RouterRecord, shapes: Sequence[BaseGeometry], tally: Tally) -> None:
    """The pieces of a plate, turned and moved with it, are its zones on the flat, cutter by cutter."""
    matrix = frame_of(place)
    if matrix is None:
        return
    cutters = dict.fromkeys((*(zone.cutter for zone in record.zones), *(zone.record.cutter for zone in place.zones)))
    for cutter in cutters:
        pieces = [shape for zone, shape in zip(record.zones, shapes, strict=True) if zone.cutter == cutter]
        zones = [zone.shape for zone in place.zones if zone.record.cutter == cutter]
        off = _difference(_union(pieces, matrix), unary_union(zones))
        if not off <= AREA_TOLERANCE:
            whose = "hand tools" if cutter is None else f"the {cutter:.6g} in cutter"
            tally.wrong(
                f"{place.where}: the pieces of the router's work for {whose} differ by {off:.6g} sq in from its zones."
            )


def _union(pieces: Sequence[BaseGeometry], matrix: Matrix) -> BaseGeometry:
    return affinity.affine_transform(unary_union(pieces), matrix)


def _difference(one: BaseGeometry, other: BaseGeometry) -> float:
    """Square inches that are in one only; equal corners are the quick way to know of none."""
    if one.normalize().equals_exact(other.normalize(), TOLERANCE / 1000):
        return 0.0
    return float(one.symmetric_difference(other).area)

"""Does the router stay clear of everything that must stand?"""

from __future__ import annotations

from collections.abc import Iterable

from shapely import dwithin, prepare, unary_union

from planner.plan import Settings
from planner.proof.report import Check, Tally
from planner.proof.shapes import AREA_TOLERANCE, LIMIT, NOTHING, TOLERANCE, LaidFlat, LaidPlate, LaidZone


def check_router(flats: Iterable[LaidFlat], settings: Settings) -> Check:
    """Zones keep clear of what prints, lie on the finished plate, and spare flange and staying metal."""
    tally = Tally("router", "plates on flats")
    if not settings.clearance >= 0:
        tally.wrong(f"The clearance round what prints is {settings.clearance:.6g} in.")
    for laid in flats:
        for plate in laid.plates:
            tally.look()
            _check_printing(plate, tally)
            # Areas are compared, since edges that were rounded apart make containment a matter of luck.
            outside = plate.dead.area - plate.dead_on_plate
            if not outside <= AREA_TOLERANCE:
                tally.wrong(f"{plate.where}: its zones have {outside:.6g} sq in off the finished plate.")
            prepare(plate.printing)
            for number, zone in enumerate(plate.zones, 1):
                if not zone.shape.is_empty:
                    _check_zone(f"{plate.where}: zone {number}", zone, plate, settings, tally)
    return tally.done()


def _check_printing(plate: LaidPlate, tally: Tally) -> None:
    """The printing shape is all that the clearance protects, so every image on the plate must be in it."""
    base = [film.image for film in plate.films if film.record.use == "base"]
    surely = unary_union([*base, *plate.tints]).intersection(plate.outline)
    if plate.printing.normalize().equals_exact(surely.normalize(), TOLERANCE / 1000):
        return
    missing = surely.difference(plate.printing).area
    if not missing <= AREA_TOLERANCE:
        tally.wrong(f"{plate.where}: {missing:.6g} sq in of its images and tints are not in what prints.")
    # Whether a surprint adds to it depends on what it shows; a reverse never does.
    surprints = [film.image for film in plate.films if film.record.use == "surprint"]
    possibly = unary_union([surely, *surprints]).intersection(plate.outline) if surprints else surely
    without = plate.printing.difference(possibly).area
    if not without <= AREA_TOLERANCE:
        tally.wrong(f"{plate.where}: {without:.6g} sq in of what prints belong to no image or tint on it.")


def _check_zone(where: str, zone: LaidZone, plate: LaidPlate, settings: Settings, tally: Tally) -> None:
    # Whether it is near is answered by an index, how near only by measuring every edge against every other.
    reach = max(min(settings.clearance, LIMIT) - TOLERANCE, 0.0)
    near = bool(dwithin(plate.printing, zone.shape, reach))
    if near and not (distance := zone.shape.distance(plate.printing)) >= settings.clearance - TOLERANCE:
        tally.wrong(f"{where} comes within {distance:.6g} in of what prints, not {settings.clearance:.6g} in.")
    for what, standing in (
        ("what prints", plate.printing if near else NOTHING),
        ("the flange", plate.flange),
        ("staying metal", plate.staying),
    ):
        if standing.is_empty:
            continue
        taken = zone.shape.intersection(standing).area
        if not taken <= AREA_TOLERANCE:
            tally.wrong(f"{where} takes {taken:.6g} sq in of {what}.")
    cutter = zone.record.cutter
    if cutter is not None and not any(abs(cutter - known) <= TOLERANCE for known in settings.cutters):
        tally.wrong(f"{where} is for a cutter of {cutter:.6g} in, which the house does not have.")

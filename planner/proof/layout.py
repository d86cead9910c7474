"""Does everything lie on its sheet, and does nothing lie on anything else?"""

from __future__ import annotations

from collections.abc import Iterable

from shapely import STRtree

from planner.proof.report import Check, Tally
from planner.proof.shapes import (
    AREA_TOLERANCE,
    LIMIT,
    TOLERANCE,
    LaidFlat,
    LaidPlate,
    Rect,
    bounds_of,
    rect_of,
)


def check_sheet(flats: Iterable[LaidFlat]) -> Check:
    """Everything lies on the sheet, blanks inside the usable area, and no image in the grip margin."""
    tally = Tally("sheet", "plates on flats")
    for laid in flats:
        flat, sheet = laid.flat, laid.sheet
        usable = rect_of(flat.usable)
        if not flat.grip >= 0:
            tally.wrong(f"{laid.where}: the grip margin is {flat.grip:.6g} in wide.")
        held = Rect(sheet.left + flat.grip, sheet.bottom + flat.grip, sheet.right - flat.grip, sheet.top - flat.grip)
        beyond = usable.beyond(held)
        if not beyond <= TOLERANCE:
            tally.wrong(f"{laid.where}: the usable area reaches {beyond:.6g} in into the grip margin.")
        for plate in laid.plates:
            tally.look()
            _check_plate(plate, sheet, usable, held, tally)
    return tally.done()


def _check_plate(plate: LaidPlate, sheet: Rect, usable: Rect, held: Rect, tally: Tally) -> None:
    for what, rect in (("blank", plate.blank), ("part cut for it", plate.part)):
        beyond = rect.beyond(sheet)
        if not beyond <= TOLERANCE:
            tally.wrong(f"{plate.where}: the {what} runs {beyond:.6g} in off the sheet.")
    beyond = plate.blank.beyond(usable)
    if not beyond <= TOLERANCE:
        tally.wrong(f"{plate.where}: the blank runs {beyond:.6g} in out of the usable area.")
    for what, shape in plate.shapes():
        if not shape.is_empty and (beyond := bounds_of(shape).beyond(sheet)) > TOLERANCE:
            tally.wrong(f"{plate.where}: its {what} runs {beyond:.6g} in off the sheet.")
    images = [(f"image of film {film.record.number}", film.image) for film in plate.films if film.record.use == "base"]
    for what, shape in (("printing shape", plate.printing), *images):
        if not shape.is_empty and (beyond := bounds_of(shape).beyond(held)) > TOLERANCE:
            tally.wrong(f"{plate.where}: its {what} reaches {beyond:.6g} in into the grip margin.")


def check_overlap(flats: Iterable[LaidFlat]) -> Check:
    """Blanks of a flat, and finished plates, keep the gap (and the kerf) from each other."""
    tally = Tally("overlap", "plates on flats")
    for laid in flats:
        tally.look(len(laid.plates))
        apart = max(laid.flat.gap, laid.flat.kerf, 0.0)
        _check_blanks(laid, apart, tally)
        _check_outlines(laid, apart, tally)
    return tally.done()


def _check_blanks(laid: LaidFlat, apart: float, tally: Tally) -> None:
    """Sweep from left to right: only blanks whose left side is not yet out of reach are compared."""
    near: list[LaidPlate] = []
    for plate in sorted(laid.plates, key=lambda plate: plate.blank.left):
        near = [other for other in near if other.blank.right + apart > plate.blank.left]
        for other in near:
            distance = plate.blank.apart(other.blank)
            if not distance >= apart - TOLERANCE:
                tally.wrong(_too_near(plate, other, "blank", distance, apart))
        near.append(plate)


def _check_outlines(laid: LaidFlat, apart: float, tally: Tally) -> None:
    plates = [plate for plate in laid.plates if not plate.outline.is_empty]
    if not plates:
        return
    outlines = [plate.outline for plate in plates]
    pairs = STRtree(outlines).query(outlines, predicate="dwithin", distance=min(apart, 2 * LIMIT))
    for first, second in zip(*(side.tolist() for side in pairs), strict=True):
        if first >= second:
            continue
        plate, other = plates[first], plates[second]
        overlap = plate.outline.intersection(other.outline).area
        distance = plate.outline.distance(other.outline)
        if overlap > AREA_TOLERANCE:
            tally.wrong(
                f"{plate.where}: its finished plate and that of plate {other.placement.plate} "
                f"overlap by {overlap:.6g} sq in."
            )
        elif not distance >= apart - TOLERANCE:
            tally.wrong(_too_near(plate, other, "finished plate", distance, apart))


def _too_near(plate: LaidPlate, other: LaidPlate, what: str, distance: float, apart: float) -> str:
    names = f"{plate.where}: its {what} and that of plate {other.placement.plate}"
    if distance < 0:
        return f"{names} overlap by {-distance:.6g} in."
    return f"{names} are {distance:.6g} in apart instead of {apart:.6g} in."

"""Does everything lie on its sheet, does nothing lie on anything else, and is the scratched glass kept clear?"""

from __future__ import annotations

from collections.abc import Iterable

from shapely import STRtree
from shapely.geometry.base import BaseGeometry

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
    """Everything lies on the sheet, blanks inside the usable area, and no image in the grip margin.

    On a free flat a blank says only where a plate lies; there it is the metal sawn out that must be in place.
    """
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
    if plate.free:
        _check_metal(plate, usable, tally)
    else:
        _check_blank(plate, sheet, usable, tally)
    for what, shape in plate.shapes():
        if not shape.is_empty and (beyond := bounds_of(shape).beyond(sheet)) > TOLERANCE:
            tally.wrong(f"{plate.where}: its {what} runs {beyond:.6g} in off the sheet.")
    images = [(f"image of film {film.record.number}", film.image) for film in plate.films if film.record.use == "base"]
    for what, shape in (("printing shape", plate.printing), *images):
        if not shape.is_empty and (beyond := bounds_of(shape).beyond(held)) > TOLERANCE:
            tally.wrong(f"{plate.where}: its {what} reaches {beyond:.6g} in into the grip margin.")


def _check_blank(plate: LaidPlate, sheet: Rect, usable: Rect, tally: Tally) -> None:
    for what, rect in (("blank", plate.blank), ("part cut for it", plate.part)):
        beyond = rect.beyond(sheet)
        if not beyond <= TOLERANCE:
            tally.wrong(f"{plate.where}: the {what} runs {beyond:.6g} in off the sheet.")
    beyond = plate.blank.beyond(usable)
    if not beyond <= TOLERANCE:
        tally.wrong(f"{plate.where}: the blank runs {beyond:.6g} in out of the usable area.")


def _check_metal(plate: LaidPlate, usable: Rect, tally: Tally) -> None:
    """Its metal is usable, and no image lies off it: that would be etched into another plate."""
    if plate.metal.is_empty:
        return
    beyond = bounds_of(plate.metal).beyond(usable)
    if not beyond <= TOLERANCE:
        tally.wrong(f"{plate.where}: the metal sawn out for it runs {beyond:.6g} in out of the usable area.")
    images = [(f"image of film {film.record.number}", film.image) for film in plate.films if film.record.use == "base"]
    for what, shape in (("printing shape", plate.printing), *images):
        outside = shape.difference(plate.metal).area
        if not outside <= AREA_TOLERANCE:
            tally.wrong(f"{plate.where}: {outside:.6g} sq in of its {what} lie off the metal sawn out for it.")


def check_spots(flats: Iterable[LaidFlat]) -> Check:
    """No plate's metal lies on a spot that is to be kept clear."""
    tally = Tally("spots", "spots of the glass")
    for laid in flats:
        for number, spot in enumerate(laid.spots, 1):
            tally.look()
            place = spot.polygon()
            # A scratch may be smaller than the tolerance; one that is covered is noticed all the same.
            allowed = min(AREA_TOLERANCE, place.area / 2)
            for plate in laid.plates:
                what = "the metal sawn out for it" if laid.free else "its blank"
                taken = _ground(plate).intersection(place).area
                if not taken <= allowed:
                    tally.wrong(f"{plate.where}: {what} covers {taken:.6g} sq in of spot {number}, to be kept clear.")
    return tally.done()


def _ground(plate: LaidPlate) -> BaseGeometry:
    return plate.metal if plate.free else plate.blank.polygon()


def check_overlap(flats: Iterable[LaidFlat]) -> Check:
    """Blanks of a flat, and finished plates, keep the gap (and the kerf) from each other; on a free flat the metals do.

    Distances of metals are those of the shapes themselves: a plate may lie inside another's mortise.
    """
    tally = Tally("overlap", "plates on flats")
    for laid in flats:
        tally.look(len(laid.plates))
        apart = max(laid.flat.gap, laid.flat.kerf, 0.0)
        if laid.free:
            _check_shapes([(plate, plate.metal) for plate in laid.plates], "metal", apart, tally)
        else:
            _check_blanks(laid, apart, tally)
            _check_shapes([(plate, plate.outline) for plate in laid.plates], "finished plate", apart, tally)
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


def _check_shapes(shapes: Iterable[tuple[LaidPlate, BaseGeometry]], what: str, apart: float, tally: Tally) -> None:
    there = [(plate, shape) for plate, shape in shapes if not shape.is_empty]
    if not there:
        return
    grounds = [shape for _, shape in there]
    pairs = STRtree(grounds).query(grounds, predicate="dwithin", distance=min(apart, 2 * LIMIT))
    for first, second in zip(*(side.tolist() for side in pairs), strict=True):
        if first >= second:
            continue
        (plate, shape), (other, other_shape) = there[first], there[second]
        overlap = shape.intersection(other_shape).area
        distance = shape.distance(other_shape)
        if overlap > AREA_TOLERANCE:
            tally.wrong(
                f"{plate.where}: its {what} and that of plate {other.placement.plate} overlap by {overlap:.6g} sq in."
            )
        elif not distance >= apart - TOLERANCE:
            tally.wrong(_too_near(plate, other, what, distance, apart))


def _too_near(plate: LaidPlate, other: LaidPlate, what: str, distance: float, apart: float) -> str:
    names = f"{plate.where}: its {what} and that of plate {other.placement.plate}"
    if distance < 0:
        return f"{names} overlap by {-distance:.6g} in."
    return f"{names} are {distance:.6g} in apart instead of {apart:.6g} in."

"""Does each plate lie on its flat as its own record describes it, only turned and moved?"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from shapely import Polygon, affinity, unary_union
from shapely.geometry.base import BaseGeometry

from planner.plan import Allowance, PlateRecord
from planner.proof.frames import to_flat
from planner.proof.report import Check, Tally
from planner.proof.shapes import (
    AREA_TOLERANCE,
    LIMIT,
    NOTHING,
    TOLERANCE,
    LaidFilm,
    LaidFlat,
    LaidPlate,
    Rect,
    bounds_of,
    pieces_of,
    read_box,
    read_shape,
    rect_of,
)  # fmt: skip

_MARGINS: Final = ("bleed", "shoulder", "flange", "trim", "film")
_MOST_ASKEW: Final = 45.0 + 1e-6
"""Degrees; a film that lies further off its plate was turned by another quarter."""


def check_transform(plates: Iterable[PlateRecord], flats: Iterable[LaidFlat]) -> Check:
    """Each placement is its plate turned and moved, with bleed at most; films keep their size."""
    tally = Tally("transform", "plates on flats")
    outlines = {plate.id: _check_record(plate, tally) for plate in plates}
    tally.count = 0
    for laid in flats:
        for plate in laid.plates:
            tally.look()
            if plate.plate is not None:
                _check_outline(plate, plate.plate, outlines.get(plate.plate.id, NOTHING), tally)
                _check_printing(plate, plate.plate, tally)
                _check_flange(plate, plate.plate, tally)
            if plate.free:
                _check_metal(plate, tally)
            else:
                _check_blank(plate, tally)
            _check_inside(plate, tally)
            _check_films(plate, tally)
    return tally.done()


def _check_record(plate: PlateRecord, tally: Tally) -> BaseGeometry:
    where = f"plate {plate.id}"
    outline = read_shape(plate.outline, f"{where}: its outline", tally, needed=True)
    blank = read_box(plate.blank, f"{where}: its blank", tally)
    box = Rect(0.0, 0.0, plate.width, plate.height)
    if not outline.is_empty:
        off = max(abs(side - wanted) for side, wanted in zip(outline.bounds, box, strict=True))
        if not off <= TOLERANCE:
            tally.wrong(f"{where}: its outline is {off:.6g} in off {plate.width:.6g} x {plate.height:.6g} in.")
    lacking = _widened(box, plate.allowances, _MARGINS).beyond(blank)
    if not lacking <= TOLERANCE:
        tally.wrong(f"{where}: its blank is {lacking:.6g} in short of the margins asked for.")
    return outline


def _widened(rect: Rect, allowances: Iterable[Allowance], kinds: Iterable[str]) -> Rect:
    """Kinds of margin lie outside each other; of one kind the widest on each side counts."""
    for kind in kinds:
        asked = [allowance for allowance in allowances if allowance.kind == kind]
        if asked:
            rect = Rect(
                rect.left - max(allowance.left for allowance in asked),
                rect.bottom - max(allowance.bottom for allowance in asked),
                rect.right + max(allowance.right for allowance in asked),
                rect.top + max(allowance.top for allowance in asked),
            )
    return rect


def _turned(shape: BaseGeometry, plate: LaidPlate, blank: Rect) -> BaseGeometry:
    """Bring a shape from the plate's frame to the flat's."""
    return affinity.affine_transform(shape, to_flat(plate, blank))


def _check_outline(plate: LaidPlate, record: PlateRecord, outline: BaseGeometry, tally: Tally) -> None:
    blank = rect_of(record.blank)
    if outline.is_empty or plate.outline.is_empty or not (blank.sound and plate.blank.sound):
        return
    wanted = _turned(outline, plate, blank)
    lacking = wanted.difference(plate.outline).area
    if not lacking <= AREA_TOLERANCE:
        tally.wrong(f"{plate.where}: {lacking:.6g} sq in of the plate as ordered are not where it lies.")
    with_bleed = _widened(Rect(0.0, 0.0, record.width, record.height), record.allowances, ("bleed",))
    furthest = bounds_of(_turned(with_bleed.polygon(), plate, blank) if with_bleed.sound else wanted)
    beyond = bounds_of(plate.outline).beyond(furthest)
    if not beyond <= TOLERANCE:
        tally.wrong(f"{plate.where}: the finished plate runs {beyond:.6g} in over what was ordered and its bleed.")
    if all(allowance.kind != "bleed" for allowance in record.allowances):
        extra = plate.outline.difference(wanted).area
        if not extra <= AREA_TOLERANCE:
            tally.wrong(f"{plate.where}: the finished plate has {extra:.6g} sq in more than was ordered.")


def _check_printing(plate: LaidPlate, record: PlateRecord, tally: Tally) -> None:
    """The image lies as it was ordered: not mirrored, not another plate's, and with all its films."""
    blank = rect_of(record.blank)
    if len(plate.films) != record.films:
        tally.wrong(f"{plate.where}: it lies there with {len(plate.films)} films, and has {record.films}.")
    if not (blank.sound and plate.blank.sound):
        return
    wanted = _turned(read_shape(record.printing, plate.where, Tally("", "")), plate, blank)
    off = wanted.symmetric_difference(plate.printing).area
    if not off <= AREA_TOLERANCE:
        tally.wrong(
            f"{plate.where}: what prints differs by {off:.6g} sq in from the plate as ordered, turned and moved."
        )


def _check_flange(plate: LaidPlate, record: PlateRecord, tally: Tally) -> None:
    """The flange is the ring that the allowances ask for, round the plate with its bleed."""
    face = _widened(Rect(0.0, 0.0, record.width, record.height), record.allowances, ("bleed",))
    finished = _widened(face, record.allowances, ("shoulder", "flange"))
    if face.sound and finished.sound:
        wanted = finished.polygon().area - face.polygon().area
        if not abs(wanted - plate.flange.area) <= AREA_TOLERANCE:
            tally.wrong(
                f"{plate.where}: its flange has {plate.flange.area:.6g} sq in, and {wanted:.6g} sq in were asked for."
            )


def _check_metal(plate: LaidPlate, tally: Tally) -> None:
    """The metal sawn out for a plate holds all of it, with its trim all round, and holds together as it does."""
    if plate.metal.is_empty:
        return
    for what, shape in (
        ("finished plate", plate.outline),
        ("flange", plate.flange),
        ("staying metal", plate.staying),
    ):
        outside = shape.difference(plate.metal).area
        if not outside <= AREA_TOLERANCE:
            tally.wrong(f"{plate.where}: {outside:.6g} sq in of its {what} lie off the metal sawn out for it.")
    trim = _least_trim(plate.plate.allowances) if plate.plate is not None else 0.0
    finished = unary_union([plate.outline, plate.flange])
    if TOLERANCE < trim <= LIMIT and not finished.is_empty:
        lacking = finished.buffer(trim - TOLERANCE).difference(plate.metal).area
        if not lacking <= AREA_TOLERANCE:
            tally.wrong(
                f"{plate.where}: the metal sawn out lacks {lacking:.6g} sq in of {trim:.6g} in of trim all round."
            )
    pieces = pieces_of(plate.metal)
    if pieces > max(pieces_of(plate.outline), 1):
        tally.wrong(f"{plate.where}: the metal sawn out for it falls into {pieces} pieces.")


def _least_trim(allowances: Iterable[Allowance]) -> float:
    """Give the trim that is asked for on every side; the metal follows the outline, which has no sides."""
    nowhere = Rect(0.0, 0.0, 0.0, 0.0)
    asked = _widened(nowhere, allowances, ("trim",))
    return min(-asked.left, -asked.bottom, asked.right, asked.top)


def _check_blank(plate: LaidPlate, tally: Tally) -> None:
    for what, shape in (
        ("finished plate", plate.outline),
        ("flange", plate.flange),
        ("staying metal", plate.staying),
        *((f"film {film.record.number}", film.film) for film in plate.films if film.record.use == "base"),
    ):
        if not shape.is_empty and (beyond := bounds_of(shape).beyond(plate.blank)) > TOLERANCE:
            tally.wrong(f"{plate.where}: its {what} runs {beyond:.6g} in out of its blank.")


def _check_inside(plate: LaidPlate, tally: Tally) -> None:
    for what, shape in (
        ("printing shape", plate.printing),
        ("staying metal", plate.staying.difference(plate.flange)),
    ):
        outside = 0.0 if shape.is_empty else shape.difference(plate.outline).area
        if not outside <= AREA_TOLERANCE:
            tally.wrong(f"{plate.where}: {outside:.6g} sq in of its {what} lie off the finished plate.")
    shared = plate.flange.intersection(plate.outline).area
    if not shared <= AREA_TOLERANCE:
        tally.wrong(f"{plate.where}: its flange covers {shared:.6g} sq in of the finished plate.")


def _check_films(plate: LaidPlate, tally: Tally) -> None:
    numbers = [film.record.number for film in plate.films]
    if numbers != list(range(1, len(numbers) + 1)):
        tally.wrong(f"{plate.where}: its films are not numbered from 1 to {len(numbers)}, so one is missing.")
    for film in plate.films:
        where = f"{plate.where}: film {film.record.number}"
        if film.record.use == "base" and film.record.on is not None:
            tally.wrong(f"{where} is part of the base, yet it is said to lie on film {film.record.on}.")
        others = [number for number in numbers if number != film.record.number]
        if film.record.use != "base" and film.record.on not in others:
            tally.wrong(f"{where} is an overlay of a film that the plate does not have.")
        askew = math.remainder(film.record.angle - plate.placement.turned, 360.0)
        if not abs(askew) <= _MOST_ASKEW:
            tally.wrong(f"{where} lies {askew:.6g} degrees off its plate, which is turned another way.")
        if not film.film.is_empty:
            _check_film(where, film, tally)


def _check_film(where: str, film: LaidFilm, tally: Tally) -> None:
    """A film is a rectangle of its size, turned by its angle; turned back, it stands upright."""
    corners = len(film.film.exterior.coords) - 1 if isinstance(film.film, Polygon) else 0
    if corners != 4:
        tally.wrong(f"{where} is no rectangle: it has {corners or 'no settled number of'} corners.")
        return
    angle = math.radians(math.fmod(film.record.angle, 360.0))
    cosine, sine = math.cos(angle), math.sin(angle)
    upright = bounds_of(affinity.affine_transform(film.film, (cosine, sine, -sine, cosine, 0.0, 0.0)))
    width, height = film.record.size
    off = max(abs(upright.width - width), abs(upright.height - height))
    if not off <= TOLERANCE:
        tally.wrong(
            f"{where} turned by {film.record.angle:.6g} degrees is {off:.6g} in off its size of "
            f"{width:.6g} x {height:.6g} in."
        )
    elif not abs(film.film.area - upright.area) <= AREA_TOLERANCE:
        tally.wrong(f"{where} is no rectangle: it lacks {upright.area - film.film.area:.6g} sq in of one.")

"""Does art print nowhere but in the image that the clearance protects, and is it the size it is said to be?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from shapely import affinity

from planner.plan import ArtRecord, Plan
from planner.proof.dead import FINEST, LEAST, MOST
from planner.proof.frames import Points, carried
from planner.proof.path_data import PathFault, rings_of
from planner.proof.raster import HALF, Grid, Mask, grid_over, squares_to
from planner.proof.report import Check, Tally
from planner.proof.shapes import LIMIT, TOLERANCE, LaidFilm, LaidFlat, LaidPlate

_PERCENTAGE: Final = 0.005
"""Part of a percentage that the two ways across the art may differ by."""

_RIGID: Final = 1e-6
"""How far the figures of a turn may be off those of a true one."""

_TINY: Final = 1e-5
"""Square inches."""

_COARSEST: Final = 1 / 10
"""Inches; an element as wide as that shows nothing."""


@dataclass(frozen=True, slots=True)
class _Read:
    """A piece of art and the edges of what prints, in inches in its own frame."""

    record: ArtRecord
    start: Points
    end: Points
    length: float


def check_art(plan: Plan, flats: Sequence[LaidFlat], elements: int) -> Check:
    """Each piece of art is the size it is said to be, and prints nowhere but in the images made from it."""
    tally = Tally("art", "pieces of art and films made from them")
    read: dict[str, _Read | None] = {}
    for record in plan.art:
        tally.look()
        if record.id in read:
            tally.wrong(f"art {record.id}: it is in the plan more than once.")
            continue
        read[record.id] = _read(record, tally)
        _check_figures(record, tally)
    among = len({film.record.art for flat in flats for plate in flat.plates for film in plate.films} - {None})
    most = min(max(elements // max(len(plan.art) + among, 1), LEAST), MOST)
    for art in read.values():
        if art is not None and elements > 0:
            _check_area(art, most, tally)
    seen: dict[tuple[object, ...], list[Points]] = {}
    for plate, film in _films(flats):
        where = f"{plate.where}: film {film.record.number}"
        name = film.record.art
        if name is None:
            if film.record.art_transform is not None:
                tally.wrong(f"{where} has a place for art, and names none.")
            continue
        tally.look()
        if name not in read:
            tally.wrong(f"{where} is made from art {name}, which the plan does not have.")
            continue
        art, matrix = read[name], film.record.art_transform
        if matrix is None:
            tally.wrong(f"{where} is made from art {name}, and does not say where that lies.")
        elif (
            art is not None and _is_true(where, film, art.record, tally) and elements > 0 and _is_new(film, name, seen)
        ):
            _check_film(where, plate, film, art, plan.settings.clearance, most, tally)
    return tally.done()


def _films(flats: Iterable[LaidFlat]) -> Iterable[tuple[LaidPlate, LaidFilm]]:
    for flat in flats:
        for plate in flat.plates:
            for film in plate.films:
                yield plate, film


def _read(record: ArtRecord, tally: Tally) -> _Read | None:
    try:
        rings = rings_of(record.path)
    except PathFault as fault:
        tally.wrong(f"art {record.id}: its path {fault}.")
        return None
    rings = [ring * record.unit for ring in rings]
    if not 0 < record.unit <= LIMIT or any(not np.abs(ring).max() <= LIMIT for ring in rings):
        tally.wrong(f"art {record.id}: its path leads off the earth.")
        return None
    nothing = np.empty((0, 2))
    start = np.concatenate([nothing, *rings])
    end = np.concatenate([nothing, *(np.roll(ring, -1, axis=0) for ring in rings)])
    return _Read(record, start, end, float(np.hypot(*(end - start).T).sum()))


def _check_figures(record: ArtRecord, tally: Tally) -> None:
    where = f"art {record.id}"
    if not 0 < record.error <= 1 or not record.resolution > 0:
        tally.wrong(
            f"{where}: it was read with {record.resolution:.6g} elements to the inch and an error of "
            f"{record.error:.6g} in."
        )
    left, right, bottom, top = record.crop
    if not min(record.crop) >= 0:
        tally.wrong(f"{where}: less than nothing is cropped off it.")
    for what, copy, size in (
        ("across", record.copy_size[0] - left - right, record.size[0]),
        ("up", record.copy_size[1] - bottom - top, record.size[1]),
    ):
        if not (0 < copy <= LIMIT and 0 < size <= LIMIT):
            tally.wrong(f"{where}: {what}, {copy:.6g} in of copy become {size:.6g} in.")
        elif not abs(100 * size / copy - record.percentage) <= _PERCENTAGE * record.percentage:
            tally.wrong(
                f"{where}: {what}, {copy:.6g} in of copy become {size:.6g} in, which is {100 * size / copy:.6g} per "
                f"cent, not {record.percentage:.6g}."
            )


def _check_area(art: _Read, most: int, tally: Tally) -> None:
    """The middles of elements count out an area to far less than half an element along its edge."""
    grid = _grid(art.start, art.record, most)
    area = grid.area(grid.enclosed(art.start, art.end)) if grid is not None else 0.0
    blur = grid.step / 4 if grid is not None else 0.0
    allowed = art.length * (art.record.error + blur) + _TINY
    if not abs(area - art.record.area) <= allowed:
        tally.wrong(
            f"art {art.record.id}: it is said to print {art.record.area:.6g} sq in, its path encloses {area:.6g}."
        )


def _grid(points: Points, record: ArtRecord, most: int) -> Grid | None:
    """Lay a raster over the points and the whole of the image."""
    if not len(points):
        return None
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    grid = grid_over((float(left), float(bottom), float(right), float(top)), 0.05, FINEST, most)
    return grid if grid.step <= _COARSEST else None


def _is_true(where: str, film: LaidFilm, art: ArtRecord, tally: Tally) -> bool:
    """The art is moved and turned as its film is, and neither scaled nor mirrored; its image lies on the film."""
    a, b, c, d, across, up = film.record.art_transform or (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    if not max(abs(across), abs(up)) <= LIMIT or not max(abs(a - d), abs(b + c), abs(a * d - b * c - 1)) <= _RIGID:
        tally.wrong(f"{where} is made from art {art.id}, which is scaled, skewed or mirrored on its way.")
        return False
    askew = math.remainder(math.degrees(math.atan2(b, a)) - film.record.angle, 360.0)
    if not abs(askew) <= 1e-3:
        tally.wrong(f"{where} is made from art {art.id}, which lies {askew:.6g} degrees off it.")
    width, height = art.size
    if 0 < width <= LIMIT and 0 < height <= LIMIT and not film.film.is_empty:
        place = affinity.affine_transform(shapely.box(0, 0, width, height), (a, c, b, d, across, up))
        outside = place.difference(film.film.buffer(TOLERANCE * 10, join_style="mitre")).area
        if not outside <= _TINY:
            tally.wrong(f"{where} is made from art {art.id}, of which {outside:.6g} sq in lie off it.")
    return True


def _is_new(film: LaidFilm, name: str, seen: dict[tuple[object, ...], list[Points]]) -> bool:
    """Say whether no film seen before has the same image round the same art, wherever it lies, and note it."""
    a, b, c, d, across, up = film.record.art_transform or (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    corners = shapely.get_coordinates(film.image) - (across, up)
    alike = seen.setdefault((name, round(a, 6), round(b, 6), round(c, 6), round(d, 6), len(corners)), [])
    if any(np.abs(corners - others).max(initial=0.0) <= TOLERANCE for others in alike):
        return False
    alike.append(corners)
    return True


def _check_film(
    where: str, plate: LaidPlate, film: LaidFilm, art: _Read, clearance: float, most: int, tally: Tally
) -> None:
    a, b, c, d, across, up = film.record.art_transform or (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    matrix = (a, c, b, d, across, up)
    start, end = carried(art.start, matrix), carried(art.end, matrix)
    corners = np.concatenate((start, shapely.get_coordinates(film.image)))
    grid = _grid(corners, art.record, most)
    if grid is None:
        if len(corners):
            tally.wrong(f"{where} is so large that its art cannot be examined.")
        return
    on_plate = grid.covered(plate.outline)
    printing = grid.enclosed(start, end)
    touched = printing | grid.touched(start, end)
    image = grid.over(film.image)
    error = min(max(art.record.error, 0.0), LIMIT) + TOLERANCE
    # The middle of a touched element is half a diagonal off the line that touches it, at most.
    missing = touched & on_plate & _far(grid, image, error + HALF * grid.step)
    if (area := grid.area(missing)) > _TINY:
        tally.wrong(f"{where} lacks {area:.6g} sq in of what prints of art {art.record.id} in its image.")
    # A white that no disc of the clearance enters has its edge within the clearance of all its points.
    more = image & on_plate & _far(grid, touched, error + HALF * grid.step + min(max(clearance, 0.0), LIMIT))
    if (area := grid.area(more)) > _TINY:
        tally.wrong(
            f"{where} has {area:.6g} sq in in its image that are farther than the clearance from art {art.record.id}."
        )


def _far(grid: Grid, mask: Mask, inches: float) -> Mask:
    return grid.beyond(squares_to(mask), inches + grid.blur + grid.step * 1e-6)

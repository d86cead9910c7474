"""Can what the rules add over a flat be done: passes that open and cover, frames that hold, marks on the sheet?"""

from __future__ import annotations

import math
from collections.abc import Collection
from typing import Final

from shapely import Point, STRtree
from shapely.geometry.base import BaseGeometry

from planner.plan import MarkRecord, PassRecord, StepRecord
from planner.proof.report import Check, Tally
from planner.proof.shapes import AREA_TOLERANCE, TOLERANCE, LaidFlat, bounds_of, read_shape, rect_of

_SEAM: Final = 1 / 4
"""Inches; a gap between films that is surely opaqued."""


def check_added(flats: Collection[LaidFlat]) -> Check:
    """Measure every pass and mark against the sheet, and look for every plate and film that is named."""
    tally = Tally("passes", "passes, marks and steps")
    for laid in flats:
        plates = {plate.placement.plate for plate in laid.plates}
        films = {(plate.placement.plate, film.record.number) for plate in laid.plates for film in plate.films}
        for number, one in enumerate(laid.flat.passes, 1):
            tally.look()
            _check_pass(laid, f"{laid.where}, pass {number}", one, tally)
            _check_names(f"{laid.where}, pass {number}", one, plates, tally)
            for film in one.films:
                if film not in films:
                    tally.wrong(f"{laid.where}, pass {number}: film {film[1]} of plate {film[0]} is not there.")
        for number, mark in enumerate(laid.flat.marks, 1):
            tally.look()
            _check_mark(laid, f"{laid.where}, mark {number}", mark, plates, tally)
        _check_seams(laid, tally)
        for number, step in enumerate(laid.flat.steps, 1):
            tally.look()
            _check_names(f"{laid.where}, step {number}", step, plates, tally)
    return tally.done()


def _check_seams(laid: LaidFlat, tally: Tally) -> None:
    """What is opaqued lies on the sheet and off every image, and closes each narrow gap between two films."""
    if not laid.flat.seams:
        return
    tally.look()
    seams = read_shape(laid.flat.seams, f"{laid.where}: its seams", tally)
    if seams.is_empty:
        return
    if bounds_of(seams).beyond(laid.sheet) > TOLERANCE:
        tally.wrong(f"{laid.where}: its seams reach off the sheet.")
    films = [film for plate in laid.plates for film in plate.films if film.record.use == "base"]
    for film in films:
        if (over := seams.intersection(film.image).area) > AREA_TOLERANCE:
            tally.wrong(f"{laid.where}: its seams cover {over:.6g} sq in of an image.")
    # Of two rectangles side by side it is plain what lies between them; of other shapes it is not.
    skins = [film.film for film in films if not film.film.is_empty and film.film.equals(film.film.envelope)]
    tree = STRtree(skins)
    for one, other in tree.query(skins, "dwithin", _SEAM).T:
        if one >= other:
            continue
        middle = _between(skins[one], skins[other])
        if middle is None:
            continue
        closed = (seams, *skins, *(film.image for film in films))
        if not any(shape.dwithin(middle, TOLERANCE) for shape in closed):
            tally.wrong(f"{laid.where}: a gap between two films near {middle.x:.3f}, {middle.y:.3f} is not opaqued.")


def _between(one: BaseGeometry, other: BaseGeometry) -> Point | None:
    """Give the middle of the gap between two rectangles that lie side by side for a good part of their length."""
    ends = [sorted(sides) for sides in zip(one.bounds, other.bounds, strict=True)]
    # Of both axes: the greater of the lower ends, and the less of the upper ones.
    (left, right), (bottom, top) = ((ends[axis][1], ends[axis + 2][0]) for axis in (0, 1))
    wide, high = right - left, top - bottom
    if max(wide, high) <= 2 * _SEAM or min(wide, high) >= -TOLERANCE:
        return None
    return Point((left + right) / 2, (bottom + top) / 2)


def _check_names(where: str, one: PassRecord | StepRecord, plates: Collection[str], tally: Tally) -> None:
    for plate in one.plates:
        if plate not in plates:
            tally.wrong(f"{where}: it speaks of plate {plate}, which does not lie there.")


def _check_pass(laid: LaidFlat, where: str, one: PassRecord, tally: Tally) -> None:
    opens = read_shape(one.opens, f"{where}: what it opens", tally)
    mask = read_shape(one.mask, f"{where}: its mask", tally)
    for name, shape in (("what it opens", opens), ("its mask", mask)):
        if not shape.is_empty and bounds_of(shape).beyond(laid.sheet) > TOLERANCE:
            tally.wrong(f"{where}: {name} reaches off the sheet.")
    both = opens.intersection(mask).area
    if both > AREA_TOLERANCE:
        tally.wrong(f"{where}: {both:.6g} sq in are opened and covered at once.")
    bare = laid.sheet.polygon().difference(opens).difference(mask).area
    if one.mask and bare > AREA_TOLERANCE:
        tally.wrong(f"{where}: {bare:.6g} sq in are neither opened nor covered.")
    if one.frame is not None:
        frame = rect_of(one.frame)
        if not frame.sound:
            tally.wrong(f"{where}: its frame is no frame.")
        elif not opens.is_empty and bounds_of(opens).beyond(frame) > TOLERANCE:
            tally.wrong(f"{where}: its frame does not hold what is opened.")


def _check_mark(laid: LaidFlat, where: str, mark: MarkRecord, plates: Collection[str], tally: Tally) -> None:
    if mark.plate is not None and mark.plate not in plates:
        tally.wrong(f"{where}: it belongs to plate {mark.plate}, which does not lie there.")
    area = read_shape(mark.area, where, tally)
    points = [point for line in mark.lines for point in line]
    if area.is_empty and not points:
        tally.wrong(f"{where}: there is nothing to draw.")
    sheet = laid.sheet
    off = [
        point for point in points
        if not all(map(math.isfinite, point))
        or max(sheet.left - point[0], point[0] - sheet.right, sheet.bottom - point[1], point[1] - sheet.top) > TOLERANCE
    ]  # fmt: skip
    if off or (not area.is_empty and bounds_of(area).beyond(sheet) > TOLERANCE):
        tally.wrong(f"{where}: it lies off the sheet.")

"""Measures the drawn sheets: is every plate in its place, and is the view of the metal the mirror image?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from statistics import median
from typing import Final, Literal, TypeAlias

from shapely import MultiLineString, affinity

from planner.plan import Flat, Plan, Shape
from planner.proof.drawing import DrawingFault, Drawn, Point, read_drawing
from planner.proof.report import Check, Tally

VIEW_TOLERANCE: Final = 1e-4
"""Inches; drawings carry five decimals."""

View: TypeAlias = Literal["stripper", "metal"]
_VIEWS: Final[tuple[View, ...]] = ("stripper", "metal")
_MEASURED: Final = frozenset({"sheet", "outline", "printing", "flange", "blank", "part"})
"""Kinds of paths that are measured; each plate must have its outline, the others are compared where drawn."""

_Rings: TypeAlias = tuple[tuple[Point, ...], ...]
_Places: TypeAlias = dict[tuple[str, str], _Rings]
"""What is drawn where, by plate ('' for the sheet) and kind."""


def check_views(plan: Plan, folder: Path | None) -> Check:
    """Each flat is drawn twice: true to the plan for the stripper, and as its mirror image for the metal.

    A folder without any drawing of a flat, or no folder, proves nothing: then the check looked at none.
    """
    tally = Tally("views", "drawings")
    if folder is None:
        return tally.done()
    numbers = dict.fromkeys(flat.number for flat in plan.flats)
    files = {(number, view): _file_name(number, view) for number in numbers for view in _VIEWS}
    there = _names_in(folder)
    if there.isdisjoint(files.values()):
        return tally.done()
    for (number, _), name in files.items():
        if name not in there:
            tally.wrong(f"flat {number}: the drawing {name} is not there.")
    for flat in plan.flats:
        read: dict[View, _Places] = {}
        for view in _VIEWS:
            name = files[flat.number, view]
            if name in there:
                tally.look()
                places = _read(folder / name, flat, tally)
                if places is not None:
                    read[view] = places
        if "stripper" in read:
            _check_stripper(flat, read["stripper"], tally)
        if "stripper" in read and "metal" in read:
            _check_mirror(flat, read["stripper"], read["metal"], tally)
    return tally.done()


def _names_in(folder: Path) -> set[str]:
    """Listed rather than asked for: a flat's number may make a name that no disk takes."""
    try:
        return {entry.name for entry in folder.iterdir()}
    except OSError:
        return set()


def _file_name(number: int, view: View) -> str:
    return f"flat-{number:02d}-{view}.svg"


def _read(file: Path, flat: Flat, tally: Tally) -> _Places | None:
    try:
        drawn = read_drawing(file, _MEASURED)
    except DrawingFault as fault:
        tally.wrong(f"flat {flat.number}: the drawing {file.name} {fault}.")
        return None
    _check_presence(f"flat {flat.number}, drawing {file.name}", drawn, flat, tally)
    # Two paths of one kind in one plate's group are one thing, as far as measuring goes.
    places: _Places = {}
    for path in drawn:
        if path.rings:
            places[path.plate, path.kind] = (*places.get((path.plate, path.kind), ()), *path.rings)
    return places


def _check_presence(where: str, drawn: Iterable[Drawn], flat: Flat, tally: Tally) -> None:
    found = Counter(path.plate for path in drawn if path.kind == "outline")
    placed = dict.fromkeys(placement.plate for placement in flat.placements)
    for name in placed:
        if found[name] != 1:
            tally.wrong(f"{where}: plate {name} is drawn {found[name]} times instead of once.")
    for name in found:
        if name not in placed:
            what = f"plate {name}, which is not on this flat" if name else "an outline of no plate"
            tally.wrong(f"{where}: it draws {what}.")


def _check_stripper(flat: Flat, drawn: _Places, tally: Tally) -> None:
    wanted: _Places = {}
    for placement in flat.placements:
        wanted[placement.plate, "outline"] = _rings(placement.outline)
    width, height = flat.sheet.width, flat.sheet.height
    wanted["", "sheet"] = (((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)),)
    _compare(flat, drawn, wanted, "is not drawn for the stripper where the plan has it", tally)


def _check_mirror(flat: Flat, stripper: _Places, metal: _Places, tally: Tally) -> None:
    turned_over = {key: tuple(tuple((-x, y) for x, y in ring) for ring in rings) for key, rings in metal.items()}
    _compare(flat, turned_over, stripper, "is not drawn on the metal as the stripper's mirror image", tally)


def _rings(shape: Shape) -> _Rings:
    return tuple(ring for polygon in shape for ring in polygon if ring)


def _compare(flat: Flat, found: _Places, wanted: _Places, wrong: str, tally: Tally) -> None:
    """Compare what both have, after the shift that suits most of them."""
    both = [key for key in wanted if found.get(key) and wanted[key]]
    if not both:
        return
    corners = [(_corner(found[key]), _corner(wanted[key])) for key in both]
    across = median(there[0] - here[0] for here, there in corners)
    up = median(there[1] - here[1] for here, there in corners)
    for key in both:
        off = _off(found[key], wanted[key], across, up)
        if not off <= VIEW_TOLERANCE:
            plate, kind = key
            what = f"plate {plate}: its {kind}" if plate else f"the {kind}"
            tally.wrong(f"flat {flat.number}, {what} {wrong}: it is {off:.6g} in off.")


def _corner(rings: _Rings) -> Point:
    return min(x for ring in rings for x, _ in ring), min(y for ring in rings for _, y in ring)


def _off(found: _Rings, wanted: _Rings, across: float, up: float) -> float:
    """How far the farthest corner of one is off the lines of the other, when one is shifted."""
    if [len(ring) for ring in found] == [len(ring) for ring in wanted]:
        off = max(
            max(abs(x + across - there_x), abs(y + up - there_y))
            for ring, there in zip(found, wanted, strict=True)
            for (x, y), (there_x, there_y) in zip(ring, there, strict=True)
        )
        if off <= VIEW_TOLERANCE:
            return off
    # Drawn from another corner or the other way round it is still the same shape.
    moved = affinity.translate(_lines(found), across, up)
    return float(moved.hausdorff_distance(_lines(wanted)))


def _lines(rings: _Rings) -> MultiLineString:
    return MultiLineString([(*ring, ring[0]) for ring in rings])

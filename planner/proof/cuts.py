"""Replays the cuts from the whole sheet down: does each make what the plan says, do all plates come out?

Flats whose plates are sawn out along their own lines have a module of their own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shapely import STRtree, box

from planner.plan import CutPart, Flat, Settings
from planner.proof.report import Check, Tally
from planner.proof.sawn import check_sawn
from planner.proof.shapes import LIMIT, NOTHING, TOLERANCE, LaidFlat, Rect, holds, rect_of


def strip_of(part: CutPart) -> Rect | None:
    """Give the strip of metal that a part's cut turns to chips; none if the part is not cut."""
    if part.cut is None or part.at is None or part.kerf is None:
        return None
    whole, half = rect_of(part.box), part.kerf / 2
    if part.cut == "vertical":
        return Rect(part.at - half, whole.bottom, part.at + half, whole.top)
    return Rect(whole.left, part.at - half, whole.right, part.at + half)


def check_cuts(flats: Iterable[LaidFlat], settings: Settings) -> Check:
    """Every cut runs edge to edge and leaves exactly two parts; each plate comes out with its blank whole."""
    tally = Tally("cuts", "parts of sheets")
    for laid in flats:
        least_offcut = settings.least_offcut_of.get(laid.flat.sheet.metal, settings.least_offcut)
        if laid.free:
            check_sawn(laid, least_offcut, tally)
            continue
        tree = laid.flat.cut_tree
        tally.look(len(tree))
        if laid.flat.kerf_shape or laid.flat.rest or any(plate.placement.metal for plate in laid.plates):
            tally.wrong(f"{laid.where}: it is cut from edge to edge, yet metal is said to be sawn out of it.")
        if not tree:
            tally.wrong(f"{laid.where}: there is no cut tree.")
            continue
        if not laid.flat.kerf >= 0:
            tally.wrong(f"{laid.where}: the kerf is {laid.flat.kerf:.6g} in wide.")
        off = _off(rect_of(tree[0].box), laid.sheet)
        if not off <= TOLERANCE:
            tally.wrong(f"{laid.where}: the cuts begin with a part that is {off:.6g} in off the whole sheet.")
        _check_links(laid.where, tree, tally)
        _check_numbers(laid.where, laid.flat, tally)
        for place, part in enumerate(tree):
            where = f"{laid.where}, part {place}"
            if not rect_of(part.box).sound:
                tally.wrong(f"{where}: it measures {part.box[2]:.6g} x {part.box[3]:.6g} in.")
            if part.cut is None:
                _check_leaf(where, part, laid.flat, least_offcut, tally)
            else:
                _check_cut(where, part, laid.flat, tally)
        _check_plates(laid, tally)
        _check_strips(laid, tally)
    return tally.done()


def _off(rect: Rect, other: Rect) -> float:
    return max(abs(side - side_of_other) for side, side_of_other in zip(rect, other, strict=True))


def _children(part: CutPart) -> Iterator[int]:
    if part.cut is not None:
        yield from (child for child in (part.low, part.high) if child is not None)


def _check_links(where: str, tree: tuple[CutPart, ...], tally: Tally) -> None:
    """Each part but the first comes from exactly one part before it; that rules out circles as well."""
    parents: dict[int, int] = {}
    for place, part in enumerate(tree):
        for child in _children(part):
            if not 0 <= child < len(tree):
                tally.wrong(f"{where}, part {place}: its cut leads to part {child}, which is not there.")
            elif child <= place:
                tally.wrong(f"{where}, part {place}: its cut leads back to part {child}.")
            elif child in parents:
                tally.wrong(f"{where}, part {child}: it comes from both part {parents[child]} and part {place}.")
            else:
                parents[child] = place
    for place in range(1, len(tree)):
        if place not in parents:
            tally.wrong(f"{where}, part {place}: no cut leads to it.")


def _check_numbers(where: str, flat: Flat, tally: Tally) -> None:
    tree = flat.cut_tree
    numbers = sorted(part.number for part in tree if part.cut is not None and part.number is not None)
    if numbers != list(range(1, len(numbers) + 1)):
        tally.wrong(f"{where}: the cuts are not numbered from 1 to {len(numbers)}, each once.")
    cuts = sum(1 for part in tree if part.cut is not None)
    if flat.cuts != cuts:
        tally.wrong(f"{where}: it says that it takes {flat.cuts} cuts, but its tree has {cuts}.")
    for part in tree:
        for child in _children(part):
            later = tree[child].number if 0 <= child < len(tree) else None
            if part.number is not None and later is not None and later <= part.number:
                tally.wrong(f"{where}, part {child}: cut {later} comes before cut {part.number}, which frees it.")


def _check_cut(where: str, part: CutPart, flat: Flat, tally: Tally) -> None:
    if part.at is None or part.kerf is None or part.number is None or part.low is None or part.high is None:
        tally.wrong(f"{where}: its cut lacks a place, a kerf, a number or a part that it leaves.")
        return
    if part.use is not None or part.plate is not None:
        tally.wrong(f"{where}: it is cut, yet it has a use ({part.use or part.plate}) as well.")
    if not abs(part.kerf - flat.kerf) <= TOLERANCE:
        tally.wrong(f"{where}: cut {part.number} is {part.kerf:.6g} in wide instead of {flat.kerf:.6g} in.")
    whole, half = rect_of(part.box), part.kerf / 2
    if part.cut == "vertical":
        low = Rect(whole.left, whole.bottom, part.at - half, whole.top)
        high = Rect(part.at + half, whole.bottom, whole.right, whole.top)
    else:
        low = Rect(whole.left, whole.bottom, whole.right, part.at - half)
        high = Rect(whole.left, part.at + half, whole.right, whole.top)
    if not (min(low.width, low.height) > 0 and min(high.width, high.height) > 0):
        tally.wrong(f"{where}: cut {part.number} at {part.at:.6g} in does not leave two parts of it.")
    for side, child, wanted in (("low", part.low, low), ("high", part.high, high)):
        if not 0 <= child < len(flat.cut_tree):
            continue
        off = _off(rect_of(flat.cut_tree[child].box), wanted)
        if not off <= TOLERANCE:
            tally.wrong(
                f"{where}: cut {part.number} does not leave part {child} on its {side} side; "
                f"a side of it is {off:.6g} in off."
            )


def _check_leaf(where: str, part: CutPart, flat: Flat, least_offcut: tuple[float, float], tally: Tally) -> None:
    if any(value is not None for value in (part.at, part.kerf, part.number, part.low, part.high)):
        tally.wrong(f"{where}: it is not cut, yet it carries figures of a cut.")
    if part.use is None:
        tally.wrong(f"{where}: it is neither cut nor used.")
    if part.plate is not None and part.use != "plate":
        tally.wrong(f"{where}: it is {part.use or 'unused'}, yet it names plate {part.plate}.")
    _, _, width, height = part.box
    least = f"{least_offcut[0]:.6g} x {least_offcut[1]:.6g} in"
    if part.use == "offcut" and not holds(width, height, least_offcut, TOLERANCE):
        tally.wrong(f"{where}: the offcut of {width:.6g} x {height:.6g} in is smaller than {least}.")
    if part.use == "scrap" and holds(width, height, least_offcut, -TOLERANCE):
        tally.wrong(f"{where}: {width:.6g} x {height:.6g} in go to scrap, but offcuts are kept from {least}.")
    if part.use == "grip":
        inside = -rect_of(part.box).apart(rect_of(flat.usable))
        if not inside <= TOLERANCE:
            tally.wrong(f"{where}: the grip margin reaches {inside:.6g} in into the usable area.")


def _check_plates(laid: LaidFlat, tally: Tally) -> None:
    leaves: dict[str, list[int]] = {}
    for place, part in enumerate(laid.flat.cut_tree):
        if part.cut is None and part.use == "plate":
            if part.plate is None:
                tally.wrong(f"{laid.where}, part {place}: it is a plate's metal, but of no plate.")
            else:
                leaves.setdefault(part.plate, []).append(place)
    placed = {plate.placement.plate for plate in laid.plates}
    for name, places in leaves.items():
        if name not in placed:
            tally.wrong(f"{laid.where}, part {places[0]}: it is metal for plate {name}, which is not here.")
    for plate in laid.plates:
        places = leaves.get(plate.placement.plate, [])
        if len(places) != 1:
            tally.wrong(f"{plate.where}: the cuts leave {len(places)} parts for it instead of one.")
        for place in places:
            off = _off(rect_of(laid.flat.cut_tree[place].box), plate.part)
            if not off <= TOLERANCE:
                tally.wrong(f"{plate.where}: the part cut for it is {off:.6g} in off what the cuts leave.")
        beyond = plate.blank.beyond(plate.part)
        if not beyond <= TOLERANCE:
            tally.wrong(f"{plate.where}: the blank runs {beyond:.6g} in out of the part cut for it.")


def _check_strips(laid: LaidFlat, tally: Tally) -> None:
    """No cut runs through a blank, wherever in the tree either of them stands."""
    cuts = [(part.number, strip) for part in laid.flat.cut_tree if (strip := strip_of(part)) is not None]
    if not cuts or not laid.plates:
        return
    # A shear's strip has no width; the index looks for touching rectangles, so it finds that one too.
    blanks = STRtree([plate.blank.polygon() for plate in laid.plates])
    strips = [box(*strip) if max(map(abs, strip)) <= LIMIT else NOTHING for _, strip in cuts]
    for cut, found in zip(*(side.tolist() for side in blanks.query(strips)), strict=True):
        (number, strip), plate = cuts[cut], laid.plates[found]
        inside = -strip.apart(plate.blank)
        if strip.width >= 0 and strip.height >= 0 and inside > TOLERANCE:
            tally.wrong(f"{plate.where}: cut {number} runs {inside:.6g} in inside the blank.")

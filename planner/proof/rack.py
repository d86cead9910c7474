"""Is every offcut named and where the plan says, and does no piece of the rack lie under two flats?"""

from __future__ import annotations

from collections import Counter

from planner.plan import Box, Flat, Plan
from planner.proof.report import Check, Tally
from planner.proof.shapes import TOLERANCE


def check_rack(plan: Plan) -> Check:
    """Each offcut of a flat bears one name; each piece of the rack is the sheet of one flat."""
    tally = Tally("rack", "offcuts and pieces of the rack")
    _check_offcuts(plan, tally)
    if plan.rack is not None:
        under = Counter(flat.sheet.name for flat in plan.flats)
        remnants = {flat.sheet.name for flat in plan.flats if flat.sheet.remnant}
        for name, times in Counter(plan.rack.taken).items():
            tally.look()
            if times > 1 or under[name] > 1:
                tally.wrong(f"Piece {name} of the rack is used more than once.")
            if name not in remnants:
                tally.wrong(f"Piece {name} was taken from the rack, but no flat lies on it.")
    return tally.done()


def _check_offcuts(plan: Plan, tally: Tally) -> None:
    tally.look(len(plan.offcuts))
    for name, times in Counter(offcut.name for offcut in plan.offcuts).items():
        if times > 1:
            tally.wrong(f"There are {times} offcuts called {name}.")
    there = {flat.number: _offcuts(flat) for flat in plan.flats}
    for offcut in plan.offcuts:
        found = there.get(offcut.flat, [])
        place = next((place for place, (box, _) in enumerate(found) if _is_same(box, offcut.box)), None)
        if place is None:
            tally.wrong(f"Offcut {offcut.name}: flat {offcut.flat} has none there that is not named already.")
            continue
        _, cut = found.pop(place)
        if cut != offcut.after_cut:
            tally.wrong(f"Offcut {offcut.name}: it is free after cut {cut}, not {offcut.after_cut}.")
    # A plan that was made before offcuts had names lists none at all.
    if plan.offcuts:
        for number, found in there.items():
            if found:
                tally.wrong(f"flat {number}: {len(found)} of its offcuts have no name.")


def _offcuts(flat: Flat) -> list[tuple[Box, int | None]]:
    freed = {side: part.number for part in flat.cut_tree if part.cut is not None for side in (part.low, part.high)}
    found = [(part.box, freed.get(place)) for place, part in enumerate(flat.cut_tree) if part.use == "offcut"]
    for rest in flat.rest:
        corners = [corner for polygon in rest.shape for corner in polygon[0]] if rest.use == "offcut" else []
        if corners:
            left, bottom = (min(corner[axis] for corner in corners) for axis in (0, 1))
            right, top = (max(corner[axis] for corner in corners) for axis in (0, 1))
            found.append(((left, bottom, right - left, top - bottom), None))
    return found


def _is_same(one: Box, other: Box) -> bool:
    return all(abs(first - second) <= TOLERANCE for first, second in zip(one, other, strict=True))

"""Do plates that a rule wants together lie together, the same way up?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.findings import Finding
from planner.plan import Flat, PlateRecord


def check_sets(flats: Iterable[Flat], plates: Iterable[PlateRecord]) -> Iterator[tuple[str, Finding]]:
    """Find sets that lie on several flats, or not all the same way up; gives the first plate of each.

    Etched apart or turned differently, plates stretch and register differently (common practice).
    """
    placed = {placement.plate: (flat, placement) for flat in flats for placement in flat.placements}
    sets: dict[str, list[PlateRecord]] = defaultdict(list)
    for plate in plates:
        if plate.together and plate.id in placed:
            sets[plate.together].append(plate)
    for members in sets.values():
        there = [placed[plate.id] for plate in members]
        numbers = sorted({flat.number for flat, _ in there})
        why = next(asked for asked in members[0].sharing if asked.kind == "together")
        if len(numbers) > 1:
            yield members[0].id, Finding(
                "together.apart", "warn",
                f"its set of {len(members)} lies on flats {', '.join(map(str, numbers))}, no sheet holding all of it; "
                f"the rule {why.rule} wants it on one ({why.reason})",
                "etch those flats alike and one after the other, or lay in a larger sheet",
            )  # fmt: skip
        elif len({placement.turned for _, placement in there}) > 1:
            yield members[0].id, Finding(
                "together.turned", "warn",
                f"the plates of its set do not all lie the same way up; the rule {why.rule} wants that ({why.reason})",
                "write may_turn = false for the set",
            )  # fmt: skip

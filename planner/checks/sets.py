"""Do the plates of a colour set lie together? They must fall on each other in register."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from planner.findings import Finding
from planner.plan import Flat, Placement, PlateRecord


def check_sets(flats: Iterable[Flat], plates: Iterable[PlateRecord]) -> Iterator[tuple[str, Finding]]:
    """Find colour sets that lie on several flats, or not all the same way up; gives the first plate of each.

    Etched apart or turned differently, the plates of a set stretch and register differently (common practice).
    """
    placed = {placement.plate: (flat, placement) for flat in flats for placement in flat.placements}
    sets: dict[tuple[str, str, int], list[tuple[Flat, Placement]]] = defaultdict(list)
    for plate in plates:
        if plate.colour is not None and plate.id in placed:
            sets[plate.job, plate.name, plate.copy_number].append(placed[plate.id])
    for members in sets.values():
        numbers = sorted({flat.number for flat, _ in members})
        first = members[0][1].plate
        if len(numbers) > 1:
            yield first, Finding(
                "colour.apart", "warn",
                f"its colour set lies on flats {', '.join(map(str, numbers))} and would be etched apart",
                "etch those flats alike and one after the other, or plan the set by itself",
            )  # fmt: skip
        elif len({placement.turned for _, placement in members}) > 1:
            yield first, Finding(
                "colour.turned", "warn",
                "the plates of its colour set do not all lie the same way up",
                "write may_turn = false for the set",
            )  # fmt: skip

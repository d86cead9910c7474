"""One sheet while a plan is made: its trees, and the rooms in which a further piece may lie.

Every node of a slicing tree has room beside it or above it, from where its parent ends it to where the sheet ends it.
Rooms overlap: taking one may shrink the others. The tight part of a room is what remains when all room left over is
pushed together as near to the root as it goes; a piece that stays inside it costs the other rooms nothing.

The sheet's value is the sum of (area of a tight room) ** `POWER`. As this is more than proportional to the area, few
large rooms are worth more than many small ones.
"""

from __future__ import annotations

from typing import Final, TypeAlias

from .sizes import Welcome
from .slicing import HORIZONTAL, VERTICAL, Path, Tree, add_sizes

POWER: Final = 1.2

Room: TypeAlias = tuple[int, Path, int, int, int, int, int, float, int]
"""Set of sizes that fit, path, cut (0: region is empty), width, height, tight width, tight height, value, region."""


class Sheet:
    """One sheet: the kind of stock, the places of its regions' trees (None: empty), and its rooms.

    A region is a rectangle free of keep-out boxes; nearly every sheet is one region. `fits` is the set of sizes that
    fit any room.
    """

    __slots__ = ("fits", "group", "kind", "level", "regions", "rooms", "trees", "value", "variant", "welcome")

    def __init__(
        self,
        kind: int,
        variant: int,
        group: int,
        level: int,
        regions: tuple[tuple[int, int], ...],
        trees: tuple[Tree | None, ...],
        welcome: Welcome,
    ) -> None:
        """`regions` are the widths and heights; group and level say who is welcome, as `welcome` knows."""
        self.kind = kind
        self.variant = variant
        self.group = group
        self.level = level
        self.regions = regions
        self.trees = trees
        self.welcome = welcome
        self.rooms: list[Room] = []
        self.value = 0.0
        for index, (width, height) in enumerate(regions):
            tree = trees[index]
            if tree is None:
                self._add_empty(index, width, height)
            else:
                self._add_root(index, tree, width, height)
        fits = 0
        for room in self.rooms:
            fits |= room[0]
        self.fits = fits

    def with_tree(self, region: int, tree: Tree | None) -> Sheet:
        """The same sheet with another tree in a region."""
        trees = (tree,) if len(self.trees) == 1 else (*self.trees[:region], tree, *self.trees[region + 1 :])
        return Sheet(self.kind, self.variant, self.group, self.level, self.regions, trees, self.welcome)

    def emptied(self) -> Sheet:
        """The same sheet without its pieces."""
        trees = (None,) * len(self.trees)
        return Sheet(self.kind, self.variant, self.group, self.level, self.regions, trees, self.welcome)

    def sizes(self) -> list[int]:
        """The size of each piece on the sheet, with repetitions."""
        found: list[int] = []
        for tree in self.trees:
            if tree is not None:
                add_sizes(tree, found)
        return found

    def _add(self, fits: tuple[int, int], path: Path, cut: int, tight: tuple[int, int], region: int) -> None:
        base = float(tight[0] * tight[1]) ** POWER
        self.value += base
        found = self.welcome.known.get(fits)
        if found is None:
            found = self.welcome.look_up(*fits)
        if found:
            self.rooms.append((found, path, cut, *fits, *tight, base, region))

    def _add_empty(self, region: int, width: int, height: int) -> None:
        self._add((width, height), None, 0, (width, height), region)

    def _add_root(self, region: int, tree: Tree, width: int, height: int) -> None:
        """The rooms of a whole tree: the larger one beside or above all of it is left in one part."""
        kind, least_x, least_y, _ = tree
        beside = (width - least_x) * height
        above = width * (height - least_y)
        tight_x, tight_y = width, height
        if kind >= 0:
            if beside >= above:
                right, top = (width - least_x, height), (least_x, height - least_y)
            else:
                right, top = (width - least_x, least_y), (width, height - least_y)
            if beside:
                self._add((width - least_x, height), None, VERTICAL, right, region)
            if above:
                self._add((width, height - least_y), None, HORIZONTAL, top, region)
            return
        # The run's own room is found below; here is the one across.
        if kind == VERTICAL:
            if above:
                if above > beside:
                    tight_y = least_y
                self._add((width, height - least_y), None, HORIZONTAL, (width, height - tight_y), region)
        elif beside:
            if beside > above:
                tight_x = least_x
            self._add((width - least_x, height), None, VERTICAL, (width - tight_x, height), region)
        self.value += _add_rooms(tree, (width, height, tight_x, tight_y), None, region, self.rooms, self.welcome)


# One long function, written out for both cuts, because it is where the time goes.
def _add_rooms(  # noqa: PLR0912, PLR0915
    tree: Tree, extent: tuple[int, int, int, int], path: Path, region: int, rooms: list[Room], welcome: Welcome
) -> float:
    """Add the rooms of a run and all in it; return the value of their tight parts.

    The extent is the width and height up to which the run may grow, and those of its tight place.
    """
    width, height, tight_x, tight_y = extent
    kind, least_x, least_y, parts = tree
    known = welcome.known
    step = 0
    if kind == VERTICAL:
        slack = width - least_x
        rest = tight_x - least_x
        value = base = (rest * tight_y) ** POWER if rest else 0.0
        if slack:
            fits = known.get((slack, height))
            if fits is None:
                fits = welcome.look_up(slack, height)
            if fits:
                rooms.append((fits, path, VERTICAL, slack, height, rest, tight_y, base, region))
        for part in parts:
            least_x = part[1]
            if part[0] < 0:
                value += _add_rooms(
                    part, (least_x + slack, height, least_x, tight_y), (path, step), region, rooms, welcome
                )
            else:
                rest = tight_y - part[2]
                base = (least_x * rest) ** POWER if rest else 0.0
                value += base
                above = height - part[2]
                if above:
                    fits = known.get((least_x + slack, above))
                    if fits is None:
                        fits = welcome.look_up(least_x + slack, above)
                    if fits:
                        room_x = least_x + slack
                        rooms.append((fits, (path, step), HORIZONTAL, room_x, above, least_x, rest, base, region))
            step += 1
        return value
    slack = height - least_y
    rest = tight_y - least_y
    value = base = (tight_x * rest) ** POWER if rest else 0.0
    if slack:
        fits = known.get((width, slack))
        if fits is None:
            fits = welcome.look_up(width, slack)
        if fits:
            rooms.append((fits, path, HORIZONTAL, width, slack, tight_x, rest, base, region))
    for part in parts:
        least_y = part[2]
        if part[0] < 0:
            value += _add_rooms(part, (width, least_y + slack, tight_x, least_y), (path, step), region, rooms, welcome)
        else:
            rest = tight_x - part[1]
            base = (least_y * rest) ** POWER if rest else 0.0
            value += base
            beside = width - part[1]
            if beside:
                fits = known.get((beside, least_y + slack))
                if fits is None:
                    fits = welcome.look_up(beside, least_y + slack)
                if fits:
                    rooms.append((fits, (path, step), VERTICAL, beside, least_y + slack, rest, least_y, base, region))
        step += 1
    return value

"""Where a piece goes: the best room of a sheet, a bundle all on one sheet, the kind of sheet to open."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from random import Random

from .rooms import POWER, Room, Sheet
from .slicing import VERTICAL, leaf, with_leaf
from .task import Task

# An allowance for waste: pieces never use the whole of a sheet.
_WASTE = 1.15


def score(room: Room, width: int, height: int, penalty: float) -> float:
    """Gain in value by laying a piece into a room; what reaches beyond the tight part costs its area x penalty."""
    _, _, cut, room_x, room_y, tight_x, tight_y, base, _ = room
    rest_x, rest_y = tight_x - width, tight_y - height
    gain: float = -base
    if cut == VERTICAL:
        if rest_x > 0:
            gain += float(rest_x * tight_y) ** POWER
        if rest_y > 0:
            gain += float(rest_y * width) ** POWER
    else:
        if rest_y > 0:
            gain += float(rest_y * tight_x) ** POWER
        if rest_x > 0:
            gain += float(rest_x * height) ** POWER
    if rest_x < 0:
        gain += penalty * rest_x * room_y
    if rest_y < 0:
        gain += penalty * rest_y * room_x
    return gain


def penalty_of(task: Task) -> float:
    """What an area of one is worth within a room of a quarter of a sheet."""
    if not task.kinds:
        return 1.0
    return float(POWER * (max(kind.area for kind in task.kinds) / 4) ** (POWER - 1))


def turnings(task: Task, size: int) -> tuple[tuple[bool, int, int], ...]:
    """The ways a size may lie: turned, width, height."""
    width, height = task.sizes.widths[size], task.sizes.heights[size]
    upright = (False, width, height)
    if not task.sizes.may_turn[size] or width == height:
        return (upright,)
    return (upright, (True, height, width))


def placed(task: Task, sheet: Sheet, room: Room, size: int, lying: tuple[bool, int, int]) -> Sheet | None:
    """The sheet with one more piece in a room; None when the shears could not cut it out."""
    _, path, cut, *_, region = room
    turned, width, height = lying
    tree = sheet.trees[region]
    added = leaf(size, turned, width, height)
    fuller = sheet.with_tree(region, added if tree is None else with_leaf(tree, path, cut, added))
    if task.limits is not None and task.slab(fuller) is None:
        return None
    return fuller


def best_placed(
    task: Task, sheet: Sheet, size: int, lyings: Iterable[tuple[bool, int, int]], penalty: float
) -> Sheet | None:
    """The sheet with one more piece where it fits best; None when it fits nowhere."""
    found = []
    for lying in lyings:
        _, width, height = lying
        for number, room in enumerate(sheet.rooms):
            if room[0] >> size & 1 and width <= room[3] and height <= room[4]:
                found.append((-score(room, width, height, penalty), number, lying))
    for _, number, lying in sorted(found):
        fuller = placed(task, sheet, sheet.rooms[number], size, lying)
        if fuller is not None:
            return fuller
    return None


def with_bundle(task: Task, sheet: Sheet, size: int, penalty: float) -> Sheet | None:
    """The sheet with all of a bundle, turned the same way; None when they do not go on."""
    bundle = task.bundles[size]
    for turned in (False, True) if bundle.may_turn else (False,):
        fuller: Sheet | None = sheet
        for member in bundle.sizes:
            if fuller is None:
                break
            width, height = task.sizes.widths[member], task.sizes.heights[member]
            lying = (True, height, width) if turned else (False, width, height)
            fuller = best_placed(task, fuller, member, (lying,), penalty)
        if fuller is not None:
            return fuller
    return None


def bundle_alone(task: Task, kind: int, size: int, level: int) -> Sheet | None:
    """A new sheet with a bundle on it, as it is known to fit."""
    known = task.bundles[size].alone.get(kind)
    if known is None:
        return None
    variant, trees = known
    empty = task.empty_sheet(kind, variant, task.groups[size], level)
    return Sheet(kind, variant, empty.group, level, empty.regions, trees, empty.welcome)


class Opener:
    """Opens sheets: which kind, and which way to cut around its boxes."""

    def __init__(self, task: Task) -> None:
        """Find out once which kinds hold which size."""
        self._task = task
        self._holding: dict[int, list[tuple[int, list[int]]]] = {}

    def holding(self, size: int) -> list[tuple[int, list[int]]]:
        """The kinds that hold a piece of the size, or the whole bundle, with the variants that do."""
        known = self._holding.get(size)
        if known is None:
            known = self._holding[size] = self._find_holding(size)
        return known

    def _find_holding(self, size: int) -> list[tuple[int, list[int]]]:
        task = self._task
        if size in task.bundles:
            return [(kind, [task.bundles[size].alone[kind][0]]) for kind in sorted(task.bundles[size].alone)]
        found = []
        for number, kind in enumerate(task.kinds):
            if kind.group is not None and kind.group != task.groups[size]:
                continue
            variants = [
                variant
                for variant in range(len(kind.variants))
                if best_placed(
                    task,
                    task.empty_sheet(number, variant, task.groups[size], task.levels[size]),
                    size,
                    turnings(task, size),
                    1.0,
                )
                is not None
            ]
            if variants:
                found.append((number, variants))
        return found

    def best(self, size: int, useful: int, allowed: Callable[[int], bool]) -> tuple[int, int] | None:
        """The kind, and its first variant, that costs least for the area that waiting pieces can use."""
        best: tuple[int, int] | None = None
        least = 0.0
        for kind, variants in self.holding(size):
            if not allowed(kind):
                continue
            own = self._task.kinds[kind]
            cost = float(own.cost) / min(own.area, useful * _WASTE)
            if best is None or cost < least:
                best, least = (kind, variants[0]), cost
        return best

    def any(self, size: int, chance: Random, useful: int, allowed: Callable[[int], bool]) -> tuple[int, int] | None:
        """Mostly the best kind, now and then any other that is allowed; any variant."""
        choices = [(kind, variants) for kind, variants in self.holding(size) if allowed(kind)]
        if not choices:
            return None
        if len(choices) > 1 and chance.random() < 0.6:
            best = self.best(size, useful, allowed)
            choices = [choice for choice in choices if best is not None and choice[0] == best[0]]
        kind, variants = choices[int(chance.random() * len(choices))]
        return kind, variants[int(chance.random() * len(variants))]

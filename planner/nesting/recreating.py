"""Where does each piece that waits go back into a plan?

The piece with the fewest rooms first, each where it spoils least; where it has no room, a sheet is opened if the limit
allows one.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from .answer import price, stock_left
from .placing import Opener, bundle_alone, penalty_of, placed, score, turnings, with_bundle
from .rooms import POWER, Room, Sheet
from .slicing import VERTICAL, leaf, with_leaf
from .task import Task

# A room is passed over by chance now and then, so that not every round does the same.
_BLINK = 0.01
# With more sizes waiting than this, the heaviest and some others by chance are tried.
_MOST_TRIED = 40

Candidate = tuple[Room, int]


class Recreating:
    """Puts pieces back into plans of one task."""

    def __init__(self, task: Task, chance: random.Random, stock: Sequence[int | None], quotas: Sequence[int]) -> None:
        """`chance` is shared with the rest of the search; stock and quotas are those of `search.Search`."""
        self._task = task
        self._random = chance
        self._stock = stock
        self._quotas = quotas
        self._is_scarce = any(count is not None for count in stock)
        self._opener = Opener(task)
        self._penalty = penalty_of(task)
        self._costs = [kind.cost for kind in task.kinds]

    # One long function, as a call for each room would take most of the time.
    def recreate(  # noqa: PLR0912, PLR0915
        self, sheets: list[Sheet], waiting: dict[int, int], limit: float
    ) -> None:
        """Put back what waits, as far as it goes within a limit to the price; plan and waiting are changed."""
        task = self._task
        chance = self._random.random
        widths, heights, may_turn = task.sizes.widths, task.sizes.heights, task.sizes.may_turn
        penalty = self._penalty
        wanted = 0
        for size in self._tried(waiting):
            wanted |= 1 << size
        candidates: list[Candidate] = []
        for index, sheet in enumerate(sheets):
            if sheet.fits & wanted:
                candidates += [(room, index) for room in sheet.rooms if room[0] & wanted]
        while wanted:
            # The size with the fewest rooms; of several, the largest. The rooms of all sizes are counted at once, as
            # binary numbers that stand upright: their lowest bits in one set, the next in another; seven means more.
            ones = twos = fours = 0
            for candidate in candidates:
                fits = candidate[0][0]
                carry = ones & fits
                ones ^= fits
                if carry:
                    again = twos & carry
                    twos ^= carry
                    if again:
                        full = fours & again
                        fours |= again
                        if full:
                            ones |= full
                            twos |= full
            rarest = wanted
            for digit in (fours, twos, ones):
                if rarest & ~digit:
                    rarest &= ~digit
            chosen = rarest.bit_length() - 1
            bit = 1 << chosen
            fewest = (ones | twos | fours) & bit
            index = -1
            if chosen in task.bundles or (task.limits is not None and fewest):
                index = self._place_carefully(sheets, chosen, candidates, bit)
            elif fewest:
                width, height = widths[chosen], heights[chosen]
                other = height if may_turn[chosen] and width != height else 0
                best = -math.inf
                for candidate in candidates:
                    room = candidate[0]
                    if not room[0] & bit:
                        continue
                    _, _, cut, room_x, room_y, tight_x, tight_y, base, _ = room
                    lies_x, lies_y = width, height
                    while True:
                        if lies_x <= room_x and lies_y <= room_y and chance() >= _BLINK:
                            rest_x = tight_x - lies_x
                            rest_y = tight_y - lies_y
                            gain = -base
                            if cut == VERTICAL:
                                if rest_x > 0:
                                    gain += (rest_x * tight_y) ** POWER
                                if rest_y > 0:
                                    gain += (rest_y * lies_x) ** POWER
                            else:
                                if rest_y > 0:
                                    gain += (rest_y * tight_x) ** POWER
                                if rest_x > 0:
                                    gain += (rest_x * lies_y) ** POWER
                            if rest_x < 0:
                                gain += penalty * rest_x * room_y
                            if rest_y < 0:
                                gain += penalty * rest_y * room_x
                            if gain > best:
                                best = gain
                                found, turned, found_x, found_y = candidate, lies_x != width, lies_x, lies_y
                        if not other or lies_x != width:
                            break
                        lies_x, lies_y = height, width
                if best > -math.inf:
                    room, index = found
                    _, path, cut, _, _, _, _, _, region = room
                    sheet = sheets[index]
                    tree = sheet.trees[region]
                    added = leaf(chosen, turned, found_x, found_y)
                    if tree is not None:
                        added = with_leaf(tree, path, cut, added)
                    sheets[index] = sheet.with_tree(region, added)
            if index < 0 and (not fewest or chosen in task.bundles or task.limits is not None):
                index = self._open(sheets, chosen, waiting, limit)
            if index < 0:
                wanted ^= bit
                continue
            count = waiting[chosen] - 1
            if count:
                waiting[chosen] = count
            else:
                del waiting[chosen]
                wanted ^= bit
            candidates = [candidate for candidate in candidates if candidate[1] != index]
            sheet = sheets[index]
            if sheet.fits & wanted:
                candidates += [(room, index) for room in sheet.rooms if room[0] & wanted]

    def _tried(self, waiting: dict[int, int]) -> list[int]:
        if len(waiting) <= _MOST_TRIED:
            return sorted(waiting)
        sizes = sorted(waiting, key=lambda size: self._task.weights[size])
        return sorted({*sizes[-_MOST_TRIED // 2 :], *self._random.sample(sizes, _MOST_TRIED // 2)})

    def _place_carefully(self, sheets: list[Sheet], size: int, candidates: Sequence[Candidate], bit: int) -> int:
        """Place a bundle, or a piece that the shears might not be able to cut out; return the sheet's place, or -1."""
        task = self._task
        chance = self._random.random
        if size in task.bundles:
            indices = sorted({index for room, index in candidates if room[0] & bit})
            self._random.shuffle(indices)
            for index in indices:
                fuller = with_bundle(task, sheets[index], size, self._penalty)
                if fuller is not None:
                    sheets[index] = fuller
                    return index
            return -1
        lyings = turnings(task, size)
        found = []
        for number, (room, _) in enumerate(candidates):
            if room[0] & bit:
                for lying in lyings:
                    if lying[1] <= room[3] and lying[2] <= room[4] and chance() >= _BLINK:
                        found.append((-score(room, lying[1], lying[2], self._penalty), number, lying))
        for _, number, lying in sorted(found):
            room, index = candidates[number]
            fuller = placed(task, sheets[index], room, size, lying)
            if fuller is not None:
                sheets[index] = fuller
                return index
        return -1

    def _open(  # noqa: PLR0911
        self, sheets: list[Sheet], size: int, waiting: dict[int, int], limit: float
    ) -> int:
        """Open a sheet with a piece or bundle on it, if the limit allows one; return its place, or -1."""
        task = self._task
        rest = math.inf if limit == math.inf else limit - price(task, sheets)
        if rest < min(self._costs, default=0):
            return -1
        level = self.level_to_open(sheets, task.levels[size])
        if level is None:
            return -1
        left = stock_left(self._stock, sheets) if self._is_scarce else self._stock
        costs = self._costs
        useful = sum(task.area(each) * count for each, count in waiting.items())
        choice = self._opener.any(size, self._random, useful, lambda kind: left[kind] != 0 and costs[kind] <= rest)
        if choice is None:
            return -1
        kind, variant = choice
        if size in task.bundles:
            sheet_or_none = bundle_alone(task, kind, size, level)
            if sheet_or_none is None:
                return -1
            sheets.append(sheet_or_none)
            return len(sheets) - 1
        sheets.append(task.empty_sheet(kind, variant, task.groups[size], level))
        index = len(sheets) - 1
        lyings = turnings(task, size)
        if len(lyings) > 1 and self._random.random() < 0.5:
            lyings = lyings[::-1]
        for lying in lyings:
            for room in sheets[index].rooms:
                if lying[1] <= room[3] and lying[2] <= room[4] and room[0] >> size & 1:
                    fuller = placed(task, sheets[index], room, size, lying)
                    if fuller is not None:
                        sheets[index] = fuller
                        return index
        sheets.pop()
        return -1

    def level_to_open(self, sheets: Sequence[Sheet], level: int) -> int | None:
        """The most urgent level that may have another sheet; it welcomes the most pieces."""
        if not self._quotas:
            return level
        number = [0] * (len(self._quotas) + 1)
        for sheet in sheets:
            number[sheet.level] += 1
        for lower in range(level + 1):
            if lower == len(self._quotas) or number[lower] < self._quotas[lower]:
                return lower
        return None

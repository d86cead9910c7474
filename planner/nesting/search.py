"""Ruin and recreate towards a goal: fit all pieces within less than the best price so far.

While pieces are left out, their weight tells how far the goal is. A round takes a few pieces or runs of pieces off
some sheets, and puts back all that waits, the piece with the fewest rooms first, each where it spoils least. The round
stands when it leaves out no more than the plan did some rounds ago (late acceptance). Whenever everything fits, that
plan is kept and the limit set just below its price.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from .answer import Answer, price, stock_left
from .first import Filling
from .placing import Opener, bundle_alone, penalty_of, placed, score, turnings, with_bundle
from .rooms import POWER, Room, Sheet
from .slicing import VERTICAL, Tree, leaf, with_leaf, without_sizes, without_some
from .task import Task

# A room is passed over by chance now and then, so that not every round does the same.
_BLINK = 0.01
# Pieces or runs taken out in a round: one up to this many.
_MOST_RUINS = 6
# The chance to take all of a run rather than go down into one of its parts: so much for each sheet of the plan, up to
# a limit. With one or two sheets a whole one taken out would leave nothing to build on.
_WHOLE_RUN, _MOST_WHOLE_RUN = 0.04, 0.3
# Rounds remembered by late acceptance, and the rounds between two doublings of their number.
_FEWEST_REMEMBERED, _MOST_REMEMBERED, _ROUNDS_PER_REMEMBERED = 60, 300, 20
# With more sizes waiting than this, the heaviest and some others by chance are tried.
_MOST_TRIED = 40

Candidate = tuple[Room, int]


class Search:
    """The search for one task; `best` is the best plan so far, `rounds` the number of rounds done."""

    def __init__(
        self,
        task: Task,
        start: Answer,
        bound: int,
        seed: str,
        stock: Sequence[int | None] | None = None,
        quotas: Sequence[int] | None = None,
    ) -> None:
        """Go on from a plan. `bound` is the proven least price.

        stock: sheets of each kind that may be used, None for the task's. quotas: how many sheets each level but the
        last may have, under `Options.due_first`.
        """
        self.best = start
        self.rounds = 0
        self._task = task
        self._bound = bound
        self._random = random.Random(seed)
        self._stock = task.stock if stock is None else tuple(stock)
        self._quotas = [] if quotas is None else list(quotas)
        self._is_scarce = any(count is not None for count in self._stock)
        self._opener = Opener(task)
        self._penalty = penalty_of(task)
        self._costs = [kind.cost for kind in task.kinds]
        self._sheets = start.sheets
        self._waiting = start.left_out
        self._limit: float = math.inf if start.left_out else start.merit[1] - 1
        self._remember(_FEWEST_REMEMBERED)

    @property
    def finished(self) -> bool:
        """Whether nothing can be better."""
        return self.best.merit[0] == 0 and self.best.merit[1] <= self._bound

    def _remember(self, number: int) -> None:
        self._history: list[tuple[float, float]] = []
        self._remembered = number
        self._place = 0
        self._cost: tuple[float, float] = (math.inf, 0.0)
        self._until_longer = number * _ROUNDS_PER_REMEMBERED

    def advance(self, rounds: int) -> None:
        """Do so many rounds, fewer when the bound is met."""
        for _ in range(rounds):
            if self.finished:
                return
            self.rounds += 1
            sheets, waiting = self._ruined()
            sheets = self._within_limit(sheets, waiting)
            self._recreate(sheets, waiting)
            self._consider(sheets, waiting)

    def changed(self, answer: Answer) -> Answer:
        """A plan made from this one by one round, at no higher price."""
        self._sheets, self._waiting, self._limit = answer.sheets, answer.left_out, answer.merit[1]
        sheets, waiting = self._ruined()
        self._recreate(sheets, waiting)
        changed = Answer(self._task, sheets, waiting)
        return self._filled_up(changed) if waiting else changed

    def _consider(self, sheets: list[Sheet], waiting: dict[int, int]) -> None:
        weights = self._task.weights
        weight = 0
        for size, count in waiting.items():
            weight += weights[size] * count
        if weight <= self.best.merit[0]:
            answer = Answer(self._task, sheets, waiting)
            if answer.merit < self.best.merit:
                self.best = answer = self._filled_up(answer) if weight else answer
                weight, sheets, waiting = answer.merit[0], answer.sheets, answer.left_out
                if not weight:
                    self._sheets, self._waiting = sheets, waiting
                    self._limit = answer.merit[1] - 1
                    self._remember(self._remembered)
                    return
        value = 0.0
        for sheet in sheets:
            value += sheet.value
        cost = (weight, -value)
        if not self._history:
            self._history = [cost] * self._remembered
        place = self._place
        if cost <= self._cost or cost <= self._history[place]:
            self._sheets, self._waiting, self._cost = sheets, waiting, cost
        self._history[place] = min(self._history[place], self._cost)
        self._place = place + 1 if place + 1 < self._remembered else 0
        self._until_longer -= 1
        if not self._until_longer and self._remembered < _MOST_REMEMBERED:
            self._remembered *= 2
            self._history += self._history
            self._until_longer = self._remembered * _ROUNDS_PER_REMEMBERED

    def _filled_up(self, answer: Answer) -> Answer:
        """Leave nothing out that still goes somewhere: a room passed over, a sheet that has become free."""
        filling = Filling(self._task, answer.left_out.copy())
        sheets = [filling.fill(sheet) for sheet in answer.sheets]
        left = stock_left(self._stock, sheets)
        filling.open(sheets, left, lambda level: self._level_to_open(sheets, level))
        return Answer(self._task, sheets, filling.waiting)

    def _ruined(self) -> tuple[list[Sheet], dict[int, int]]:
        """Some pieces taken off, and what then waits for a place."""
        chance = self._random.random
        sheets = self._sheets[:]
        waiting = self._waiting.copy()
        number = len(sheets)
        if not number:
            return sheets, waiting
        trees: dict[tuple[int, int], Tree | None] = {}
        removed: list[int] = []
        whole = min(_WHOLE_RUN * number, _MOST_WHOLE_RUN)
        for _ in range(1 + int(chance() * _MOST_RUINS)):
            index = int(chance() * number)
            regions = sheets[index].trees
            region = int(chance() * len(regions)) if len(regions) > 1 else 0
            tree = trees.get((index, region), regions[region])
            if tree is not None:
                trees[index, region] = without_some(tree, chance, whole, removed)
        if self._task.bundles:
            removed = self._broken(sheets, trees, removed)
        for size in removed:
            waiting[size] = waiting.get(size, 0) + 1
        emptied = False
        for (index, region), tree in trees.items():
            sheets[index] = sheets[index].with_tree(region, tree)
            emptied = emptied or tree is None
        if self._task.limits is not None:
            # What was cut out beside a piece taken away may be out of the shears' reach now.
            for index in sorted({index for index, _ in trees}):
                if any(sheets[index].trees) and self._task.slab(sheets[index]) is None:
                    self._take_all(sheets[index], waiting)
                    sheets[index] = sheets[index].emptied()
                    emptied = True
        if emptied:
            sheets = [sheet for sheet in sheets if any(sheet.trees)]
        return sheets, waiting

    def _take_all(self, sheet: Sheet, waiting: dict[int, int]) -> None:
        """Let all pieces of a sheet wait again, those of a bundle as one."""
        sizes = sheet.sizes()
        bundle_of = self._task.bundle_of
        if bundle_of:
            heads = {bundle_of[size] for size in sizes if size in bundle_of}
            sizes = [size for size in sizes if size not in bundle_of] + sorted(heads)
        for size in sizes:
            waiting[size] = waiting.get(size, 0) + 1

    def _broken(
        self, sheets: Sequence[Sheet], trees: dict[tuple[int, int], Tree | None], removed: list[int]
    ) -> list[int]:
        """Take all of a bundle where one piece was taken; count the bundle instead of its pieces."""
        bundle_of, bundles = self._task.bundle_of, self._task.bundles
        heads = {bundle_of[size] for size in removed if size in bundle_of}
        if heads:
            members = {member for head in heads for member in bundles[head].sizes}
            for index in {index for index, _ in trees}:
                for region, whole in enumerate(sheets[index].trees):
                    tree = trees.get((index, region), whole)
                    if tree is not None:
                        trees[index, region] = without_sizes(tree, members)
        return [size for size in removed if size not in bundle_of] + sorted(heads)

    def _within_limit(self, sheets: list[Sheet], waiting: dict[int, int]) -> list[Sheet]:
        """Take whole sheets out of the plan until it is within the limit."""
        if self._limit == math.inf:
            return sheets
        spent = price(self._task, sheets)
        while spent > self._limit:
            sheet = sheets.pop(int(self._random.random() * len(sheets)))
            spent -= self._costs[sheet.kind]
            self._take_all(sheet, waiting)
        return sheets

    def _tried(self, waiting: dict[int, int]) -> list[int]:
        if len(waiting) <= _MOST_TRIED:
            return sorted(waiting)
        sizes = sorted(waiting, key=lambda size: self._task.weights[size])
        return sorted({*sizes[-_MOST_TRIED // 2 :], *self._random.sample(sizes, _MOST_TRIED // 2)})

    # One long function, as a call for each room would take most of the time.
    def _recreate(self, sheets: list[Sheet], waiting: dict[int, int]) -> None:  # noqa: PLR0912, PLR0915
        """Put back what waits, as far as it goes; both arguments are changed."""
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
                index = self._open(sheets, chosen, waiting)
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

    def _open(self, sheets: list[Sheet], size: int, waiting: dict[int, int]) -> int:  # noqa: PLR0911
        """Open a sheet with a piece or bundle on it, if the limit allows one; return its place, or -1."""
        task = self._task
        rest = math.inf if self._limit == math.inf else self._limit - price(task, sheets)
        if rest < min(self._costs, default=0):
            return -1
        level = self._level_to_open(sheets, task.levels[size])
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

    def _level_to_open(self, sheets: Sequence[Sheet], level: int) -> int | None:
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

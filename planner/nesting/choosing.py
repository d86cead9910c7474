"""Which sheets to take, where there are several kinds: sets a little cheaper than the best plan, tried in turn.

The free search of `search.py` changes the kinds of its sheets by chance, and seldom comes upon a set of sheets that
uses the money up. Here such sets are listed: no further sheet could be paid, no two of the sheets could be one, and
their area is enough. Each is given some rounds, the better half some more, and so on; the sets that came furthest race
again. The free search has its turns in between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations_with_replacement

from .answer import Answer
from .first import Filling
from .rooms import Sheet
from .search import Search
from .task import Kind, Task

# Sets raced side by side at first, and those that came furthest, raced from then on. A set with less than this share
# of the spare area that the roomiest has is not worth trying.
_SIDE_BY_SIDE, _FEW, _LEAST_SHARE = 8, 4, 0.5
# Rounds of each set before the better half goes on, at first and later.
_FIRST, _MOST_AT_FIRST = 60, 480
# Least rounds of a turn of the free search, and its turn after each race as a share of the race.
_FREE, _FREE_SHARE = 200, 0.25
# Choices looked at while sets are listed.
_MOST_CHOICES = 20_000

Set = tuple[int, ...]
"""How many sheets of each kind."""


class Choosing:
    """The same to the caller as `search.Search`."""

    def __init__(self, task: Task, start: Answer, bound: int, seed: str) -> None:
        """Go on from a plan; the arguments are those of `Search`."""
        self.best = start
        self.rounds = 0
        self._task = task
        self._bound = bound
        self._seed = seed
        self._number = 0
        self._area = sum(task.area(size) * count for size, count in enumerate(task.counts))
        self._merged = _mergers(task.kinds)
        self._free = Search(task, start, bound, seed)
        self._turns = self._in_turn()
        self._now, self._until_next = self._free, 0

    @property
    def finished(self) -> bool:
        """Whether nothing can be better."""
        return self.best.merit[0] == 0 and self.best.merit[1] <= self._bound

    def advance(self, rounds: int) -> None:
        """Do so many rounds, fewer when the bound is met."""
        while rounds > 0 and not self.finished:
            if not self._until_next or self._now.finished:
                self._now, self._until_next = next(self._turns)
            before = self._now.rounds
            self._now.advance(min(rounds, self._until_next))
            done = self._now.rounds - before
            rounds -= done
            self._until_next -= done
            self.rounds += done
            if self._now.best.merit < self.best.merit:
                self.best = self._now.best
                if self._now is not self._free:
                    self._free = Search(self._task, self.best, self._bound, self._next_seed())
                    self._until_next = 0
                self._turns = self._in_turn()

    def _next_seed(self) -> str:
        self._number += 1
        return f"{self._seed}/{self._number}"

    def _in_turn(self) -> Iterator[tuple[Search, int]]:
        """Who searches next, and for how many rounds; begun anew with each better plan."""
        yield self._free, _FREE
        if self.best.left_out:
            while True:
                yield self._free, _FREE
        sets = self.affordable()
        side_by_side, rounds, number = _SIDE_BY_SIDE, _FIRST, 0
        carried: list[tuple[Set, Search]] = []
        while True:
            # All begin anew but the one that came furthest.
            racing = carried
            while sets and len(racing) < side_by_side:
                one = sets[number % len(sets)]
                racing.append((one, self._search_of(one)))
                number += 1
            each, done = rounds, 0
            ranking: list[tuple[Set, Search]] = []
            while racing:
                for _, search in racing:
                    yield search, each
                done += each * len(racing)
                racing = sorted(racing, key=lambda entry: entry[1].best.merit[0])
                half = len(racing) // 2
                racing, ranking = racing[:half], racing[half:] + ranking
                each *= 2
            carried = ranking[:1]
            if side_by_side > _FEW:
                sets = list(dict.fromkeys(one for one, _ in ranking))[:_FEW]
                side_by_side, number = _FEW, 0
            yield self._free, max(int(done * _FREE_SHARE), _FREE)
            rounds = min(rounds * 2, _MOST_AT_FIRST)

    def _search_of(self, sheets: Set) -> Search:
        task = self._task
        filling = Filling(task, {size: count for size, count in enumerate(task.counts) if count})
        opened: list[Sheet] = []
        filling.open(opened, list(sheets), lambda level: level)
        price = sum(count * kind.cost for count, kind in zip(sheets, task.kinds, strict=True))
        return Search(task, Answer(task, opened, filling.waiting), price, self._next_seed(), sheets)

    def affordable(self) -> list[Set]:
        """Sets of sheets for less money than the best plan, else fewer of them; the largest area first."""
        base = self._task.sheet_base
        money = self.best.merit[1] // base * base - 1
        return self._listed(money) or self._listed(self.best.merit[1] - 1)

    def _listed(self, limit: int) -> list[Set]:
        kinds = self._task.kinds
        order = sorted(range(len(kinds)), key=lambda number: (-kinds[number].area, kinds[number].cost, number))
        # The most area that a unit of money buys among the kinds from a place on.
        best_buy = [0.0] * (len(order) + 1)
        for place in range(len(order) - 1, -1, -1):
            kind = kinds[order[place]]
            best_buy[place] = max(best_buy[place + 1], kind.area / kind.cost)
        found: list[tuple[int, int, Set]] = []
        waiting: list[tuple[int, int, int, Set]] = [(0, limit, self._area, ())]
        for _ in range(_MOST_CHOICES):
            if not waiting:
                break
            place, left, missing, taken = waiting.pop()
            if place == len(order):
                counts = [0] * len(kinds)
                for number, count in zip(order, taken, strict=True):
                    counts[number] = count
                if missing <= 0 and not self._is_outdone(counts, left):
                    found.append((missing, sum(taken), tuple(counts)))
                continue
            # A hair more, lest rounding lose a set that just does.
            if left * best_buy[place] * (1 + 1e-9) < missing:
                continue
            kind = kinds[order[place]]
            most = left // kind.cost
            if kind.count is not None:
                most = min(most, kind.count)
            # Pushed last, tried first: many of the largest.
            for count in range(most + 1):
                waiting.append((place + 1, left - count * kind.cost, missing - count * kind.area, (*taken, count)))
        roomiest = min((missing for missing, _, _ in found), default=0)
        promising = sorted(entry for entry in found if entry[0] <= roomiest * _LEAST_SHARE)
        return [sheets for _, _, sheets in promising[:_SIDE_BY_SIDE]]

    def _is_outdone(self, counts: list[int], left: int) -> bool:
        """Whether a further sheet could be paid, or one sheet hold what two of these do and cost no more."""
        for kind, count in zip(self._task.kinds, counts, strict=True):
            if kind.cost <= left and (kind.count is None or count < kind.count):
                return True
        for one, other, whole in self._merged:
            most = self._task.kinds[whole].count
            if counts[one] and counts[other] > (one == other) and (most is None or counts[whole] < most):
                return True
        return False


def _mergers(kinds: Sequence[Kind]) -> list[tuple[int, int, int]]:
    """Two kinds of sheet, and a third that holds both beside or above each other and costs no more."""
    found = []
    plain = [
        number
        for number, kind in enumerate(kinds)
        if kind.group is None and kind.variants[0].sizes == ((kind.width, kind.height),)
    ]
    for one, other in combinations_with_replacement(plain, 2):
        for whole in plain:
            first, second, large = kinds[one], kinds[other], kinds[whole]
            beside = first.width + second.width <= large.width and max(first.height, second.height) <= large.height
            above = first.height + second.height <= large.height and max(first.width, second.width) <= large.width
            if (beside or above) and large.cost <= first.cost + second.cost:
                found.append((one, other, whole))
    return found

"""Which mixes of sheets are to be tried for one material, and when is the cheapest found?

A mix is a set of choices that are all used, so it costs no less than one sheet (or pack) of each, nor than the plates'
area at the best price that its sheets offer for a square inch, nor than what the nesting proves of it. Mixes that
cannot be cheaper than the best plan by one of the first two bounds are not laid. Where the others are few enough all
are laid: then every mix was compared. Else singles, pairs, and whatever is one addition, removal or exchange away from
the best.

Pieces of the rack are no choice: they lie there, so every mix may use them, and there is a mix of nothing else. For
them the area bound is that of filling the cheapest of them first.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from planner.estimate.choices import Choice
from planner.estimate.laying_mixes import LaidMix

Mix: TypeAlias = frozenset[int]
"""Places of choices."""

MOST_CHOICES: Final = 16
"""Of one material, up to which all mixes are looked through."""
_MOST_WORK: Final = 40_000
"""Plates times mixes that are laid without being asked to; a plate of a mix takes some milliseconds."""
_FEWEST: Final = 60
"""Mixes that are always laid if there are so many."""
_NEVER: Final = 10**18
"""Cents; what plates cost that have no room."""
_BATCH: Final = 16
"""Mixes laid side by side before the best is looked at again; the same whatever the machine, so that the answer is."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A mix that was laid; ``merit`` is the area of plates left out and the cost, and less is better."""

    mix: Mix
    laid: LaidMix
    merit: tuple[int, int]
    flats: int


class MixSearch:
    """The search for the cheapest mix of one material; costs in whole cents."""

    def __init__(
        self, choices: Sequence[Choice], areas: Mapping[str, int], every_mix: bool, on_rack: Sequence[Choice] = ()
    ) -> None:
        """Begin; ``areas`` are those of the plates' blanks by their names, in grid units squared.

        What is ``on_rack`` may be used in every mix.
        """
        self.choices = choices
        self._on_rack = sorted(on_rack, key=_rate)
        self.tried: dict[Mix, Tried] = {}
        self.areas = areas
        self.ruled_out = 0
        self.exhaustive = False
        self._every_mix = every_mix
        self._batches = self._in_turn()
        self.batch: list[Mix] = next(self._batches, [])
        """What is to be laid next; empty at the end."""

    @property
    def best(self) -> Tried:
        """The best so far: of equals the one with fewer flats, then the one found in the fewest choices."""
        return min(self.tried.values(), key=lambda one: (one.merit, one.flats, len(one.mix), sorted(one.mix)))

    @property
    def whole(self) -> Mix:
        """All choices."""
        return frozenset(range(len(self.choices)))

    def take(self, laid: Mapping[Mix, LaidMix]) -> None:
        """Take what the batch came to, and get the next one ready."""
        self.note(laid)
        self.batch = next(self._batches, [])

    def note(self, laid: Mapping[Mix, LaidMix]) -> None:
        """Take what some mixes came to."""
        names = {choice.name: choice for choice in (*self.choices, *self._on_rack)}
        for mix, found in laid.items():
            left = sum(self.areas[name] for name in found.left_out)
            cost = sum(names[name].cost(count) for name, count in found.used)
            self.tried[mix] = Tried(mix, found, (left, cost), sum(count for _, count in found.used))

    def is_proven(self) -> bool:
        """Whether no mix, laid or not, can be cheaper than the best, with nothing left out."""
        best = self.best
        if best.merit[0]:
            return False
        if self._least_of(self.whole) >= best.merit[1]:
            return True
        if len(self.choices) > MOST_CHOICES:
            return False
        mixes = itertools.chain(self._all(), [frozenset[int]()] if self._on_rack else [])
        return all(max(self._quick(mix), self._least_of(mix)) >= best.merit[1] for mix in mixes)

    def _in_turn(self) -> Iterator[list[Mix]]:
        singles = [frozenset({place}) for place in range(len(self.choices))]
        on_hand = frozenset(place for place, choice in enumerate(self.choices) if not choice.to_buy)
        first = (self.whole, on_hand, frozenset[int](), *singles)
        yield list(dict.fromkeys(mix for mix in first if mix or self._on_rack))
        if self.is_proven():
            return
        if len(self.choices) <= MOST_CHOICES:
            # Pairs are laid in any case, so that what comes after has something to beat.
            for size in range(2, len(self.choices)):
                waiting = self._open(mix for mix in self._all() if len(mix) == size)
                if size > 2 and not self._every_mix and self._too_many():
                    break
                yield from self._batched(waiting)
            else:
                self.ruled_out = sum(1 for mix in self._all() if mix not in self.tried)
                self.exhaustive = True
                return
        else:
            pairs = (frozenset(pair) for pair in itertools.combinations(range(len(self.choices)), 2))
            yield from self._batched(self._open(pairs))
        yield from self._nearby()

    def _too_many(self) -> bool:
        most = max(_FEWEST, _MOST_WORK // max(1, len(self.areas)))
        return len(self._open(self._all())) > most

    def _batched(self, waiting: list[Mix]) -> Iterator[list[Mix]]:
        while waiting:
            batch, waiting = waiting[:_BATCH], waiting[_BATCH:]
            yield batch
            waiting = self._open(waiting)

    def _nearby(self) -> Iterator[list[Mix]]:
        """Whatever is one addition, removal or exchange away from the best, until nothing is better."""
        while True:
            before = self.best
            mix = frozenset(place for place in self.whole if self.choices[place].name in dict(before.laid.used))
            others = self.whole - mix
            near = [mix | {other} for other in sorted(others)] + [mix - {own} for own in sorted(mix)]
            near += [(mix - {own}) | {other} for own in sorted(mix) for other in sorted(others)]
            yield from self._batched(self._open(one for one in near if one))
            if self.best.merit >= before.merit:
                return

    def _open(self, mixes: Iterator[Mix] | Sequence[Mix] | itertools.chain[Mix]) -> list[Mix]:
        """Those that are not laid yet and could be better than the best, the most promising first."""
        best = self.best.merit
        if not best[0] and self._least_of(self.whole) >= best[1]:
            return []  # nothing can be better
        waiting = [(self._quick(mix), sorted(mix), mix) for mix in mixes if mix not in self.tried]
        return [mix for least, _, mix in sorted(waiting, key=lambda entry: entry[:2]) if best[0] or least < best[1]]

    def _all(self) -> Iterator[Mix]:
        places = range(len(self.choices))
        return (
            frozenset(mix) for size in range(1, len(self.choices) + 1) for mix in itertools.combinations(places, size)
        )

    def _quick(self, mix: Mix) -> int:
        """What a mix costs at least when each of it is used, without laying it."""
        own = [self.choices[place] for place in mix]
        one_of_each = sum(choice.cost(1) for choice in own)
        rate = min((_rate(choice) for choice in own), default=None)
        area, least = float(sum(self.areas.values())), 0.0
        for piece in self._on_rack:
            if rate is not None and _rate(piece) >= rate:
                break
            covered = min(area, float(piece.stock.width * piece.stock.height))
            area, least = area - covered, least + covered * _rate(piece)
        if rate is None and area:
            return _NEVER
        # In cents where there are prices; a hair less, lest rounding lift a bound above the truth.
        return max(one_of_each, int((least + area * (rate or 0.0)) * self._unit * (1 - 1e-9)))

    @property
    def _unit(self) -> int:
        return 100 if (*self.choices, *self._on_rack)[0].price is not None else 1

    def _least_of(self, mix: Mix) -> int:
        """What the nesting proves of a mix that was laid; 0 if it proves nothing."""
        tried = self.tried.get(mix)
        if tried is None:
            return 0
        # Costs are whole cents, so the least of them is one too.
        return -int(-(tried.laid.least * self._unit - 1e-6) // 1)


def _rate(choice: Choice) -> float:
    """What one grid unit squared of it costs at least."""
    return choice.stock.cost / (choice.stock.width * choice.stock.height)

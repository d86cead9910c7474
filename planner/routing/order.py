"""In which order are runs taken, so that little way is gone lifted?

First the nearest one next, then bettered by turning stretches of the order round (2-opt) and by moving stretches of
one to three to another place (Or-opt; I. Or, 1976; both from memory). A piece that is begun is finished before the
next. The number of rounds is bounded; nothing is random, ties go to the first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

Place: TypeAlias = tuple[float, float]
Tour: TypeAlias = list[tuple[int, bool]]
"""Numbers of stops in working order, and whether each is turned."""

_Places: TypeAlias = NDArray[np.float64]

_ROUNDS: Final = 12
_LOOKS: Final = 1_000_000
"""Pairs of stops looked at in all rounds together; large orders get fewer rounds, but always two."""

_LONGEST: Final = 3
"""Stops moved together."""

_AT_ONCE: Final = 60_000
"""Pairs of stops weighed at a time at most."""

_LEAST_GAIN: Final = 1e-9

_LEAVING: Final = 1e4
"""Inches that the way to a stop of another piece counts more: far more than any plate is wide."""


@dataclass(frozen=True, slots=True)
class Stop:
    """Something to be run from one place to another, or the other way round if it may be turned."""

    start: Place
    end: Place
    may_turn: bool
    piece: int = 0
    """Stops of one piece follow on each other."""


def nearest_next(stops: Sequence[Stop]) -> Tour:
    """Begin with the first stop and go to the nearest one next, always."""
    if not stops:
        return []
    starts = np.array([(*stop.start, stop.piece) for stop in stops])
    ends = np.array([(*(stop.end if stop.may_turn else (np.inf, np.inf)), stop.piece) for stop in stops])
    left = np.ones(len(stops), dtype=bool)
    left[0] = False
    tour: Tour = [(0, False)]
    here = np.array((*stops[0].end, stops[0].piece))
    for _ in stops[1:]:
        to_start = np.where(left, _gap(starts, here), np.inf)
        to_end = np.where(left, _gap(ends, here), np.inf)
        by_start, by_end = int(np.argmin(to_start)), int(np.argmin(to_end))
        turned = bool(to_end[by_end] < to_start[by_start])
        place = by_end if turned else by_start
        left[place] = False
        tour.append((place, turned))
        stop = stops[place]
        here = np.array((*(stop.start if turned else stop.end), stop.piece))
    return tour


def way_of(stops: Sequence[Stop], tour: Tour) -> float:
    """Give the length of way between stops, in their unit."""
    order = _Order.of(stops, tour)
    return float(np.hypot(*(order.starts[1:, :2] - order.ends[:-1, :2]).T).sum())


def short_way(stops: Sequence[Stop]) -> Tour:
    """Give an order of stops with little way between them; never more than by going to the nearest one next."""
    order = _Order.of(stops, nearest_next(stops))
    rounds = max(2, min(_ROUNDS, _LOOKS // max(1, len(stops) ** 2))) if len(stops) > 1 else 0
    for _ in range(rounds):
        before = order.numbers, order.turned
        order = _shifted(_turned_round(order))
        if np.array_equal(before[0], order.numbers) and np.array_equal(before[1], order.turned):
            break
    return list(zip(order.numbers.tolist(), order.turned.tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class _Order:
    """Stops in an order: their numbers, which are turned, which may be, and where each begins and ends."""

    numbers: NDArray[np.int64]
    turned: NDArray[np.bool_]
    may_turn: NDArray[np.bool_]
    starts: _Places
    ends: _Places

    @classmethod
    def of(cls, stops: Sequence[Stop], tour: Tour) -> _Order:
        numbers = np.array([number for number, _ in tour], dtype=np.int64)
        turned = np.array([turned for _, turned in tour], dtype=bool)
        places = np.array(
            [((*stop.start, stop.piece), (*stop.end, stop.piece)) for stop in stops], dtype=float
        ).reshape(-1, 2, 3)[numbers]
        may_turn = np.array([stop.may_turn for stop in stops], dtype=bool)[numbers]
        towards = turned[:, None]
        return cls(
            numbers, turned, may_turn,
            np.where(towards, places[:, 1], places[:, 0]), np.where(towards, places[:, 0], places[:, 1]),
        )  # fmt: skip

    def __len__(self) -> int:
        return len(self.numbers)

    def part(self, low: int, high: int) -> _Order:
        """The stops from one place up to another."""
        cut = slice(low, high)
        return _Order(self.numbers[cut], self.turned[cut], self.may_turn[cut], self.starts[cut], self.ends[cut])

    def backwards(self) -> _Order:
        """The same stops from the last to the first; those that may not be turned keep their direction."""
        flip = self.may_turn[::-1]
        starts, ends = self.starts[::-1], self.ends[::-1]
        return _Order(
            self.numbers[::-1], self.turned[::-1] != flip, flip,
            np.where(flip[:, None], ends, starts), np.where(flip[:, None], starts, ends),
        )  # fmt: skip

    def __add__(self, other: _Order) -> _Order:
        return _Order(
            np.concatenate([self.numbers, other.numbers]), np.concatenate([self.turned, other.turned]),
            np.concatenate([self.may_turn, other.may_turn]), np.concatenate([self.starts, other.starts]),
            np.concatenate([self.ends, other.ends]),
        )  # fmt: skip


def _gap(here: _Places, there: _Places) -> _Places:
    """The way between places, given as x, y and the number of the piece."""
    way = np.hypot(there[..., 0] - here[..., 0], there[..., 1] - here[..., 1])
    return np.asarray(way + _LEAVING * (there[..., 2] != here[..., 2]))


def _turned_round(order: _Order) -> _Order:
    """Turn stretches round where that is shorter; each place is looked at once as the first of a stretch."""
    count = len(order)
    stale = True
    for low in range(count):
        if stale:
            back = order.backwards()
            back_starts, back_ends = back.starts[::-1], back.ends[::-1]
            forth_way = np.concatenate([[0.0], np.cumsum(_gap(order.ends[:-1], order.starts[1:]))])
            back_way = np.concatenate([[0.0], np.cumsum(_gap(back_ends[1:], back_starts[:-1]))])
            stale = False
        high = np.arange(low, count)
        gain = (forth_way[high] - forth_way[low]) - (back_way[high] - back_way[low])
        if low > 0:
            gain += _gap(order.ends[low - 1], order.starts[low]) - _gap(order.ends[low - 1], back_starts[high])
        after = order.starts[high[:-1] + 1]
        gain[:-1] += _gap(order.ends[high[:-1]], after) - _gap(back_ends[low], after)
        best = int(np.argmax(gain))
        if gain[best] > _LEAST_GAIN:
            top = int(high[best]) + 1
            order = order.part(0, low) + order.part(low, top).backwards() + order.part(top, count)
            stale = True
    return order


def _shifted(order: _Order) -> _Order:
    """Move short stretches to where they cost less way; each place is looked at once for each length."""
    count = len(order)
    for length in range(1, min(_LONGEST, count - 1) + 1):
        low, last, at_once = 0, count - length, 1
        while low <= last:
            # Stretches are weighed several at a time, more while none is moved; those after a moved one anew.
            high = min(last + 1, low + at_once)
            at_once = max(1, min(2 * at_once, _AT_ONCE // count))
            costs, now, turned = _moves(order, low, high, length)
            targets = np.argmin(costs, axis=1)
            gains = now - costs[np.arange(high - low), targets]
            better = np.flatnonzero(gains > _LEAST_GAIN)
            if not better.size:
                low = high
                continue
            first = int(better[0])
            order = _moved(order, low + first, length, int(targets[first]), bool(turned[first]))
            low, at_once = low + first + 1, 1
    return order


def _moves(order: _Order, low: int, high: int, length: int) -> tuple[_Places, _Places, NDArray[np.bool_]]:
    """For stretches that begin from one place up to another: what way each adds before any stop or after the last.

    Also what it adds where it is, and whether it is cheapest turned; then its costs are those of the turned one.
    """
    firsts = np.arange(low, high)
    starts, ends = order.starts[firsts], order.ends[firsts + length - 1]
    costs = _cost_at(order, firsts, length, starts, ends)
    now = costs[np.arange(high - low), firsts]
    may_turn = order.may_turn[firsts[:, None] + np.arange(length)].all(axis=1)
    other = _cost_at(order, firsts, length, ends, starts)
    turned = may_turn & (other.min(axis=1) < costs.min(axis=1))
    return np.where(turned[:, None], other, costs), now, turned


def _cost_at(order: _Order, firsts: NDArray[np.int64], length: int, starts: _Places, ends: _Places) -> _Places:
    """What way stretches add that begin and end at these places, by the stop that each is put before.

    A stretch stays where it is before its own first stop; before its others and the one after them it cannot be put.
    """
    count = len(order)
    costs = np.zeros((len(firsts), count + 1))
    costs[:, 1:] += _gap(order.ends[None], starts[:, None])
    costs[:, :-1] += _gap(ends[:, None], order.starts[None])
    costs[:, 1:-1] -= _gap(order.ends[:-1], order.starts[1:])
    rows, after = np.arange(len(firsts)), firsts + length
    before, behind = firsts > 0, after < count
    here = np.zeros(len(firsts))
    here[before] += _gap(order.ends[firsts[before] - 1], starts[before])
    here[behind] += _gap(ends[behind], order.starts[after[behind]])
    between = before & behind
    here[between] -= _gap(order.ends[firsts[between] - 1], order.starts[after[between]])
    costs[rows, firsts] = here
    costs[rows[:, None], firsts[:, None] + 1 + np.arange(length)] = np.inf
    return costs


def _moved(order: _Order, low: int, length: int, target: int, turned: bool) -> _Order:
    """Put a stretch before another stop."""
    part = order.part(low, low + length)
    rest = order.part(0, low) + order.part(low + length, len(order))
    place = target if target <= low else target - length
    return rest.part(0, place) + (part.backwards() if turned else part) + rest.part(place, len(rest))

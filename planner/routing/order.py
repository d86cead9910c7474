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
        for low in range(count - length + 1):
            part = order.part(low, low + length)
            rest = order.part(0, low) + order.part(low + length, count)
            costs = _cost_at(part, rest)
            shape, now = part, float(costs[low])
            if part.may_turn.all():
                turned = part.backwards()
                other = _cost_at(turned, rest)
                if other.min() < costs.min():
                    shape, costs = turned, other
            target = int(np.argmin(costs))
            if now - costs[target] > _LEAST_GAIN:
                order = rest.part(0, target) + shape + rest.part(target, len(rest))
    return order


def _cost_at(part: _Order, rest: _Order) -> _Places:
    """What way a stretch adds when it is put before each stop of the rest, and after the last."""
    costs = np.zeros(len(rest) + 1)
    costs[1:] += _gap(rest.ends, part.starts[0])
    costs[:-1] += _gap(part.ends[-1], rest.starts)
    costs[1:-1] -= _gap(rest.ends[:-1], rest.starts[1:])
    return costs

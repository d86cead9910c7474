"""Search for a good plan: many fillings, the weakest sheets taken apart and refilled.

An answer is built by sorting the pieces and filling sheets (`filling.py`). Fillings
differ in the order, in the rules, and in the stock they open. From the best answer on,
a step takes a few sheets apart, mostly ill-filled ones, and puts their pieces into the
leftovers of the others or onto new sheets.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from itertools import product

from .filling import Rule, Task, economise, fill
from .records import largest_leftover
from .shear import NONE, Sheet

# Fillings without chance at the start, before sheets are taken apart.
_FIRST_FILLINGS = 24
_SHARE_OF_FILLINGS = 0.05
# How often a sheet is opened with no regard to its cost or size.
_ANY_STOCK = 0.2
# With several due ranks, one step in so many places rank after rank.
_BY_RANK = 3
# Extra steps for the tie-breakers once the proven bound on cost and sheets is met.
_POLISHING = 30
# A step sideways may scatter the spare room a little, or the search would get stuck.
_SCATTER = 0.97

Primary = tuple[int, int, int, float, int]

# Larger first, by one of these.
_MEASURES: tuple[Callable[[int, int], int], ...] = (
    lambda width, height: width * height,
    max,
    min,
    lambda width, height: width + height,
)


class Answer:
    """Sheets and pieces left out, with what they are judged by."""

    __slots__ = ("left_out", "mass", "primary", "sheets")

    def __init__(self, task: Task, sheets: list[Sheet], left_out: list[int]) -> None:
        self.sheets = sheets
        self.left_out = left_out
        # A rush piece left out weighs more than any number of others.
        self.primary: Primary = (
            sum(task.areas[piece] for piece in left_out if task.ranks[piece] <= 0),
            sum(task.areas[piece] for piece in left_out),
            len(left_out),
            math.fsum(task.costs[sheet.stock] for sheet in sheets),
            len(sheets),
        )
        # Spare room is worth more when it is all on few sheets: those empty first.
        self.mass = sum(sheet.spare * sheet.spare for sheet in sheets)


class Search:
    """The search for one task; `best` is the best answer so far."""

    def __init__(
        self,
        task: Task,
        bound: tuple[float, int],
        keep: tuple[int, int] | None,
        seed: str,
    ) -> None:
        """Build the first answer.

        `bound` is the proven least cost and number of sheets. The seed is a string so
        that each task of a problem draws its own chances.
        """
        self._task = task
        self._bound = bound
        self._keep = keep
        self._chance = random.Random(seed)
        self._failed: set[tuple[int, tuple[int, ...]]] = set()
        self._has_ranks = len({task.ranks[piece] for piece in task.pieces}) > 1
        self._openings = _openings(task)
        self._plans = [
            (measure, Rule(fit, split, earliest, opening, contrary))
            for measure, fit, split, earliest, opening, contrary in product(
                range(len(_MEASURES)), (0, 1, 2), (0, 1, 2, 3), (False, True), self._openings, (False, True)
            )
        ]
        first = self._plans[0]
        self._chance.shuffle(self._plans)
        del self._plans[_FIRST_FILLINGS:]
        self._steps = 0
        self._polishing = _POLISHING if self._has_ranks or keep is not None else 0
        self.best = self._current = self._filled(*first, noise=0.0, by_rank=False)
        self._best_secondary = self._secondary(self.best)

    @property
    def finished(self) -> bool:
        """Whether the bound is met and nothing is left to polish."""
        return self._meets_bound and self._polishing <= 0

    @property
    def _meets_bound(self) -> bool:
        return not self.best.left_out and self.best.primary[3:] <= self._bound

    def step(self) -> None:
        """Try one more answer."""
        if self._meets_bound:
            self._polishing -= 1
        chance = self._chance
        by_rank = self._has_ranks and self._steps % _BY_RANK == 0
        if self._steps < len(self._plans):
            measure, rule = self._plans[self._steps]
            answer = self._filled(measure, rule, noise=0.0, by_rank=by_rank)
        elif not self._current.sheets or chance.random() < _SHARE_OF_FILLINGS:
            answer = self._filled(
                chance.randrange(len(_MEASURES)),
                self._any_rule(),
                noise=chance.choice((0.1, 0.3, 0.6)),
                by_rank=by_rank,
            )
        else:
            answer = self._refilled(by_rank)
        self._steps += 1
        self._consider(answer)

    def finish(self) -> None:
        """Split the sheet with the largest leftover so that it is left in one part."""
        if self._keep is None:
            return
        keep = self._keep
        best, best_node = None, None
        best_area = 0
        for sheet in self.best.sheets:
            area, node = largest_leftover(sheet, keep)
            if area > best_area:
                best, best_area, best_node = sheet, area, node
        if best is not None and best_node is not None and best_node.cut != NONE:
            best.flip(best_node)

    def _consider(self, answer: Answer) -> None:
        current = self._current
        if answer.primary < current.primary or (
            answer.primary == current.primary and answer.mass >= current.mass * _SCATTER
        ):
            self._current = answer
        if answer.primary > self.best.primary:
            return
        secondary = self._secondary(answer)
        if answer.primary < self.best.primary or secondary < self._best_secondary:
            self.best = answer
            self._best_secondary = secondary

    def _filled(self, measure: int, rule: Rule, noise: float, by_rank: bool) -> Answer:
        """All pieces onto empty sheets."""
        task = self._task
        order = self._ordered(task.pieces, measure, noise, by_rank)
        if by_rank:
            rule = rule._replace(earliest=True)
        sheets, left_out = fill(task, order, [], task.stock_left(()), rule)
        return self._answer(sheets, left_out, rule)

    def _refilled(self, by_rank: bool) -> Answer:
        """A few sheets of the current answer taken apart and their pieces placed anew."""
        task, chance = self._task, self._chance
        sheets = self._current.sheets
        removed = {max(chance.sample(sheets, min(2, len(sheets))), key=_emptiness)}
        (first,) = removed
        # Pieces left out, and stock shared by groups, make a wider look worth while.
        kin = sheets if chance.random() < 0.2 else [sheet for sheet in sheets if sheet.group == first.group]
        more = min(chance.choice((1, 2, 3, 4)), len(kin))
        removed.update(chance.sample(kin, more))
        kept = [sheet for sheet in sheets if sheet not in removed]
        pool = [piece for sheet in sheets if sheet in removed for piece in sheet.pieces]
        pool += self._current.left_out
        noise = chance.choice((0.0, 0.1, 0.3, 0.6))
        order = self._ordered(pool, chance.randrange(len(_MEASURES)), noise, by_rank)
        left = task.stock_left(kept)
        rule = self._any_rule()
        if chance.random() < 0.7:
            filled, left_out = fill(task, order, kept, left, rule)
        else:
            filled, left_out = fill(task, order, [], left, rule)
            filled = kept + filled
        return self._answer(filled, left_out, rule)

    def _answer(self, sheets: list[Sheet], left_out: list[int], rule: Rule) -> Answer:
        if len(self._task.stocks) > 1:
            sheets = economise(self._task, sheets, self._failed)
            if left_out:
                # A sheet exchanged for cheaper stock is back on the rack for these.
                left = self._task.stock_left(sheets)
                sheets, left_out = fill(self._task, left_out, sheets, left, rule)
        return Answer(self._task, sheets, left_out)

    def _any_rule(self) -> Rule:
        chance = self._chance
        stocks = self._task.stocks
        opening = chance.choice(self._openings)
        if len(stocks) > 1 and chance.random() < _ANY_STOCK:
            opening = tuple(chance.sample(stocks, len(stocks)))
        return Rule(
            chance.randrange(3),
            chance.randrange(4),
            chance.random() < 0.3,
            opening,
            chance.random() < 0.3,
        )

    def _ordered(self, pieces: Sequence[int], measure: int, noise: float, by_rank: bool) -> list[int]:
        """Rush pieces first (or rank after rank), then the larger first, disturbed by chance."""
        task = self._task
        size = _MEASURES[measure]
        keys = [
            (
                task.ranks[piece] if by_rank else min(task.ranks[piece], 1),
                -size(task.widths[piece], task.heights[piece])
                * (1.0 + noise * self._chance.random() if noise else 1.0),
                piece,
            )
            for piece in pieces
        ]
        keys.sort()
        return [key[2] for key in keys]

    def _secondary(self, answer: Answer) -> tuple[int, int]:
        disorder = _disorder(self._task, answer.sheets) if self._has_ranks else 0
        if self._keep is None:
            return disorder, 0
        keep = self._keep
        return disorder, -max((largest_leftover(sheet, keep)[0] for sheet in answer.sheets), default=0)


def _emptiness(sheet: Sheet) -> float:
    return sheet.spare / (sheet.root.width * sheet.root.height)


def _openings(task: Task) -> list[tuple[int, ...] | None]:
    """Orders in which to try the kinds of stock for a new sheet."""
    if len(task.stocks) == 1:
        return [task.stocks]
    area, costs = task.stock_area, task.costs

    def value(stock: int) -> tuple[float, int]:
        return costs[stock] / area(stock), -area(stock)

    orders: list[tuple[int, ...] | None] = [None]
    for order in (
        sorted(task.stocks, key=value),
        sorted(task.stocks, key=lambda stock: (costs[stock], area(stock))),
        sorted(task.stocks, key=lambda stock: -area(stock)),
        sorted(task.stocks, key=area),
        # Remnants, and any stock that may run out, before stock without end.
        sorted(task.stocks, key=lambda stock: (task.counts[stock] is None, value(stock))),
    ):
        if tuple(order) not in orders:
            orders.append(tuple(order))
    return orders


def sheet_order(task: Task, sheet: Sheet) -> list[int]:
    """The key that puts sheets with urgent pieces first."""
    return sorted(task.ranks[piece] for piece in sheet.pieces)


def _disorder(task: Task, sheets: Sequence[Sheet]) -> int:
    """How many sheets must be cut before all pieces of a rank are out, over all ranks."""
    by_group: dict[int, list[list[int]]] = {}
    for sheet in sheets:
        by_group.setdefault(sheet.group, []).append(sheet_order(task, sheet))
    total = 0
    for orders in by_group.values():
        last: dict[int, int] = {}
        for position, ranks in enumerate(sorted(orders), start=1):
            for rank in ranks:
                last[rank] = position
        reached = 0
        for rank in sorted(last):
            reached = max(reached, last[rank])
            total += reached
    return total

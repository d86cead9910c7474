"""Ruin and recreate towards a goal: fit all pieces within less than the best price so far.

While pieces are left out, their weight tells how far the goal is. A round takes a few pieces or runs of pieces off
some sheets, and puts back all that waits, the piece with the fewest rooms first, each where it spoils least. The round
stands when it leaves out no more than the plan did some rounds ago (late acceptance). Whenever everything fits, that
plan is kept and the limit set just below its price. Where nothing comes further for long, most of the plan is taken
off and the search begins anew.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from .acceptance import LateAcceptance
from .answer import Answer, stock_left
from .first import Filling
from .recreating import Recreating
from .rooms import Sheet
from .ruining import Ruining
from .task import Task


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
        self._stock = task.stock if stock is None else tuple(stock)
        chance = random.Random(seed)
        self._ruining = Ruining(task, chance)
        self._recreating = Recreating(task, chance, self._stock, () if quotas is None else tuple(quotas))
        self._acceptance = LateAcceptance(sum(task.counts))
        self._sheets = start.sheets
        self._waiting = start.left_out
        self._limit: float = math.inf if start.left_out else start.merit[1] - 1

    @property
    def finished(self) -> bool:
        """Whether nothing can be better."""
        return self.best.merit[0] == 0 and self.best.merit[1] <= self._bound

    def advance(self, rounds: int) -> None:
        """Do so many rounds, fewer when the bound is met."""
        for _ in range(rounds):
            if self.finished:
                return
            self.rounds += 1
            sheets, waiting = self._ruining.ruined(self._sheets, self._waiting)
            self._ruining.keep_within(self._limit, sheets, waiting)
            self._recreating.recreate(sheets, waiting, self._limit)
            self._consider(sheets, waiting)

    def changed(self, answer: Answer) -> Answer:
        """A plan made from this one by one round, at no higher price."""
        sheets, waiting = self._ruining.ruined(answer.sheets, answer.left_out)
        self._recreating.recreate(sheets, waiting, answer.merit[1])
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
                    self._acceptance.begin_goal()
                    return
        value = 0.0
        for sheet in sheets:
            value += sheet.value
        if self._acceptance.stands((weight, -value)):
            self._sheets, self._waiting = sheets, waiting
        if self._acceptance.stuck:
            self._sheets, self._waiting = self._ruining.begun_anew(self._sheets, self._waiting)
            self._acceptance.begin_anew()

    def _filled_up(self, answer: Answer) -> Answer:
        """Leave nothing out that still goes somewhere: a room passed over, a sheet that has become free."""
        filling = Filling(self._task, answer.left_out.copy())
        sheets = [filling.fill(sheet) for sheet in answer.sheets]
        left = stock_left(self._stock, sheets)
        filling.open(sheets, left, lambda level: self._recreating.level_to_open(sheets, level))
        return Answer(self._task, sheets, filling.waiting)

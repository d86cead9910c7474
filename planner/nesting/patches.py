"""Search in plans of very many sheets: a few sheets at a time are searched as a plan of their own.

A round on a patch takes no longer however large the whole plan is, and a patch that needs one sheet less makes the
whole need one less.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from .answer import Answer, stock_left
from .rooms import Sheet
from .search import Search
from .task import Task

# Sheets in a patch, and rounds spent on it.
_SHEETS = 14
_ROUNDS = 250


class Patches:
    """The same to the caller as `search.Search`."""

    def __init__(self, task: Task, start: Answer, bound: int, seed: str, quotas: Sequence[int] | None = None) -> None:
        """Go on from a plan; the arguments are those of `Search`."""
        self.best = start
        self.rounds = 0
        self._task = task
        self._bound = bound
        self._random = random.Random(seed)
        self._last_level = 0 if quotas is None else len(quotas)
        self._patch: Search | None = None
        self._rest: list[Sheet] = []
        self._rest_out: dict[int, int] = {}
        self._until_next = 0

    @property
    def finished(self) -> bool:
        """Whether nothing can be better."""
        return self.best.merit[0] == 0 and self.best.merit[1] <= self._bound

    def advance(self, rounds: int) -> None:
        """Do so many rounds, fewer when the bound is met."""
        while rounds > 0 and not self.finished:
            if self._patch is None or not self._until_next:
                self._choose()
            patch = self._patch
            assert patch is not None
            now = min(rounds, self._until_next)
            before = patch.best
            patch.advance(now)
            rounds -= now
            self._until_next -= now
            self.rounds += now
            if patch.best is not before:
                left_out = self._rest_out.copy()
                left_out.update(patch.best.left_out)
                self.best = Answer(self._task, self._rest + patch.best.sheets, left_out)
                if not patch.best.left_out:
                    self._until_next = max(self._until_next, _ROUNDS // 2)

    def _choose(self) -> None:
        """Take a patch of one group, ill-filled sheets rather than others."""
        task, chance = self._task, self._random
        sheets = self.best.sheets
        first = max(chance.sample(range(len(sheets)), min(3, len(sheets))), key=lambda n: sheets[n].value)
        kin = [n for n, sheet in enumerate(sheets) if sheet.group == sheets[first].group]
        chosen = {first}
        while len(chosen) < min(_SHEETS, len(kin)):
            pair = chance.sample(kin, 2)
            chosen.add(max(pair, key=lambda n: sheets[n].value))
        group = sheets[first].group
        own = [sheets[n] for n in sorted(chosen)]
        self._rest = [sheet for n, sheet in enumerate(sheets) if n not in chosen]
        waiting = {size: count for size, count in self.best.left_out.items() if task.groups[size] == group}
        self._rest_out = {size: count for size, count in self.best.left_out.items() if task.groups[size] != group}
        quotas = [sum(sheet.level == level for sheet in own) for level in range(self._last_level)]
        self._patch = Search(
            task,
            Answer(task, own, waiting),
            0,
            f"{chance.random()}",
            stock_left(task.stock, self._rest),
            quotas,
        )
        self._until_next = _ROUNDS

"""Among plans of equal price, the one that is better in what matters less: urgency, one large leftover, wishes."""

from __future__ import annotations

from collections.abc import Sequence

from .answer import Answer
from .naming import disorder, named, scatter
from .problem import Options, Piece
from .records import largest_leftover
from .search import Search
from .task import Task


class Polishing:
    """Changes a plan sideways; `best` is the best of equal price so far."""

    def __init__(
        self,
        task: Task,
        start: Answer,
        options: Options,
        pieces: Sequence[Piece],
        seed: str,
        quotas: Sequence[int],
    ) -> None:
        """Start from a plan."""
        self.best = start
        self._task = task
        self._pieces = pieces
        own = [pieces[i] for members in task.members for i in members]
        # All pieces of a task are of one material.
        self._keep = dict(options.keep_of).get(own[0].material, options.keep) if own else options.keep
        self._has_ranks = len({piece.due_rank for piece in own}) > 1
        self._has_wishes = any(piece.wishes for piece in own)
        self._search = Search(task, start, 0, f"{seed}/polish", None, quotas)
        self._merit = self._merit_of(start)

    def advance(self, rounds: int) -> None:
        """Try so many small changes, if anything is wished for."""
        if not (self._has_ranks or self._has_wishes or self._keep is not None):
            return
        for _ in range(rounds):
            answer = self._search.changed(self.best)
            if answer.merit > self.best.merit:
                continue
            merit = self._merit_of(answer)
            if (answer.merit, merit) <= (self.best.merit, self._merit):
                self.best, self._merit = answer, merit

    def _merit_of(self, answer: Answer) -> tuple[int, int, int]:
        task = self._task
        leftover = 0
        if self._keep is not None:
            leftover = max((largest_leftover(task, sheet, self._keep) for sheet in answer.sheets), default=0)
        if not (self._has_ranks or self._has_wishes):
            return 0, -leftover, 0
        sheets = named(task, answer.sheets, self._pieces)
        return disorder(sheets, self._pieces), -leftover, scatter(sheets, self._pieces)

"""The course of one task: a first answer, then the search, under `due_first` rank after rank; the tie-breakers last."""

from __future__ import annotations

from collections.abc import Sequence

from .answer import Answer, stock_left
from .choosing import Choosing
from .exact import Proof, proven_best
from .first import Filling
from .patches import Patches
from .polishing import Polishing
from .problem import Options, Piece
from .search import Search
from .task import Task

# With more sheets than this the plan is searched in patches.
_MOST_SHEETS = 40


class Course:
    """One task on its way; `best` is the best plan so far of all pieces.

    `bounds` is the proven least price for the pieces of each level and those below it; `proof` is there when the task
    was small enough to be solved for good.
    """

    def __init__(self, task: Task, bounds: Sequence[int], options: Options, pieces: Sequence[Piece], seed: str) -> None:
        """Build the first answer."""
        self._task = task
        self._bounds = bounds
        self._options = options
        self._pieces = pieces
        self._seed = seed
        self._level = 0
        self._quotas: list[int] = []
        self.rounds = 0
        self.proof: Proof | None = None
        self._search = self._started(Answer(task, [], {}))
        self.best = self._with_the_rest()
        if not self.finished and len(bounds) == 1:
            self.proof = proven_best(task)
        if self.proof is not None:
            self._bounds = [self.proof.price]
            self._search = Search(task, self.proof.answer, self.proof.price, seed)
            self.best = self.proof.answer

    @property
    def finished(self) -> bool:
        """Whether all levels are proven best."""
        return self._level == len(self._bounds) - 1 and self._search.finished

    @property
    def exhausted(self) -> bool:
        """Whether there is nothing more to do within the rounds allowed."""
        return self.finished or (
            self._level == len(self._bounds) - 1 and self._search.rounds >= self._options.iterations
        )

    def advance(self, rounds: int) -> None:
        """Search on; when a level is done, go on to the next."""
        search = self._search
        before = search.rounds
        search.advance(min(rounds, self._options.iterations - before))
        self.rounds += search.rounds - before
        if self._level == len(self._bounds) - 1:
            self.best = search.best
        elif search.finished or search.rounds >= self._options.iterations:
            self.next_level()

    def next_level(self) -> None:
        """Keep what this level has come to, and take up the pieces of the next; no-op at the last."""
        if self._level == len(self._bounds) - 1:
            return
        done = self._search.best
        self._level += 1
        self._quotas = [sum(sheet.level == level for sheet in done.sheets) for level in range(self._level)]
        self._search = self._started(done)
        self.best = self._with_the_rest()

    @property
    def level(self) -> int:
        """Which level is being searched, from 0 on."""
        return self._level

    @property
    def levels(self) -> int:
        """How many levels there are."""
        return len(self._bounds)

    def polish(self, rounds: int) -> None:
        """Settle ties by what is wished for, with so many tries."""
        polishing = Polishing(self._task, self.best, self._options, self._pieces, self._seed, self._quotas)
        polishing.advance(rounds)
        self.best = polishing.best

    def complete(self) -> None:
        """Open sheets that are still there for what is left out: no due time is worth a piece that is not made."""
        if not self.best.left_out:
            return
        filling = Filling(self._task, self.best.left_out.copy())
        sheets = list(self.best.sheets)
        filling.open(sheets, stock_left(self._task.stock, sheets), lambda level: level)
        if len(sheets) > len(self.best.sheets):
            self.best = Answer(self._task, sheets, filling.waiting)

    def _started(self, before: Answer) -> Search | Patches | Choosing:
        """The search of this level, from a first answer on top of the level before."""
        start = self._filled(before, self._level, self._level)
        seed = f"{self._seed}/{self._level}"
        if len(start.sheets) > _MOST_SHEETS:
            return Patches(self._task, start, self._bounds[self._level], seed, self._quotas)
        if len(self._task.kinds) > 1 and len(self._bounds) == 1:
            return Choosing(self._task, start, self._bounds[self._level], seed)
        return Search(self._task, start, self._bounds[self._level], seed, None, self._quotas)

    def _with_the_rest(self) -> Answer:
        """A plan of all pieces, whatever the level searched."""
        answer = self._search.best
        for level in range(self._level + 1, len(self._bounds)):
            answer = self._filled(answer, level, level)
        return answer

    def _filled(self, before: Answer, first: int, last: int) -> Answer:
        task = self._task
        waiting = before.left_out.copy()
        for size, count in enumerate(task.counts):
            if count and first <= task.levels[size] <= last:
                waiting[size] = waiting.get(size, 0) + count
        filling = Filling(task, waiting)
        sheets = [filling.fill(sheet) for sheet in before.sheets]
        filling.open(sheets, stock_left(task.stock, sheets), lambda level: last if level <= last else None)
        return Answer(task, sheets, filling.waiting)

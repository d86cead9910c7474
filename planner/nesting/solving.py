"""Take a problem apart into tasks, run their searches in turn, and report.

Groups that share no limited stock cannot disturb each other and are searched
separately; groups of one material with limited stock are one task.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from fractions import Fraction

from .answer import price
from .bounds import Bin, Box, least_sheets_and_cost
from .bundling import laid_together
from .course import Course
from .holding import Holding
from .naming import named
from .problem import Bound, Layout, LeftOut, Options, Piece, Progress, Reason, Solution, Stock, Stopped, check
from .records import to_layout
from .rooms import Sheet
from .task import Task, Together, make_task
from .workers import best_of

# Least seconds between two reports of progress that bring no better answer.
_QUIET = 0.1
# Rounds for one task before the next has its turn, and the clock is looked at.
_BATCH = 10
# Tries to settle ties between plans of equal cost, and the most pieces for which it is done.
_POLISHING, _MOST_POLISHED = 60, 400


def solve(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    options: Options = Options(),  # noqa: B008 - frozen, so safe to share
    progress: Callable[[Progress], None] | None = None,
    executor: Executor | None = None,
) -> Solution:
    """Place the pieces on as little stock, by cost, as the search finds.

    In this order a plan is judged by: the area of the pieces left out, that of the lowest due rank first; the cost, the
    number of sheets, how soon low due ranks are cut, the largest leftover worth keeping, wishes. The same input gives
    the same solution, unless `options.seconds` or an interrupt ends the search early.

    An iteration is one more attempt for every task not yet proven best. A KeyboardInterrupt after the first complete
    answer returns the best so far. With several workers each runs in the executor, by default in a process of its own;
    the same plan comes out whichever executor it is, and progress is told as they end.

    Raises:
        ValueError: the problem makes no sense; see `problem.check`.
    """
    check(pieces, stocks, options)
    if options.workers > 1:
        return best_of(_solve_alone, pieces, stocks, options, progress, executor)
    return _solve_alone(pieces, stocks, options, progress)


def _solve_alone(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    options: Options,
    progress: Callable[[Progress], None] | None = None,
) -> Solution:
    run = _Run(pieces, stocks, options, progress)
    stopped, iterations = run.search()
    return run.solution(stopped, iterations)


class _Run:
    def __init__(
        self,
        pieces: Sequence[Piece],
        stocks: Sequence[Stock],
        options: Options,
        progress: Callable[[Progress], None] | None,
    ) -> None:
        self._began = time.monotonic()
        self._pieces = pieces
        self._stocks = stocks
        self._options = options
        self._progress = progress
        self._reported = -math.inf
        names: dict[tuple[str, str], int] = {}
        self._groups = [names.setdefault((piece.material, piece.group), len(names)) for piece in pieces]
        self._group_names = list(names)
        self._reasons: dict[int, Reason] = {}
        self._holding = Holding(stocks, options)
        members: dict[int, list[int]] = {group: [] for group in range(len(names))}
        for index, piece in enumerate(pieces):
            reason = self._holding.reason(piece)
            if reason is None:
                members[self._groups[index]].append(index)
            else:
                self._reasons[index] = reason
        self._split: list[str] = []
        bundles = self._bundles(members)
        self._bounds = {group: self._bound(members[group]) for group in members}
        self._tasks: list[Task] = []
        self._courses: list[Course] = []
        for part in self._parts(members):
            self._start(part, members, [own for group in part for own in bundles[group]])
        self._bound_cost = float(sum(cost for _, cost in self._bounds.values()))

    def search(self) -> tuple[Stopped, int]:
        """Improve until something says stop; say what, and how many rounds were done."""
        stopped: Stopped = "iterations"
        try:
            self._report(better=True)
            while True:
                waiting = [course for course in self._courses if not course.exhausted]
                if not waiting:
                    if all(course.finished for course in self._courses):
                        stopped = "bound"
                    break
                if not self._turn(waiting):
                    stopped = "seconds"
                    break
            if stopped != "seconds":
                for course, task in zip(self._courses, self._tasks, strict=True):
                    if sum(task.counts) <= _MOST_POLISHED and not self._is_late(1.0):
                        course.polish(_POLISHING)
                self._report(better=False)
        except KeyboardInterrupt:
            stopped = "interrupted"
        for course in self._courses:
            course.complete()
        return stopped, max((course.rounds for course in self._courses), default=0)

    def _turn(self, waiting: Sequence[Course]) -> bool:
        """A few rounds for each task; False when time is up."""
        for course in waiting:
            if self._is_late(1.0):
                return False
            if self._is_late((course.level + 1) / course.levels):
                course.next_level()
            before = course.best
            course.advance(_BATCH)
            self._report(better=course.best is not before)
        return True

    def _is_late(self, share: float) -> bool:
        limit = self._options.seconds
        return limit is not None and time.monotonic() - self._began >= limit * share

    def solution(self, stopped: Stopped, iterations: int) -> Solution:
        """The records of the best answers."""
        sheets: list[tuple[Task, Sheet, tuple[int, ...]]] = []
        for task, course in zip(self._tasks, self._courses, strict=True):
            own = named(task, course.best.sheets, self._pieces)
            sheets += [(task, sheet, members) for sheet, members in own]
            placed = {index for _, members in own for index in members}
            missing = [index for members in task.members for index in members if index not in placed]
            self._reasons |= dict.fromkeys(missing, "out-of-stock")
        sheets.sort(
            key=lambda entry: (
                sorted(self._pieces[i].due_rank for i in entry[2]),
                entry[1].group,
                entry[0].kinds[entry[1].kind].stock,
                sorted(entry[2]),
            )
        )
        layouts: list[Layout] = []
        for task, sheet, members in sheets:
            stock = self._stocks[task.kinds[sheet.kind].stock]
            layouts.append(to_layout(task, sheet, members, stock.name, self._pieces))
        return Solution(
            tuple(layouts),
            tuple(LeftOut(self._pieces[index].name, self._reasons[index]) for index in sorted(self._reasons)),
            tuple(self._group_bound(group, sheets) for group in self._bounds),
            iterations,
            stopped,
            tuple(self._split),
        )

    def _bundles(self, members: dict[int, list[int]]) -> dict[int, list[Together]]:
        """For each group the sets that must share a sheet; note those that no sheet holds."""
        sets: dict[tuple[int, str], list[int]] = {}
        for index, piece in enumerate(self._pieces):
            if piece.together:
                sets.setdefault((self._groups[index], piece.together), []).append(index)
        found: dict[int, list[Together]] = {group: [] for group in members}
        for (group, key), own in sets.items():
            if len(own) < 2:
                continue
            together = None
            if all(index not in self._reasons for index in own):
                together = laid_together(own, self._pieces, self._stocks, self._options)
            if together is not None:
                found[group].append(together)
            elif key not in self._split:
                self._split.append(key)
        return found

    def _parts(self, members: dict[int, list[int]]) -> list[list[int]]:
        """Groups to be searched together."""
        limited = {stock.material for stock in self._stocks if stock.count}
        parts: dict[object, list[int]] = {}
        for group, held in members.items():
            material = self._group_names[group][0]
            if held:
                parts.setdefault(material if material in limited else group, []).append(group)
        return list(parts.values())

    def _start(self, part: list[int], members: dict[int, list[int]], bundles: Sequence[Together]) -> None:
        indices = sorted(index for group in part for index in members[group])
        names = "/".join("/".join(self._group_names[group]) for group in part)
        # Due ranks weigh only where something must be left out: elsewhere they would hide how near the goal is.
        for ranked in (False, True):
            task = make_task(self._pieces, self._stocks, self._groups, indices, bundles, self._options, ranked)
            bounds = self._level_bounds(task, part, members)
            course = Course(task, bounds, self._options, self._pieces, f"{self._options.seed}/{names}")
            if not course.best.left_out or len({self._pieces[i].due_rank for i in indices}) == 1:
                break
        self._tasks.append(task)
        self._courses.append(course)
        if course.proof is not None:
            (group,) = part
            least = course.proof.price // task.sheet_base * task.unit
            self._bounds[group] = (course.proof.sheets, least)

    def _level_bounds(self, task: Task, part: Sequence[int], members: dict[int, list[int]]) -> list[int]:
        """The proven least price for the pieces of each level and those below it."""
        whole = sum(len(members[group]) for group in part)
        bounds = []
        for level in range(max(task.levels, default=0) + 1):
            urgent = {i for size, own in enumerate(task.members) if task.levels[size] <= level for i in own}
            if len(urgent) == whole:
                found = [self._bounds[group] for group in part]
            else:
                found = [self._bound([i for i in members[group] if i in urgent]) for group in part]
            bounds.append(task.price(sum((cost for _, cost in found), Fraction(0)), sum(least for least, _ in found)))
        return bounds

    def _bound(self, indices: Sequence[int]) -> tuple[int, Fraction]:
        if not indices:
            return 0, Fraction(0)
        spacing = self._options.spacing
        own = [self._pieces[i] for i in indices]
        boxes = [Box(piece.width + spacing, piece.height + spacing, piece.may_turn) for piece in own]
        usable = self._holding.usable(own[0])
        bins = [
            # Exact, so that rounding never lifts a bound above the optimum.
            Bin(stock.width + spacing, stock.height + spacing, stock.count, Fraction(stock.cost))
            for stock in (self._stocks[number] for number in usable)
            if stock.count != 0
        ]
        return least_sheets_and_cost(boxes, bins)

    def _group_bound(self, group: int, sheets: Sequence[tuple[Task, Sheet, tuple[int, ...]]]) -> Bound:
        material, name = self._group_names[group]
        own = [(task, sheet, members) for task, sheet, members in sheets if sheet.group == group]
        least, cost = self._bounds[group]
        # Pieces for which no sheet was left must not count against the sheets used.
        if any(self._groups[index] == group and reason == "out-of-stock" for index, reason in self._reasons.items()):
            least, cost = self._bound([index for _, _, members in own for index in members])
        spent = math.fsum(self._stocks[task.kinds[sheet.kind].stock].cost for task, sheet, _ in own)
        return Bound(material, name, least, len(own), float(cost), spent)

    def _report(self, better: bool) -> None:
        if self._progress is None:
            return
        now = time.monotonic()
        if not better and now - self._reported < _QUIET:
            return
        self._reported = now
        number = sum(len(course.best.sheets) for course in self._courses)
        money = zip(self._tasks, self._courses, strict=True)
        cost = math.fsum(task.money(price(task, course.best.sheets)) for task, course in money)
        rounds = max((course.rounds for course in self._courses), default=0)
        self._progress(Progress(rounds, number, cost, self._bound_cost, now - self._began))

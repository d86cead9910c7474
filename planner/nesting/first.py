"""The first answer: sheet after sheet, filled with the largest piece that still goes on it.

Sets of sizes make finding that piece a matter of a few bit operations, so that the time grows little faster than the
number of pieces.
"""

from __future__ import annotations

from collections.abc import Callable

from .placing import Opener, best_placed, bundle_alone, penalty_of, turnings, with_bundle
from .rooms import Sheet
from .task import Task


class Filling:
    """Pieces still waiting, and the filling of sheets with them."""

    def __init__(self, task: Task, waiting: dict[int, int]) -> None:
        """`waiting` is how many pieces of each size; it is counted down."""
        self._task = task
        self.waiting = waiting
        self._opener = Opener(task)
        self._penalty = penalty_of(task)
        self._set = 0
        for size in waiting:
            self._set |= 1 << size
        self._area = sum(task.area(size) * count for size, count in waiting.items())

    def fill(self, sheet: Sheet) -> Sheet:
        """Put on all that goes, the largest first."""
        barred = 0
        while True:
            wanted = sheet.fits & self._set & ~barred
            if not wanted:
                return sheet
            size = wanted.bit_length() - 1
            if size in self._task.bundles:
                fuller = with_bundle(self._task, sheet, size, self._penalty)
            else:
                fuller = best_placed(self._task, sheet, size, turnings(self._task, size), self._penalty)
            if fuller is None:
                barred |= 1 << size
                continue
            sheet = fuller
            self._take(size)

    def open(self, sheets: list[Sheet], left: list[int | None], level_for: Callable[[int], int | None]) -> None:
        """Open sheets until nothing that fits one is waiting.

        `left` is the stock left of each kind, counted down. `level_for` gives the level of a sheet opened for a level,
        and None where it may not be opened.
        """
        task = self._task
        unfit = 0
        while self._set & ~unfit:
            size = (self._set & ~unfit).bit_length() - 1
            level = level_for(task.levels[size])
            choice = None
            if level is not None:
                choice = self._opener.best(size, self._area, lambda kind: left[kind] != 0)
            if choice is None or level is None:
                unfit |= 1 << size
                continue
            kind, variant = choice
            if size in task.bundles:
                sheet = bundle_alone(task, kind, size, level)
            else:
                empty = task.empty_sheet(kind, variant, task.groups[size], level)
                sheet = best_placed(task, empty, size, turnings(task, size), self._penalty)
            if sheet is None:
                unfit |= 1 << size
                continue
            self._take(size)
            sheets.append(self.fill(sheet))
            count = left[kind]
            if count is not None:
                left[kind] = count - 1

    def _take(self, size: int) -> None:
        self._area -= self._task.area(size)
        count = self.waiting[size] - 1
        if count:
            self.waiting[size] = count
        else:
            del self.waiting[size]
            self._set &= ~(1 << size)

"""Many pieces of heavy work of one kind: done here one after another, or side by side in processes where that pays."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import Final, TypeVar

_Work = TypeVar("_Work")
_Done = TypeVar("_Done")

_PAYS: Final = 3
"""Pieces of heavy work from which starting processes is worth its second."""


class Crew:
    """Does work in the order in which it was given, whoever does it; started when it is first needed."""

    def __init__(self, processes: int) -> None:
        self._processes = processes
        self._pool: ProcessPoolExecutor | None = None

    def does(
        self,
        task: Callable[[_Work], _Done],
        works: Sequence[_Work],
        heavy: Sequence[bool],
        told: Callable[[int], None] | None = None,
    ) -> list[_Done]:
        """Do a task for each piece of work; ``heavy`` says which are worth handing out.

        ``told`` is called with the number of those that are done, counted in their order.

        Raises:
            Exception: whatever the task raises for the first piece that it fails on.
        """
        if self._processes < 2 or sum(heavy) < _PAYS:
            return list(_counted((task(work) for work in works), told))
        if self._pool is None:
            # A fresh interpreter: libraries that run threads of their own do not survive a fork.
            self._pool = ProcessPoolExecutor(self._processes, mp_context=get_context("spawn"))
        given = {place: self._pool.submit(task, work) for place, work in enumerate(works) if heavy[place]}
        done = (given[place].result() if heavy[place] else task(work) for place, work in enumerate(works))
        return list(_counted(done, told))

    def goes_home(self) -> None:
        """End the processes; work that was not begun is dropped."""
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)


def _counted(done: Iterable[_Done], told: Callable[[int], None] | None) -> Iterator[_Done]:
    for number, one in enumerate(done, 1):
        if told is not None:
            told(number)
        yield one


def processes_here() -> int:
    """Give how many processes pay on this machine: as many as it has cores that we may use, eight at most."""
    return max(1, min(8, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1))


@contextmanager
def crew_of(processes: int) -> Iterator[Crew]:
    """Give a crew of at most so many processes, and send it home at the end."""
    crew = Crew(processes)
    try:
        yield crew
    finally:
        crew.goes_home()

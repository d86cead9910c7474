"""How long may a stranger's function take? It runs in a thread of its own, left behind when it does not end."""

from __future__ import annotations

import threading
from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import Any, Final, TypeAlias

_Call: TypeAlias = Callable[[], Any]


_LONGEST: Final = 300
"""Letters of what a stranger's error says."""


class TooLong(Exception):
    """A call did not come back in time."""


class Failed(Exception):
    """A call raised an error; it says so in words that can be printed, whatever the error is."""

    def __init__(self, error: BaseException) -> None:
        try:
            said = " ".join(str(error).split())
        except Exception:  # a stranger's error may fail at saying what it is
            said = ""
        kind = type(error).__name__
        text = "".join(letter if letter.isprintable() else "?" for letter in (f"{kind}: {said}" if said else kind))
        self.words = text if len(text) <= _LONGEST else f"{text[:_LONGEST]}..."
        super().__init__(self.words)


class _Worker:
    """One thread that does calls one after the other."""

    def __init__(self) -> None:
        self.calls: SimpleQueue[_Call] = SimpleQueue()
        self.answers: SimpleQueue[tuple[Any, BaseException | None]] = SimpleQueue()
        # A daemon: one that never comes back must not keep the program from ending.
        threading.Thread(target=self._work, name="house rule", daemon=True).start()

    def _work(self) -> None:
        while True:
            call = self.calls.get()
            answer: tuple[Any, BaseException | None]
            try:
                answer = (call(), None)
            except BaseException as error:
                answer = (None, error)
            self.answers.put(answer)


class Clock:
    """Does calls, each within a time."""

    def __init__(self) -> None:
        self._worker: _Worker | None = None

    def within(self, seconds: float, call: _Call) -> Any:  # noqa: ANN401 - whatever the call returns
        """Give what a call returns.

        Raises:
            Failed: the call raised whatever error, even one that would end the program.
            TooLong: it did not return within these seconds.
        """
        worker = self._worker = self._worker or _Worker()
        worker.calls.put(call)
        try:
            answer, error = worker.answers.get(timeout=seconds)
        except Empty:
            self._worker = None
            raise TooLong from None
        if error is not None:
            raise Failed(error) from error
        return answer

"""Which changed plans stand? Late acceptance: one that costs no more than the plan did some rounds ago.

The plan of so many rounds ago may have been worse than the plan is now, so that the search can leave a dead end; as
what is remembered only ever becomes less, it settles in the end (Burke and Bykov, "The late acceptance hill-climbing
heuristic", 2017).
"""

from __future__ import annotations

import math

Cost = tuple[float, float]
"""The weight of the pieces left out; minus the value of the rooms left over."""

# Rounds remembered, and the rounds between two doublings of their number.
_FEWEST_REMEMBERED, _MOST_REMEMBERED, _ROUNDS_PER_REMEMBERED = 60, 300, 20
# Rounds that come no further, for each round remembered, after which a search had better begin anew: one that is stuck
# seldom comes loose, while a fresh one often gets past the same place in a few thousand rounds. With more pieces than
# the number named, as many times more.
_PATIENCE, _PIECES = 20, 40


class LateAcceptance:
    """The costs of the last rounds; `stuck` says that no fewer pieces were left out for long."""

    def __init__(self, pieces: int) -> None:
        """Remember nothing yet; `pieces` is how many the plan is for."""
        self._patience = _PATIENCE * max(1.0, pieces / _PIECES)
        self.begin_anew()

    def begin_anew(self) -> None:
        """Forget the costs, and how many rounds were remembered."""
        self._remembered = _FEWEST_REMEMBERED
        self.begin_goal()

    def begin_goal(self) -> None:
        """Forget the costs, as the goal has changed."""
        self.stuck = False
        self._history: list[Cost] = []
        self._place = 0
        self._cost: Cost = (math.inf, 0.0)
        self._until_longer = self._remembered * _ROUNDS_PER_REMEMBERED
        self._least = math.inf
        self._idle = 0

    def stands(self, cost: Cost) -> bool:
        """Whether a plan of this cost takes the place of the last one that stood; counts one round."""
        if not self._history:
            self._history = [cost] * self._remembered
        place = self._place
        standing = cost <= self._cost or cost <= self._history[place]
        if standing:
            self._cost = cost
        self._history[place] = min(self._history[place], self._cost)
        self._place = place + 1 if place + 1 < self._remembered else 0
        if self._cost[0] < self._least:
            self._least, self._idle = self._cost[0], 0
        else:
            self._idle += 1
            self.stuck = self._idle > self._patience * self._remembered
        self._until_longer -= 1
        if not self._until_longer and self._remembered < _MOST_REMEMBERED:
            self._remembered *= 2
            self._history += self._history
            self._until_longer = self._remembered * _ROUNDS_PER_REMEMBERED
        return standing

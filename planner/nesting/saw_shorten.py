"""The shortest strip that holds all shapes: build it, shorten it, push the shapes apart, again."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from .saw_clock import Clock
from .saw_laid import Place
from .saw_raster import HAIR, Lattice
from .saw_separate import Separator

# How much of the length each success takes off at first, and the least worth trying for.
FIRST_SHRINK = 0.02
LEAST_SHRINK = 0.0005
PATIENCE = 40
STRIKES = 2


class StripSearch:
    """All shapes in one strip of a given height in steps; `choices` as in `Separator`."""

    def __init__(
        self,
        lattice: Lattice,
        choices: Sequence[Sequence[int]],
        height: float,
        seed: int,
        clock: Clock,
    ) -> None:
        self.lattice = lattice
        self.choices = choices
        self.height = height
        self.chance = random.Random(seed)
        self.separator = Separator(lattice, choices, [(0.0, height)], self.chance, clock)
        self.places: list[Place] = []
        self.length = math.inf
        self.clock = clock

    def build(self, tries: int) -> None:
        """Complete first answers, leftmost lowest in several orders; the first is always finished."""
        order = self._by_size()
        for attempt in range(tries):
            self._build_once(order)
            self.clock.running = True
            if self.clock.stopping():
                return
            order = self._by_size(0.3 * (attempt + 1) / tries)

    def _by_size(self, noise: float = 0.0) -> list[int]:
        outlines = self.lattice.outlines

        def size(shape: int) -> float:
            outline = outlines[self.choices[shape][0]]
            return outline.width * outline.height * (1 + noise * self.chance.uniform(-1, 1))

        return sorted(range(len(self.choices)), key=size, reverse=True)

    def _build_once(self, order: Sequence[int]) -> None:
        separator = self.separator
        for shape in order:
            separator.take(shape)
        reach = 0.0
        widest = max(max(self.lattice.outlines[one].width for one in choice) for choice in self.choices)
        for shape in order:
            # Beyond all that lies there is always room.
            separator.sheets[0] = (reach + widest + self.lattice.spacing + 2, self.height)
            place = separator.best_free(shape, 0)
            if place is None:
                raise ValueError("A shape is taller than the strip in every turn it may take.")
            separator.put(shape, place)
            reach = max(reach, place[3] + self.lattice.outlines[place[1]].width)
            if self.clock.stopping():
                return
        self._keep()

    def _keep(self) -> None:
        places = [place for place in self.separator.places if place is not None]
        length = max(place[3] + self.lattice.outlines[place[1]].width for place in places)
        if length < self.length:
            self.places, self.length = places, length

    def finish(self) -> None:
        """When stopped before the first answer, lay what is missing in a row behind the rest."""
        if self.places:
            return
        outlines, gap = self.lattice.outlines, math.ceil(self.lattice.spacing) + 1
        laid = [place for place in self.separator.places if place is not None]
        reach = max((place[3] + outlines[place[1]].width for place in laid), default=-gap)
        for place, choice in zip(self.separator.places, self.choices, strict=True):
            if place is None:
                outline = next(one for one in choice if outlines[one].height <= self.height + HAIR)
                self.places.append((0, outline, 0, math.ceil(reach) + gap))
                reach = self.places[-1][3] + outlines[outline].width
            else:
                self.places.append(place)

    def improve(self) -> None:
        """Shorten the strip until told to stop."""
        separator = self.separator
        shrink = FIRST_SHRINK
        while not self.clock.stopping():
            length = min(self.length * (1 - shrink), self.length - 1)
            separator.sheets[0] = (length, self.height)
            separator.restore(self.places)
            for shape, place in enumerate(separator.places):
                if place is None:
                    # Too long for the new length as it lay; perhaps not in another turn.
                    separator.move(shape)
            if any(place is None for place in separator.places):
                return
            if self._separated():
                self._keep()
            elif shrink > LEAST_SHRINK:
                shrink /= 2

    def _separated(self) -> bool:
        separator = self.separator
        if separator.separate(PATIENCE, STRIKES):
            return True
        best = separator.state()
        for _ in range(3):
            if self.clock.stopping():
                return False
            self._disrupt()
            if separator.separate(PATIENCE, STRIKES):
                return True
            state = separator.state()
            if state[1] < best[1]:
                best = state
            else:
                separator.restore(best[0])
        return False

    def _disrupt(self) -> None:
        """Let two of the larger shapes change places: what lies small finds room again by itself."""
        separator = self.separator
        order = self._by_size()
        large = order[: max(2, len(order) // 2)]
        if len(large) < 2:
            return
        one, other = self.chance.sample(large, 2)
        first, second = separator.places[one], separator.places[other]
        assert first is not None
        assert second is not None
        for shape, place in ((one, second), (other, first)):
            outline = self.chance.choice(list(self.choices[shape]))
            rows, columns = separator.room(place[0], outline)
            if rows >= 0 and columns >= 0:
                separator.put(shape, (place[0], outline, min(place[2], rows), min(place[3], columns)))

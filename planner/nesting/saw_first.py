"""How are shapes laid on free sheets to begin with? By urgency and size, each leftmost lowest where it is free.

Shapes of one material and group form a *set*; sets share the stock of sheets.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from .saw_clock import Clock
from .saw_laid import Laid
from .saw_problem import SawPlacement
from .saw_separate import Separator
from .saw_stock import Answer, ShapeSet, Stock


class SheetLayer:
    """Lays the shapes of one set; sheets are taken from the stock and given back to it."""

    def __init__(self, shapes: ShapeSet, stock: Stock, kinds: Sequence[int], seed: int, clock: Clock) -> None:
        """`kinds` are the sheets of the shapes' material, by number."""
        self.set = shapes
        self.stock = stock
        self._fitting = {kind: self._shapes_fitting(kind) for kind in kinds}
        self.kinds = [kind for kind in kinds if self._fitting[kind]]
        self.chance = random.Random(seed)
        self.clock = clock
        self._first = self.separator([])
        self._rest = 0.0

    def _size(self, kind: int) -> tuple[float, float]:
        sheet, step = self.stock.sheets[kind], self.set.lattice.step
        return sheet.width / step, sheet.height / step

    def _shapes_fitting(self, kind: int) -> set[int]:
        empty = Laid(self.set.lattice, [], [self._size(kind)])
        return {
            shape
            for shape, choices in enumerate(self.set.choices)
            if any(min(empty.room(0, outline)) >= 0 for outline in choices)
        }

    def fits(self, shape: int, kind: int) -> bool:
        """Whether the shape fits an empty sheet of the kind in some turn."""
        return shape in self._fitting[kind]

    def separator(self, kinds: Sequence[int]) -> Separator:
        """An empty working layout on sheets of the kinds given."""
        return Separator(
            self.set.lattice, self.set.choices, [self._size(kind) for kind in kinds], self.chance, self.clock
        )

    def order(self, noise: float = 0.0) -> list[int]:
        """Shapes by urgency, then by size of what they cover; `noise` shuffles the latter."""
        outlines, choices = self.set.lattice.outlines, self.set.choices

        def size(shape: int) -> float:
            outline = outlines[choices[shape][0]]
            return outline.width * outline.height * (1 + noise * self.chance.uniform(-1, 1))

        return sorted(range(len(choices)), key=lambda shape: (self.set.shapes[shape].due_rank, -size(shape)))

    def begin(self) -> None:
        """Start the first answer; `lay_urgency` adds to it."""
        self._first = self.separator([])
        self._rest = sum(self.set.areas)
        # The answer shares the working lists, so that an interruption loses nothing laid.
        self.set.answer = Answer([], self._first.places)

    def lay_urgency(self, due_rank: int) -> None:
        """Lay all shapes of one due rank in the first answer."""
        for shape in self.order():
            if self.set.shapes[shape].due_rank == due_rank:
                self.lay_one(self._first, self.set.answer.kinds, shape, self._rest)
                self._rest -= self.set.areas[shape]

    def add_left_out(self) -> None:
        """Lay what was left out, where sheets have become free again."""
        answer = self.set.answer
        waiting = [shape for shape in self.order() if answer.places[shape] is None]
        if not waiting:
            return
        kinds = list(answer.kinds)
        separator = self.separator(kinds)
        separator.restore(answer.places)
        for shape in waiting:
            self.lay_one(separator, kinds, shape, self.set.areas[shape])
        self.set.answer = Answer(kinds, list(separator.places))

    def lay_one(self, separator: Separator, kinds: list[int], shape: int, rest: float) -> bool:
        """Lay a shape where it is free, on a new sheet if need be; False when there is none.

        `rest` is the area still to be laid, which says how large a new sheet is worth while.
        """
        for sheet in range(len(kinds)):
            if self.set.areas[shape] > self._free_area(separator, sheet):
                continue
            place = separator.best_free(shape, sheet)
            if place is not None:
                separator.put(shape, place)
                return True
        possible = [kind for kind in self.kinds if self.stock.has(kind) and self.fits(shape, kind)]
        if not possible:
            return False
        kind = min(possible, key=lambda kind: self._worth(kind, rest))
        sheet = separator.open(self._size(kind))
        place = separator.best_free(shape, sheet)
        assert place is not None
        self.stock.take(kind)
        kinds.append(kind)
        separator.put(shape, place)
        return True

    def _free_area(self, separator: Separator, sheet: int) -> float:
        width, height = separator.sheets[sheet]
        taken = sum(self.set.areas[shape] for shape in separator.on[sheet])
        return width * height * self.set.lattice.step**2 * (1 + 1e-9) - taken

    def _worth(self, kind: int, rest: float) -> tuple[float, bool, float]:
        sheet = self.stock.sheets[kind]
        area = sheet.width * sheet.height
        # What the rest would cost on sheets of this kind, three quarters full.
        return sheet.cost * max(1.0, rest / (0.75 * area)), not sheet.remnant, area

    def tidy(self) -> None:
        """Lay each sheet leftmost lowest from left to right, so that what is left of it is one piece."""
        answer = self.set.answer
        places = list(answer.places)
        for sheet in answer.used():
            on = [(place, shape) for shape, place in enumerate(places) if place is not None and place[0] == sheet]
            choices = [[place[1]] if place is not None else [] for place in places]
            size = self._size(answer.kinds[sheet])
            separator = Separator(self.set.lattice, choices, [size], self.chance, self.clock)
            for _, shape in sorted(on, key=lambda one: (one[0][3], one[0][2])):
                free = separator.best_free(shape, 0)
                if free is None:
                    break
                separator.put(shape, free)
            else:
                for _, shape in on:
                    laid = separator.places[shape]
                    assert laid is not None
                    places[shape] = (sheet, *laid[1:])
        self.set.answer = Answer(answer.kinds, places)

    def placements(self, shapes: Sequence[int]) -> list[SawPlacement]:
        """Where those shapes lie on their sheets, in inches."""
        step = self.set.lattice.step
        found = []
        for shape in shapes:
            place = self.set.answer.places[shape]
            assert place is not None
            _, outline, row, column = place
            turn = self.set.turns[shape][outline]
            found.append(SawPlacement(self.set.shapes[shape].name, column * step, row * step, turn))
        return found

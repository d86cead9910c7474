"""Can free layouts do with fewer or cheaper sheets?

A sheet is taken away, or a cheaper one put in its place, and the shapes are pushed apart until they fit again.
"""

from __future__ import annotations

from collections.abc import Sequence

from .saw_first import SheetLayer
from .saw_stock import Answer

PATIENCE = 25
_RESTARTS = 6
# A layout denser than this is not tried for: between straight sides alone it may be had.
_FULL = 1.0 + 1e-9


class SheetSearch(SheetLayer):
    """A first answer of one set, and better ones."""

    def rank(self, answer: Answer) -> tuple[list[int], float, int]:
        """Better answers rank lower: fewer urgent shapes left out, then cost, then sheets."""
        missing = [shape for shape, place in enumerate(answer.places) if place is None]
        ranks = sorted({shape.due_rank for shape in self.set.shapes})
        left = [sum(self.set.shapes[shape].due_rank == rank for shape in missing) for rank in ranks]
        used = answer.used()
        return left, sum(self.stock.sheets[answer.kinds[sheet]].cost for sheet in used), len(used)

    def restart(self, noise: float) -> None:
        """Lay everything anew in another order; keep it if better."""
        for kind in self.set.answer.kinds:
            self.stock.take(kind, -1)
        kinds: list[int] = []
        separator = self.separator([])
        rest = sum(self.set.areas)
        for shape in self.order(noise):
            self.lay_one(separator, kinds, shape, rest)
            rest -= self.set.areas[shape]
            if self.clock.stopping():
                break
        answer = Answer(kinds, list(separator.places))
        for kind in kinds:
            self.stock.take(kind, -1)
        for kind in self.set.answer.kinds:
            self.stock.take(kind)
        if self.rank(answer) < self.rank(self.set.answer):
            self._take_over(answer)

    def improve(self, patience: int = PATIENCE) -> None:
        """Look for less costly sheets until told to stop or nothing is left to try."""
        for attempt in range(_RESTARTS):
            if self.clock.stopping() or not self._trials():
                return
            self.clock.sweeps += 1
            self.restart(0.5 * (attempt + 1) / _RESTARTS)
        while not self.clock.stopping():
            trials = self._trials()
            if not trials:
                return
            self.clock.sweeps += 1
            if not any(self._attempt(sheet, kind, patience) for sheet, kind in trials):
                patience *= 2

    def _trials(self) -> list[tuple[int, int | None]]:
        """Sheets to do without, or to replace by one of another kind; the most hopeful first.

        Sheet -1 stands for keeping all sheets and squeezing in a shape that was left out.
        """
        answer, sheets = self.set.answer, self.stock.sheets
        used = answer.used()
        needed = sum(area for area, place in zip(self.set.areas, answer.places, strict=True) if place is not None)
        room = sum(sheets[answer.kinds[sheet]].width * sheets[answer.kinds[sheet]].height for sheet in used)
        found: list[tuple[float, int, int | None]] = []
        for sheet in used:
            kind = answer.kinds[sheet]
            others: list[int | None] = [None]
            others += [one for one in self.kinds if sheets[one].cost < sheets[kind].cost and self.stock.has(one)]
            for other in others:
                area = room - sheets[kind].width * sheets[kind].height
                if other is not None:
                    area += sheets[other].width * sheets[other].height
                if needed <= area * _FULL and self._all_fit(used, sheet, other):
                    found.append((needed / area, sheet, other))
        if used and any(place is None for place in answer.places) and needed < room:
            found.append((0.0, -1, None))
        return [(sheet, kind) for _, sheet, kind in sorted(found, key=lambda one: one[:2])]

    def _all_fit(self, used: Sequence[int], without: int, instead: int | None) -> bool:
        kinds = {self.set.answer.kinds[sheet] for sheet in used if sheet != without}
        if instead is not None:
            kinds.add(instead)
        placed = (shape for shape, place in enumerate(self.set.answer.places) if place is not None)
        return all(any(self.fits(shape, kind) for kind in kinds) for shape in placed)

    def _attempt(self, without: int, instead: int | None, patience: int) -> bool:
        """Try one of the trials; whether it succeeded."""
        if self.clock.stopping():
            return False
        answer = self.set.answer
        kinds = list(answer.kinds)
        if instead is not None:
            kinds[without] = instead
        separator = self.separator(kinds)
        if without >= 0 and instead is None:
            separator.sheets[without] = (0.0, 0.0)
        separator.restore([None if place is None or place[0] == without else place for place in answer.places])
        waiting = [shape for shape in self.order() if separator.places[shape] is None]
        left_out = [shape for shape in waiting if answer.places[shape] is None]
        if without >= 0:
            waiting = [shape for shape in waiting if shape not in left_out]
        else:
            fitting = (shape for shape in left_out if any(self.fits(shape, kind) for kind in kinds))
            waiting = [next(fitting, left_out[0])]
        for shape in waiting:
            separator.move(shape)
            if separator.places[shape] is None:
                return False
        if not separator.separate(patience, 1):
            return False
        self._take_over(Answer(kinds, list(separator.places)))
        return True

    def _take_over(self, answer: Answer) -> None:
        """Make this the set's answer without the sheets on which nothing lies, and put the stock right."""
        used = answer.used()
        number = {sheet: place for place, sheet in enumerate(used)}
        places = [None if place is None else (number[place[0]], *place[1:]) for place in answer.places]
        for kind in self.set.answer.kinds:
            self.stock.take(kind, -1)
        self.set.answer = Answer([answer.kinds[sheet] for sheet in used], places)
        for kind in self.set.answer.kinds:
            self.stock.take(kind)

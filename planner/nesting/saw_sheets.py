"""Free layouts on sheets: a first complete answer, then fewer or cheaper sheets.

Shapes of one material and group form a *set*; sets share the stock of sheets. The
first answer lays shapes in order of urgency and size, leftmost lowest. Improvement
takes a sheet away, or puts a cheaper one in its place, and pushes the shapes apart
until they fit again.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from .saw_lattice import lattice_for
from .saw_problem import SawPlacement, SawSheet, Shape, polygon_of
from .saw_raster import Lattice
from .saw_separate import Clock, Places, Separator

PATIENCE = 25
_RESTARTS = 6
# A layout denser than this is not tried for: between straight sides alone it may be had.
_FULL = 1.0 + 1e-9


@dataclass(slots=True)
class Answer:
    """The kind of each sheet, by number, and the place of each shape; a sheet may be empty."""

    kinds: list[int]
    places: Places

    def used(self) -> list[int]:
        """The sheets that hold a shape."""
        return sorted({place[0] for place in self.places if place is not None})


@dataclass(slots=True)
class ShapeSet:
    """The shapes of one material and group, by number, and the best answer so far.

    `choices` are the outlines each shape may take, `turns` say which turn shows them.
    """

    shapes: list[Shape]
    lattice: Lattice
    choices: list[list[int]]
    turns: list[dict[int, int]]
    areas: list[float]
    answer: Answer = field(default_factory=lambda: Answer([], []))


class Stock:
    """How many sheets of each kind are left; kinds are numbers of the sheets given."""

    def __init__(self, sheets: Sequence[SawSheet]) -> None:
        self.sheets = sheets
        self.left = [sheet.count for sheet in sheets]

    def has(self, kind: int) -> bool:
        """Whether there is one more."""
        left = self.left[kind]
        return left is None or left > 0

    def take(self, kind: int, number: int = 1) -> None:
        """Take sheets out; a negative number gives them back."""
        left = self.left[kind]
        if left is not None:
            self.left[kind] = left - number


def shape_set(shapes: Sequence[Shape], sheets: Sequence[SawSheet], spacing: float) -> ShapeSet:
    """Prepare shapes that may share sheets; `sheets` are those of their material, at least one."""
    polygons = [polygon_of(shape) for shape in shapes]
    lattice = lattice_for(polygons, [shape.turns for shape in shapes], max(sheet.height for sheet in sheets), spacing)
    turns = [lattice.turns(polygon, shape.turns) for shape, polygon in zip(shapes, polygons, strict=True)]
    choices = [list(one) for one in turns]
    return ShapeSet(list(shapes), lattice, choices, turns, [polygon.area for polygon in polygons])


class SheetSearch:
    """The layout of one set; sheets are taken from the stock and given back to it."""

    def __init__(self, shapes: ShapeSet, stock: Stock, kinds: Sequence[int], seed: int, clock: Clock) -> None:
        self.set = shapes
        self.stock = stock
        self.kinds = [kind for kind in kinds if self._holds_any(kind)]
        self.chance = random.Random(seed)
        self.clock = clock
        self._first = self.separator([])
        self._rest = 0.0

    def _size(self, kind: int) -> tuple[float, float]:
        sheet, step = self.stock.sheets[kind], self.set.lattice.step
        return sheet.width / step, sheet.height / step

    def _holds_any(self, kind: int) -> bool:
        return any(self.fits(shape, kind) for shape in range(len(self.set.choices)))

    def fits(self, shape: int, kind: int) -> bool:
        """Whether the shape fits an empty sheet of the kind in some turn."""
        width, height = self._size(kind)
        for one in self.set.choices[shape]:
            outline = self.set.lattice.outlines[one]
            if outline.width <= width + 1e-6 and outline.height <= height + 1e-6:
                return True
        return False

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
        best = min(self.set.answer, answer, key=self.rank)
        for kind in kinds:
            self.stock.take(kind, -1)
        for kind in best.kinds:
            self.stock.take(kind)
        self.set.answer = best

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
        used = set(answer.used())
        for sheet in range(len(kinds)):
            if sheet not in used or (sheet == without and instead is None):
                separator.sheets[sheet] = (0.0, 0.0)
        separator.restore([None if place is None or place[0] == without else place for place in answer.places])
        waiting = [shape for shape in self.order() if separator.places[shape] is None]
        left_out = [shape for shape in waiting if answer.places[shape] is None]
        if without >= 0:
            waiting = [shape for shape in waiting if shape not in left_out]
        else:
            waiting = [next((shape for shape in left_out if self._fits_any(shape, kinds, used)), left_out[0])]
        for shape in waiting:
            separator.move(shape)
            if separator.places[shape] is None:
                return False
        if not separator.separate(patience, 1):
            return False
        self.set.answer = Answer(kinds, list(separator.places))
        if without >= 0:
            self.stock.take(answer.kinds[without], -1)
        if instead is not None:
            self.stock.take(instead)
        return True

    def _fits_any(self, shape: int, kinds: Sequence[int], used: set[int]) -> bool:
        return any(self.fits(shape, kinds[sheet]) for sheet in used)

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

"""Shapes pushed about until none lies in another: guided local search on clash maps.

Every pair of clashing shapes carries a weight that grows while they clash, so that
no dead end lasts; the shape moved goes where its weighted depths add up to least, over
all sheets, turns and positions of a coarse lattice, then of the fine one around it.
The scheme is that of Egeblad, Umetani and, lately, Gardeyn and Wauters, with maps in
place of sampling.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from .saw_clock import Clock
from .saw_laid import Laid, Place, Window
from .saw_raster import Lattice

# Fine steps in a coarse one: each move looks at the whole sheet in coarse steps first.
COARSE = 6


class Separator(Laid):
    """Shapes pushed about on their sheets; the clock is asked between moves whether to give up."""

    def __init__(
        self,
        lattice: Lattice,
        choices: Sequence[Sequence[int]],
        sheets: Sequence[tuple[float, float]],
        chance: random.Random,
        clock: Clock,
    ) -> None:
        """The first three arguments are those of `Laid`."""
        super().__init__(lattice, choices, sheets)
        self.chance = chance
        self.clock = clock

    def move(self, shape: int) -> None:
        """Lay the shape where its weighted depths are least."""
        least = math.inf
        place = self.places[shape]
        if place is not None:
            weights = self.weights[shape]
            least = sum(depth * weights[other] for other, depth in self.clashes[shape].items())
        best: Place | None = None
        for sheet in self._sheets_to_try(shape):
            for outline in self.choices[shape]:
                rows, columns = self.room(sheet, outline)
                if rows < 0 or columns < 0:
                    continue
                window = self._coarse_window(rows, columns)
                grid = self.grid(shape, sheet, outline, window)
                index = int(grid.argmin())
                row = window.row + index // window.columns * COARSE
                column = window.column + index % window.columns * COARSE
                value = float(grid.flat[index])
                if value > 0:
                    top, left = max(0, row - COARSE + 1), max(0, column - COARSE + 1)
                    fine = Window(
                        top,
                        left,
                        min(rows, row + COARSE - 1) - top + 1,
                        min(columns, column + COARSE - 1) - left + 1,
                        1,
                    )
                    grid = self.grid(shape, sheet, outline, fine)
                    index = int(grid.argmin())
                    row, column = top + index // fine.columns, left + index % fine.columns
                    value = float(grid.flat[index])
                if value < least:
                    least, best = value, (sheet, outline, row, column)
        if best is not None:
            self.put(shape, best)

    def _sheets_to_try(self, shape: int) -> list[int]:
        sheets = [sheet for sheet in range(len(self.sheets)) if self.sheets[sheet][0] > 0]
        if len(sheets) <= 4:
            return sheets
        place = self.places[shape]
        some = self.chance.sample(sheets, 3)
        return some if place is None or place[0] in some else [place[0], *some]

    def _coarse_window(self, rows: int, columns: int) -> Window:
        # A new offset each time lets the coarse lattice see every position sooner or
        # later; the ends are tried more often because flush shapes leave less waste.
        offsets = []
        for last in (rows, columns):
            draw = self.chance.random()
            offset = 0 if draw < 0.3 else last % COARSE if draw < 0.6 else self.chance.randrange(COARSE)
            offsets.append(min(offset, last))
        row, column = offsets
        return Window(row, column, (rows - row) // COARSE + 1, (columns - column) // COARSE + 1, COARSE)

    def sweep(self) -> None:
        """Move every clashing shape once, then weigh the clashes that are left."""
        self.clock.sweeps += 1
        clashing = [shape for shape, clashes in enumerate(self.clashes) if clashes]
        self.chance.shuffle(clashing)
        for shape in clashing:
            if self.clashes[shape]:
                self.move(shape)
                if self.clock.stopping():
                    return
        self._weigh()

    def _weigh(self) -> None:
        deepest = max((max(clashes.values()) for clashes in self.clashes if clashes), default=0.0)
        for shape, weights in enumerate(self.weights):
            clashes = self.clashes[shape]
            for other, weight in enumerate(weights):
                if weight > 1.0 and other not in clashes:
                    weights[other] = max(1.0, weight * 0.95)
            for other, depth in clashes.items():
                weights[other] *= 1.2 + 0.8 * depth / deepest

    def forget(self) -> None:
        """Set all weights back to 1."""
        number = len(self.choices)
        self.weights = [[1.0] * number for _ in range(number)]

    def separate(self, patience: int, strikes: int) -> bool:
        """Sweep until nothing clashes; False when it is given up, the best state restored.

        `patience` is how many sweeps without a marked gain make a strike, and a strike
        goes back to the best state with weights begun anew.
        """
        self.forget()
        best, least = self.state()
        struck = 0
        while least > 0 and struck < strikes:
            at_start = least
            marked = least
            waited = 0
            while waited < patience and not self.clock.stopping():
                self.sweep()
                total = self.total()
                waited += 1
                if total < least:
                    best, least = self.state()
                    if total < 0.98 * marked:
                        marked, waited = total, 0
                if total == 0:
                    return True
            struck = struck + 1 if least > 0.98 * at_start else 0
            self.restore(best)
            self.forget()
            if self.clock.stopping():
                break
        return least == 0

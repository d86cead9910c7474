"""Shapes pushed about until none lies in another: guided local search on clash maps.

Every pair of clashing shapes carries a weight that grows while they clash, so that
no dead end lasts; the shape moved goes where its weighted depths add up to least, over
all sheets, turns and positions of a coarse lattice, then of the fine one around it.
The scheme is that of Egeblad, Umetani and, lately, Gardeyn's sparrow, with maps in
place of sampling.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .saw_raster import HAIR, Lattice

# Fine steps in a coarse one: each move looks at the whole sheet in coarse steps first.
COARSE = 6

# With more outlines than this, working out the clash maps takes most of the time.
MANY_OUTLINES = 160

Grid = NDArray[np.float32]
Place = tuple[int, int, int, int]  # sheet, outline, row, column
Places = list[Place | None]
State = tuple[Places, float]


class Clock:
    """When to stop: after so many sweeps, or seconds from now; None is no limit.

    It does not stop anything before `running` is set, so that the first answer is complete.
    """

    def __init__(self, sweeps: int | None, seconds: float | None) -> None:
        self.most_sweeps = sweeps
        self.end = None if seconds is None else time.monotonic() + seconds
        self.sweeps = 0
        self.running = False

    def stopping(self) -> bool:
        """Whether it is time to stop."""
        if not self.running:
            return False
        if self.most_sweeps is not None and self.sweeps >= self.most_sweeps:
            return True
        return self.end is not None and time.monotonic() >= self.end

    def left(self) -> float | None:
        """Seconds left, None without such a limit."""
        return None if self.end is None else max(0.0, self.end - time.monotonic())


class Window(NamedTuple):
    """Positions first, first + step ... (`count` of them) down the rows and the columns."""

    row: int
    column: int
    rows: int
    columns: int
    step: int


class Separator:
    """Shapes on sheets, as outlines on a lattice; sheet sizes in steps.

    `choices` are, for each shape, the outlines it may take. The clock is
    asked between moves whether to give up.
    """

    def __init__(
        self,
        lattice: Lattice,
        choices: Sequence[Sequence[int]],
        sheets: Sequence[tuple[float, float]],
        chance: random.Random,
        clock: Clock,
    ) -> None:
        self.lattice = lattice
        self.choices = choices
        self.sheets = list(sheets)
        self.chance = chance
        self.clock = clock
        self.coarse = COARSE
        # A first answer for hundreds of different shapes does not try every turn of each.
        self.most_tried = 4 if len(lattice.outlines) <= MANY_OUTLINES else 1
        number = len(choices)
        self.places: Places = [None] * number
        self.on: list[set[int]] = [set() for _ in sheets]
        self.weights = [[1.0] * number for _ in range(number)]
        self.clashes: list[dict[int, float]] = [{} for _ in range(number)]

    def open(self, size: tuple[float, float]) -> int:
        """One more sheet of that size; its number."""
        self.sheets.append(size)
        self.on.append(set())
        return len(self.sheets) - 1

    def room(self, sheet: int, outline: int) -> tuple[int, int]:
        """The last row and column the outline may take on the sheet; negative where it does not fit."""
        width, height = self.sheets[sheet]
        shape = self.lattice.outlines[outline]
        return math.floor(height - shape.height + HAIR), math.floor(width - shape.width + HAIR)

    def grid(self, shape: int, sheet: int, outline: int, window: Window) -> Grid:
        """The weighted depths of the shape at the positions of the window."""
        top, left, rows, columns, step = window
        total = np.zeros((rows, columns), dtype=np.float32)
        weights = self.weights[shape]
        places = self.places
        maps = self.lattice.clashes
        for other in self.on[sheet]:
            if other == shape:
                continue
            _, fixed, row, column = places[other]  # type: ignore[misc]
            clash = maps.get((fixed, outline))
            if clash is None:
                clash = self.lattice.clash(fixed, outline)
            depths, map_row, map_column, map_rows, map_columns = clash
            # In rows from the map's first: where the window begins, and its first position inside.
            begin = top - row - map_row
            low = 0 if begin >= 0 else -(begin // step)
            high = min(rows, (map_rows - 1 - begin) // step + 1)
            if high <= low:
                continue
            begin_column = left - column - map_column
            west = 0 if begin_column >= 0 else -(begin_column // step)
            east = min(columns, (map_columns - 1 - begin_column) // step + 1)
            if east <= west:
                continue
            y = begin + low * step
            x = begin_column + west * step
            part = depths[y : y + (high - low - 1) * step + 1 : step, x : x + (east - west - 1) * step + 1 : step]
            weight = weights[other]
            if weight != 1.0:
                part = part * weight
            total[low:high, west:east] += part
        return total

    def depth(self, one: int, other: int) -> float:
        """How deep two placed shapes lie in one another, in steps; 0 on different sheets."""
        sheet, outline, row, column = self.places[one]  # type: ignore[misc]
        other_sheet, fixed, other_row, other_column = self.places[other]  # type: ignore[misc]
        if sheet != other_sheet:
            return 0.0
        clash = self.lattice.clash(fixed, outline)
        y = row - other_row - clash.row
        if not 0 <= y < clash.rows:
            return 0.0
        x = column - other_column - clash.column
        return float(clash.depths[y, x]) if 0 <= x < clash.columns else 0.0

    def put(self, shape: int, place: Place) -> None:
        """Lay a shape at a place, wherever it was, and bring its clashes up to date."""
        self.take(shape)
        self.places[shape] = place
        mine = self.clashes[shape]
        for other in self.on[place[0]]:
            depth = self.depth(shape, other)
            if depth:
                mine[other] = depth
                self.clashes[other][shape] = depth
        self.on[place[0]].add(shape)

    def take(self, shape: int) -> None:
        """Take a shape off its sheet, if it is on one."""
        place = self.places[shape]
        if place is None:
            return
        self.on[place[0]].discard(shape)
        for other in self.clashes[shape]:
            del self.clashes[other][shape]
        self.clashes[shape].clear()
        self.places[shape] = None

    def best_free(self, shape: int, sheet: int, across: bool = False) -> Place | None:
        """The leftmost lowest place (lowest leftmost when `across`) without any clash, or None."""
        best: tuple[float, float, Place] | None = None
        tried = 0
        for outline in self.choices[shape]:
            rows, columns = self.room(sheet, outline)
            if rows < 0 or columns < 0 or tried >= self.most_tried:
                continue
            tried += 1
            grid = self.grid(shape, sheet, outline, Window(0, 0, rows + 1, columns + 1, 1))
            free = grid == 0
            if across:
                free = free.T
            lines = free.any(axis=0)
            if not lines.any():
                continue
            major = int(lines.argmax())
            minor = int(free[:, major].argmax())
            size = self.lattice.outlines[outline]
            far, wide = (size.height, size.width) if across else (size.width, size.height)
            place = (sheet, outline, major, minor) if across else (sheet, outline, minor, major)
            # The far side counts, else a shape would rather lie flat to start earlier.
            if best is None or (major + far, minor + wide) < best[:2]:
                best = (major + far, minor + wide, place)
        return None if best is None else best[2]

    def move(self, shape: int) -> None:
        """Lay the shape where its weighted depths are least."""
        least = math.inf
        place = self.places[shape]
        if place is not None:
            weights = self.weights[shape]
            least = sum(depth * weights[other] for other, depth in self.clashes[shape].items())
        best: Place | None = None
        coarse = self.coarse
        for sheet in self._sheets_to_try(shape):
            for outline in self.choices[shape]:
                rows, columns = self.room(sheet, outline)
                if rows < 0 or columns < 0:
                    continue
                window = self._coarse_window(rows, columns)
                grid = self.grid(shape, sheet, outline, window)
                index = int(grid.argmin())
                row = window.row + index // window.columns * coarse
                column = window.column + index % window.columns * coarse
                value = float(grid.flat[index])
                if value > 0:
                    top, left = max(0, row - coarse + 1), max(0, column - coarse + 1)
                    fine = Window(
                        top,
                        left,
                        min(rows, row + coarse - 1) - top + 1,
                        min(columns, column + coarse - 1) - left + 1,
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
        coarse = self.coarse
        offsets = []
        for last in (rows, columns):
            draw = self.chance.random()
            offset = 0 if draw < 0.3 else last % coarse if draw < 0.6 else self.chance.randrange(coarse)
            offsets.append(min(offset, last))
        row, column = offsets
        return Window(row, column, (rows - row) // coarse + 1, (columns - column) // coarse + 1, coarse)

    def total(self) -> float:
        """All depths together, without weights; 0 when the layout is good."""
        return sum(sum(clashes.values()) for clashes in self.clashes) / 2

    def state(self) -> State:
        """The places of all shapes, to go back to."""
        return list(self.places), self.total()

    def restore(self, places: Sequence[Place | None]) -> None:
        """Lay all shapes as they lay in a state, or nearest to it where a sheet became smaller.

        A shape whose sheet became too small for it as it lay there is left off.
        """
        for shape in range(len(self.places)):
            self.take(shape)
        for shape, place in enumerate(places):
            if place is None:
                continue
            sheet, outline, row, column = place
            rows, columns = self.room(sheet, outline)
            if rows >= 0 and columns >= 0:
                self.put(shape, (sheet, outline, min(row, rows), min(column, columns)))

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

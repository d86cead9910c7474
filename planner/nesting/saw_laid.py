"""Which shapes lie where, how deep do they lie in one another, and where is a shape free of all others?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from .saw_raster import HAIR, Lattice

# With more outlines than this, working out the clash maps takes most of the time.
MANY_OUTLINES = 160

Grid = NDArray[np.float32]
Place = tuple[int, int, int, int]  # sheet, outline, row, column
Places = list[Place | None]
State = tuple[Places, float]


class Window(NamedTuple):
    """Positions first, first + step ... (`count` of them) down the rows and the columns."""

    row: int
    column: int
    rows: int
    columns: int
    step: int


class Laid:
    """Shapes on sheets, as outlines on a lattice; sheet sizes in steps.

    `choices` are, for each shape, the outlines it may take. Every pair of shapes carries a weight, at first 1, by which
    the depth of their clash counts.
    """

    def __init__(
        self, lattice: Lattice, choices: Sequence[Sequence[int]], sheets: Sequence[tuple[float, float]]
    ) -> None:
        """Lay nothing yet."""
        self.lattice = lattice
        self.choices = choices
        self.sheets = list(sheets)
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

    def best_free(self, shape: int, sheet: int) -> Place | None:
        """The leftmost lowest place without any clash, or None."""
        best: tuple[float, float, Place] | None = None
        tried = 0
        for outline in self.choices[shape]:
            rows, columns = self.room(sheet, outline)
            if rows < 0 or columns < 0 or tried >= self.most_tried:
                continue
            tried += 1
            grid = self.grid(shape, sheet, outline, Window(0, 0, rows + 1, columns + 1, 1))
            free = grid == 0
            lines = free.any(axis=0)
            if not lines.any():
                continue
            column = int(lines.argmax())
            row = int(free[:, column].argmax())
            size = self.lattice.outlines[outline]
            # The far side counts, else a shape would rather lie flat to start earlier.
            if best is None or (column + size.width, row + size.height) < best[:2]:
                best = (column + size.width, row + size.height, (sheet, outline, row, column))
        return None if best is None else best[2]

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

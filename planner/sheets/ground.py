"""What lies beneath a label? A grid of the page: what no label may lie on, and what it had better leave open.

Sums over any box are read from running totals (summed-area tables: F. C. Crow, SIGGRAPH 1984), so that thousands of
places for a label are weighed at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.plan import Box, Shape
from planner.sheets.views import View

CELL: Final = 1 / 48
"""Inches of the page; the side of a cell."""
AIR: Final = 0.024
"""Inches that a label keeps off what it may not lie on: more than a cell, so that no edge between samples is missed."""

Boxes: TypeAlias = NDArray[np.float64]
"""Rows of left, top, width, height on the page."""

_LARGEST: Final = 6_000_000
"""Cells; a page that has more is weighed on a coarser grid."""


class Region:
    """A part of a page that a label must stay within."""

    def __init__(self, view: View, shape: Shape) -> None:
        lines = page_lines(view, shape)
        points = np.concatenate(lines)
        left, top = points.min(axis=0)
        right, foot = points.max(axis=0)
        self.box: Box = (float(left), float(top), float(right - left), float(foot - top))
        self._grid = _Grid(self.box)
        outside = np.ones(self._grid.shape, dtype=bool)
        rows, columns, inside = self._grid.filled(lines)
        outside[rows, columns] = ~inside
        outside[self._grid.crossed(lines)] = True
        self._sums = _running(outside)

    def holds(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Say of each box whether it lies within."""
        x, y, width, height = self.box
        right, foot = boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3]
        held: NDArray[np.bool_] = (boxes[:, 0] >= x) & (boxes[:, 1] >= y) & (right <= x + width) & (foot <= y + height)
        held &= self._grid.total(self._sums, boxes, 0.0) == 0
        return held


class Ground:
    """What lies beneath the labels of one page."""

    def __init__(self, page: Box) -> None:
        self._grid = _Grid(page)
        self._barred = np.zeros(self._grid.shape, dtype=bool)
        self._weights = np.zeros(self._grid.shape, dtype=np.float32)
        self._sums: tuple[NDArray[np.float64], NDArray[np.float64]] | None = None

    def bar(self, view: View, shape: Shape, *, whole: bool = False) -> None:
        """Let no label lie on the edges of a shape, or on any part of it."""
        lines = page_lines(view, shape)
        self._barred[self._grid.crossed(lines)] = True
        if whole and lines:
            rows, columns, inside = self._grid.filled(lines)
            self._barred[rows, columns] |= inside
        self._sums = None

    def bar_lines(self, view: View, lines: Iterable[tuple[float, float, float, float]]) -> None:
        """Let no label lie on lines of the layout, each given by its two ends."""
        ways = [np.array([view.on_page(x1, y1), view.on_page(x2, y2)]) for x1, y1, x2, y2 in lines]
        self._barred[self._grid.crossed(ways)] = True
        self._sums = None

    def weigh(self, view: View, shape: Shape, weight: float, *, edges: float = 0.0) -> None:
        """Say how much labels had better leave a shape open, from 0 to 1, and its edges."""
        lines = page_lines(view, shape)
        if weight and lines:
            rows, columns, inside = self._grid.filled(lines)
            self._weights[rows, columns] += weight * inside
        if edges and lines:
            cells = np.unique(np.ravel_multi_index(self._grid.crossed(lines), self._grid.shape))
            self._weights.ravel()[cells] += edges
        self._sums = None

    def open(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Say of each box whether a label may lie there, with some air round it."""
        barred: NDArray[np.bool_] = self._grid.total(self._totals()[0], boxes, AIR) == 0
        return barred & self._grid.holds(boxes)

    def is_open(self, box: Box) -> bool:
        """Say whether a label may lie in a box."""
        return bool(self.open(np.array([box]))[0])

    def hidden(self, boxes: Boxes) -> NDArray[np.float64]:
        """Give the weight that each box lies on, as a share of its area."""
        return self._grid.total(self._totals()[1], boxes, 0.0) * self._grid.cell**2 / (boxes[:, 2] * boxes[:, 3])

    def crossed(self, start: tuple[float, float], end: tuple[float, float]) -> float:
        """Give how many inches of a line lie on what no label may lie on."""
        cells = np.unique(np.ravel_multi_index(self._grid.crossed([np.array([start, end])]), self._grid.shape))
        return float(np.count_nonzero(self._barred.ravel()[cells])) * self._grid.cell

    def _totals(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        if self._sums is None:
            self._sums = _running(self._barred), _running(self._weights)
        return self._sums


class _Grid:
    """Cells over a box of the page."""

    def __init__(self, page: Box) -> None:
        self._page = page
        self.cell = max(CELL, math.sqrt(max(page[2] * page[3], 0.0) / _LARGEST))
        self.shape = (max(1, math.ceil(page[3] / self.cell)), max(1, math.ceil(page[2] / self.cell)))

    def crossed(self, lines: Sequence[NDArray[np.float64]]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Give row and column of each cell that lines go through, but for corners that they cut off by a quarter."""
        if not lines:
            return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
        starts = np.concatenate([line[:-1] for line in lines])
        steps = np.concatenate([line[1:] for line in lines]) - starts
        counts = np.ceil(np.hypot(steps[:, 0], steps[:, 1]) / (self.cell / 2)).astype(np.int64) + 1
        owners = np.repeat(np.arange(len(steps)), counts)
        firsts = np.repeat(np.cumsum(counts) - counts, counts)
        shares = (np.arange(len(owners)) - firsts) / np.maximum(counts[owners] - 1, 1)
        points = starts[owners] + shares[:, None] * steps[owners]
        rows, columns = self._row(points[:, 1]), self._column(points[:, 0])
        here = (rows >= 0) & (rows < self.shape[0]) & (columns >= 0) & (columns < self.shape[1])
        return rows[here], columns[here]

    def filled(self, lines: Sequence[NDArray[np.float64]]) -> tuple[slice, slice, NDArray[np.bool_]]:
        """Give the rows and columns about closed lines, and which cells there have their middles within.

        By the even-odd rule.
        """
        corners = np.concatenate(lines)
        (low, lower), (high, upper) = corners.min(axis=0), corners.max(axis=0)
        rows_ = _slice(self._row(np.array([lower, upper])), self.shape[0])
        columns_ = _slice(self._column(np.array([low, high])), self.shape[1])
        turns = np.zeros((rows_.stop - rows_.start, columns_.stop - columns_.start + 1), dtype=np.int16)
        (x1, y1) = np.concatenate([line[:-1] for line in lines]).T
        (x2, y2) = np.concatenate([line[1:] for line in lines]).T
        # Rows whose middles a side passes: from its lower end up to, not with, its upper end.
        first = np.ceil((np.minimum(y1, y2) - self._page[1]) / self.cell - 0.5).astype(np.int64)
        last = np.ceil((np.maximum(y1, y2) - self._page[1]) / self.cell - 0.5).astype(np.int64)
        first, last = np.clip(first, rows_.start, rows_.stop), np.clip(last, rows_.start, rows_.stop)
        counts = last - first
        owners = np.repeat(np.arange(len(counts)), counts)
        rows = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts) + first[owners]
        middles = self._page[1] + (rows + 0.5) * self.cell
        across = x1[owners] + (middles - y1[owners]) / (y2 - y1)[owners] * (x2 - x1)[owners]
        columns = np.ceil((across - self._page[0]) / self.cell - 0.5).astype(np.int64)
        columns = np.clip(columns, columns_.start, columns_.stop) - columns_.start
        np.add.at(turns, (rows - rows_.start, columns), 1)
        inside: NDArray[np.bool_] = np.cumsum(turns, axis=1, dtype=np.int16)[:, :-1] % 2 == 1
        return rows_, columns_, inside

    def total(self, sums: NDArray[np.float64], boxes: Boxes, air: float) -> NDArray[np.float64]:
        """Give the sum over each box, grown by some air, of all cells that it touches."""
        left = np.clip(self._column(boxes[:, 0] - air), 0, self.shape[1])
        top = np.clip(self._row(boxes[:, 1] - air), 0, self.shape[0])
        right = np.clip(self._column(boxes[:, 0] + boxes[:, 2] + air) + 1, 0, self.shape[1])
        foot = np.clip(self._row(boxes[:, 1] + boxes[:, 3] + air) + 1, 0, self.shape[0])
        found: NDArray[np.float64] = sums[foot, right] - sums[top, right] - sums[foot, left] + sums[top, left]
        return found

    def holds(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Say of each box whether it lies on the grid."""
        x, y, width, height = self._page
        right, foot = boxes[:, 0] + boxes[:, 2], boxes[:, 1] + boxes[:, 3]
        held: NDArray[np.bool_] = (boxes[:, 0] >= x) & (boxes[:, 1] >= y) & (right <= x + width) & (foot <= y + height)
        return held

    def _row(self, down: NDArray[np.float64]) -> NDArray[np.int64]:
        return np.floor((down - self._page[1]) / self.cell).astype(np.int64)

    def _column(self, across: NDArray[np.float64]) -> NDArray[np.int64]:
        return np.floor((across - self._page[0]) / self.cell).astype(np.int64)


def page_lines(view: View, shape: Shape) -> list[NDArray[np.float64]]:
    """Give the closed edges of a shape of the layout as points of the page."""
    rings = [ring for polygon in shape for ring in polygon if len(ring) > 2]
    if not rings:
        return []
    left, top = view.on_page(0.0, 0.0)
    across, down = view.on_page(1.0, 1.0)
    points = np.array([point for ring in rings for point in (*ring, ring[0])])
    points = np.array([left, top]) + points * np.array([across - left, down - top])
    return np.split(points, np.cumsum([len(ring) + 1 for ring in rings])[:-1])


def _running(cells: NDArray[np.bool_] | NDArray[np.float32]) -> NDArray[np.float64]:
    sums = np.zeros((cells.shape[0] + 1, cells.shape[1] + 1))
    sums[1:, 1:] = cells
    np.cumsum(sums, axis=0, out=sums)
    np.cumsum(sums, axis=1, out=sums)
    return sums


def _slice(ends: NDArray[np.int64], size: int) -> slice:
    first, last = np.clip((int(ends[0]), int(ends[1]) + 1), 0, size)
    return slice(int(first), int(last))

"""Take a problem apart into tasks, run their searches in turn, and report.

Groups that share no limited stock cannot disturb each other and are searched
separately; groups of one material with limited stock are one task.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction

from .bounds import Bin, Box, least_sheets_and_cost
from .filling import Task, make_task
from .problem import (
    Bound,
    LeftOut,
    Options,
    Piece,
    Progress,
    Reason,
    Solution,
    Stock,
    Stopped,
    check,
)
from .records import to_layout
from .search import Search, sheet_order
from .shear import Sheet

# Least seconds between two reports of progress that bring no better answer.
_QUIET = 0.1


def solve(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    options: Options = Options(),  # noqa: B008 - frozen, so safe to share
    progress: Callable[[Progress], None] | None = None,
) -> Solution:
    """Place the pieces on as little stock, by cost, as the search finds.

    In this order a plan is judged by: the area of rush pieces left out, the area and
    number of all pieces left out, the cost, the number of sheets, how soon low due
    ranks are cut, the largest leftover worth keeping. The same input gives the same
    solution, unless `options.seconds` or an interrupt ends the search early.

    An iteration is one more attempt for every task not yet proven best. A
    KeyboardInterrupt after the first complete answer returns the best so far.

    Raises:
        ValueError: the problem makes no sense; see `problem.check`.
    """
    check(pieces, stocks, options)
    run = _Run(pieces, stocks, options, progress)
    stopped, iterations = run.search()
    return run.solution(stopped, iterations)


class _Run:
    def __init__(
        self,
        pieces: Sequence[Piece],
        stocks: Sequence[Stock],
        options: Options,
        progress: Callable[[Progress], None] | None,
    ) -> None:
        self._began = time.monotonic()
        self._pieces = pieces
        self._stocks = stocks
        self._options = options
        self._progress = progress
        self._reported = -math.inf
        names: dict[tuple[str, str], int] = {}
        groups = [names.setdefault((piece.material, piece.group), len(names)) for piece in pieces]
        self._group_names = list(names)
        self._whole = make_task(pieces, stocks, groups, options.spacing)
        self._reasons: dict[int, Reason] = {}
        members: dict[int, list[int]] = {group: [] for group in range(len(names))}
        for index in range(len(pieces)):
            if self._is_placeable(index):
                members[groups[index]].append(index)
        self._bounds = {group: self._bound(members[group]) for group in members}
        self._bound_cost = float(sum(cost for _, cost in self._bounds.values()))
        self._searches = [self._search(part, members) for part in self._parts(members)]

    def search(self) -> tuple[Stopped, int]:
        """Improve until something says stop; say what, and how many rounds were done."""
        iterations = 0
        limit = self._options.seconds
        try:
            self._report(iterations, better=True)
            while True:
                waiting = [search for search in self._searches if not search.finished]
                if not waiting:
                    return "bound", iterations
                if iterations >= self._options.iterations:
                    return "iterations", iterations
                for search in waiting:
                    if limit is not None and time.monotonic() - self._began >= limit:
                        return "seconds", iterations
                    before = search.best
                    search.step()
                    self._report(iterations, better=search.best is not before)
                iterations += 1
        except KeyboardInterrupt:
            return "interrupted", iterations

    def solution(self, stopped: Stopped, iterations: int) -> Solution:
        """The records of the best answers."""
        sheets: list[Sheet] = []
        for search in self._searches:
            search.finish()
            sheets += search.best.sheets
            self._reasons |= dict.fromkeys(search.best.left_out, "out-of-stock")
        sheets.sort(
            key=lambda sheet: (
                sheet_order(self._whole, sheet),
                sheet.group,
                sheet.stock,
                sheet.pieces,
            )
        )
        return Solution(
            tuple(to_layout(sheet, self._stocks[sheet.stock].name, self._pieces) for sheet in sheets),
            tuple(LeftOut(self._pieces[index].name, self._reasons[index]) for index in sorted(self._reasons)),
            tuple(self._group_bound(group, sheets) for group in self._bounds),
            iterations,
            stopped,
        )

    def _is_placeable(self, piece: int) -> bool:
        """Whether some sheet can hold the piece; if not, note the reason."""
        material = self._pieces[piece].material
        kinds = [i for i, stock in enumerate(self._stocks) if stock.material == material]
        holding = [kind for kind in kinds if self._whole.fits(piece, kind)]
        if not kinds:
            self._reasons[piece] = "no-stock"
        elif not holding:
            self._reasons[piece] = "too-large"
        elif all(self._stocks[kind].count == 0 for kind in holding):
            self._reasons[piece] = "out-of-stock"
        else:
            return True
        return False

    def _parts(self, members: dict[int, list[int]]) -> list[list[int]]:
        """Groups to be searched together."""
        limited = {stock.material for stock in self._stocks if stock.count}
        parts: dict[object, list[int]] = {}
        for group, held in members.items():
            material = self._group_names[group][0]
            if held:
                parts.setdefault(material if material in limited else group, []).append(group)
        return list(parts.values())

    def _search(self, part: list[int], members: dict[int, list[int]]) -> Search:
        material = self._group_names[part[0]][0]
        indices = tuple(sorted(index for group in part for index in members[group]))
        whole = self._whole
        kinds = tuple(
            kind
            for kind, stock in enumerate(self._stocks)
            if stock.material == material and stock.count != 0 and any(whole.fits(index, kind) for index in indices)
        )
        least_side = min(min(whole.widths[i], whole.heights[i]) for i in indices)
        task: Task = replace(whole, pieces=indices, stocks=kinds, least_side=least_side)
        cost = float(sum(self._bounds[group][1] for group in part))
        sheets = sum(self._bounds[group][0] for group in part)
        names = "/".join("/".join(self._group_names[group]) for group in part)
        return Search(task, (cost, sheets), self._options.keep, f"{self._options.seed}/{names}")

    def _bound(self, pieces: Sequence[int]) -> tuple[int, Fraction]:
        if not pieces:
            return 0, Fraction(0)
        whole = self._whole
        material = self._pieces[pieces[0]].material
        boxes = [Box(whole.widths[i], whole.heights[i], whole.may_turn[i]) for i in pieces]
        bins = [
            Bin(
                whole.stock_widths[kind],
                whole.stock_heights[kind],
                stock.count,
                # Exact, so that rounding never lifts a bound above the optimum.
                Fraction(stock.cost),
            )
            for kind, stock in enumerate(self._stocks)
            if stock.material == material and stock.count != 0
        ]
        return least_sheets_and_cost(boxes, bins)

    def _group_bound(self, group: int, sheets: Sequence[Sheet]) -> Bound:
        material, name = self._group_names[group]
        own = [sheet for sheet in sheets if sheet.group == group]
        placed = [piece for sheet in own for piece in sheet.pieces]
        least, cost = self._bounds[group]
        # Pieces for which no sheet was left must not count against the sheets used.
        if any(
            self._whole.groups[piece] == group and reason == "out-of-stock" for piece, reason in self._reasons.items()
        ):
            least, cost = self._bound(placed)
        spent = math.fsum(self._stocks[sheet.stock].cost for sheet in own)
        return Bound(material, name, least, len(own), float(cost), spent)

    def _report(self, iterations: int, better: bool) -> None:
        if self._progress is None:
            return
        now = time.monotonic()
        if not better and now - self._reported < _QUIET:
            return
        self._reported = now
        sheets = [sheet for search in self._searches for sheet in search.best.sheets]
        cost = math.fsum(self._stocks[sheet.stock].cost for sheet in sheets)
        self._progress(Progress(iterations, len(sheets), cost, self._bound_cost, now - self._began))

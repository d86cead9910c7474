"""Put pieces onto sheets one after another, opening new sheets where needed.

One `Task` is a set of pieces that has to be nested together: the groups of one material
that compete for limited stock, or a single group when stock is not limited.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from .problem import Piece, Stock
from .shear import FIT_AREA, FIT_SHORT, SPLIT_LARGE, SPLIT_SMALL, Sheet, find_place


class Rule(NamedTuple):
    """How one filling decides; see the constants of `shear.py`.

    `opening` lists the kinds of stock in the order they are tried when a new sheet is
    needed; None weighs the cost against the area that the waiting pieces can use.
    `contrary` lays the first piece of a sheet the less obvious way round.
    """

    fit: int
    split: int
    earliest: bool
    opening: tuple[int, ...] | None
    contrary: bool


@dataclass(frozen=True, slots=True)
class Task:
    """Pieces and stock by their place in the caller's lists; sizes grown by the spacing."""

    pieces: tuple[int, ...]
    stocks: tuple[int, ...]
    spacing: int
    least_side: int
    widths: Sequence[int]
    heights: Sequence[int]
    may_turn: Sequence[bool]
    areas: Sequence[int]
    ranks: Sequence[int]
    groups: Sequence[int]
    stock_widths: Sequence[int]
    stock_heights: Sequence[int]
    counts: Sequence[int | None]
    costs: Sequence[float]

    def fits(self, piece: int, stock: int) -> bool:
        """Whether the stock holds the piece in any allowed turning."""
        width, height = self.widths[piece], self.heights[piece]
        room_x, room_y = self.stock_widths[stock], self.stock_heights[stock]
        return (width <= room_x and height <= room_y) or (self.may_turn[piece] and height <= room_x and width <= room_y)

    def stock_area(self, stock: int) -> int:
        """Area of the grown sheet, in grid units squared."""
        return self.stock_widths[stock] * self.stock_heights[stock]

    def stock_left(self, sheets: Iterable[Sheet]) -> dict[int, int | None]:
        """How many of each stock remain beside these sheets, None for no limit."""
        left = {stock: self.counts[stock] for stock in self.stocks}
        for sheet in sheets:
            take(left, sheet.stock, 1)
        return left

    def new_sheet(self, stock: int, group: int) -> Sheet:
        """An empty sheet for pieces of the group."""
        return Sheet(
            stock,
            group,
            self.stock_widths[stock],
            self.stock_heights[stock],
            spacing=self.spacing,
            least_side=self.least_side,
        )


def make_task(pieces: Sequence[Piece], stocks: Sequence[Stock], groups: Sequence[int], spacing: int) -> Task:
    """A task of all pieces and stock; `for_part` then narrows it."""
    return Task(
        pieces=(),
        stocks=(),
        spacing=spacing,
        least_side=0,
        widths=[piece.width + spacing for piece in pieces],
        heights=[piece.height + spacing for piece in pieces],
        may_turn=[piece.may_turn for piece in pieces],
        areas=[piece.width * piece.height for piece in pieces],
        ranks=[piece.due_rank for piece in pieces],
        groups=groups,
        stock_widths=[stock.width + spacing for stock in stocks],
        stock_heights=[stock.height + spacing for stock in stocks],
        counts=[stock.count for stock in stocks],
        costs=[float(stock.cost) for stock in stocks],
    )


def take(left: dict[int, int | None], stock: int, number: int) -> None:
    """Take sheets from what is left; a negative number puts them back."""
    count = left[stock]
    if count is not None:
        left[stock] = count - number


def fill(
    task: Task,
    order: Iterable[int],
    sheets: list[Sheet],
    left: dict[int, int | None],
    rule: Rule,
) -> tuple[list[Sheet], list[int]]:
    """Place the pieces in this order; return all sheets, and the pieces left out.

    The given sheets are not changed: one that takes a piece is copied first. `left` is
    counted down for each sheet opened.
    """
    by_group: dict[int, list[Sheet]] = {}
    for sheet in sheets:
        by_group.setdefault(sheet.group, []).append(sheet)
    borrowed = set(sheets)
    left_out: list[int] = []
    order = list(order)
    rest = sum(task.widths[piece] * task.heights[piece] for piece in order)
    for piece in order:
        width, height = task.widths[piece], task.heights[piece]
        group = by_group.setdefault(task.groups[piece], [])
        found = find_place(group, width, height, may_turn=task.may_turn[piece], fit=rule.fit, earliest=rule.earliest)
        if found is not None:
            index, node, turned = found
            sheet = group[index]
            if sheet in borrowed:
                sheet, became = sheet.copy()
                group[index] = sheet
                node = became[node]
        else:
            stock = _stock_to_open(task, piece, rest, left, rule.opening)
            if stock is None:
                left_out.append(piece)
                rest -= width * height
                continue
            take(left, stock, 1)
            sheet = task.new_sheet(stock, task.groups[piece])
            group.append(sheet)
            node = sheet.root
            turned = _turn_in_new_sheet(task, piece, stock, rule.contrary)
        if turned:
            sheet.place(node, height, width, piece, turned=True, split=rule.split)
        else:
            sheet.place(node, width, height, piece, turned=False, split=rule.split)
        rest -= width * height
    return [sheet for group in by_group.values() for sheet in group], left_out


def economise(task: Task, sheets: list[Sheet], failed: set[tuple[int, tuple[int, ...]]]) -> list[Sheet]:
    """Move the contents of each sheet to cheaper stock where that succeeds.

    `failed` remembers attempts that came to nothing, so that none is made twice.
    """
    left = task.stock_left(sheets)
    result = sheets[:]
    by_cost = sorted(task.stocks, key=lambda stock: (task.costs[stock], task.stock_area(stock)))
    for index, sheet in enumerate(sheets):
        used = task.stock_area(sheet.stock) - sheet.spare
        for stock in by_cost:
            if task.costs[stock] >= task.costs[sheet.stock]:
                break
            if left[stock] == 0 or task.stock_area(stock) < used:
                continue
            attempt = (stock, tuple(sorted(sheet.pieces)))
            if attempt in failed:
                continue
            cheaper = _all_on_one(task, sheet, stock)
            if cheaper is None:
                failed.add(attempt)
                continue
            take(left, stock, 1)
            take(left, sheet.stock, -1)
            result[index] = cheaper
            break
    return result


def _all_on_one(task: Task, sheet: Sheet, stock: int) -> Sheet | None:
    if not all(task.fits(piece, stock) for piece in sheet.pieces):
        return None
    widths, heights = task.widths, task.heights
    orders = (
        sorted(sheet.pieces, key=lambda piece: -widths[piece] * heights[piece]),
        sorted(sheet.pieces, key=lambda piece: -max(widths[piece], heights[piece])),
    )
    for order in orders:
        for fit, split, contrary in ((FIT_SHORT, SPLIT_LARGE, False), (FIT_AREA, SPLIT_SMALL, True)):
            rule = Rule(fit, split, True, (stock,), contrary)
            filled, left_out = fill(task, order, [], {stock: 1}, rule)
            if not left_out:
                return filled[0]
    return None


def _stock_to_open(
    task: Task,
    piece: int,
    rest: int,
    left: dict[int, int | None],
    opening: tuple[int, ...] | None,
) -> int | None:
    if opening is not None:
        for stock in opening:
            if left[stock] != 0 and task.fits(piece, stock):
                return stock
        return None
    best: int | None = None
    best_score = 0.0
    for stock in task.stocks:
        if left[stock] != 0 and task.fits(piece, stock):
            # An allowance for waste: pieces never use the whole of a sheet.
            useful = min(task.stock_area(stock), rest * 1.15)
            score = task.costs[stock] / useful
            if best is None or score < best_score:
                best, best_score = stock, score
    return best


def _turn_in_new_sheet(task: Task, piece: int, stock: int, contrary: bool) -> bool:
    """Lie so that the shorter remainder of the sheet is as short as can be, or contrary to that."""
    width, height = task.widths[piece], task.heights[piece]
    rest_x = task.stock_widths[stock] - width
    rest_y = task.stock_heights[stock] - height
    turned_x = task.stock_widths[stock] - height
    turned_y = task.stock_heights[stock] - width
    if not task.may_turn[piece] or width == height or min(turned_x, turned_y) < 0:
        return False
    if min(rest_x, rest_y) < 0:
        return True
    return (min(turned_x, turned_y) < min(rest_x, rest_y)) != contrary

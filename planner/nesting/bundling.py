"""Pieces that must share a sheet: whether some sheet holds them all, and how they lie on it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

from .answer import Answer
from .first import Filling
from .problem import Options, Piece, Stock
from .rooms import Sheet
from .search import Search
from .slicing import Tree
from .task import Together, make_task

# A set that does not fit at once is searched for so many rounds on each kind of sheet.
_ROUNDS = 300

Laid: TypeAlias = "tuple[int, tuple[Tree | None, ...]]"


def laid_together(
    members: Sequence[int], pieces: Sequence[Piece], stocks: Sequence[Stock], options: Options
) -> Together | None:
    """Find for each stock a way to lay these pieces on one sheet, all turned or none; None when no stock holds them."""
    alone: dict[int, Laid] = {}
    first = pieces[members[0]]
    for number, stock in enumerate(stocks):
        if stock.material != first.material or stock.count == 0 or stock.group not in (None, first.group):
            continue
        for turned in (False, True) if all(pieces[i].may_turn for i in members) else (False,):
            found = _laid(members, turned, pieces, stock, options)
            if found is not None:
                alone[number] = found
                break
    return Together(tuple(members), alone) if alone else None


def _laid(members: Sequence[int], turned: bool, pieces: Sequence[Piece], stock: Stock, options: Options) -> Laid | None:
    if sum(pieces[i].width * pieces[i].height for i in members) > stock.width * stock.height:
        return None
    lying = [
        replace(
            piece,
            width=piece.height if turned else piece.width,
            height=piece.width if turned else piece.height,
            may_turn=False,
            due_rank=1,
            together="",
        )
        for piece in (pieces[i] for i in members)
    ]
    task = make_task(lying, [replace(stock, count=1)], [0] * len(lying), range(len(lying)), (), options)
    filling = Filling(task, {size: count for size, count in enumerate(task.counts) if count})
    sheets: list[Sheet] = []
    filling.open(sheets, [1], lambda level: level)
    search = Search(task, Answer(task, sheets, filling.waiting), 0, "together")
    for _ in range(_ROUNDS):
        if not search.best.left_out:
            break
        search.advance(1)
    if search.best.left_out or not search.best.sheets:
        return None
    sheet = search.best.sheets[0]
    waiting = [[members[i] for i in own] for own in task.members]

    def named(tree: Tree | None) -> Tree | None:
        if tree is None:
            return None
        kind, width, height, parts = tree
        if kind >= 0:
            return (2 * waiting[kind >> 1].pop() + turned, width, height, ())
        return (kind, width, height, tuple(part for part in map(named, parts) if part is not None))

    return sheet.variant, tuple(map(named, sheet.trees))

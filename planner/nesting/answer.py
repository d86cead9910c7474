"""A plan while it is searched for: sheets, what is left out, and what it is judged by."""

from __future__ import annotations

from collections.abc import Sequence

from .rooms import Sheet
from .task import Task

Merit = tuple[int, int]


class Answer:
    """A plan; `merit` is (weight of the pieces left out, price), and less is better."""

    __slots__ = ("left_out", "merit", "sheets")

    def __init__(self, task: Task, sheets: list[Sheet], left_out: dict[int, int]) -> None:
        """`left_out` is the number of pieces by size; nothing is copied."""
        self.sheets = sheets
        self.left_out = left_out
        weight = sum(task.weights[size] * count for size, count in left_out.items())
        self.merit: Merit = (weight, price(task, sheets))


def price(task: Task, sheets: Sequence[Sheet]) -> int:
    """Money and number of sheets, as one number."""
    return sum(task.kinds[sheet.kind].cost for sheet in sheets)


def stock_left(stock: Sequence[int | None], sheets: Sequence[Sheet]) -> list[int | None]:
    """How many of each kind in stock remain beside these sheets, None for no limit."""
    left = list(stock)
    for sheet in sheets:
        count = left[sheet.kind]
        if count is not None:
            left[sheet.kind] = count - 1
    return left

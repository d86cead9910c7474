"""The true optimum of a tiny problem, by trying every partition and every position."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import product
from math import fsum

from planner.nesting import Piece, Stock

Placed = tuple[int, int, int, int]


def optimum(pieces: Sequence[Piece], stocks: Sequence[Stock], spacing: int) -> tuple[int, float] | None:
    """Fewest sheets, and least cost, of any plan that edge-to-edge cuts take apart.

    The two may belong to different plans. None when the stock does not hold all pieces.
    """
    sheets: list[int] = []
    costs: list[float] = []
    for blocks in _partitions(list(pieces)):
        holding = [[s for s in stocks if _fits_together(block, s, spacing)] for block in blocks]
        for choice in product(*holding):
            used = Counter(stock.name for stock in choice)
            if all(stock.count is None or used[stock.name] <= stock.count for stock in stocks):
                sheets.append(len(choice))
                costs.append(fsum(stock.cost for stock in choice))
    return (min(sheets), min(costs)) if sheets else None


def _partitions(pieces: list[Piece]) -> Iterator[list[list[Piece]]]:
    if not pieces:
        yield []
        return
    first, rest = pieces[0], pieces[1:]
    for blocks in _partitions(rest):
        yield [[first], *blocks]
        for index, block in enumerate(blocks):
            yield [*blocks[:index], [first, *block], *blocks[index + 1 :]]


def _fits_together(block: list[Piece], stock: Stock, spacing: int) -> bool:
    return _place_rest(block, [], stock, spacing)


def _place_rest(block: list[Piece], placed: list[Placed], stock: Stock, spacing: int) -> bool:
    if not block:
        return comes_apart(placed, spacing)
    piece, rest = block[0], block[1:]
    sizes = {(piece.width, piece.height)} | ({(piece.height, piece.width)} if piece.may_turn else set())
    for width, height in sorted(sizes):
        for x, y in product(range(stock.width - width + 1), range(stock.height - height + 1)):
            clear = all(
                x >= px + pw + spacing
                or px >= x + width + spacing
                or y >= py + ph + spacing
                or py >= y + height + spacing
                for px, py, pw, ph in placed
            )
            if clear and _place_rest(rest, [*placed, (x, y, width, height)], stock, spacing):
                return True
    return False


def comes_apart(placed: Sequence[Placed], spacing: int) -> bool:
    """Whether cuts from edge to edge, each a strip of the spacing wide, part all rectangles."""
    if len(placed) <= 1:
        return True
    for axis in (0, 1):
        for cut in {box[axis] + box[axis + 2] for box in placed}:
            low = [box for box in placed if box[axis] + box[axis + 2] <= cut]
            high = [box for box in placed if box[axis] >= cut + spacing]
            if low and high and len(low) + len(high) == len(placed):
                # A cut that hits nothing never spoils another.
                return comes_apart(low, spacing) and comes_apart(high, spacing)
    return False

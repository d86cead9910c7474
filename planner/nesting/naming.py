"""Who is who: give each place of a plan one of the pieces of its size.

Pieces of one size may be exchanged at no cost, so urgent ones go on the sheets that are cut first, and pieces that
share a wish go on the same sheet.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from .problem import Piece
from .rooms import Sheet
from .task import Task

_MOST_PASSES = 6


def named(task: Task, sheets: Sequence[Sheet], pieces: Sequence[Piece]) -> list[tuple[Sheet, tuple[int, ...]]]:
    """The sheets in the order to cut them, each with its pieces in the order of `Sheet.sizes`."""
    sizes_of = [sheet.sizes() for sheet in sheets]
    ranked = [sorted(members, key=lambda i: (pieces[i].due_rank, i)) for members in task.members]
    wishing = any(pieces[i].wishes for members in task.members for i in members)
    order = sorted(range(len(sheets)), key=lambda n: sorted(pieces[ranked[size][0]].due_rank for size in sizes_of[n]))
    given: list[tuple[int, ...]] = []
    for _ in range(_MOST_PASSES):
        given = _given(order, sizes_of, ranked, pieces, wishing)
        after = sorted(order, key=lambda n: sorted(pieces[i].due_rank for i in given[n]))
        if after == order:
            break
        order = after
    return [(sheets[n], given[n]) for n in order]


def _given(
    order: Sequence[int],
    sizes_of: Sequence[Sequence[int]],
    ranked: Sequence[Sequence[int]],
    pieces: Sequence[Piece],
    wishing: bool,
) -> list[tuple[int, ...]]:
    given: list[tuple[int, ...]] = [()] * len(sizes_of)
    if wishing:
        choosing = [_Waiting(members, pieces) for members in ranked]
        for n in order:
            given[n] = _by_wishes(sizes_of[n], choosing, pieces)
        return given
    waiting = [list(reversed(members)) for members in ranked]
    for n in order:
        given[n] = tuple(waiting[size].pop() for size in sizes_of[n])
    return given


class _Waiting:
    """The pieces of one size that have no place yet.

    Pieces alike in rank and wishes are kept together, and found by any of their wishes, so that a day of thousands of
    pieces of one size is not looked through for each place.
    """

    def __init__(self, members: Sequence[int], pieces: Sequence[Piece]) -> None:
        """`members` are given away in their order, the most urgent first, where no wish decides."""
        self.left = len(members)
        self._pieces = pieces
        self._order = list(reversed(members))
        self._given: set[int] = set()
        self._alike: dict[tuple[int, frozenset[str]], list[int]] = {}
        self._with_wish: dict[tuple[int, str], set[frozenset[str]]] = {}
        for i in self._order:
            rank, wishes = pieces[i].due_rank, frozenset(pieces[i].wishes)
            self._alike.setdefault((rank, wishes), []).append(i)
            for wish in wishes:
                self._with_wish.setdefault((rank, wish), set()).add(wishes)

    def take(self, present: Collection[str]) -> int:
        """Among the most urgent pieces, the one with most of its wishes present; of equals, the first."""
        while self._order[-1] in self._given:
            self._order.pop()
        best = self._order[-1]
        rank = self._pieces[best].due_rank
        found = {wishes for wish in present for wishes in self._with_wish.get((rank, wish), ())}
        if found:
            # No two of these hold the same piece, so the order in which a set is walked through does not matter.
            _, first = max((len(wishes.intersection(present)), -self._alike[rank, wishes][-1]) for wishes in found)
            best = -first
        wishes = frozenset(self._pieces[best].wishes)
        alike = self._alike[rank, wishes]
        alike.pop()
        if not alike:
            for wish in wishes:
                self._with_wish[rank, wish].discard(wishes)
        self._given.add(best)
        self.left -= 1
        return best


def _by_wishes(sizes: Sequence[int], waiting: Sequence[_Waiting], pieces: Sequence[Piece]) -> tuple[int, ...]:
    """Places with no choice first; then, among the most urgent pieces, the one with most wishes on the sheet."""
    given = [-1] * len(sizes)
    present: set[str] = set()
    for place in sorted(range(len(sizes)), key=lambda place: waiting[sizes[place]].left > 1):
        given[place] = waiting[sizes[place]].take(present)
        present.update(pieces[given[place]].wishes)
    return tuple(given)


def disorder(named_sheets: Sequence[tuple[Sheet, tuple[int, ...]]], pieces: Sequence[Piece]) -> int:
    """How many sheets must be cut before all pieces of a rank are out, over all ranks and groups."""
    by_group: dict[int, list[list[int]]] = {}
    for sheet, members in named_sheets:
        by_group.setdefault(sheet.group, []).append(sorted(pieces[i].due_rank for i in members))
    total = 0
    for orders in by_group.values():
        last: dict[int, int] = {}
        for position, ranks in enumerate(sorted(orders), start=1):
            for rank in ranks:
                last[rank] = position
        reached = 0
        for rank in sorted(last):
            reached = max(reached, last[rank])
            total += reached
    return total


def scatter(named_sheets: Sequence[tuple[Sheet, tuple[int, ...]]], pieces: Sequence[Piece]) -> int:
    """Over how many sheets the wishes are spread: the number of different wishes on each sheet, summed."""
    return sum(len({wish for i in members for wish in pieces[i].wishes}) for _, members in named_sheets)

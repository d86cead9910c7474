"""Who is who: give each place of a plan one of the pieces of its size.

Pieces of one size may be exchanged at no cost, so urgent ones go on the sheets that are cut first, and pieces that
share a wish go on the same sheet.
"""

from __future__ import annotations

from collections.abc import Sequence

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
    waiting = [list(reversed(members)) for members in ranked]
    given: list[tuple[int, ...]] = [()] * len(sizes_of)
    for n in order:
        if wishing:
            given[n] = _by_wishes(sizes_of[n], waiting, pieces)
        else:
            given[n] = tuple(waiting[size].pop() for size in sizes_of[n])
    return given


def _by_wishes(sizes: Sequence[int], waiting: list[list[int]], pieces: Sequence[Piece]) -> tuple[int, ...]:
    """Places with no choice first; then, among the most urgent pieces, the one with most wishes on the sheet."""
    given = [-1] * len(sizes)
    present: set[str] = set()
    for place in sorted(range(len(sizes)), key=lambda place: len(waiting[sizes[place]]) > 1):
        members = waiting[sizes[place]]
        urgent = pieces[members[-1]].due_rank
        best = max(
            (i for i in members if pieces[i].due_rank == urgent),
            key=lambda i: (len(present.intersection(pieces[i].wishes)), -i),
        )
        members.remove(best)
        given[place] = best
        present.update(pieces[best].wishes)
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

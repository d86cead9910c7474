"""Who is who on the sheets: the quick way gives the pieces that looking at all of them would give."""

from __future__ import annotations

import random
from collections.abc import Sequence

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.nesting import Options, Piece, Stock
from planner.nesting.naming import named
from planner.nesting.rooms import Sheet
from planner.nesting.slicing import HORIZONTAL, leaf, run
from planner.nesting.task import Task, make_task


def _sheets(task: Task, sizes: Sequence[Sequence[int]]) -> list[Sheet]:
    """Sheets on which pieces of these sizes stand above one another."""
    sheets = []
    for own in sizes:
        leaves = tuple(leaf(size, False, task.sizes.widths[size], task.sizes.heights[size]) for size in own)
        tree = leaves[0] if len(leaves) == 1 else run(HORIZONTAL, leaves)
        sheets.append(task.empty_sheet(0, 0, 0, 0).with_tree(0, tree))
    return sheets


def _looking_at_all(task: Task, sheets: Sequence[Sheet], pieces: Sequence[Piece]) -> list[tuple[int, ...]]:
    """Give each place the waiting piece with most of its wishes present, else the first; all are of one rank."""
    waiting = [sorted(members) for members in task.members]
    given = []
    for sheet in sheets:
        sizes = sheet.sizes()
        own = [-1] * len(sizes)
        present: set[str] = set()
        for place in sorted(range(len(sizes)), key=lambda place: len(waiting[sizes[place]]) > 1):
            members = waiting[sizes[place]]
            best = max(members, key=lambda i: (len(present.intersection(pieces[i].wishes)), -i))
            members.remove(best)
            own[place] = best
            present.update(pieces[best].wishes)
        given.append(tuple(own))
    return given


@settings(max_examples=60, deadline=None)
@given(
    plates=st.lists(st.tuples(st.integers(1, 3), st.sets(st.sampled_from("abcdef"), max_size=3)), max_size=25),
    a_sheet=st.integers(1, 7),
    chance=st.randoms(use_true_random=False),
)
def test_wishes_give_what_looking_at_all_would_give(
    plates: list[tuple[int, set[str]]], a_sheet: int, chance: random.Random
) -> None:
    # Without any wish all is given in order.
    plates = [(1, {"a"}), *plates]
    pieces = [
        Piece(f"{number}", 2, size, False, wishes=tuple(sorted(wishes))) for number, (size, wishes) in enumerate(plates)
    ]
    stock = Stock("sheet", 500, 500, None, 1.0)
    task = make_task(pieces, [stock], [0] * len(pieces), range(len(pieces)), (), Options())
    places = [size for size, members in enumerate(task.members) for _ in members]
    chance.shuffle(places)
    # Full sheets only, as one with fewer pieces would be cut first.
    full = len(places) // a_sheet * a_sheet
    sheets = _sheets(task, [places[at : at + a_sheet] for at in range(0, full, a_sheet)])
    assert [members for _, members in named(task, sheets, pieces)] == _looking_at_all(task, sheets, pieces)

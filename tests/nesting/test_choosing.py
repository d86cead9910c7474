"""Several kinds of sheet: the sets that are listed, and what the search makes of them."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.nesting import Options, Piece, Stock, solve
from planner.nesting.answer import Answer
from planner.nesting.choosing import Choosing
from planner.nesting.first import Filling
from planner.nesting.rooms import Sheet
from planner.nesting.search import Search
from planner.nesting.task import Task, make_task

from .verifying import verify


def _task(pieces: Sequence[Piece], stocks: Sequence[Stock], options: Options) -> Task:
    return make_task(pieces, stocks, [0] * len(pieces), range(len(pieces)), (), options)


def _first(task: Task) -> Answer:
    filling = Filling(task, {size: count for size, count in enumerate(task.counts) if count})
    sheets: list[Sheet] = []
    filling.open(sheets, list(task.stock), lambda level: level)
    return Answer(task, sheets, filling.waiting)


_kinds = st.lists(
    st.tuples(st.integers(6, 14), st.integers(6, 14), st.integers(1, 3), st.integers(1, 9)), min_size=2, max_size=3
)


@settings(max_examples=60, deadline=None)
@given(kinds=_kinds, sides=st.lists(st.tuples(st.integers(1, 6), st.integers(1, 6)), min_size=1, max_size=9))
def test_listed_sets_are_cheaper_and_roomy_enough(
    kinds: list[tuple[int, int, int, int]], sides: list[tuple[int, int]]
) -> None:
    stocks = [Stock(f"{n}", width, height, count, float(cost)) for n, (width, height, count, cost) in enumerate(kinds)]
    task = _task([Piece(f"{n}", *size) for n, size in enumerate(sides)], stocks, Options())
    first = _first(task)
    if first.left_out:
        return
    listed = Choosing(task, first, 0, "test").affordable()
    least = sum(width * height for width, height in sides)

    def spent(counts: Sequence[int]) -> tuple[int, int]:
        return sum(n * kind[3] for n, kind in zip(counts, kinds, strict=True)), sum(counts)

    def area(counts: Sequence[int]) -> int:
        return sum(n * kind[0] * kind[1] for n, kind in zip(counts, kinds, strict=True))

    now = spent([sum(sheet.kind == kind for sheet in first.sheets) for kind in range(len(kinds))])
    for counts in listed:
        assert all(n <= kind[2] for n, kind in zip(counts, kinds, strict=True))
        assert spent(counts) < now
        assert area(counts) >= least
    # None is listed only where there is none.
    cheaper = [
        counts
        for counts in product(*(range(kind[2] + 1) for kind in kinds))
        if spent(counts) < now and area(counts) >= least
    ]
    assert bool(listed) == bool(cheaper)


def test_sheets_that_could_be_one_are_not_taken_apart() -> None:
    stocks = [Stock("half", 50, 100, None, 5.0), Stock("whole", 100, 100, None, 10.0), Stock("odd", 30, 90, None, 3.0)]
    task = _task([Piece(f"{n}", 45, 45) for n in range(8)], stocks, Options())
    worst = Answer(task, [sheet for _ in range(4) for sheet in _first(task).sheets], {})
    halves = [counts[0] for counts in Choosing(task, worst, 0, "test").affordable()]
    assert halves
    assert max(halves) <= 1


def test_the_set_without_waste_is_found() -> None:
    # 24 pieces of 30 x 20 fill a sheet of 120 x 60 and one of 80 x 90; other pairs waste metal or do not hold them.
    pieces = [Piece(f"{n}", 30, 20) for n in range(24)]
    stocks = [
        Stock(f"{width} x {height}", width, height, 1, float(width * height))
        for width, height in ((120, 60), (80, 90), (110, 70), (100, 80), (90, 85), (70, 65))
    ]
    solution = solve(pieces, stocks, Options(iterations=3000))
    verify(pieces, stocks, Options(), solution)
    assert solution.bounds[0].spent == 24 * 30 * 20
    assert solution.stopped == "bound"


def test_the_search_goes_on_from_the_plan_it_has_recorded() -> None:
    # With more sizes than a round tries to place, the rest is filled up; the search must take that up too.
    chance = random.Random(0)
    pieces = [Piece(f"{n}", chance.randint(1, 100), chance.randint(1, 100)) for n in range(100)]
    side = math.isqrt(sum(piece.width * piece.height for piece in pieces) * 35 // 100)
    task = _task(pieces, [Stock("sheet", side, side, 3, 1.0)], Options())
    nothing = Answer(task, [], {size: count for size, count in enumerate(task.counts) if count})
    search = Search(task, nothing, 0, "test")
    search.advance(1)
    early = search.best.merit[0]
    search.advance(100)
    assert search.best.merit[0] < early

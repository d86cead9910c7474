"""What the trade adds: keep-out boxes, sets and wishes, limits of the shears, lateness, several workers."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest

from planner.nesting import Options, Piece, Solution, Stock, solve

from .benchmark_nesting import SHEET, SPACING, random_pieces
from .fuzz import random_problem
from .verifying import verify

SQUARE = Stock("s", 100, 100, None, 1.0)


def _solved(pieces: list[Piece], stocks: list[Stock], options: Options) -> Solution:
    solution = solve(pieces, stocks, options)
    verify(pieces, stocks, options, solution)
    return solution


def test_random_problems_of_every_kind_are_sound() -> None:
    for seed in range(10_000, 10_250):
        problem = random_problem(seed)
        verify(*problem, solve(*problem))


def test_a_box_in_the_middle_leaves_the_rest_open() -> None:
    blocked = replace(SQUARE, blocked=((40, 40, 20, 20),))
    # Two strips beside the box and two rests above and below it.
    pieces = [*(Piece(f"long {i}", 100, 40) for i in range(2)), *(Piece(f"{i}", 40, 20) for i in range(2))]
    assert len(_solved(pieces, [blocked], Options()).layouts) == 1
    assert len(_solved([Piece("whole", 100, 61)], [blocked], Options()).layouts) == 0


def test_stock_kept_for_a_group_is_used_by_no_other() -> None:
    stocks = [replace(SQUARE, group="mine", cost=0.1), Stock("dear", 100, 100, None, 5.0)]
    solution = _solved([Piece("a", 9, 9, group="mine"), Piece("b", 9, 9)], stocks, Options())
    assert sorted(layout.stock for layout in solution.layouts) == ["dear", "s"]


def test_a_set_shares_a_sheet_even_where_that_costs_one() -> None:
    pieces = [Piece(f"{i}", 60, 100, together="" if i else "set") for i in range(3)]
    pieces += [Piece("other", 40, 100, together="set"), Piece("third", 40, 100)]
    solution = _solved(pieces, [SQUARE], Options(iterations=200))
    assert solution.split == ()


def test_a_set_too_large_for_any_sheet_is_split_and_named() -> None:
    pieces = [Piece(f"{i}", 80, 80, together="colours") for i in range(2)]
    solution = _solved(pieces, [SQUARE], Options())
    assert solution.split == ("colours",)
    assert len(solution.layouts) == 2


def test_a_set_is_turned_alike() -> None:
    # Lying both ways they would share one sheet; all one way they need a sheet that is longer.
    pieces = [Piece("a", 100, 50, together="k"), Piece("b", 50, 100, together="k")]
    stocks = [SQUARE, Stock("long", 150, 100, None, 9.0)]
    solution = _solved(pieces, stocks, Options())
    assert [layout.stock for layout in solution.layouts] == ["long"]


def test_wishes_are_met_when_they_cost_nothing() -> None:
    pieces = [Piece(f"{i}", 100, 50, wishes=("ab"[i % 2],)) for i in range(6)]
    wish = {piece.name: piece.wishes for piece in pieces}
    solution = _solved(pieces, [SQUARE], Options(iterations=50))
    assert len(solution.layouts) == 3
    mixed = [layout for layout in solution.layouts if len({wish[p.piece] for p in layout.placements}) > 1]
    assert len(mixed) == 1


def test_one_stage_gives_strips_only() -> None:
    pieces = [Piece(f"{i}", 100, 20) for i in range(5)] + [Piece("small", 30, 30)]
    solution = _solved(pieces, [SQUARE], Options(stages=1))
    assert len(solution.layouts) == 1
    assert [left.piece for left in solution.left_out] == ["small"]


@pytest.mark.parametrize("stages", [2, 3, 4])
def test_more_stages_never_need_more_sheets(stages: int) -> None:
    pieces = random_pieces(25, seed=4)
    stocks = [Stock("sheet", *SHEET, None, 10.0)]
    few = _solved(pieces, stocks, Options(spacing=SPACING, iterations=30, stages=stages))
    many = _solved(pieces, stocks, Options(spacing=SPACING, iterations=30))
    assert len(few.layouts) >= len(many.layouts)


def test_no_cut_is_longer_than_the_shears() -> None:
    pieces = [Piece(f"{i}", 30, 25) for i in range(9)]
    wide = [Stock("wide", 200, 90, None, 1.0)]
    assert not _solved(pieces, wide, Options(longest_cut=90, iterations=30)).left_out
    assert len(_solved(pieces, wide, Options(longest_cut=80, iterations=30)).left_out) == 9


def test_the_shears_have_something_to_hold() -> None:
    pieces = [Piece(f"{i}", 100, 10) for i in range(10)]
    assert len(_solved(pieces, [SQUARE], Options(iterations=30)).layouts) == 1
    # With the last two strips only one of the two could be held.
    assert len(_solved(pieces, [SQUARE], Options(least_strip=20, iterations=30)).layouts) == 2


def test_taking_a_piece_away_leaves_nothing_that_the_shears_cannot_cut() -> None:
    # Without the widest strip of a run the shears have nothing to hold, and trimming takes a further stage.
    problem = random_problem(101_116)
    assert problem[2].least_strip is not None
    verify(*problem, solve(*problem))


def _sheets_until(solution: Solution, rank_of: dict[str, int], rank: int) -> int:
    held = [any(rank_of[p.piece] <= rank for p in layout.placements) for layout in solution.layouts]
    return max((number for number, has in enumerate(held, 1) if has), default=0)


@pytest.mark.parametrize("seed", range(4))
def test_due_first_never_trades_lateness_for_metal(seed: int) -> None:
    pieces = [replace(piece, due_rank=i % 3) for i, piece in enumerate(random_pieces(36, seed))]
    stocks = [Stock("sheet", *SHEET, None, 10.0)]
    options = Options(spacing=SPACING, iterations=60, due_first=True, seed=seed)
    rank_of = {piece.name: piece.due_rank for piece in pieces}
    solution = _solved(pieces, stocks, options)
    for rank in range(3):
        urgent = [piece for piece in pieces if piece.due_rank <= rank]
        alone = _solved(urgent, stocks, options)
        assert _sheets_until(solution, rank_of, rank) <= len(alone.layouts)


class _InLine(Executor):
    """Does the work at once, in the caller's own thread."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


def test_the_executor_does_not_matter() -> None:
    pieces = random_pieces(30, seed=8)
    stocks = [Stock("sheet", *SHEET, None, 10.0)]
    options = Options(spacing=SPACING, iterations=20, workers=3)
    with ThreadPoolExecutor(2) as threads, ProcessPoolExecutor(2) as processes:
        found = [solve(pieces, stocks, options, executor=each) for each in (_InLine(), threads, processes)]
    assert found[0] == found[1] == found[2] == solve(pieces, stocks, options)
    verify(pieces, stocks, options, found[0])
    alone = solve(pieces, stocks, replace(options, workers=1))
    assert len(found[0].layouts) <= len(alone.layouts)


class _Interrupted(_InLine):
    """As if the user had stopped it while the first search was waited for; the second has ended."""

    def __init__(self) -> None:
        self._number = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self._number += 1
        if self._number > 1:
            return super().submit(fn, *args, **kwargs)
        future: Future[Any] = Future()
        future.set_exception(KeyboardInterrupt())
        return future


def test_an_interrupt_takes_what_the_workers_have() -> None:
    pieces = random_pieces(30, seed=8)
    stocks = [Stock("sheet", *SHEET, None, 10.0)]
    options = Options(spacing=SPACING, iterations=20, workers=2)
    solution = solve(pieces, stocks, options, executor=_Interrupted())
    assert solution.stopped == "interrupted"
    verify(pieces, stocks, options, solution)

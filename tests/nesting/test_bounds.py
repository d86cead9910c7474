"""The bounds never exceed what is possible, and are sharp where that is easy to see."""

from __future__ import annotations

from hypothesis import given, settings

from planner.nesting import Bound, Options, Piece, Stock, solve

from .strategies import Problem, tiny_problems
from .trying_all import optimum


@settings(max_examples=120, deadline=None)
@given(tiny_problems())
def test_tiny_problems_are_solved_for_good(problem: Problem) -> None:
    pieces, stocks, options = problem
    solution = solve(pieces, stocks, options)
    (bound,) = solution.bounds
    best = optimum(pieces, stocks, options.spacing)
    if best is None:
        assert solution.left_out
        return
    sheets, cost = best
    assert bound.sheets <= sheets
    assert bound.cost <= cost + 1e-9
    # A handful of pieces is solved for good.
    assert not solution.left_out
    assert abs(bound.spent - cost) < 1e-9
    assert solution.stopped == "bound"


def _bound(pieces: list[Piece], stocks: list[Stock], spacing: int = 0) -> Bound:
    (bound,) = solve(pieces, stocks, Options(spacing=spacing)).bounds
    return bound


def test_area_bound_counts_the_spacing() -> None:
    # Four times 50 x 50 fill the sheet exactly; with a strip between them only one fits beside none.
    pieces = [Piece(f"{i}", 50, 50) for i in range(4)]
    stocks = [Stock("s", 100, 100, None, 1.0)]
    assert _bound(pieces, stocks).sheets == 1
    assert _bound(pieces, stocks, spacing=1).sheets == 4


def test_pieces_over_half_the_sheet_need_one_each() -> None:
    pieces = [Piece(f"{i}", 51, 51) for i in range(7)]
    bound = _bound(pieces, [Stock("s", 100, 100, None, 2.5)])
    assert (bound.sheets, bound.used, bound.cost, bound.spent) == (7, 7, 17.5, 17.5)


def test_turning_weakens_the_bound() -> None:
    stock = [Stock("s", 100, 40, None, 1.0)]
    fixed = [Piece(f"{i}", 20, 30, may_turn=False) for i in range(6)]
    assert _bound(fixed, stock).sheets == 2
    free = [Piece(f"{i}", 30, 20) for i in range(6)]
    assert _bound(free, stock).sheets == 1


def test_the_largest_sheet_bounds_the_number_and_the_best_value_the_cost() -> None:
    pieces = [Piece(f"{i}", 10, 10) for i in range(100)]
    stocks = [Stock("large", 100, 50, None, 9.0), Stock("small", 50, 50, None, 4.0)]
    bound = _bound(pieces, stocks)
    assert (bound.sheets, bound.cost) == (2, 16.0)


def test_limited_counts_raise_the_bound() -> None:
    pieces = [Piece(f"{i}", 10, 10) for i in range(100)]
    stocks = [Stock("large", 100, 50, 1, 1.0), Stock("small", 50, 50, None, 4.0)]
    bound = _bound(pieces, stocks)
    assert (bound.sheets, bound.cost) == (3, 9.0)


def test_a_piece_that_only_dear_stock_holds_raises_the_cost_bound() -> None:
    pieces = [Piece("long", 90, 10), *(Piece(f"{i}", 10, 10) for i in range(3))]
    stocks = [Stock("large", 100, 50, None, 20.0), Stock("small", 50, 50, None, 4.0)]
    bound = _bound(pieces, stocks)
    assert (bound.sheets, bound.cost, bound.spent) == (1, 20.0, 20.0)


def test_pieces_without_a_sheet_do_not_count() -> None:
    pieces = [Piece(f"{i}", 100, 100) for i in range(3)]
    bound = _bound(pieces, [Stock("s", 100, 100, 2, 1.0)])
    assert (bound.sheets, bound.used) == (2, 2)

"""Every layout keeps its promises, whatever the problem."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from planner.nesting import Layout, Options, Part, Piece, Placement, Solution, Stock, solve

from .strategies import Problem, problems
from .verifying import verify


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(problems())
def test_any_problem_gives_a_sound_solution(problem: Problem) -> None:
    pieces, stocks, options = problem
    verify(pieces, stocks, options, solve(pieces, stocks, options))


@pytest.mark.parametrize("spacing", [0, 1, 7, 64])
def test_a_long_search_stays_sound(spacing: int) -> None:
    # Few distinct sizes make neighbours of equal height, whose leftovers get merged.
    chance = random.Random(spacing)
    sides = [50, 100, 150, 170, 320]
    pieces = [Piece(f"{i}", chance.choice(sides), chance.choice(sides)) for i in range(90)]
    stocks = [Stock("sheet", 1000, 700, None, 5.0), Stock("small", 400, 400, 3, 0.8, remnant=True)]
    options = Options(spacing=spacing, iterations=200, keep=(120, 300))
    verify(pieces, stocks, options, solve(pieces, stocks, options))


def test_a_remainder_too_thin_for_the_strip_stays_with_the_piece() -> None:
    options = Options(spacing=4)
    (layout,) = solve([Piece("a", 96, 50)], [Stock("s", 100, 100, None, 1.0)], options).layouts
    assert layout.root.cut == "horizontal"
    assert layout.root.low is not None
    assert (layout.root.low.width, layout.root.low.piece) == (100, "a")


def test_many_small_pieces_make_no_deep_tree() -> None:
    pieces = [Piece(f"{i}", 1, 1) for i in range(1500)]
    stocks = [Stock("strip", 1500, 1, None, 1.0)]
    solution = solve(pieces, stocks, Options(iterations=0))

    def depth(part: Part | None) -> int:
        return 1 + max(depth(part.low), depth(part.high)) if part else 0

    (layout,) = solution.layouts
    assert depth(layout.root) < 60
    assert len(layout.placements) == 1500


def _solved() -> tuple[list[Piece], list[Stock], Options, Solution]:
    pieces = [Piece("a", 6, 4), Piece("b", 3, 4), Piece("c", 5, 5, may_turn=False)]
    stocks = [Stock("s", 10, 10, None, 1.0)]
    options = Options(spacing=1)
    return pieces, stocks, options, solve(pieces, stocks, options)


def _with_layout(solution: Solution, layout: Layout) -> Solution:
    return replace(solution, layouts=(layout, *solution.layouts[1:]))


def _moved(placement: Placement) -> Placement:
    return replace(placement, x=placement.x + 1)


def test_the_verifier_can_fail() -> None:
    pieces, stocks, options, solution = _solved()
    verify(pieces, stocks, options, solution)
    layout = solution.layouts[0]
    first, *others = layout.placements
    spoiled = [
        _with_layout(solution, replace(layout, placements=(_moved(first), *others))),
        _with_layout(solution, replace(layout, placements=tuple(others))),
        _with_layout(solution, replace(layout, root=replace(layout.root, width=11))),
        replace(solution, bounds=(replace(solution.bounds[0], sheets=2),)),
        replace(solution, layouts=()),
    ]
    for wrong in spoiled:
        with pytest.raises(AssertionError):
            verify(pieces, stocks, options, wrong)
    with pytest.raises(AssertionError):
        verify(pieces, stocks, Options(spacing=3), solution)

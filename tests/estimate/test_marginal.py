"""Average marginal shares against games worked by hand, and against trying every order of arrival."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.estimate.marginal import MOST_EXACT, coalitions_wanted, marginal_shares, never_dearer


def by_every_order(players: int, costs: dict[int, int]) -> list[Fraction]:
    shares = [0] * players
    for order in itertools.permutations(range(players)):
        here = 0
        for player in order:
            shares[player] += costs[here | 1 << player] - costs.get(here, 0)
            here |= 1 << player
    return [Fraction(share, math.factorial(players)) for share in shares]


def runway(needs: list[int]) -> list[Fraction]:
    """What costs the most that anyone needs: each stretch is paid by those who need it, in equal parts.

    S. C. Littlechild and G. Owen, "A Simple Expression for the Shapley Value in a Special Case", Management Science
    20 (1973): landing fees. The formula is common knowledge of the field; the numbers below are worked by hand.
    """
    shares = [Fraction(0)] * len(needs)
    before = 0
    for level in sorted(set(needs)):
        users = [place for place, need in enumerate(needs) if need >= level]
        for place in users:
            shares[place] += Fraction(level - before, len(users))
        before = level
    return shares


def most(needs: list[int], mask: int) -> int:
    return max((need for place, need in enumerate(needs) if mask & 1 << place), default=0)


def test_three_needs_by_hand() -> None:
    """12, 24 and 30: 12/3 each; then 12/2 for two; then 6 for one: 4, 10, 16."""
    needs = [12, 24, 30]
    found = marginal_shares(3, lambda mask: most(needs, mask), 50)
    assert found.shares == (4, 10, 16)
    assert (found.orders, found.errors) == (None, (0.0, 0.0, 0.0))


def test_two_jobs_that_share_a_sheet_pay_half_of_what_they_save() -> None:
    """Alone 10 and 6, together 12: they save 4, two for each: 8 and 4."""
    assert marginal_shares(2, {1: 10, 2: 6, 3: 12}.__getitem__, 50).shares == (8, 4)


@settings(deadline=None, max_examples=40)
@given(
    st.integers(1, 5).flatmap(lambda n: st.tuples(st.just(n), st.lists(st.integers(0, 5000), min_size=31, max_size=31)))
)
def test_exact_shares_are_those_of_every_order(game: tuple[int, list[int]]) -> None:
    players, values = game
    costs = never_dearer(players, {mask: values[mask - 1] for mask in range(1, 1 << players)})
    found = marginal_shares(players, lambda mask: values[mask - 1], 50)
    assert list(found.shares) == by_every_order(players, costs)
    assert sum(found.shares) == costs[(1 << players) - 1]


def test_no_coalition_is_dearer_than_one_that_holds_it() -> None:
    assert never_dearer(2, {1: 9, 2: 3, 3: 5}) == {1: 5, 2: 3, 3: 5}


def test_eight_are_exact() -> None:
    needs = [5, 5, 8, 13, 21, 34, 55, 89]
    found = marginal_shares(MOST_EXACT, lambda mask: most(needs, mask), 50)
    assert list(found.shares) == runway(needs)
    assert found.orders is None


def test_more_than_eight_are_sampled_with_an_error_that_is_true() -> None:
    needs = [10 * place for place in range(1, 13)]
    exact = runway(needs)
    found = marginal_shares(12, lambda mask: most(needs, mask), 400)
    assert found.orders == 396
    assert sum(found.shares) == 120
    for share, error, truth in zip(found.shares, found.errors, exact, strict=True):
        assert 0 < error < 3
        assert abs(float(share - truth)) < 4 * error
    assert found == marginal_shares(12, lambda mask: most(needs, mask), 400)


def test_who_only_adds_his_own_pays_his_own_whatever_the_orders() -> None:
    own = [7 * place for place in range(9)]
    found = marginal_shares(9, lambda mask: sum(own[place] for place in range(9) if mask & 1 << place), 10)
    assert list(found.shares) == own
    assert max(found.errors) == pytest.approx(0)


@pytest.mark.parametrize("players", [3, MOST_EXACT, 11])
def test_what_is_wanted_is_what_is_asked_for(players: int) -> None:
    asked: list[int] = []
    marginal_shares(players, lambda mask: asked.append(mask) or mask.bit_count(), 40)
    assert coalitions_wanted(players, 40) == asked

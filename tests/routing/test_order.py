"""The order of runs: nothing lost, never more travel than by going to the nearest next, best possible when tiny."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.routing.order import Stop, nearest_next, short_way, way_of

places = st.tuples(st.floats(0, 10), st.floats(0, 10))
stops = st.builds(Stop, places, places, st.booleans(), st.integers(0, 3))


@settings(max_examples=100, deadline=None)
@given(given_stops=st.lists(stops, max_size=25))
def test_an_order_has_every_stop_once_and_finishes_pieces(given_stops: list[Stop]) -> None:
    tour = short_way(given_stops)
    assert sorted(number for number, _ in tour) == list(range(len(given_stops)))
    assert not any(turned and not given_stops[number].may_turn for number, turned in tour)
    pieces = [given_stops[number].piece for number, _ in tour]
    changes = sum(a != b for a, b in pairwise(pieces))
    assert changes == max(0, len(set(pieces)) - 1)
    assert way_of(given_stops, tour) <= way_of(given_stops, nearest_next(given_stops)) + 1e-6


def test_a_stop_is_turned_where_that_saves_way() -> None:
    pair = [Stop((0.0, 0.0), (0.0, 1.0), True), Stop((0.0, 0.0), (0.0, 0.0), True)]
    assert way_of(pair, short_way(pair)) == 0


def test_going_to_the_nearest_next_falls_into_the_known_trap_and_short_way_does_not() -> None:
    """On a line at 0, 1, -1.5, 4.5: nearest next goes to and fro."""
    row = [Stop((x, 0.0), (x, 0.0), False) for x in (0.0, 1.0, -1.5, 4.5)]
    assert way_of(row, nearest_next(row)) == pytest.approx(1 + 2.5 + 6)
    assert way_of(row, short_way(row)) == pytest.approx(6)

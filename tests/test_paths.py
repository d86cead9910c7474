"""Path data of whole units, written and read again."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from planner.paths import rings_of, shape_of_path, subpath

corners = st.lists(st.tuples(st.integers(-900, 900), st.integers(-900, 900)), min_size=3, max_size=9, unique=True)


@given(corners)
def test_what_is_written_is_read_again(points: list[tuple[int, int]]) -> None:
    ring = np.array([*points, points[0]])
    (found,) = rings_of(subpath(ring)) or []
    assert (found == ring).all()


@pytest.mark.parametrize("path", ["M0 0h4v4z", "M0 0l4 0 0 4", "M0 0l4z", "M0 0l4 0 0 4z x", "M0.5 0l4 0 0 4z"])
def test_other_paths_are_not_read(path: str) -> None:
    assert rings_of(path) is None
    with pytest.raises(ValueError, match="whole numbers"):
        shape_of_path(path, 1)


def test_a_ring_inside_a_ring_is_a_hole_and_one_in_the_hole_is_solid_again() -> None:
    squares = [np.array([(k, k), (9 - k, k), (9 - k, 9 - k), (k, 9 - k), (k, k)]) for k in range(3)]
    path = "".join(subpath(square) for square in reversed(squares))
    # 81 - 49 + 25 square units of 1/2 in by 1/2 in.
    assert shape_of_path(path, 0.5).area == pytest.approx((81 - 49 + 25) / 4)
    assert shape_of_path("", 0.5).is_empty


def test_a_ring_that_crosses_itself_is_solid_where_it_goes_round_once() -> None:
    bow = np.array([(0, 0), (4, 4), (4, 0), (0, 4), (0, 0)])
    assert shape_of_path(subpath(bow), 1).equals(
        Polygon([(0, 0), (2, 2), (0, 4)]).union(Polygon([(4, 0), (4, 4), (2, 2)]))
    )

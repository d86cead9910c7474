from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from planner.geometry import (
    area_of,
    grown,
    is_upright_rectangle,
    moved,
    plain,
    rectangle,
    shape_of,
    turned_quarter,
    union_of,
)

coordinates = st.floats(0, 10).map(lambda value: round(value, 3))
stars = st.lists(st.floats(0.2, 3), min_size=5, max_size=40).map(
    lambda radii: Polygon(
        [
            (radius * math.cos(2 * math.pi * n / len(radii)), radius * math.sin(2 * math.pi * n / len(radii)))
            for n, radius in enumerate(radii)
        ]
    )
)


@given(star=stars, distance=st.floats(0.01, 1))
def test_nothing_outside_a_grown_shape_is_nearer_than_the_distance(star: Polygon, distance: float) -> None:
    assume(star.is_valid)
    boundary = grown(star, distance).boundary
    assert boundary.distance(star) >= distance * (1 - 1e-9)
    # Not much further either: the chords are an honest approximation.
    assert max(Point(point).distance(star) for part in boundary.geoms for point in part.coords) <= distance * 1.006


@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
def test_quarter_turns_are_exact_and_stay_in_the_first_quadrant(quarters: int) -> None:
    shape = Polygon([(0.1, 0.2), (3.3, 0.2), (0.1, 4.7)])
    turned = turned_quarter(shape, quarters, 5, 7)
    width, height = (5, 7) if quarters % 2 == 0 else (7, 5)
    assert box(0, 0, width, height).covers(turned)
    assert turned.area == pytest.approx(shape.area, abs=1e-12)
    back = turned_quarter(turned, -quarters % 4, width, height)
    assert all(math.dist(a, b) < 1e-14 for a, b in zip(back.exterior.coords, shape.exterior.coords, strict=True))


def test_a_quarter_turn_goes_anticlockwise() -> None:
    # What was at the lower right comes to the upper right.
    assert turned_quarter(Point(5, 0), 1, 5, 7) == Point(7, 5)


def test_plain_shapes_come_back_and_are_written_alike() -> None:
    shape = box(0, 0, 4, 4).difference(box(1, 1, 2, 2)).union(box(8, 0, 9, 1))
    assert shape_of(plain(shape)).equals(shape)
    other = union_of([box(8, 0, 9, 1), box(0, 0, 4, 4).difference(box(1, 1, 2, 2))])
    assert plain(other) == plain(shape)
    assert plain(Polygon()) == ()


def test_crumbs_and_lines_are_no_area() -> None:
    assert area_of(LineString([(0, 0), (1, 1)])).is_empty
    assert area_of(box(0, 0, 1e-6, 1e-6)).is_empty


def test_upright_rectangles() -> None:
    assert is_upright_rectangle(rectangle(1, 2, 3, 4))
    assert not is_upright_rectangle(Polygon([(0, 1), (1, 0), (2, 1), (1, 2)]))
    assert not is_upright_rectangle(box(0, 0, 4, 4).difference(box(1, 1, 2, 2)))
    assert not is_upright_rectangle(union_of([box(0, 0, 1, 1), box(2, 0, 3, 1)]))
    assert moved(Point(0, 0), 1, 2) == Point(1, 2)

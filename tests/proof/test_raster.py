"""The proof's own raster against shapely's points and against distances measured one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from planner.proof.path_data import PathFault, rings_of
from planner.proof.raster import BLUR, Grid, edges_of, grid_over, squares_to, window

GRID = Grid(-1.0, -2.0, 0.0625, 60, 50)

coordinates = st.tuples(st.integers(-384, 768), st.integers(-640, 640)).map(
    lambda point: (point[0] / 256, point[1] / 256)
)


def middles(grid: Grid) -> tuple[np.ndarray, np.ndarray]:
    across = grid.left + (np.arange(grid.columns) + 0.5) * grid.step
    up = grid.bottom + (np.arange(grid.rows) + 0.5) * grid.step
    return np.meshgrid(across, up)


@given(st.lists(coordinates, min_size=3, max_size=9, unique=True))
def test_the_even_odd_rule_agrees_with_shapely(points: list[tuple[float, float]]) -> None:
    start = np.asarray(points)
    end = np.roll(start, -1, axis=0)
    shape = shapely.make_valid(Polygon(points))
    x, y = middles(GRID)
    inside = shapely.contains_xy(shape, x, y)
    beside = shapely.distance(shapely.points(x, y), LineString([*points, points[0]])) < 1e-9
    assert not ((GRID.enclosed(start, end) != inside) & ~beside).any()


@given(st.lists(coordinates, min_size=2, max_size=6, unique=True))
def test_a_touched_element_tells_the_distance_to_a_line_but_for_the_blur(points: list[tuple[float, float]]) -> None:
    line = LineString(points)
    inside = line.intersection(box(-1.0, -2.0, 2.125, 1.75))
    touched = GRID.touched(*edges_of(line))
    assert touched.any() == (not inside.is_empty) or inside.length < 1e-9
    if touched.any() and inside.length > 1e-9:
        x, y = middles(GRID)
        true = shapely.distance(shapely.points(x, y), inside) / GRID.step
        assert (np.abs(np.sqrt(squares_to(touched)) - true) <= BLUR + 1e-6).all()


@given(st.lists(st.tuples(st.integers(0, 39), st.integers(0, 29)), min_size=1, max_size=8))
def test_squares_are_those_of_the_nearest(places: list[tuple[int, int]]) -> None:
    mask = np.zeros((40, 30), dtype=bool)
    rows, columns = np.indices(mask.shape)
    for row, column in places:
        mask[row, column] = True
    wanted = np.min([(rows - row) ** 2 + (columns - column) ** 2 for row, column in places], axis=0)
    assert (squares_to(mask) == wanted).all()


def test_nothing_is_infinitely_far() -> None:
    assert squares_to(np.zeros((3, 4), dtype=bool)).min() >= 2**30


def test_areas_are_those_of_the_shapes() -> None:
    grid = grid_over((0.0, 0.0, 4.0, 4.0), 0.1, 1 / 200, 2_000_000)
    ring = Point(2, 2).buffer(1.5, quad_segs=64) - Point(2, 2).buffer(0.5, quad_segs=64)
    assert grid.area(grid.covered(ring)) == pytest.approx(math.pi * 2, rel=1e-3)
    assert grid.area(grid.under(ring)) < ring.area < grid.area(grid.over(ring))


def test_a_grid_has_no_more_elements_than_are_allowed() -> None:
    for width, height in ((3.0, 4.0), (1000.0, 0.01), (1e5, 1e5)):
        grid = grid_over((0.0, 0.0, width, height), 0.25, 1 / 600, 100_000)
        assert grid.rows * grid.columns <= 100_000 + grid.rows + grid.columns + 1
        assert grid.step * grid.columns >= width
        assert grid.step * grid.rows >= height


def test_a_part_of_a_grid_has_the_same_elements() -> None:
    shape = box(0.1, 0.2, 0.9, 1.1)
    little, rows, columns = GRID.part(shape.bounds)
    assert (little.covered(shape) == GRID.covered(shape)[rows, columns]).all()
    assert little.area(little.covered(shape)) == GRID.area(GRID.covered(shape))


def test_a_window_holds_all_of_a_mask() -> None:
    mask = np.zeros((20, 30), dtype=bool)
    mask[5:8, 9] = True
    assert window(mask, 1.5) == (slice(3, 10), slice(7, 12))


def test_path_data_is_added_up() -> None:
    first, second = rings_of("M-5,10l3 0 0-3-3 0z M1 1l2 0l0 2z")
    assert first.tolist() == [[-5, 10], [-2, 10], [-2, 7], [-5, 7]]
    assert second.tolist() == [[1, 1], [3, 1], [3, 3]]
    assert rings_of("") == []


@pytest.mark.parametrize("data", ["M0 0L1 1z", "M0 0", "M0 0l1 1", "m0 0l1 1z", "M0 0 1 1l1 1z", "M0 0lz", "1 1M0 0z"])
def test_other_path_data_is_refused(data: str) -> None:
    with pytest.raises(PathFault):
        rings_of(data)

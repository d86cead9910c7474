"""Edges close to fine detail: found where they are, with distance and thickness, the worst first."""

from __future__ import annotations

import pytest
from shapely import LineString, Point, box
from shapely.geometry import MultiPolygon

from planner.geometry import area_of, union_of
from planner.routing import router_work

from ..days import a_house
from .synthetic import plate_of

NOTHING = MultiPolygon()


def test_a_hairline_is_marked_with_its_distance_and_thickness() -> None:
    house = a_house()
    image = union_of([box(1, 1, 1.5, 3), box(2.5, 1, 2.508, 3)])
    work = router_work(plate_of(image, house, "4 x 4 in"), NOTHING, NOTHING, house)
    assert work.near
    for stretch in work.near:
        assert LineString(stretch.line).distance(box(2.5, 1, 2.508, 3)) < 1 / 16
        assert stretch.distance == pytest.approx(1 / 32, abs=5e-4)
        assert stretch.width == pytest.approx(0.008, rel=0.05)
    assert sum(LineString(stretch.line).length for stretch in work.near) == pytest.approx(4.3, abs=0.2)
    numbers = {piece.number for piece in work.pieces}
    assert {stretch.piece for stretch in work.near} <= numbers


def test_thick_shapes_and_their_square_corners_are_no_fine_detail() -> None:
    house = a_house()
    image = union_of([box(1, 1, 2, 2), Point(3, 3).buffer(0.4)])
    assert router_work(plate_of(image, house, "4 x 4 in"), NOTHING, NOTHING, house).near == ()


def test_the_nearest_comes_first_and_then_the_thinnest() -> None:
    house = a_house(routing={"clearance": "1/64 in", "cutters": ["1/4 in"]})
    image = area_of(union_of([box(1, 1, 1.012, 3), box(2.5, 1, 2.505, 3)]))
    work = router_work(plate_of(image, house, "4 x 4 in"), NOTHING, NOTHING, house)
    order = [(stretch.distance, stretch.width) for stretch in work.near]
    assert order == sorted(order)
    assert {round(width, 3) for _, width in order} == {0.005, 0.012}


def test_a_house_may_want_nothing_marked() -> None:
    house = a_house(routing={"near": "0 in"})
    assert router_work(plate_of(area_of(box(1, 1, 1.008, 3)), house, "4 x 4 in"), NOTHING, NOTHING, house).near == ()

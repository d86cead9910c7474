"""Holes that make no difference are filled, and thin parts are found: on their own, without a plate."""

from __future__ import annotations

import math

import pytest
from shapely import LineString, Point, box
from shapely.geometry import MultiPolygon

from planner.detail import parts_near, parts_on, thin_parts
from planner.geometry import area_of, union_of
from planner.routing.holes import without_holes_off, without_narrow_holes

FRAME = box(0, 0, 10, 10).difference(union_of([box(1, 1, 2, 8), box(4, 4, 9, 9)]))
ISLAND = box(1.2, 2, 1.8, 3)


def test_narrow_holes_are_filled_with_what_lies_in_them() -> None:
    shape = MultiPolygon([FRAME, ISLAND, box(5, 5, 6, 6)])
    filled = without_narrow_holes(shape, 1.5)
    assert filled.is_valid
    assert filled.equals(union_of([box(0, 0, 10, 10).difference(box(4, 4, 9, 9)), box(5, 5, 6, 6)]))
    assert without_narrow_holes(shape, 0.5) is shape
    # Grown by half the width, both are the same.
    assert filled.buffer(0.75).symmetric_difference(shape.buffer(0.75)).area < 1e-9


def test_only_holes_with_something_in_them_are_kept() -> None:
    shape = MultiPolygon([FRAME, ISLAND])
    kept = without_holes_off(shape, area_of(box(1.4, 4, 1.6, 5)))
    assert kept.equals(union_of([box(0, 0, 10, 10).difference(box(1, 1, 2, 8)), ISLAND]))
    assert without_holes_off(shape, MultiPolygon()).equals(box(0, 0, 10, 10))


def test_a_hairline_is_thin_from_end_to_end_and_a_disc_nowhere() -> None:
    hairline, disc = box(0, 0, 2, 0.01), Point(3, 3).buffer(0.5, quad_segs=64)
    assert [part.area for part in thin_parts([hairline, disc], 1 / 64)] == [pytest.approx(0.02)]


def test_a_serif_is_thin_up_to_what_it_hangs_on() -> None:
    (stem,) = union_of([box(0, 0, 1, 4), box(1, 2, 1.5, 2.01)]).geoms
    thin = [part for part in thin_parts([stem], 1 / 32) if part.area > 1e-3]
    assert len(thin) == 1
    # The disc that fits into the stem reaches a little way into the serif beside it.
    assert 1 < thin[0].bounds[0] < 1 + 1 / 64
    assert thin[0].bounds[2] == pytest.approx(1.5)


def test_what_is_left_of_a_square_corner_is_less_than_the_tip_beyond_a_disc() -> None:
    tips = thin_parts([box(0, 0, 1, 1)], 0.2)
    assert len(tips) == 4
    for tip in tips:
        assert 0.1 * 0.1**2 < tip.area < (1 - math.pi / 4) * 0.1**2


def test_parts_are_chosen_by_distance_and_cut_to_the_face() -> None:
    parts = [box(0, 0, 1, 1), box(5, 0, 6, 1), box(9, 0, 12, 1)]
    assert parts_near(parts, [LineString([(1.5, 0), (3, 0)]), LineString([(4.4, 5), (4.4, 0.5)])], 0.55) == parts[:1]
    assert parts_near(parts, [LineString([(4.5, 5), (4.5, 0.5)])], 0.55) == parts[1:2]
    assert parts_near([], [LineString([(0, 0), (1, 1)])], 1) == []
    assert [part.area for part in parts_on(parts, box(0, 0, 10, 10))] == [1, 1, 1]
    assert parts_on(parts[:2], box(0, 0, 10, 10)) == parts[:2]
    assert parts_on(parts[2:], box(0, 0, 8, 8)) == []

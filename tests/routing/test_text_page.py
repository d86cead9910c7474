"""A page of small type: shapes with very many corners, which have ways of their own through the room."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from shapely import MultiLineString, Point, Polygon, STRtree, box
from shapely.geometry import MultiPolygon

from planner.geometry import area_of, union_of
from planner.growing import grown_safely, simplified
from planner.plates import OrderedPlate
from planner.routing import RouterWork, router_work
from planner.routing.reach import centres_of

from ..days import a_house
from ..published.rasters import Grid
from .synthetic import a_page, plate_of

NOTHING = MultiPolygon()
HOUSE = a_house()


@cache
def page() -> tuple[OrderedPlate, RouterWork]:
    image = area_of(a_page(1, 16).intersection(box(0, 6.7, 4, 9.6)))
    plate = plate_of(area_of(shapely.transform(image, lambda points: points - [0, 6.6])), HOUSE, "4 x 3 in")
    return plate, router_work(plate, NOTHING, NOTHING, HOUSE)


def test_paths_sweep_the_zone_of_every_cutter() -> None:
    _, work = page()
    taken = [zone for zone in work.zones if zone.cutter is not None]
    assert len(taken) == 3
    for zone in taken:
        assert zone.cutter is not None
        paths = [path for piece in work.pieces if piece.cutter == zone.cutter for path in piece.paths]
        swept = MultiLineString(paths).buffer(zone.cutter / 2, quad_segs=32)
        assert zone.shape.difference(swept).area < 0.0012 * zone.shape.area


def test_zones_paths_and_whites_keep_the_clearance() -> None:
    plate, work = page()
    clearance = HOUSE.routing.clearance
    for piece in work.pieces:
        assert piece.shape.distance(plate.printing) >= clearance
        for path in piece.paths:
            assert shapely.LineString(path).distance(plate.printing) >= clearance + (piece.cutter or 0) / 2
    assert work.whites.distance(plate.printing) >= clearance
    for stretch in work.near:
        assert clearance <= stretch.distance <= HOUSE.routing.near
        assert shapely.LineString(stretch.line).distance(plate.printing) <= stretch.distance + 2e-6


def test_zones_leave_less_than_a_hundredth_of_what_a_distance_transform_calls_dead() -> None:
    """In dots of 1/600 in: on the plate, off print by the clearance, within half the least white of a place so far off.

    Source: `scipy.ndimage.distance_transform_edt` (SciPy 1.11 or later).
    """
    plate, work = page()
    half, clearance = HOUSE.routing.least_white / 2, HOUSE.routing.clearance
    # A corner of the page with the air round it; dots near the cut through the page are not counted.
    air, reach = 0.25, 2 * half
    grid = Grid(-air, -air, 2 + air, 1.5 + air, 600)
    seen = box(-air, -air, 2, 1.5)
    counted = grid.filled(rings_of(area_of(box(-air, -air, 2 - reach, 1.5 - reach).intersection(plate.face))))
    from_print = grid.distances(grid.filled(rings_of(area_of(plate.printing.intersection(seen)))))
    wide = grid.distances(from_print >= half) <= half
    true = counted & wide & (from_print > clearance)
    zones = counted & grid.filled(
        ring for zone in work.zones for ring in rings_of(area_of(zone.shape.intersection(seen)))
    )
    assert np.count_nonzero(zones & (from_print < clearance - 1 / 600)) == 0
    assert np.count_nonzero(true) > 0.3 * 600**2
    assert np.count_nonzero(true & ~zones) < 0.01 * np.count_nonzero(true)


def rings_of(shape: MultiPolygon) -> list[list[tuple[float, ...]]]:
    return [[*ring.coords] for part in shape.geoms for ring in (part.exterior, *part.interiors)]


def test_a_shape_with_many_corners_is_grown_never_by_less_and_hardly_by_more() -> None:
    image = page()[0].printing
    assert shapely.get_num_coordinates(image) > 5000
    letters = np.array(image.geoms)
    tree = STRtree(letters)
    for distance in (1 / 64, 1 / 32, 3 / 16):
        edge = grown_safely(image, distance).boundary
        places = shapely.points(shapely.get_coordinates(edge.segmentize(0.005)))
        _, away = tree.query_nearest(places, return_distance=True, all_matches=False)
        assert away.min() >= distance
        # Between two arcs an edge of chords goes on a little way until they meet.
        assert np.quantile(away, 0.99) <= distance + 1 / 1500


@pytest.mark.parametrize("radius", [1 / 8, 1 / 16, 1 / 32])
def test_middles_keep_their_radius_off_an_edge_with_many_corners_and_no_more(radius: float) -> None:
    dots = union_of(
        Point(x / 5, y / 5).buffer(0.03 + 0.004 * ((x * 7 + y * 3) % 5)) for x in range(20) for y in range(20)
    )
    room = box(-0.1, -0.1, 3.9, 3.9).difference(dots)
    assert shapely.get_num_coordinates(room) > 2000
    middles = centres_of(room, radius).shape
    if middles.is_empty:
        assert radius == 1 / 8
        return
    away = shapely.distance(shapely.points(shapely.get_coordinates(middles)), room.boundary)
    assert away.min() >= radius
    assert np.median(away) <= radius * 1.01
    assert middles.boundary.distance(room.boundary) == pytest.approx(radius, abs=1e-5)


def test_tiny_parts_and_thin_necks_are_not_lost_when_edges_are_simplified() -> None:
    chance = np.random.default_rng(4)
    for _ in range(300):
        steps = int(chance.integers(2, 7))
        across, up = np.sort(chance.uniform(1, 3, steps)), chance.uniform(-0.12, 0.12, steps)
        half = chance.uniform(0.001, 0.02)
        under = [(0, -1), (1, -1), *zip(across, up - half, strict=True), (3, -1), (4, -1)]
        over = [(4, 1), (3, 1), *zip(across[::-1], up[::-1] + half, strict=True), (1, 1), (0, 1)]
        neck = Polygon(under + over)
        if neck.is_valid:
            shape = MultiPolygon([neck, box(5, 0, 5.01, 0.01)])
            simple = simplified(shape, 0.1)
            assert simple.is_valid
            assert shape.difference(simple.buffer(0.1 + 1e-9, quad_segs=64)).is_empty
            assert simple.difference(shape.buffer(0.1 + 1e-9, quad_segs=64)).is_empty

"""The router's whole work on a plate: what must hold for every plate, and what its figures are made of."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiLineString, Point, Polygon, box, union_all
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.blanks import blanks_for
from planner.checks.routing import check_routing
from planner.house import House
from planner.metals import weight_of
from planner.orders import orders_from
from planner.plates import OrderedPlate, plates_of
from planner.routing import RouterWork, distances_for, router_work

from ..days import a_house, a_plate, days, rules_of
from .synthetic import a_drawing, a_silhouette, plate_of

NOTHING = MultiPolygon()


def flange_of(plate: OrderedPlate, house: House) -> BaseGeometry:
    return blanks_for([plate], rules_of(house), house)[plate.id].flange


def keeps_off(work: RouterWork, plate: OrderedPlate, house: House, standing: BaseGeometry) -> None:
    """Every path keeps radius and clearance from print, and its radius from metal that stands."""
    for piece in work.pieces:
        if piece.cutter is None:
            assert (piece.paths, piece.minutes) == ((), None)
            continue
        assert piece.paths, "every piece of a cutter's zone is taken by a path"
        paths = MultiLineString(piece.paths)
        if not plate.printing.is_empty:
            assert paths.distance(plate.printing) >= piece.cutter / 2 + house.routing.clearance
        if not standing.is_empty:
            assert paths.distance(standing) >= piece.cutter / 2


def uncovered(work: RouterWork) -> dict[float, float]:
    """By cutter: the part of its zone that its paths do not sweep."""
    found = {}
    for zone in work.zones:
        if zone.cutter is not None:
            paths = [path for piece in work.pieces if piece.cutter == zone.cutter for path in piece.paths]
            swept = MultiLineString(paths).buffer(zone.cutter / 2, quad_segs=32)
            found[zone.cutter] = zone.shape.difference(swept).area / zone.shape.area
    return found


@settings(max_examples=8, deadline=None)
@given(tables=days(), step_over=st.sampled_from([0.25, 0.5, 0.7, 0.9]))
def test_paths_sweep_their_zones_and_touch_nothing_that_stands(tables: dict[str, Any], step_over: float) -> None:
    house = a_house(routing={"step_over": step_over})
    for plate in {plate.name: plate for plate in plates_of(orders_from(tables, ""), house)}.values():
        flange = flange_of(plate, house)
        staying = box(0.3, 0.3, 0.6, 0.9).intersection(plate.face)
        work = router_work(plate, flange, staying, house)
        keeps_off(work, plate, house, union_all([flange, staying]))
        areas = sum(zone.shape.area for zone in work.zones)
        left = sum(uncovered(work)[zone.cutter] * zone.shape.area for zone in work.zones if zone.cutter)
        assert left <= 0.005 * areas


@pytest.mark.parametrize("step_over", [0.3, 0.5, 0.9])
def test_no_islands_are_left_whatever_the_step(step_over: float) -> None:
    house = a_house(routing={"step_over": step_over})
    plate = plate_of(a_silhouette(4, 5), house, "4 x 5 in", mounting="bevelled")
    flange = flange_of(plate, house)
    work = router_work(plate, flange, box(0.2, 0.2, 0.5, 0.5), house)
    keeps_off(work, plate, house, union_all([flange, box(0.2, 0.2, 0.5, 0.5)]))
    assert max(uncovered(work).values()) < 0.005


def test_line_art_is_taken_by_every_cutter_and_smaller_ones_do_not_repeat_larger_ones() -> None:
    house = a_house()
    plate = plate_of(a_drawing(5, 12, 4, 4), house, "4 x 4 in")
    work = router_work(plate, NOTHING, NOTHING, house)
    keeps_off(work, plate, house, NOTHING)
    assert max(uncovered(work).values()) < 0.01
    lengths = {zone.cutter: 0.0 for zone in work.zones}
    for piece in work.pieces:
        lengths[piece.cutter] += piece.length
    assert lengths[0.25] > 0
    pieces = [piece for piece in work.pieces if piece.cutter == 0.125]
    assert pieces
    # A cusp between two walls is run through once, with a way in and out no longer than the cutter is wide.
    for piece in pieces:
        assert piece.length < 3 * piece.shape.length + 2 * 0.125


def test_the_outermost_path_runs_with_the_cutters_edge_on_the_clearance() -> None:
    house = a_house(routing={"cutters": ["1/4 in"]})
    plate = a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=[{"kind": "line", "size": "2 x 2 in"}])
    work = router_work(plate, NOTHING, NOTHING, house)
    nearest = min(LineString(path).distance(plate.printing) for piece in work.pieces for path in piece.paths)
    assert nearest == pytest.approx(1 / 8 + 1 / 32, abs=2e-4)
    assert nearest >= 1 / 8 + 1 / 32


def test_figures_of_a_piece_are_those_of_its_paths() -> None:
    house = a_house(routing={"feed": "20 in", "travel": "100 in", "lift_seconds": 6})
    plate = plate_of(a_drawing(7, 10, 4, 4), house, "4 x 4 in")
    work = router_work(plate, NOTHING, NOTHING, house)
    assert [piece.number for piece in work.pieces] == list(range(1, len(work.pieces) + 1))
    assert [piece.cutter or 0 for piece in work.pieces] == sorted((p.cutter or 0 for p in work.pieces), reverse=True)
    here: dict[float | None, tuple[float, float]] = {}
    for piece in work.pieces:
        length = sum(math.dist(a, b) for path in piece.paths for a, b in pairwise(path))
        travel = 0.0
        for path in piece.paths:
            travel += math.dist(here[piece.cutter], path[0]) if piece.cutter in here else 0.0
            here[piece.cutter] = path[-1]
        assert piece.length == pytest.approx(length, abs=1e-4)
        assert piece.travel == pytest.approx(travel, abs=1e-4)
        assert piece.lifts == len(piece.paths)
        assert piece.chips == pytest.approx(weight_of("zinc", piece.shape.area, piece.depth))
        if piece.cutter is not None:
            assert piece.minutes == pytest.approx(length / 20 + travel / 100 + piece.lifts * 0.1, abs=1e-4)
    assert sum(piece.travel for piece in work.pieces) <= work.travel_nearest + 1e-9


def test_pieces_are_the_zones_and_whites_are_apart_from_them() -> None:
    house = a_house()
    bars = [{"kind": "line", "size": "1 x 4 in", "at": f"{x} in, 0 in"} for x in (0, 1.25, 2.75)]
    plate = a_plate(house, size="3 3/4 x 4 in", mounting="unmounted", negatives=bars)
    work = router_work(plate, NOTHING, NOTHING, house)
    for zone in work.zones:
        assert zone.shape.area == pytest.approx(sum(p.shape.area for p in work.pieces if p.cutter == zone.cutter))
        assert zone.shape.intersection(work.whites).area < 1e-9
    # The wide air reaches a little into the ends of the narrow white.
    middle = box(1, 0.5, 1.25, 3.5)
    assert work.whites.intersection(middle).area == pytest.approx((0.25 - 1 / 16) * 3, rel=1e-3)
    assert work.whites.difference(box(1, 0, 1.25, 4)).area < 1e-3


def test_a_path_begins_off_the_image_by_more_than_the_limit_where_there_is_room() -> None:
    house = a_house()
    plate = plate_of(a_silhouette(4, 5), house, "4 x 5 in", mounting="bevelled")
    work = router_work(plate, flange_of(plate, house), NOTHING, house)
    first = Point(work.pieces[0].paths[0][0])
    assert first.distance(plate.printing) > 2 * (1 / 8 + 1 / 32)


def test_depths_go_by_room_and_screen() -> None:
    house = a_house()
    wide = [{"kind": "line", "size": "1 x 4 in", "at": "0, 0 in"}]
    narrow = [{"kind": "line", "size": "3 1/2 x 4 in", "at": "0, 0 in"}]
    found = {}
    for name, negatives, screen in (("open", wide, None), ("line", narrow, None), ("halftone", narrow, 120)):
        more = {"screen": screen} if screen else {}
        plate = a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=negatives, **more)
        (piece,) = router_work(plate, NOTHING, NOTHING, house).pieces
        assert piece.depth_for == name
        found[name] = piece.depth
    assert found == {"open": 3 / 64, "line": 1 / 32, "halftone": 1 / 64}


def test_the_same_plate_gives_the_same_work() -> None:
    house = a_house()
    plate = plate_of(a_drawing(9, 8, 3, 3), house, "3 x 3 in", mounting="nailed")
    assert router_work(plate, NOTHING, NOTHING, house) == router_work(plate, NOTHING, NOTHING, house)


def test_distances_are_all_that_is_ever_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: set[float] = set()
    grown = OrderedPlate.printing_grown

    def noted(plate: OrderedPlate, distance: float) -> MultiPolygon:
        asked.add(distance)
        return grown(plate, distance)

    monkeypatch.setattr(OrderedPlate, "printing_grown", noted)
    houses: list[dict[str, Any]] = [
        {},
        {"routing": {"clearance": "1/4 in"}},
        {"routing": {"clearance": "0 in", "least_white": "0 in"}},
        {"routing": {"least_white": "0 in"}},
    ]
    for tables in houses:
        house = a_house(**tables)
        asked.clear()
        outline = {"points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 3 in"]}
        plate = a_plate(house, outline=outline, negatives=[{"kind": "line", "size": "1 x 1 in"}])
        router_work(plate, NOTHING, NOTHING, house)
        known = distances_for(house)
        # What is nearer than the least is answered by the least.
        assert {max(distance, min(known)) for distance in asked} <= set(known)
        assert min(known) >= min(house.routing.clearance, house.routing.least_white / 2)
        assert min(known) > 0


def test_a_rib_between_two_open_edges_is_taken() -> None:
    house = a_house(routing={"cutters": ["1/2 in"]})
    outline = {
        "points": ["0, 0 in", "2, 0 in", "2, 1 in", "4, 1 in", "4, 1 1/4 in", "2, 1 1/4 in", "2, 2 in", "0, 2 in"]
    }
    negatives = [{"kind": "line", "size": "1 x 1 in", "at": "1/2, 1/2 in"}]
    plate = a_plate(house, outline=outline, mounting="unmounted", negatives=negatives)
    work = router_work(plate, NOTHING, NOTHING, house)
    rib = Polygon([(2.5, 1), (4, 1), (4, 1.25), (2.5, 1.25)])
    assert work.zones[0].shape.intersection(rib).area == pytest.approx(rib.area, rel=1e-3)
    assert uncovered(work)[0.5] < 0.005


def test_routing_deeper_than_the_metal_is_a_stop() -> None:
    house = a_house()
    plate = a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=[{"kind": "line", "size": "1 x 1 in"}])
    assert list(check_routing(plate, router_work(plate, NOTHING, NOTHING, house), house)) == []
    deep = a_house(routing={"depth": {"open": "0.064 in"}})
    (found,) = check_routing(plate, router_work(plate, NOTHING, NOTHING, deep), deep)
    assert (found.code, found.severity, found.amount) == ("router.depth", "stop", 0.064)
    assert "open areas" in found.cure

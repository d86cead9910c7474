from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from shapely import Point, Polygon, box
from shapely.geometry import MultiPolygon

from planner.blanks import blanks_for
from planner.house import House
from planner.orders import orders_from
from planner.plates import plates_of
from planner.routing import Zone, dead_metal, zones_of

from ..days import a_house, a_plate, days, rules_of

NOTHING = MultiPolygon()


def zones(house: House, **keys: Any) -> list[Zone]:
    plate = a_plate(house, **keys)
    return zones_of(plate, blanks_for([plate], rules_of(house), house)[plate.id].flange, NOTHING, house.routing)


def test_a_plate_that_prints_all_over_has_no_dead_metal() -> None:
    assert zones(a_house(), size="3 x 4 in") == []


def test_a_wide_border_is_dead_up_to_the_clearance() -> None:
    house = a_house(routing={"clearance": "1/32 in"})
    plate = a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=[{"kind": "line", "size": "2 x 2 in"}])
    dead = dead_metal(plate, NOTHING, house.routing)
    rounded_off = (4 - math.pi) / 32**2
    assert dead.area == pytest.approx(16 - (2 + 1 / 16) ** 2 + rounded_off, abs=1e-3)


def test_whites_narrower_than_the_houses_width_are_left() -> None:
    bars = [{"kind": "line", "size": "1 x 4 in", "at": f"{x} in, 0 in"} for x in (0, 1.25, 2.75)]
    house = a_house(routing={"least_white": "3/8 in"})
    plate = a_plate(house, size="3 3/4 x 4 in", mounting="unmounted", negatives=bars)
    dead = dead_metal(plate, NOTHING, house.routing)
    assert not dead.intersects(box(1, 0.1, 1.25, 3.9))
    assert dead.contains(box(2.3, 0.1, 2.7, 3.9))


def test_the_largest_cutter_goes_first_and_each_takes_what_the_last_left() -> None:
    slots = {"points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
             "holes": [["1/2, 1/2 in", "3, 1/2 in", "3, 3 1/2 in", "1/2, 3 1/2 in"]]}  # fmt: skip
    house = a_house(routing={"cutters": ["1/8 in", "1/2 in"], "clearance": "0 in", "least_white": "0 in"})
    wide, narrow, by_hand = zones(house, size="4 x 4 in", negatives=[{"kind": "line", "outline": slots}])
    assert (wide.cutter, narrow.cutter, by_hand.cutter) == (0.5, 0.125, None)
    corner = 1 - math.pi / 4
    assert 7.5 - wide.shape.area == pytest.approx(4 * 0.25**2 * corner, rel=0.02)
    assert by_hand.shape.area == pytest.approx(4 * 0.0625**2 * corner, rel=0.2)


def test_a_cutter_may_run_off_an_edge_but_not_over_a_flange() -> None:
    strip = [{"kind": "line", "size": "4 x 3 1/2 in", "at": "0, 1/2 in"}]
    house = a_house(routing={"cutters": ["2 in"], "clearance": "0 in", "least_white": "1/4 in"})
    (zone,) = zones(house, size="4 x 4 in", mounting="unmounted", negatives=strip)
    assert zone.cutter == 2
    assert zone.shape.area == pytest.approx(2, abs=1e-6)
    (zone,) = zones(house, size="4 x 4 in", mounting="bevelled", negatives=strip)
    assert zone.cutter is None


def test_metal_that_must_stay_is_no_zone() -> None:
    house = a_house()
    plate = a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=[{"kind": "line", "size": "1 x 1 in"}])
    nail = Point(0.5, 0.5).buffer(0.2)
    for zone in zones_of(plate, NOTHING, nail, house.routing):
        assert zone.shape.intersection(nail).area < 1e-9


def test_a_mortise_is_open_air() -> None:
    frame = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["1, 1 in", "3, 1 in", "3, 3 in", "1, 3 in"]],
    }
    ring = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["0.9, 0.9 in", "3.1, 0.9 in", "3.1, 3.1 in", "0.9, 3.1 in"]],
    }
    for zone in zones(a_house(), outline=frame, mounting="unmounted", negatives=[{"kind": "line", "outline": ring}]):
        assert zone.shape.intersection(box(1, 1, 3, 3)).area < 1e-9
        assert zone.shape.within(Polygon(box(0.9, 0.9, 3.1, 3.1).exterior).buffer(1e-9))


@settings(max_examples=40, deadline=None)
@given(tables=days())
def test_no_zone_is_nearer_than_the_clearance_and_no_two_overlap(tables: dict[str, Any]) -> None:
    house = a_house()
    for plate in {plate.name: plate for plate in plates_of(orders_from(tables, ""), house)}.values():
        found = zones_of(plate, blanks_for([plate], rules_of(house), house)[plate.id].flange, NOTHING, house.routing)
        for number, zone in enumerate(found):
            assert zone.shape.is_valid
            assert zone.shape.difference(plate.face).area < 1e-9
            if not plate.printing.is_empty:
                assert zone.shape.distance(plate.printing) >= house.routing.clearance - 1e-9
            for other in found[number + 1 :]:
                assert zone.shape.intersection(other.shape).area < 1e-9

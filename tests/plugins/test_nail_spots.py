"""Places for nails: room for each, far apart, the plate's middle between them, and findings where that fails."""

from __future__ import annotations

from itertools import combinations
from math import dist
from typing import Any

import pytest
from flatwright_rules import nail_spots
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPoint, Point, box
from shapely.geometry import MultiPolygon

from planner.hookspecs import Finding, OrderedPlate
from planner.routing import Nails, RouterWork, metal_of, router_work

from ..days import a_house, a_plate

NOTHING = MultiPolygon()
HOUSE = a_house()
DISC = 3 / 16
"""Head and clearance on both sides in the usual house."""


SETTINGS = nail_spots.NailSettings()


def nailed(**keys: Any) -> tuple[Any, RouterWork]:
    plate = a_plate(HOUSE, **{"mounting": "nailed", **keys})
    metal = metal_of(plate, HOUSE.routing)
    spots = nail_spots.flatwright_staying_metal(plate, metal.dead, NOTHING, SETTINGS)
    nails = Nails(tuple((spot.x, spot.y) for spot in spots), SETTINGS.width)
    return plate, router_work(plate, NOTHING, NOTHING, HOUSE, nails, metal)


def found_on(plate: OrderedPlate, work: RouterWork) -> list[Finding]:
    return list(nail_spots.flatwright_inspect_plate(plate, work, SETTINGS))


@settings(max_examples=25, deadline=None)
@given(
    width=st.integers(2, 9), height=st.integers(2, 9), across=st.floats(0.3, 1), up=st.floats(0.3, 1),
    corner=st.booleans(),
)  # fmt: skip
def test_nails_have_room_and_zones_keep_off_them(
    width: int, height: int, across: float, up: float, corner: bool
) -> None:
    outline = {"points": ["0, 0 in", f"{width}, 0 in", f"{width}, {height} in", f"0.5, {height} in", "0, 1 in"]}
    at = {"at": "0, 0 in"} if corner else {}
    image = {"kind": "line", "size": f"{width * across:.3f} x {height * up:.3f} in", **at}
    plate, work = nailed(outline=outline, negatives=[image])
    assert work.nails.width == DISC
    for spot in map(Point, work.nails.at):
        assert plate.face.contains(spot)
        assert spot.distance(plate.face.boundary) >= DISC / 2
        assert spot.distance(plate.printing) >= DISC / 2
        for zone in work.zones:
            assert zone.shape.distance(spot) >= DISC / 2
        for piece in work.pieces:
            for path in piece.paths:
                assert MultiPoint(path).distance(spot) >= DISC / 2 + (piece.cutter or 0) / 2
    assert all(dist(*pair) >= DISC for pair in combinations(work.nails.at, 2))


def test_a_wide_border_gets_a_nail_in_each_corner_and_more_along_long_sides() -> None:
    plate, work = nailed(size="4 x 12 in", negatives=[{"kind": "line", "size": "2 x 10 in"}])
    for corner in ((0, 0), (4, 0), (0, 12), (4, 12)):
        assert min(dist(corner, spot) for spot in work.nails.at) < 0.2
    for along in range(13):
        for edge in ((0, along), (4, along)):
            assert min(dist(edge, spot) for spot in work.nails.at) <= 3.0
    assert MultiPoint(work.nails.at).convex_hull.contains(plate.face.centroid)
    assert found_on(plate, work) == []


@pytest.mark.parametrize("mounting", ["flush", "bevelled", "unmounted"])
def test_other_plates_get_no_nails(mounting: str) -> None:
    plate, work = nailed(size="4 x 4 in", mounting=mounting, negatives=[{"kind": "line", "size": "1 x 1 in"}])
    assert work.nails.at == ()
    assert found_on(plate, work) == []


def test_no_room_for_a_nail_is_a_stop_with_the_cure() -> None:
    plate, work = nailed(size="4 x 4 in", negatives=[{"kind": "line", "size": "3.8 x 3.8 in"}])
    (found,) = found_on(plate, work)
    assert (found.code, found.severity) == ("nail.no-room", "stop")
    assert "flush" in found.cure


def test_nails_on_one_side_only_are_warned_of() -> None:
    image = {"kind": "line", "size": "4 x 3 1/2 in", "at": "0, 0 in"}
    plate, work = nailed(size="4 x 4 in", negatives=[image])
    assert len(work.nails.at) >= 4
    (found,) = found_on(plate, work)
    assert (found.code, found.severity) == ("nail.few", "warn")
    assert "middle" in found.message


def test_nails_go_into_narrow_whites_only_where_dead_metal_does_not_do() -> None:
    bars = [{"kind": "line", "size": "1 x 4 in", "at": f"{x} in, 0 in"} for x in (0, 1.25, 2.5)]
    plate, work = nailed(size="3 1/2 x 4 in", negatives=bars)
    assert work.nails.at
    assert all(work.whites.buffer(0.2).contains(Point(spot)) for spot in work.nails.at)
    wide, in_dead = nailed(size="4 x 4 in", negatives=[{"kind": "line", "size": "2 x 2 in"}])
    assert not any(box(0.9, 0.9, 3.1, 3.1).contains(Point(spot)) for spot in in_dead.nails.at)
    assert len(in_dead.nails.at) >= 4
    assert wide.mounting == plate.mounting


def test_nails_go_into_no_tint() -> None:
    outline = {"points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 3 in"]}
    image = {"kind": "line", "size": "1 x 1 in", "at": "1/2, 1/2 in"}
    tint = {"pattern": "dots", "size": "1 x 1 in", "at": "2, 1 in"}
    _, work = nailed(outline=outline, negatives=[image], tints=[tint])
    assert len(work.nails.at) >= 4
    for spot in map(Point, work.nails.at):
        assert spot.distance(box(2, 1, 3, 2)) >= DISC / 2
        assert work.nails.discs.covers(spot.buffer(DISC / 2))
        assert all(zone.shape.distance(spot) >= DISC / 2 for zone in work.zones)

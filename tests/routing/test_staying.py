"""Metal that is not dead: tint areas stand at printing height, rules' metal stays, nails keep theirs."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw
from shapely import LineString, Point, box, union_all
from shapely.geometry import MultiPolygon

from planner.house import House
from planner.orders import read_orders
from planner.plates import OrderedPlate, plates_of
from planner.routing import RouterWork, dead_metal, distances_for, router_work

from ..days import a_house, a_plate

NOTHING = MultiPolygon()
TINT = {"pattern": "dots", "size": "1 x 2 in", "at": "2 1/2, 1 in"}
TINTED = box(2.5, 1, 3.5, 3)


def clear_of(work: RouterWork, standing: Any, clearance: float) -> None:
    """Zones, whites and paths keep a clearance, and cutters their radius as well, from what stands."""
    assert work.pieces
    for piece in work.pieces:
        assert piece.shape.distance(standing) >= clearance
        for path in piece.paths:
            assert LineString(path).distance(standing) >= clearance + (piece.cutter or 0) / 2
    assert work.whites.is_empty or work.whites.distance(standing) >= clearance


def drawn_plate(house: House, **keys: Any) -> OrderedPlate:
    negatives = [{"kind": "line", "size": "1 x 1 in", "at": "1/2, 1/2 in"}]
    return a_plate(house, size="4 x 4 in", mounting="unmounted", negatives=negatives, **keys)


@pytest.mark.parametrize("clearance", ["0 in", "1/32 in", "1/8 in"])
def test_a_tint_stands_like_print_with_the_clearance_round_it(clearance: str) -> None:
    house = a_house(routing={"clearance": clearance})
    distance = house.routing.clearance
    plate = drawn_plate(house, tints=[TINT])
    clear_of(router_work(plate, NOTHING, NOTHING, house), TINTED, distance)
    without = dead_metal(drawn_plate(house), NOTHING, house.routing).area
    # Steiner's formula: what the tint takes with the clearance round it.
    taken = 2 + 6 * distance + math.pi * distance**2
    assert without - dead_metal(plate, NOTHING, house.routing).area == pytest.approx(taken, rel=2e-3)


@pytest.mark.parametrize("clearance", ["1/64 in", "1/16 in"])
def test_a_tint_beside_art_stands_as_well(tmp_path: Path, clearance: str) -> None:
    picture = Image.new("1", (1200, 1200), 1)
    ImageDraw.Draw(picture).ellipse((150, 750, 450, 1050), fill=0)
    picture.save(tmp_path / "disc.png", dpi=(300, 300))
    order = tmp_path / "orders.toml"
    order.write_text(
        '[[jobs]]\nnumber = "1"\n[[jobs.plates]]\nname = "Cut"\nmetal = "zinc"\nsize = "4 x 4 in"\n'
        'mounting = "unmounted"\nnegatives = [{kind = "line", art = "disc.png"}]\n'
        'tints = [{pattern = "dots", size = "1 x 2 in", at = "2 1/2, 1 in"}]\n'
    )
    house = a_house(routing={"clearance": clearance})
    (plate,) = plates_of(read_orders(order), house, distances_for(house))
    clear_of(router_work(plate, NOTHING, NOTHING, house), union_all([TINTED, Point(1, 1).buffer(0.49)]), 0.0)
    clear_of(router_work(plate, NOTHING, NOTHING, house), TINTED, house.routing.clearance)


def test_a_tint_over_the_whole_plate_leaves_nothing_dead() -> None:
    house = a_house()
    plate = drawn_plate(house, tints=[{"pattern": "dots"}])
    assert router_work(plate, NOTHING, NOTHING, house).zones == ()


def test_metal_that_a_rule_keeps_stays_without_a_clearance_of_its_own() -> None:
    house = a_house()
    ring = Point(3, 3).buffer(0.5).difference(Point(3, 3).buffer(0.25))
    plate = drawn_plate(house)
    work = router_work(plate, NOTHING, ring, house)
    clear_of(work, ring, 0.0)
    assert min(piece.shape.distance(ring) for piece in work.pieces) == pytest.approx(0, abs=1e-6)

"""Dead metal and what a cutter reaches of it, against closed formulas and against distance transforms in dots.

The definition in dots: white is what does not print, with the air round the plate; the white that a disc as wide as
the least white sweeps is wide enough to route; dead is what lies there farther from print than the clearance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from shapely.geometry import MultiPolygon
from skimage import morphology

from planner.blanks import blanks_for
from planner.house import House
from planner.plates import OrderedPlate
from planner.routing import router_work, zones_of
from planner.routing.zones import Zone, dead_metal
from planner.rules import load_rules

from .rasters import Corner, Dots, Grid, coins, from_corner, horse, path_data
from .shop import DEFAULTS, house_with, plate_from

NOTHING = MultiPolygon()


def routing(clearance: str, least_white: str, cutters: list[str]) -> House:
    return house_with(routing={"clearance": clearance, "least_white": least_white, "cutters": cutters})


def line_plate(size: str, image: dict[str, Any], house: House, **more: Any) -> OrderedPlate:
    return plate_from({"size": size, "mounting": "unmounted", "negatives": [{"kind": "line", **image}], **more}, house)


@pytest.mark.parametrize("clearance", ["1/32 in", "1/8 in", "1/2 in"])
def test_metal_round_a_rectangle_follows_steiners_formula(clearance: str) -> None:
    """A convex figure of area A and girth L, grown by d, has the area A + L d + pi d squared.

    Source: J. Steiner, Ueber parallele Flaechen, 1840; L. A. Santalo, Integral Geometry and Geometric Probability,
    1976, chapter I.1 (both from memory).
    """
    house = routing(clearance, "3/8 in", ["1/4 in"])
    distance = house.routing.clearance
    plate = line_plate("5 x 4 in", {"size": "2 x 1 in", "at": "1.5, 1.5 in"}, house)
    expected = 20 - (2 + 6 * distance + math.pi * distance**2)
    found = dead_metal(plate, NOTHING, house.routing).area
    assert found == pytest.approx(expected, rel=1e-3)
    assert found <= expected + 1e-9, "the clearance is never less than it says"


@pytest.mark.parametrize("clearance", ["1/32 in", "1/4 in"])
def test_metal_round_a_disc(clearance: str) -> None:
    """A disc of radius r leaves what lies outside radius r + d. Source: Steiner, 1840, as for the rectangle."""
    house = routing(clearance, "3/8 in", ["1/4 in"])
    radius = 1 + house.routing.clearance
    disc = {"path": "M1 0A1 1 0 0 1 -1 0A1 1 0 0 1 1 0z", "unit": "in"}
    plate = line_plate("4 x 4 in", {"outline": disc, "at": "1, 1 in"}, house)
    assert dead_metal(plate, NOTHING, house.routing).area == pytest.approx(16 - math.pi * radius**2, rel=1e-3)


WINDOW = {"path": "M0 0H4V4H0zM1 1H3V3H1z", "unit": "in"}
IN_A_CORNER = 1 - math.pi / 4
"""What a round cutter of radius 1 leaves in a right corner: the unit square less a quarter of the disc."""


def test_round_cutters_leave_the_corners_of_a_window() -> None:
    """In each right corner a cutter of radius r leaves r squared (1 - pi / 4), for the next smaller one.

    Source: a square less the quarter of a disc; Archimedes, Measurement of a Circle, proposition 1.
    """
    house = routing("0 in", "0 in", ["1/2 in", "1/4 in"])
    plate = line_plate("4 x 4 in", {"outline": WINDOW}, house)
    large, small, by_hand = zones_of(plate, NOTHING, NOTHING, house.routing)
    assert (large.cutter, small.cutter, by_hand.cutter) == (0.5, 0.25, None)
    assert 4 - large.shape.area == pytest.approx(4 * IN_A_CORNER / 16, rel=0.01)
    assert small.shape.area == pytest.approx(4 * IN_A_CORNER * (1 / 16 - 1 / 64), rel=0.02)
    # The cusps of the four corners taper to nothing, so hand tools get a little less than all of them.
    assert 0.8 * 4 * IN_A_CORNER / 64 < by_hand.shape.area <= 4 * IN_A_CORNER / 64 * 1.01


def test_whites_that_need_no_routing_round_the_corners_of_a_window() -> None:
    """A white 3/8 in wide is let stand, so in a corner stays what a disc of radius 3/16 in cannot sweep.

    Source: a square less the quarter of a disc, with r = 3/16 in; which whites need no routing is the house's habit.
    """
    house = routing("0 in", "3/8 in", ["1/4 in"])
    plate = line_plate("4 x 4 in", {"outline": WINDOW}, house)
    assert dead_metal(plate, NOTHING, house.routing).area == pytest.approx(
        4 - 4 * IN_A_CORNER * (3 / 16) ** 2, rel=1e-3
    )
    wide = routing("0 in", "2 1/64 in", ["1/4 in"])
    assert dead_metal(plate, NOTHING, wide.routing).area == 0, "a window narrower than the least white is left"


def test_flange_keeps_the_cutter_out_of_the_corners_of_the_plate() -> None:
    """A cutter runs freely over an open edge, and against a flange leaves r squared (1 - pi / 4) in every corner.

    Source: a square less the quarter of a disc, with r = 1/8 in; that the flange must stay is common practice.
    """
    house = routing("1/32 in", "3/8 in", ["1/4 in"])
    image = {"size": "2 x 1 in", "at": "1.5, 1.5 in"}
    bevelled = line_plate("5 x 4 in", image, house, mounting="bevelled")
    open_edged = line_plate("5 x 4 in", image, house)
    flange = blanks_for([bevelled], load_rules(house, DEFAULTS), house)[bevelled.id].flange
    dead = dead_metal(bevelled, NOTHING, house.routing).area
    inside = zones_of(bevelled, flange, NOTHING, house.routing)
    running_over = zones_of(open_edged, NOTHING, NOTHING, house.routing)
    assert running_over[0].shape.area == pytest.approx(dead, abs=1e-6)
    assert dead - inside[0].shape.area == pytest.approx(4 * IN_A_CORNER / 64, rel=0.02)


PER_INCH = 300
CLEARANCE = 1 / 32
LEAST_WHITE = 3 / 8
CUTTERS = (1 / 4, 1 / 8, 1 / 16)
USUAL = house_with()


@dataclass(frozen=True)
class Sample:
    """A public picture as a silhouette on a plate: the tool's zones, and the dots they are compared with."""

    plate: OrderedPlate
    zones: list[Zone]
    dead: MultiPolygon
    grid: Grid
    dots_of_plate: Dots
    printing: Dots
    from_print: np.ndarray[Any, np.dtype[np.float64]]


@cache
def sample(name: str) -> Sample:
    """Lay a picture on a plate with a quarter of an inch round it, in the tool and in dots."""
    at: Corner = (0.25, 0.25)
    rings = from_corner([horse(2.5)] if name == "horse" else coins(3.0), at)
    width = math.ceil((max(x for ring in rings for x, _ in ring) + 0.25) * 4) / 4
    height = math.ceil((max(y for ring in rings for _, y in ring) + 0.25) * 4) / 4
    image = {"kind": "silhouette", "outline": {"path": path_data(rings), "unit": "in"}, "at": f"{at[0]}, {at[1]} in"}
    size = f"{width} x {height} in"
    plate = plate_from({"size": size, "mounting": "unmounted", "screen": 110, "negatives": [image]}, USUAL)
    air = 1 / 2
    grid = Grid(-air, -air, width + 2 * air, height + 2 * air, PER_INCH)
    printing = grid.filled(rings)
    return Sample(
        plate,
        zones_of(plate, NOTHING, NOTHING, USUAL.routing),
        dead_metal(plate, NOTHING, USUAL.routing),
        grid,
        grid.filled([[(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]]),
        printing,
        grid.distances(printing),
    )


def dead_dots(there: Sample) -> Dots:
    wide = morphology.isotropic_opening(~there.printing, LEAST_WHITE / 2 * PER_INCH)
    return np.asarray(wide & there.dots_of_plate & (there.from_print > CLEARANCE))


SAMPLES = ["horse", "coins"]


@pytest.mark.parametrize("name", SAMPLES)
def test_dead_metal_of_a_silhouette_is_what_the_dots_say(name: str) -> None:
    """Area within 1 %, and dot by dot within 1.5 % of it.

    Sources: pictures `skimage.data.horse` and `skimage.data.coins`; opening by
    `skimage.morphology.isotropic_opening` (scikit-image 0.24 or later), clearance by
    `scipy.ndimage.distance_transform_edt` (SciPy 1.11 or later).
    """
    there = sample(name)
    expected = dead_dots(there)
    assert there.dead.area == pytest.approx(there.grid.area(expected), rel=0.01)
    assert there.dead.area > 1, "there is something to compare"
    rings = [[*ring.coords] for part in there.dead.geoms for ring in (part.exterior, *part.interiors)]
    # Every fifth dot each way: the middle dot of five is the centre of a dot five times as large.
    coarse = replace(there.grid, per_inch=PER_INCH // 5).filled(rings)
    assert np.count_nonzero(coarse ^ expected[2::5, 2::5]) < 0.015 * np.count_nonzero(coarse)


@pytest.mark.parametrize("name", SAMPLES)
def test_no_zone_comes_nearer_to_print_than_the_clearance(name: str) -> None:
    """Along the edge of every zone the distance transform of the printing dots is the clearance or more.

    Sources: `skimage.data.horse`, `skimage.data.coins`; `scipy.ndimage.distance_transform_edt` (SciPy).
    """
    there = sample(name)
    for zone in there.zones:
        edges = [ring for part in zone.shape.geoms for ring in (part.exterior, *part.interiors)]
        points = [point for ring in edges for point in ring.segmentize(1 / 50).coords]
        nearest = there.grid.sampled(there.from_print, points).min()
        # A dot's centre stands for the whole dot: the measure is good to a dot's diagonal.
        assert nearest >= CLEARANCE - math.sqrt(2) / PER_INCH


@pytest.mark.parametrize("name", SAMPLES)
def test_cutters_reach_what_the_opening_in_dots_reaches(name: str) -> None:
    """All cutters down to one of a diameter take the dead metal in the opening of their room by its radius.

    Sources: `skimage.data.horse`, `skimage.data.coins`; `skimage.morphology.isotropic_opening` (scikit-image).
    """
    there = sample(name)
    dead = dead_dots(there)
    room = there.from_print > CLEARANCE
    taken = 0.0
    for diameter in CUTTERS:
        taken += sum(zone.shape.area for zone in there.zones if zone.cutter == diameter)
        reached = morphology.isotropic_opening(room, diameter / 2 * PER_INCH) & dead
        assert taken == pytest.approx(there.grid.area(reached), rel=0.01)
    by_hand = sum(zone.shape.area for zone in there.zones if zone.cutter is None)
    assert 0 <= there.dead.area - taken - by_hand < 0.005 * there.dead.area, "nothing but slivers is in no zone"


def test_zones_leave_less_than_a_hundredth_of_the_true_ones_at_1200_dots() -> None:
    """No dot of a zone is nearer to print than the clearance, and all zones together lack under 1 % of the true one.

    The true one, in dots of 1/1200 in: within half the least white of a dot at least that far from print, on the
    plate, and farther from print than the clearance.

    Sources: picture `skimage.data.horse`; `scipy.ndimage.distance_transform_edt` (SciPy 1.11 or later).
    """
    rings = from_corner([horse(1.0)], (0.25, 0.25))
    image = {"kind": "silhouette", "outline": {"path": path_data(rings), "unit": "in"}, "at": "0.25, 0.25 in"}
    plate = plate_from(
        {"size": "1 1/2 x 1 1/4 in", "mounting": "unmounted", "screen": 110, "negatives": [image]}, USUAL
    )
    air = 0.25
    grid = Grid(-air, -air, 1.5 + 2 * air, 1.25 + 2 * air, 1200)
    from_print = grid.distances(grid.filled(rings))
    wide = grid.distances(from_print >= LEAST_WHITE / 2) <= LEAST_WHITE / 2
    on_plate = grid.filled([[(0.0, 0.0), (1.5, 0.0), (1.5, 1.25), (0.0, 1.25)]])
    true = wide & on_plate & (from_print > CLEARANCE)
    work = router_work(plate, NOTHING, NOTHING, USUAL)
    edges = [
        [*ring.coords] for zone in work.zones for part in zone.shape.geoms for ring in (part.exterior, *part.interiors)
    ]
    zones = grid.filled(edges)
    nearest = grid.sampled(from_print, [point for edge in edges for point in edge]).min()
    assert nearest >= CLEARANCE - math.sqrt(2) / 1200
    assert grid.area(true) > 0.5
    assert np.count_nonzero(true & ~zones) < 0.01 * np.count_nonzero(true)


@pytest.mark.parametrize(("width", "cutters"), [("1/2 in", [0.25]), ("3/16 in", [0.125]), ("1/32 in", [None])])
def test_a_slot_is_taken_by_the_largest_cutter_that_goes_into_it(width: str, cutters: list[float | None]) -> None:
    """A slot of width w closed at both ends is swept by a disc of diameter d <= w but for r squared (4 - pi).

    Source: a rectangle less the discs in its four corners; Archimedes, Measurement of a Circle, proposition 1.
    """
    house = routing("0 in", "0 in", ["1/4 in", "1/8 in"])
    wide = {"1/2 in": 0.5, "3/16 in": 0.1875, "1/32 in": 0.03125}[width]
    slot = {"path": f"M0 0H4V2H0zM1 0.5H3V{0.5 + wide}H1z", "unit": "in"}
    plate = line_plate("4 x 2 in", {"outline": slot}, house)
    work = router_work(plate, NOTHING, NOTHING, house)
    first = work.zones[0]
    assert [first.cutter] == cutters
    radius = (first.cutter or 0) / 2
    assert first.shape.area == pytest.approx(2 * wide - (4 - math.pi) * radius**2, rel=2e-3)

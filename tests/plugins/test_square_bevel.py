from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest
from flatwright_rules import square_bevel
from flatwright_rules.square_bevel import BevelSettings
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

from planner.geometry import shape_of
from planner.plan import MarkRecord, Plan
from planner.testing import a_day, findings_of, marks_of, planned, steps_of

from ..days import a_plate, plates
from ..rules_written import forgotten, written

SETTINGS = BevelSettings.model_validate({})


def codes(**plate: Any) -> list[str]:
    return [finding.code for finding in square_bevel.flatwright_inspect_plate(a_plate(**plate), SETTINGS)]


def points(shape: Polygon) -> dict[str, Any]:
    """The outline of an order, moved to the origin."""
    left, bottom, _, _ = shape.bounds
    there = affinity.translate(shape, -left, -bottom)
    return {"points": [f"{x:.9f}, {y:.9f} in" for x, y in there.exterior.coords[:-1]]}


def drawn(plan: Plan, kind: str) -> list[MarkRecord]:
    return [mark for mark in marks_of(plan, "square-bevel") if mark.kind == kind]


def boxes(mark: MarkRecord) -> list[tuple[float, ...]]:
    """The bounds of a mark's lines."""
    return [tuple(round(bound, 9) for bound in Polygon(line).bounds) for line in mark.lines]


def test_shoulder_and_flange_lie_on_all_four_sides() -> None:
    shoulder, flange = square_bevel.flatwright_margins(a_plate(size="3 x 4 in"), SETTINGS)
    assert (shoulder.kind, shoulder.left, shoulder.top) == ("shoulder", 1 / 32, 1 / 32)
    assert (flange.kind, flange.right, flange.bottom) == ("flange", 1 / 8, 1 / 8)


@pytest.mark.parametrize("mounting", ["flush", "nailed", "unmounted"])
def test_other_mountings_get_no_flange(mounting: str) -> None:
    assert square_bevel.flatwright_margins(a_plate(size="3 x 4 in", mounting=mounting), SETTINGS) == []
    assert codes(size="3 x 4 in", mounting=mounting) == []
    plan = planned(a_day({"size": "3 x 4 in", "mounting": mounting}), square_bevel, {"price": "0.02"}, alone=True)
    assert marks_of(plan, "square-bevel") == []
    assert steps_of(plan, "square-bevel") == []
    assert plan.plates[0].charges == ()


def test_a_bevel_needs_four_square_edges_and_there_are_two_cures() -> None:
    notched = {"points": ["0, 0 in", "4, 0 in", "4, 1 in", "2, 1 in", "2, 3 in", "0, 3 in"]}
    plate = a_plate(outline=notched, mounting="bevelled")
    assert square_bevel.flatwright_margins(plate, SETTINGS) == []
    (finding,) = square_bevel.flatwright_inspect_plate(plate, SETTINGS)
    assert (finding.code, finding.severity) == ("bevel.not-square", "stop")
    # 4 x 1 and 2 x 2 are there, of 4 x 3.
    assert finding.cure == "mount it flush, glued on its 8.00 sq in; or square it up to 4 x 3 in, 4.00 sq in more"
    assert finding.amount == pytest.approx(4)


def test_a_turned_rectangle_cannot_be_bevelled_and_has_a_cure_of_its_own() -> None:
    # 4 x 3 in, turned so that its sides run 4 across and 3 up: a triangle of 3, 4, 5.
    turned = {"points": ["1.8, 0 in", "5, 2.4 in", "3.2, 4.8 in", "0, 2.4 in"]}
    (finding,) = square_bevel.flatwright_inspect_plate(a_plate(outline=turned, mounting="bevelled"), SETTINGS)
    assert (finding.code, finding.severity) == ("bevel.askew", "stop")
    assert "turned by 36.9 degrees anticlockwise" in finding.message
    assert finding.cure.startswith("order it upright: size 4 x 3 in")
    assert finding.amount == pytest.approx(math.degrees(math.atan(3 / 4)))


@settings(max_examples=30, deadline=None)
@given(st.integers(16, 128), st.integers(16, 128), st.integers(-44, 44).filter(bool))
def test_any_turned_rectangle_is_known_by_its_size_and_its_turning(width: int, height: int, degrees: int) -> None:
    shape = affinity.rotate(box(0, 0, width / 16, height / 16), degrees, origin=(0, 0))
    (finding,) = square_bevel.flatwright_inspect_plate(a_plate(outline=points(shape), mounting="bevelled"), SETTINGS)
    assert finding.code == "bevel.askew"
    assert finding.amount == pytest.approx(abs(degrees), abs=1e-4)
    assert ("anti" in finding.message) == (degrees > 0)
    upright = a_plate(size=f"{width / 16} x {height / 16} in")
    assert square_bevel.size_text(upright.width, upright.height) in finding.cure


def test_a_leaning_shape_is_no_turned_rectangle() -> None:
    leaning = {"points": ["0, 0 in", "4, 0 in", "4 1/2, 3 in", "1/2, 3 in"]}
    assert codes(outline=leaning, mounting="bevelled") == ["bevel.not-square"]


def test_a_mortise_inside_does_not_hinder_a_bevel() -> None:
    frame = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["1, 1 in", "3, 1 in", "3, 3 in", "1, 3 in"]],
    }
    assert codes(outline=frame, mounting="bevelled") == []
    plan = planned(a_day({"outline": frame, "mounting": "bevelled"}), square_bevel)
    assert len(drawn(plan, "line")) == 1


def test_a_bevel_is_never_cut_through_an_image() -> None:
    negatives = [{"kind": "line", "name": "map", "size": "3 x 4 in", "at": "1/8, 0 in"}]
    (finding,) = square_bevel.flatwright_inspect_plate(a_plate(size="3 x 4 in", negatives=negatives), SETTINGS)
    assert finding.code == "bevel.through-image"
    assert finding.amount == pytest.approx(1 / 8)
    assert finding.shape is not None
    assert finding.shape.area == pytest.approx(0.5)


def test_a_surprints_lettering_is_an_image_too_and_a_bleed_may_run_on() -> None:
    under = {"kind": "square", "name": "picture"}
    lettering = {"kind": "line", "use": "surprint", "size": "2 x 1 in", "at": "2, 1 in", "film": "9 x 9 in"}
    assert codes(size="3 x 4 in", screen=120, negatives=[under, lettering]) == ["bevel.through-image"]
    further = [{"kind": "line", "size": "3 1/2 x 4 in", "at": "-1/2, 0 in"}]
    assert codes(size="3 x 4 in", bleed=["left"], negatives=further) == []


def test_the_ring_of_the_flange_is_metal_to_keep_and_stands_in_the_ledger() -> None:
    negatives = [{"kind": "line", "size": "1 x 1 in", "at": "1, 1 1/2 in"}]
    plan = planned(a_day({"size": "3 x 4 in", "negatives": negatives}), square_bevel)
    # 5/32 in all round: 3 5/16 x 4 5/16 less 3 x 4 in.
    assert plan.ledger.total.flange == pytest.approx(3.3125 * 4.3125 - 12)
    (placement,) = plan.flats[0].placements
    assert placement.zones
    for zone in placement.zones:
        assert shape_of(zone.shape).intersection(shape_of(placement.flange)).area == pytest.approx(0, abs=1e-9)


def test_the_metal_shows_both_lines_of_the_bevel_and_what_breaks_away() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}), square_bevel)
    (placement,) = plan.flats[0].placements
    (line,), (strips,) = drawn(plan, "line"), drawn(plan, "area")
    left, bottom, right, top = shape_of(placement.outline).bounds
    wide, slope = 5 / 32, 1 / 32
    assert boxes(line) == [
        (left - wide, bottom - wide, right + wide, top + wide),
        (left - slope, bottom - slope, right + slope, top + slope),
    ]
    assert (line.layer, line.sheets, line.plate) == ("Bevel", ("metal",), "7/P1")
    _, _, width, height = placement.part
    assert shape_of(strips.area).area == pytest.approx(width * height - 3.3125 * 4.3125)
    assert (strips.layer, strips.sheets) == ("Break-away strips", ("metal",))


def test_without_a_shoulder_there_is_one_line() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}), square_bevel, {"shoulder": "0 in"})
    assert len(drawn(plan, "line")[0].lines) == 1


def test_a_wider_shoulder_of_another_rule_is_followed_on_a_turned_plate_too() -> None:
    body = """
    @hookimpl
    def flatwright_margins(plate):
        return [Margin("shoulder", 0.25, 0, 0, 0, "the left edge is soft")]
    """
    # Only turned does it fit.
    house = {"sheets": [{"metal": "zinc", "size": "8 x 5 in"}], "glass": {"grip": "0 in"}}
    with forgotten():
        plan = planned(a_day({"size": "3 x 6 in"}), written(body), house=house)
    (placement,) = plan.flats[0].placements
    assert placement.turned == 90
    left, bottom, right, top = shape_of(placement.outline).bounds
    _, foot = boxes(drawn(plan, "line")[0])
    # Its left side lies at the bottom now.
    assert foot == (left - 1 / 32, bottom - 1 / 4, right + 1 / 32, top + 1 / 32)


def test_the_finisher_is_told_and_the_running_inch_is_charged() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}, {"size": "2 x 2 in"}), square_bevel, {"price": "0.02"})
    (step,) = steps_of(plan, "square-bevel")
    assert (step.who, set(step.plates)) == ("finisher", {"7/P1", "7/P2"})
    assert "a shoulder of 1/32 in, then a flange 1/8 in wide" in step.words
    (charge,) = [charge for charge in plan.plates[0].charges if charge.rule == "square-bevel"]
    assert (charge.quantity, charge.unit, Decimal(charge.rate)) == (14, "in", Decimal("0.02"))


@settings(max_examples=8, deadline=None)
@given(st.lists(plates(), min_size=1, max_size=2))
def test_what_breaks_away_is_never_plate(entries: list[dict[str, Any]]) -> None:
    plan = planned(a_day(*entries), square_bevel)
    places = {placement.plate: placement for flat in plan.flats for placement in flat.placements}
    refused = {finding.plate for finding in findings_of(plan, code="bevel.not-square")}
    strips = {mark.plate: shape_of(mark.area) for mark in drawn(plan, "area")}
    for record in plan.plates:
        if record.id not in places or record.mounting != "bevelled":
            assert record.id not in strips
            continue
        if record.id in refused:
            assert record.id not in strips
            continue
        placement = places[record.id]
        kept = shape_of(placement.outline).union(shape_of(placement.flange))
        x, y, width, height = placement.part
        metal = shape_of(placement.metal) if placement.metal else box(x, y, x + width, y + height)
        assert strips[record.id].intersection(kept).area == pytest.approx(0, abs=1e-6)
        assert strips[record.id].area == pytest.approx(metal.area - box(*kept.bounds).area, abs=1e-6)

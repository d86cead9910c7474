from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from math import dist
from typing import Any

import pytest
from flatwright_rules import double_print
from flatwright_rules.double_print import DoubleSettings, farthest_apart
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from planner.geometry import shape_of
from planner.laid import LaidFlat
from planner.plan import Flat, Plan
from planner.rules import load_rules
from planner.testing import a_day, a_flat, a_plate, findings_of, marks_of, passes_of, planned, steps_of

from ..days import a_house
from ..days import planned as planned_by_house

COPPER = {"sheets": [{"metal": "copper", "size": "18 x 24 in"}]}


def picture(size: str, film: str, use: str = "surprint", **more: Any) -> dict[str, Any]:
    """A copper halftone with one overlay, its film centred."""
    overlay = {"kind": "line", "use": use, "name": "title", "film": film}
    negatives = [{"kind": "square", "name": "cast"}, overlay]
    return {"size": size, "metal": "copper", "screen": 120, "negatives": negatives, **more}


def laid(*plates: dict[str, Any], sheet: str = "18 x 24 in", grip: str = "1/2 in", **own: Any) -> Plan:
    house = {"sheets": [{"metal": "copper", "size": sheet}], "glass": {"grip": grip}}
    plan = planned(a_day(*plates), double_print, settings=own, house=house)
    assert not plan.held
    return plan


def crosses(plan: Plan) -> list[tuple[float, float]]:
    return [line[0] for mark in marks_of(plan, "double-print") for line in mark.lines]


def metal_of(flat: Flat) -> list[Any]:
    return [box(x, y, x + width, y + height) for x, y, width, height in (one.blank for one in flat.placements)]


def test_only_the_field_of_the_surprint_is_open_in_the_second_exposure() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"), {"size": "3 x 4 in", "metal": "copper", "screen": 120})
    (second,) = passes_of(plan, "double-print")
    assert (second.sheet, second.side, second.plates) == ("second exposure", "glass", ("7/P1",))
    assert second.films == (("7/P1", 2),)
    opens, mask = shape_of(second.opens), shape_of(second.mask)
    assert opens.area == pytest.approx(6.25 * 9.25)
    assert mask.area == pytest.approx(18 * 24 - 6.25 * 9.25)
    (film,) = [film for film in plan.flats[0].placements[0].films if film.use == "surprint"] or [
        film for film in plan.flats[0].placements[1].films if film.use == "surprint"
    ]
    assert opens.symmetric_difference(shape_of(film.film)).area == pytest.approx(0, abs=1e-9)


def narrowed(plan: Plan, left: float, bottom: float, right: float, top: float) -> LaidFlat:
    """The flat of a plan whose only plate has so much less metal on each side than its face."""
    flat = a_flat(plan)
    (one,) = flat.plates
    face = shape_of(one.placement.outline).bounds
    blank = (face[0] + left, face[1] + bottom, face[2] - face[0] - left - right, face[3] - face[1] - bottom - top)
    return replace(flat, plates=(replace(one, placement=one.placement.model_copy(update={"blank": blank})),))


def test_film_beyond_the_plates_own_metal_is_masked_and_said() -> None:
    plan = laid(picture("6 x 9 in", "6 1/2 x 9 1/2 in", mounting="flush", may_turn=False))
    own = DoubleSettings.model_validate({})
    # Film runs 1/4 in past a picture that fills the face; of it the house wants 1/8 in open, the metal leaves none.
    bare = narrowed(plan, 0, 0, 0, 0)
    (second,) = double_print.flatwright_passes(bare, own)
    assert second.opens.area == pytest.approx(6 * 9)
    (cut,) = double_print.flatwright_inspect_flat(bare, own)
    assert (cut.code, cut.severity, cut.plate) == ("double.opening-cut", "note", "7/P1")
    assert (cut.amount, cut.unit) == (pytest.approx(1 / 8), "in")
    assert cut.shape is not None
    assert cut.shape.area == pytest.approx(6.25 * 9.25 - 54)
    assert "1/8 in more trim" in cut.cure
    # 1/8 in of metal all round is enough.
    assert double_print.flatwright_inspect_flat(narrowed(plan, -1 / 8, -1 / 8, -1 / 8, -1 / 8), own) == []
    # Where the metal ends inside the picture, part of it may be masked from its own surprint.
    (worse,) = double_print.flatwright_inspect_flat(narrowed(plan, 1 / 16, -1 / 8, -1 / 8, -1 / 8), own)
    assert (worse.severity, worse.amount) == ("warn", pytest.approx(3 / 16))
    assert "3/16 in on the left as it lies" in worse.message


def test_the_metal_of_a_laid_plate_has_room_for_its_film() -> None:
    plan = laid(picture("6 x 9 in", "6 1/2 x 9 1/2 in", mounting="flush"))
    assert findings_of(plan, "double-print") == []


def test_crosses_that_stand_are_not_moved_while_their_place_is_free() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"))
    own = DoubleSettings.model_validate({})
    flat = a_flat(plan)
    (mark,) = marks_of(plan, "double-print")
    elsewhere = (((17.0, 12.0),), ((17.0, 20.0),))
    moved = flat.record.model_copy(update={"marks": (mark.model_copy(update={"lines": elsewhere}),)})
    (kept,) = double_print.flatwright_marks(replace(flat, record=moved), own)
    assert [(point.x, point.y) for point in kept.shape.geoms] == [(17, 12), (17, 20)]
    x, y, _, _ = flat.plates[0].placement.blank
    covered = flat.record.model_copy(
        update={"marks": (mark.model_copy(update={"lines": (((x, y),), ((17.0, 20.0),))}),)}
    )
    (fresh,) = double_print.flatwright_marks(replace(flat, record=covered), own)
    assert [(point.x, point.y) for point in fresh.shape.geoms] == [line[0] for line in mark.lines]


def test_a_surprint_needs_crosses_at_the_same_places_on_both_flats() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"))
    (mark,) = marks_of(plan, "double-print")
    assert (mark.kind, set(mark.sheets)) == ("cross", {"stripper", "metal", "second exposure"})
    places = crosses(plan)
    assert len(places) == 3
    flat = plan.flats[0]
    # Arms of 1/8 in, inside the grip margin of 1/2 in.
    room = box(0.5 + 1 / 8, 0.5 + 1 / 8, 17.5 - 1 / 8, 23.5 - 1 / 8)
    for place in places:
        assert room.buffer(1e-9).covers(Point(place))
        for metal in metal_of(flat):
            assert metal.distance(box(place[0] - 1 / 8, place[1] - 1 / 8, place[0] + 1 / 8, place[1] + 1 / 8)) >= 1 / 8


def test_the_crosses_of_an_l_shaped_room_stand_at_its_far_corners() -> None:
    # An L of 10 x 1 and 1 x 8 in: the diagonal from (10, 0) to (0, 8) is sqrt(164), longer than any other.
    room = box(0, 0, 10, 1).union(box(0, 0, 1, 8))
    first, second, third = farthest_apart(room, 3, 0.5)
    assert dist(first, second) == pytest.approx(164**0.5)
    # The nearer of the two is 8 in from (0, 0), sqrt(65) from (1, 0) and sqrt(50) from (1, 1).
    assert third == (1, 0)


@given(
    st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30), st.integers(1, 8), st.integers(1, 8)), min_size=1,
             max_size=6)
)  # fmt: skip
@settings(max_examples=50, deadline=None)
def test_no_two_points_of_a_room_are_farther_apart_than_the_first_two(boxes: list[tuple[int, int, int, int]]) -> None:
    room = box(*(boxes[0][0], boxes[0][1], boxes[0][0] + boxes[0][2], boxes[0][1] + boxes[0][3]))
    for x, y, width, height in boxes[1:]:
        room = room.union(box(x, y, x + width, y + height))
    found = farthest_apart(room, 3, 0.25)
    assert all(room.buffer(1e-9).covers(Point(place)) for place in found)
    corners = [(x + dx * w, y + dy * h) for x, y, w, h in boxes for dx in (0, 1) for dy in (0, 1)]
    assert dist(found[0], found[1]) == pytest.approx(max(dist(one, other) for one in corners for other in corners))


def test_the_grip_margin_is_used_only_where_there_is_no_other_room() -> None:
    # The blank of 6 x 9 in with flange, shoulder and trim fills what the grip of 1 1/2 in leaves of the sheet.
    alone = laid(picture("6 x 9 in", "6 x 9 in"))
    _, _, width, height = alone.flats[0].placements[0].blank
    sheet = f"{width + 3} x {height + 3} in"
    tight = laid(picture("6 x 9 in", "6 x 9 in"), sheet=sheet, grip="1 1/2 in")
    places = crosses(tight)
    assert len(places) == 3
    usable = box(1.5, 1.5, 1.5 + width, 1.5 + height)
    assert not any(usable.contains(Point(place)) for place in places)
    assert dist(places[0], places[1]) == pytest.approx(((width + 2.75) ** 2 + (height + 2.75) ** 2) ** 0.5)


def test_where_there_is_no_room_for_crosses_the_plan_says_what_to_do() -> None:
    alone = laid(picture("6 x 9 in", "6 x 9 in"))
    _, _, width, height = alone.flats[0].placements[0].blank
    plan = laid(picture("6 x 9 in", "6 x 9 in"), sheet=f"{width} x {height} in", grip="0 in")
    assert crosses(plan) == []
    (finding,) = findings_of(plan, "double-print", "double.no-register")
    # A cross of 1/4 in and 1/8 in on both sides of it.
    assert (finding.severity, finding.amount) == ("warn", 0.5)
    assert "larger sheet" in finding.cure


def test_a_reverse_goes_on_the_first_flat_and_needs_no_second() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in", use="reverse"))
    assert passes_of(plan, "double-print") == []
    assert crosses(plan) == []
    (step,) = steps_of(plan, "double-print")
    assert step.who == "stripper"
    assert step.words.startswith(
        'Lay the reverse "title" over the square negative "cast" on plate 1, on the first flat'
    )


def test_stripper_and_etcher_are_told() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"))
    strip, expose = steps_of(plan, "double-print")
    assert (strip.who, expose.who) == ("stripper", "etcher")
    assert "off the first flat" in strip.words
    assert "by the 3 register crosses" in strip.words
    assert "Expose a second time" in expose.words
    assert "mask everything but the fields of the surprints on plate 1" in expose.words


def test_the_house_has_fewer_crosses_and_its_own_distances() -> None:
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"), crosses=2, cross="1/2 in", distance="1 in")
    places = crosses(plan)
    assert len(places) == 2
    for metal in metal_of(plan.flats[0]):
        for x, y in places:
            assert metal.distance(box(x - 0.25, y - 0.25, x + 0.25, y + 0.25)) >= 1


def test_a_second_exposure_is_charged_to_each_plate_that_has_one() -> None:
    own = DoubleSettings.model_validate({"charge": "1.50"})
    surprint = a_plate(**picture("6 x 9 in", "6 1/4 x 9 1/4 in"))
    reverse = a_plate(**picture("6 x 9 in", "6 1/4 x 9 1/4 in", use="reverse"))
    plan = laid(picture("6 x 9 in", "6 1/4 x 9 1/4 in"), charge="1.50")
    (charge,) = [one for one in plan.plates[0].charges if one.rule == "double-print"]
    assert (charge.quantity, charge.unit, Decimal(charge.rate)) == (1, "each", Decimal("1.50"))
    assert charge.setting.startswith("[rules.double-print] charge")
    work: Any = None
    assert len(double_print.flatwright_charges(surprint, work, own)) == 1
    assert double_print.flatwright_charges(reverse, work, own) == []
    assert double_print.flatwright_charges(surprint, work, DoubleSettings.model_validate({})) == []


@given(st.lists(st.tuples(st.integers(2, 6), st.integers(2, 6), st.sampled_from(["surprint", "reverse"])), min_size=1,
                max_size=5))  # fmt: skip
@settings(max_examples=8, deadline=None)
def test_opening_and_mask_part_the_sheet_and_crosses_stand_clear(plates: list[tuple[int, int, str]]) -> None:
    plan = planned(
        a_day(*(picture(f"{width} x {height} in", f"{width + 1} x {height + 1} in", use)
                for width, height, use in plates)),
        double_print, house=COPPER, alone=True,
    )  # fmt: skip
    for flat in plan.flats:
        wanted = {placed.plate for placed in flat.placements if any(film.use == "surprint" for film in placed.films)}
        assert {name for one in flat.passes for name in one.plates} == wanted
        for one in flat.passes:
            opens, mask = shape_of(one.opens), shape_of(one.mask)
            assert opens.intersection(mask).area < 1e-6
            assert opens.area + mask.area == pytest.approx(18 * 24, abs=1e-5)
        for mark in flat.marks:
            for x, y in (line[0] for line in mark.lines):
                arms = box(x - 1 / 8, y - 1 / 8, x + 1 / 8, y + 1 / 8)
                assert box(0, 0, 18, 24).buffer(1e-9).covers(arms)
                assert all(metal.distance(arms) >= 1 / 8 - 1e-9 for metal in metal_of(flat))


def test_without_the_rule_overlays_are_still_checked() -> None:
    day = a_day(picture("6 x 9 in", "6 x 9 in"))
    house = a_house(rules={"double-print": {"enabled": False}}, **COPPER)
    assert "double-print" not in [rule.name for rule in load_rules(house, "house.toml").active]
    plan = planned_by_house(day, house)
    assert passes_of(plan, "double-print") == marks_of(plan, "double-print") == []
    assert findings_of(plan, code="coverage.short")

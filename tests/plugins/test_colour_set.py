from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from flatwright_rules import colour_set
from flatwright_rules.colour_set import ColourSettings, moire_period, separation
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from shapely import MultiPoint, Point, affinity, box

from planner.geometry import plain, shape_of
from planner.plan import Plan
from planner.testing import a_day, a_flat, allowances_of, findings_of, marks_of, planned, steps_of

from ..rules_written import forgotten, written

RULE = "colour-set"
FOUR = ["yellow", "red", "blue", "black"]
SET: dict[str, Any] = {"size": "4 x 5 in", "metal": "zinc", "screen": 133, "colours": FOUR}


def crosses(plan: Plan) -> dict[str, set[tuple[float, float]]]:
    """By plate, the places of its crosses from the middle of its face, as the plate reads."""
    places = {placement.plate: placement for flat in plan.flats for placement in flat.placements}
    found: dict[str, set[tuple[float, float]]] = {}
    for mark in marks_of(plan, RULE):
        assert mark.plate is not None
        placement = places[mark.plate]
        middle = shape_of(placement.outline).envelope.centroid
        for ((x, y),) in mark.lines:
            there = affinity.rotate(Point(x - middle.x, y - middle.y), -placement.turned, origin=(0, 0))
            found.setdefault(mark.plate, set()).add((round(there.x, 6) + 0.0, round(there.y, 6) + 0.0))
    return found


# ---------------------------------------------------------------- screens


def test_three_screens_of_1929_stand_30_degrees_apart() -> None:
    # Encyclopaedia Britannica, 14th ed. (c. 1929), "Photo-Engraving": one at 45 degrees, the others at 75 and 15.
    assert [separation(*pair) for pair in combinations((45, 75, 15), 2)] == [30, 30, 30]


def test_a_crossline_screen_looks_the_same_after_a_quarter_turn() -> None:
    assert separation(0, 90) == 0
    assert separation(10, 175) == 15
    assert separation(0, 45) == 45


def test_the_house_begins_with_screens_that_stand_far_enough_apart() -> None:
    house = ColourSettings()
    apart = {pair: separation(*map(house.angle, pair)) for pair in combinations(FOUR, 2)}
    assert apart == {
        ("yellow", "red"): 15, ("yellow", "blue"): 15, ("yellow", "black"): 45,
        ("red", "blue"): 30, ("red", "black"): 30, ("blue", "black"): 30,
    }  # fmt: skip
    assert findings_of(planned(a_day(SET), colour_set), rule=RULE) == []


@pytest.mark.parametrize(
    ("ruling", "degrees", "period"),
    [
        # Worked by hand from p / (2 sin(a / 2)): sin 15 = 0.258819, sin 7.5 = 0.130526, sin 2.5 = 0.0436194.
        (1, 30, 1.93185),
        (1, 15, 3.83065),
        (133, 5, 0.0861864),
        (100, 60, 0.01),
    ],
)
def test_the_period_of_the_pattern(ruling: float, degrees: float, period: float) -> None:
    assert moire_period(ruling, degrees) == pytest.approx(period, rel=1e-5)


def test_screens_that_lie_alike_make_a_pattern_without_end() -> None:
    assert math.isinf(moire_period(133, 0))


@given(st.integers(20, 600), st.floats(0.1, 45))
def test_the_pattern_is_the_difference_of_the_two_screens(ruling: int, degrees: float) -> None:
    # Two screens as vectors of f lines to the inch; the lines of their pattern follow the vector between them.
    first = (ruling, 0.0)
    second = (ruling * math.cos(math.radians(degrees)), ruling * math.sin(math.radians(degrees)))
    assert 1 / math.dist(first, second) == pytest.approx(moire_period(ruling, degrees), rel=1e-6)


def test_screens_too_near_are_found_with_their_pattern_in_dots_and_inches() -> None:
    plan = planned(a_day({**SET, "quantity": 2}), colour_set, {"red_angle": 85})
    (finding,) = findings_of(plan, rule=RULE)
    assert (finding.code, finding.severity, finding.scope) == ("colour.angles", "warn", "day")
    assert (finding.amount, finding.unit) == (5, "deg")
    # 1 / (2 sin 2.5 degrees) = 11.46 dots, at 133 lines 0.0862 in; 1 / (2 sin 10 degrees) = 2.879.
    assert "yellow and red 5 degrees, a pattern of 11.5 dots (0.086 in)" in finding.message
    assert "red and blue 20 degrees, a pattern of 2.9 dots (0.022 in)" in finding.message
    assert "black" not in finding.message


def test_one_angle_for_two_colours_is_said_too() -> None:
    (finding,) = findings_of(planned(a_day(SET), colour_set, {"red_angle": 90}), code="colour.angles")
    assert "yellow and red 0 degrees, a pattern of no end" in finding.message


def test_line_work_and_colours_not_in_the_set_have_no_angles() -> None:
    line = {key: value for key, value in SET.items() if key != "screen"}
    assert findings_of(planned(a_day(line), colour_set, {"red_angle": 90}), rule=RULE) == []
    two = {**SET, "colours": ["black", "red"]}
    assert findings_of(planned(a_day(two), colour_set, {"yellow_angle": 75}), rule=RULE) == []


# ---------------------------------------------------------------- register crosses


def test_the_crosses_lie_in_the_metal_that_is_cut_away() -> None:
    plan = planned(a_day(SET), colour_set)
    (trim,) = allowances_of(plan, "7/P1/red", RULE)
    assert (trim.kind, trim.left, trim.top) == ("trim", 1 / 4, 1 / 4)
    assert trim.setting == '[rules.colour-set] register_room = "1/4 in"'
    # Shoulder 1/32, flange 1/8, and half of the trim: 9/32 in off the middles of 4 x 5 in.
    off = 1 / 32 + 1 / 8 + 1 / 8
    expected = {(2 + off, 0.0), (-2 - off, 0.0), (0.0, 2.5 + off), (0.0, -2.5 - off)}
    assert crosses(plan) == {f"7/P1/{colour}": expected for colour in FOUR}
    assert {(mark.layer, mark.sheets) for mark in marks_of(plan, RULE)} == {("Register", ("stripper", "metal"))}


@settings(max_examples=6, deadline=None)
@given(
    st.integers(16, 96),
    st.integers(16, 96),
    st.sampled_from(["bevelled", "flush", "nailed", "unmounted"]),
    st.sets(st.sampled_from(["left", "right", "bottom", "top"])),
)
def test_crosses_fall_on_each_other_outside_every_plate(
    width: int, height: int, mounting: str, bleed: set[str]
) -> None:
    entry = {**SET, "size": f"{width}/16 x {height}/16 in", "mounting": mounting, "bleed": sorted(bleed)}
    plan = planned(a_day(entry, {"size": "3 x 7 in"}), colour_set)
    assert len(set(map(frozenset, crosses(plan).values()))) == 1
    places = {placement.plate: placement for flat in plan.flats for placement in flat.placements}
    for mark in marks_of(plan, RULE):
        placement = places[str(mark.plate)]
        kept = shape_of(placement.outline).union(shape_of(placement.flange))
        x, y, wide, high = placement.part
        for (place,) in mark.lines:
            assert kept.distance(Point(place)) == pytest.approx(1 / 8)
            assert box(x, y, x + wide, y + high).covers(Point(place))


def test_crosses_turn_with_their_plates() -> None:
    # Bleeding on one side only, 3 x 6 in plates that go on one sheet of 7 x 18 in only when they lie.
    house = {"sheets": [{"metal": "zinc", "size": "7 x 18 in"}], "glass": {"grip": "0 in"}}
    entry = {**SET, "size": "3 x 6 in", "bleed": ["left"]}
    plan = planned(a_day(entry), colour_set, house=house)
    assert {placement.turned for flat in plan.flats for placement in flat.placements} == {90}
    off = 1 / 32 + 1 / 8 + 1 / 8
    expected = {(1.5625 + off, 0.0), (-1.5625 - off, 0.0), (0.0, 3 + off), (0.0, -3 - off)}
    assert crosses(plan) == {f"7/P1/{colour}": expected for colour in FOUR}


def test_without_trim_the_crosses_lie_on_the_flange_and_without_any_metal_there_are_none() -> None:
    house = {"cutting": {"trim": "0 in"}}
    plan = planned(a_day(SET), colour_set, {"register_room": "0 in"}, house=house)
    off = 1 / 32 + 1 / 16
    assert (2 + off, 0.0) in crosses(plan)["7/P1/blue"]
    flush = planned(a_day({**SET, "mounting": "flush"}), colour_set, {"register_room": "0 in"}, house=house)
    assert marks_of(flush, RULE) == []


def test_where_a_saw_leaves_no_metal_there_is_no_cross() -> None:
    plan = planned(a_day(SET), colour_set)
    flat = a_flat(plan)
    first = flat.plates[0]
    x, y, width, height = first.placement.part
    # As if the saw had taken the strip on the right away.
    sawn = first.placement.model_copy(update={"metal": plain(box(x, y, x + width - 1 / 4, y + height))})
    marks = colour_set.flatwright_marks(
        replace(flat, plates=(replace(first, placement=sawn), *flat.plates[1:])), ColourSettings()
    )
    assert [len(mark.shape.geoms) for mark in marks if isinstance(mark.shape, MultiPoint)] == [3, 4, 4, 4]


def test_other_margins_for_one_colour_are_found() -> None:
    body = """
    @hookimpl
    def flatwright_margins(plate):
        return [Margin.all_round("trim", 0.5, "red is soft")] if plate.colour == "red" else []
    """
    with forgotten():
        plan = planned(a_day(SET), written(body))
    (finding,) = findings_of(plan, code="colour.register")
    assert finding.message.startswith("the register crosses of yellow and red would not meet")


def test_a_single_colour_is_no_set() -> None:
    plan = planned(a_day({**SET, "colours": ["red"]}, {"size": "3 x 4 in"}), colour_set)
    assert marks_of(plan, RULE) == []
    assert steps_of(plan, RULE) == []


# ---------------------------------------------------------------- the set as a whole


def test_the_set_lies_on_one_flat_the_same_way_up() -> None:
    plan = planned(a_day(SET, {"size": "9 x 9 in", "quantity": 3, "screen": 133}), colour_set)
    there = [(flat.number, one.turned) for flat in plan.flats for one in flat.placements if one.plate[2:4] == "P1"]
    assert len(there) == 4
    assert len(set(there)) == 1


def test_a_set_of_which_a_part_is_held_is_found() -> None:
    house = {"sheets": [{"metal": "zinc", "size": "7 x 14 in", "count": 1}]}
    plan = planned(a_day(SET), colour_set, house=house)
    held = sorted(plate.plate for plate in plan.held)
    assert 0 < len(held) < 4
    (finding,) = findings_of(plan, code="colour.held")
    assert finding.plate not in held
    for plate in plan.plates:
        assert str(plate.colour) in finding.message
    nothing = planned(a_day(SET), colour_set, house={"sheets": [{"metal": "zinc", "size": "3 x 3 in"}]})
    assert len(nothing.held) == 4
    assert findings_of(nothing, code="colour.held") == []


def test_a_set_on_two_flats_is_said_by_the_planner_with_the_rule() -> None:
    house = {"sheets": [{"metal": "zinc", "size": "7 x 14 in"}]}
    plan = planned(a_day(SET), colour_set, house=house)
    (finding,) = findings_of(plan, code="together.apart")
    assert "the rule colour-set wants it on one" in finding.message


def test_everybody_is_told_what_the_set_asks_of_him() -> None:
    plan = planned(a_day({**SET, "name": "Peas", "quantity": 2}), colour_set)
    said = {step.who: step for step in steps_of(plan, RULE)}
    assert list(said) == ["stripper", "etcher", "prover", "finisher"]
    assert all(len(step.plates) == 8 for step in said.values())
    assert "Screens: yellow 90, red 75, blue 105, black 45 degrees." in said["stripper"].words
    # Encyclopaedia Britannica, 14th ed.: blue, green and red filters for yellow, red and blue; Ridgway, p. 79: violet,
    # green and orange.
    assert "yellow: blue or violet; red: green; blue: red or orange" in said["stripper"].words
    # Hill, The Essentials of Illustration (1915): yellow, red, blue, and black as the fourth.
    assert "in the order yellow, red, blue, black: each alone, then yellow and red; yellow, red and blue; " in (
        said["prover"].words
    )
    # 15 degrees between yellow and red: 3.83 dots, at 133 lines 0.0288 in.
    assert "At 133 lines expect a pattern of 3.8 dots (0.029 in), of yellow and red" in said["prover"].words
    assert all(len(step.words) <= 400 for step in said.values())


def test_the_house_has_an_order_of_its_own() -> None:
    plan = planned(a_day(SET), colour_set, {"proofs": ["black", "blue", "red", "yellow"]})
    (prover,) = [step for step in steps_of(plan, RULE) if step.who == "prover"]
    assert "in the order black, blue, red, yellow" in prover.words
    assert prover.plates == tuple(f"7/P1/{colour}" for colour in reversed(FOUR))


@pytest.mark.parametrize("proofs", [["yellow"], ["yellow", "yellow", "red", "blue"], ["cyan", "red", "blue", "black"]])
def test_an_order_of_proofs_names_every_colour_once(proofs: list[str]) -> None:
    with pytest.raises(ValidationError):
        ColourSettings.model_validate({"proofs": proofs})

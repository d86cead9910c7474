from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest
from flatwright_rules import flush_mount
from flatwright_rules.flush_mount import FlushSettings, least_width, narrow_places
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from planner.forms import InputError
from planner.testing import a_day, findings_of, planned, steps_of

from ..days import a_plate

SETTINGS = FlushSettings.model_validate({})

DUMBBELL = unary_union([box(0, 0, 2, 2), box(2, 0.9375, 2.5, 1.0625), box(2.5, 0, 4.5, 2)])
"""Two squares of 2 in with a neck of 1/8 in between."""


def found(**plate: Any) -> list[Any]:
    return list(flush_mount.flatwright_inspect_plate(a_plate(**plate), SETTINGS))


def points(*places: tuple[float, float]) -> dict[str, Any]:
    return {"points": [f"{x}, {y} in" for x, y in places]}


def test_a_plate_flush_all_round_keeps_no_margin() -> None:
    assert flush_mount.flatwright_margins(a_plate(size="3 x 4 in", mounting="flush"), SETTINGS) == []


def test_sides_that_are_not_flush_keep_their_margin() -> None:
    (margin,) = flush_mount.flatwright_margins(a_plate(size="3 x 4 in", mounting="flush", flush=["left"]), SETTINGS)
    assert (margin.left, margin.right, margin.bottom, margin.top) == (0, 1 / 16, 1 / 16, 1 / 16)


# ---------------------------------------------------------------- does the image run out to the side?


def test_an_image_that_stops_short_of_a_flush_side_is_found() -> None:
    negatives = [{"kind": "line", "size": "2 7/8 x 4 in", "at": "0, 0 in"}]
    (finding,) = found(size="3 x 4 in", mounting="flush", negatives=negatives)
    assert (finding.code, finding.amount) == ("flush.image-short", pytest.approx(1 / 8))
    assert "right" in finding.message
    assert found(size="3 x 4 in", mounting="flush", flush=["left", "top"], negatives=negatives) == []


STEPPED = points((0, 0), (4, 0), (4, 3), (1, 3), (1, 1), (0, 1))
"""Touches all four sides of 4 x 3 in: the left one along 1 in of 3, the top one along 3 in of 4."""


def test_an_image_that_touches_a_side_in_one_place_is_short_along_the_rest() -> None:
    negatives = [{"kind": "square", "outline": STEPPED, "at": "0, 0 in"}]
    sides = {finding.message.split(" side")[0].split()[-1]: finding
             for finding in found(size="4 x 3 in", screen=120, mounting="flush", negatives=negatives)}  # fmt: skip
    assert {side: finding.amount for side, finding in sides.items()} == {
        "left": pytest.approx(2), "top": pytest.approx(1),
    }  # fmt: skip
    assert {finding.code for finding in sides.values()} == {"flush.image-short"}
    assert sides["left"].shape.bounds == pytest.approx((0, 1, 1 / 64, 3))
    assert "along 2 in of the 3 in of the flush left side" in sides["left"].message


@pytest.mark.parametrize("kind", ["silhouette", "drop-out"])
def test_a_subject_without_a_background_need_not_run_along_a_side(kind: str) -> None:
    negatives = [{"kind": kind, "outline": STEPPED, "at": "0, 0 in"}]
    assert found(size="4 x 3 in", screen=120, mounting="flush", negatives=negatives) == []


def test_an_image_short_by_no_more_than_the_tolerance_is_true_enough() -> None:
    negatives = [{"kind": "square", "outline": points((0, 0), (4, 0), (4, 3), (1 / 64, 3), (1 / 64, 1), (0, 1)),
                  "at": "0, 0 in"}]  # fmt: skip
    assert found(size="4 x 3 in", screen=120, mounting="flush", negatives=negatives) == []


def test_of_an_irregular_plate_only_straight_edges_on_its_bounds_are_looked_at() -> None:
    disc = {"unit": "in", "path": "M0 1 A1 1 0 0 1 2 1 A1 1 0 0 1 0 1 Z"}
    assert found(outline=disc, mounting="flush") == []
    notched = points((0, 0), (4, 0), (4, 1), (2, 1), (2, 3), (0, 3))
    assert found(outline=notched, mounting="flush") == []
    # The image leaves the upper half of the left edge, and all of the notch, bare.
    stepped = points((0, 0), (4, 0), (4, 1), (2, 1), (2, 3), (1, 3), (1, 1.5), (0, 1.5))
    negatives = [{"kind": "square", "outline": stepped, "at": "0, 0 in"}]
    shorts = found(outline=notched, mounting="flush", screen=120, negatives=negatives)
    assert [finding.amount for finding in shorts] == [pytest.approx(1.5), pytest.approx(1)]


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 40), st.integers(1, 40), st.integers(2, 30))
def test_the_bare_length_of_a_side_is_all_that_no_image_covers(low: int, high: int, gap: int) -> None:
    # An image with a bite out of its left side, from low to low + high sixteenths, gap deep.
    bottom, top, depth = low / 16, (low + high) / 16, gap / 16
    bite = points((0, 0), (4, 0), (4, 6), (0, 6), (0, top), (depth, top), (depth, bottom), (0, bottom))
    plate = {"size": "4 x 6 in", "screen": 120, "mounting": "flush"}
    (finding,) = found(**plate, negatives=[{"kind": "square", "outline": bite, "at": "0, 0 in"}])
    assert finding.amount == pytest.approx(high / 16)


# ---------------------------------------------------------------- bleeds


def test_a_bleed_behind_a_flange_is_worth_a_note() -> None:
    assert [finding.code for finding in found(size="3 x 4 in", bleed=["left"])] == ["flush.bleed"]
    assert found(size="3 x 4 in", bleed=["left"], mounting="flush") == []


def test_a_side_that_bleeds_should_be_flush() -> None:
    (finding,) = found(size="3 x 4 in", bleed=["left", "top"], mounting="flush", flush=["right", "top"])
    assert (finding.code, finding.severity, finding.amount) == ("flush.bleed-not-flush", "warn", 1 / 16)
    assert "it bleeds on the left," in finding.message
    assert finding.cure == 'make it flush there too: flush = ["left", "right", "top"]'


# ---------------------------------------------------------------- does glue hold it?


@pytest.mark.parametrize(
    ("shape", "width"),
    [
        (box(0, 0, 4, 3 / 16), 3 / 16),
        (DUMBBELL, 1 / 8),
        # An arm of 3/16 in on a square of 2 in.
        (unary_union([box(0, 0, 2, 2), box(2, 0.5, 4, 0.6875)]), 3 / 16),
        # A frame of 1/8 in round a mortise.
        (box(0, 0, 3, 3).difference(box(0.125, 0.125, 2.875, 2.875)), 1 / 8),
        (Point(0, 0).buffer(0.1, quad_segs=256), 0.2),
    ],
)
def test_the_least_width_is_that_of_the_narrowest_place(shape: BaseGeometry, width: float) -> None:
    assert not narrow_places(shape, 1 / 4).is_empty
    assert least_width(shape, 1 / 4) == pytest.approx(width, abs=1e-3)
    assert narrow_places(shape, width - 0.002).is_empty


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 4, 1 / 4),
        Point(0, 0).buffer(1),
        # An arm no longer than the least width is held by the plate beside it.
        unary_union([box(0, 0, 2, 2), box(2, 0.5, 2.2, 0.625)]),
        # A corner of 60 degrees.
        Polygon([(0, 0), (2, 0), (1, math.sqrt(3))]),
    ],
)
def test_corners_and_what_is_wide_enough_hold(shape: BaseGeometry) -> None:
    assert narrow_places(shape, 1 / 4).is_empty


def test_a_neck_is_found_where_it_is() -> None:
    left, _, right, _ = narrow_places(DUMBBELL, 1 / 4).bounds
    assert 1.7 < left < 2.25 < right < 2.8


@settings(max_examples=40, deadline=None)
@given(st.integers(2, 60), st.integers(2, 60))
def test_a_rectangle_is_as_narrow_as_its_shorter_side(width: int, height: int) -> None:
    shape = box(0, 0, width / 32, height / 32)
    shorter = min(width, height) / 32
    assert narrow_places(shape, 1.0).is_empty == (shorter >= 1.0)
    if shorter < 1.0:
        assert least_width(shape, 1.0) == pytest.approx(shorter, abs=1e-4)


def test_a_plate_too_narrow_or_too_small_for_glue_is_found_with_its_figures() -> None:
    narrow, *others = found(size="8 x 3/16 in", mounting="flush")
    assert (narrow.code, narrow.amount, others) == ("flush.narrow", pytest.approx(3 / 16, abs=1e-3), [])
    assert "nothing narrower than 1/4 in" in narrow.message
    small, *others = found(size="7/8 x 1 in", mounting="flush")
    assert (small.code, small.amount, others) == ("flush.small", pytest.approx(0.875), [])
    # With its margins it is 15/16 x 1 1/8 in: large enough.
    assert found(size="7/8 x 1 in", mounting="flush", flush=["left"]) == []


def test_a_mortise_takes_from_what_glue_holds() -> None:
    frame = points((0, 0), (3, 0), (3, 3), (0, 3)) | {
        "holes": [["1/8, 1/8 in", "2 7/8, 1/8 in", "2 7/8, 2 7/8 in", "1/8, 2 7/8 in"]]
    }
    assert [finding.code for finding in found(outline=frame, mounting="flush")] == ["flush.narrow"]


def test_a_sharp_point_is_said_to_be_one() -> None:
    (finding,) = found(outline=points((0, 0), (1, 0), (0, 5)), mounting="flush")
    assert "it comes to a point at its narrowest" in finding.message


# ---------------------------------------------------------------- the block


def block_words(**plate: Any) -> str:
    plan = planned(a_day({"mounting": "flush", **plate}), flush_mount)
    (step,) = steps_of(plan, "flush-mount")
    assert (step.who, step.plates) == ("finisher", ("7/P1",))
    return step.words


def test_the_block_is_as_large_as_the_plate_and_brings_it_to_type_height() -> None:
    # Type height 0.918 in (Ridgway, The Preparation of Illustrations, 1920, p. 74) less metal of 0.064 in.
    assert block_words(size="3 x 4 in") == (
        "Glue on a block 3 x 4 x 0.854 in; trim the wood flush with the plate on all four sides."
    )


def test_a_margin_is_part_of_the_block() -> None:
    assert block_words(size="3 x 4 in", flush=["left", "top"], bleed=["left"]) == (
        "Glue on a block 3 3/16 x 4 1/16 x 0.854 in; trim the wood even with the plate, flush on the left and top; its "
        "margin is 1/16 in on the right, 1/16 in on the bottom."
    )


def test_a_turned_plate_has_its_block_as_it_reads() -> None:
    house = {"sheets": [{"metal": "zinc", "size": "8 x 5 in"}], "glass": {"grip": "0 in"}}
    plan = planned(a_day({"size": "3 x 6 in", "mounting": "flush"}), flush_mount, house=house)
    assert plan.flats[0].placements[0].turned == 90
    assert "a block 3 x 6 x" in steps_of(plan, "flush-mount")[0].words


def test_the_wood_of_an_irregular_plate_follows_its_outline() -> None:
    notched = points((0, 0), (4, 0), (4, 1), (2, 1), (2, 3), (0, 3))
    assert block_words(outline=notched) == "Glue on a block 4 x 3 x 0.854 in; saw the wood to the plate's outline."


def test_copies_share_a_sentence_and_the_block_is_charged_by_the_square_inch() -> None:
    day = a_day({"size": "3 x 4 in", "mounting": "flush", "quantity": 3})
    plan = planned(day, flush_mount, {"price": 0.05})
    (step,) = steps_of(plan, "flush-mount")
    assert len(step.plates) == 3
    (charge,) = [charge for charge in plan.plates[0].charges if charge.rule == "flush-mount"]
    assert (charge.quantity, charge.unit, Decimal(charge.rate)) == (12, "sq in", Decimal("0.05"))
    assert planned(day, flush_mount).plates[0].charges == ()


# ---------------------------------------------------------------- several plates on one block

PAIR = [
    {"name": "Left", "size": "3 x 4 in", "mounting": "flush", "on_block": "spread", "flush": ["right"]},
    {"name": "Right", "size": "2 x 4 in", "mounting": "flush", "on_block": "spread", "flush": ["left"]},
]


def test_plates_that_butt_stand_on_one_block() -> None:
    plan = planned(a_day(*PAIR), flush_mount)
    (step,) = steps_of(plan, "flush-mount")
    assert set(step.plates) == {"7/Left", "7/Right"}
    # 3 + 2 in and a margin of 1/16 at each end; 4 in and a margin above and below.
    assert step.words == (
        'Glue on one block "spread" 5 1/8 x 4 1/8 x 0.854 in, side by side, from left to right: 7/Left and 7/Right. '
        "Trim the wood to their outer edges."
    )
    assert findings_of(plan, rule="flush-mount") == []
    assert {asked.kind for plate in plan.plates for asked in plate.sharing if asked.rule == "flush-mount"} == {"near"}


def test_what_takes_less_wood_one_above_the_other_stands_so() -> None:
    stacked = [{**plate, "size": size, "flush": ["bottom", "top"]}
               for plate, size in zip(PAIR, ["5 x 2 in", "5 x 1 in"], strict=True)]  # fmt: skip
    (step,) = steps_of(planned(a_day(*stacked), flush_mount), "flush-mount")
    assert 'block "spread" 5 1/8 x 3 x 0.854 in, one above the other, from the top' in step.words


def test_a_margin_between_plates_that_butt_is_found() -> None:
    plan = planned(a_day(PAIR[0], {**PAIR[1], "flush": ["top"]}), flush_mount)
    (finding,) = findings_of(plan, code="flush.block-gap")
    assert (finding.plate, finding.severity, finding.amount) == ("7/Right", "warn", 1 / 16)


def test_plates_of_two_gauges_do_not_stand_on_one_block() -> None:
    plan = planned(a_day(PAIR[0], {**PAIR[1], "gauge": "0.1 in"}), flush_mount)
    (finding,) = findings_of(plan, code="flush.block-height")
    assert (finding.severity, finding.amount) == ("stop", pytest.approx(0.036))


def test_a_plate_alone_on_a_block_of_several_is_a_note_and_has_its_own_block() -> None:
    plan = planned(a_day(PAIR[0], {**PAIR[1], "on_block": "sprad"}), flush_mount)
    assert [finding.plate for finding in findings_of(plan, code="flush.block-alone")] == ["7/Left", "7/Right"]
    assert all(step.words.startswith("Glue on a block") for step in steps_of(plan, "flush-mount"))


def test_every_copy_has_a_block_of_its_own() -> None:
    plan = planned(a_day(*({**plate, "quantity": 2} for plate in PAIR)), flush_mount)
    words = {step.words for step in steps_of(plan, "flush-mount")}
    assert len(words) == 2
    assert any("7/Left/2 and 7/Right/2" in said for said in words)


def test_only_flush_plates_share_a_block() -> None:
    with pytest.raises(InputError, match=r'key "on_block".*only for a plate that is mounted flush'):
        a_plate(size="3 x 4 in", on_block="spread")

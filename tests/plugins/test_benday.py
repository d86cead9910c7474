from __future__ import annotations

import json
from collections.abc import Sequence
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import shapely.affinity
from flatwright_rules import benday
from flatwright_rules.benday import BendaySettings, fewest_lays, frame_for
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry.base import BaseGeometry

from planner.flats import Search
from planner.geometry import shape_of
from planner.house import House
from planner.orders import read_orders
from planner.plan import PassRecord, Plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.testing import a_day, a_plate, findings_of, passes_of, planned, steps_of

from ..days import a_house, rules_of
from ..days import planned as planned_by_house

HOUSE = BendaySettings.model_validate({})
SHEET = {"sheets": [{"metal": "zinc", "size": "24 x 36 in"}]}


def tint(size: str, at: str, pattern: str = "7") -> dict[str, str]:
    return {"pattern": pattern, "size": size, "at": at}


def lays(*plates: dict[str, Any], **own: Any) -> tuple[Plan, list[PassRecord]]:
    plan = planned(a_day(*plates), benday, settings=own, house=SHEET)
    assert not plan.held
    return plan, passes_of(plan, "benday")


def boxed(frame: tuple[float, float, float, float] | None) -> BaseGeometry:
    assert frame is not None
    x, y, width, height = frame
    return box(x, y, x + width, y + height)


def tints_of(plan: Plan, pattern: str) -> BaseGeometry:
    placements = [placement for flat in plan.flats for placement in flat.placements]
    return shapely.union_all(
        [shape_of(one.area) for placement in placements for one in placement.tints if one.pattern == pattern]
    )


def opened(passes: Sequence[PassRecord]) -> list[BaseGeometry]:
    return [shape_of(one.opens) for one in passes]


# ---------------------------------------------------------------- the fewest lays


def test_an_area_larger_one_way_lies_in_a_frame_turned() -> None:
    frames = benday._either_way([(6, 8), (8, 10)])
    assert frames == ((6, 8), (8, 6), (8, 10), (10, 8))
    assert frame_for((0, 0, 7, 5), frames) == (8, 6)
    assert frame_for((0, 0, 8, 8), frames) == (8, 10)
    assert frame_for((0, 0, 9, 9), frames) is None


def test_three_areas_in_a_row_take_two_lays_in_the_smaller_frames() -> None:
    # 1 in squares at 0, 7 and 14 in: no frame up to 8 x 10 holds all three (15 in). The first two span 8 in and fit
    # 6 x 8 turned (48 sq in), and so do the last two; the one left over takes another 6 x 8.
    boxes = tuple((x, 0.0, x + 1.0, 1.0) for x in (0.0, 7.0, 14.0))
    cover = fewest_lays(boxes, ((6, 8), (8, 10)))
    assert cover.at_least == len(cover.groups) == 2


def test_as_few_lays_go_into_smaller_frames() -> None:
    # At 0, 6 and 13 in, 2 in wide: the first two span 8 in (a 6 x 8), the last two 9 in (an 8 x 10). Both ways leave
    # one area for a 6 x 8: 48 + 48 is less than 48 + 80.
    boxes = tuple((x, 0.0, x + 2.0, 1.0) for x in (0.0, 6.0, 13.0))
    assert set(fewest_lays(boxes, ((6, 8), (8, 10))).groups) == {(0, 1), (2,)}


@cache
def by_hand(boxes: tuple[benday.Box, ...], frames: tuple[tuple[float, float], ...]) -> int:
    """Brute force: the first area with every subset of the others that fits beside it."""
    if not boxes:
        return 0
    first, rest = boxes[0], boxes[1:]
    best = len(boxes)
    for chosen in range(1 << len(rest)):
        group = [first, *(one for place, one in enumerate(rest) if chosen >> place & 1)]
        width = max(one[2] for one in group) - min(one[0] for one in group)
        height = max(one[3] for one in group) - min(one[1] for one in group)
        if any((width <= a and height <= b) or (width <= b and height <= a) for a, b in frames):
            left = tuple(one for place, one in enumerate(rest) if not chosen >> place & 1)
            best = min(best, 1 + by_hand(left, frames))
    return best


@st.composite
def areas(draw: st.DrawFn, most: int) -> tuple[benday.Box, ...]:
    place, size = st.integers(0, 20), st.integers(1, 6)
    found = draw(st.lists(st.tuples(place, place, size, size), min_size=1, max_size=most))
    return tuple((float(x), float(y), float(x + width), float(y + height)) for x, y, width, height in found)


@given(areas(6), st.sampled_from([((6, 8),), ((6, 6), (8, 10)), ((6, 12), (7, 7))]))
@settings(max_examples=40, deadline=None)
def test_the_count_is_that_of_brute_force(
    boxes: tuple[benday.Box, ...], frames: tuple[tuple[float, float], ...]
) -> None:
    cover = fewest_lays(boxes, frames)
    assert sorted(place for group in cover.groups for place in group) == list(range(len(boxes)))
    assert len(cover.groups) == cover.at_least == by_hand(boxes, frames)


@given(areas(8))
@settings(max_examples=25, deadline=None)
def test_branch_and_bound_agrees_with_every_way(boxes: tuple[benday.Box, ...]) -> None:
    frames = benday._either_way(((6, 8), (8, 10)))
    sets = benday._largest_groups(boxes, frames)
    greedy = benday.plain_greedy(sets, len(boxes))
    chosen, complete = benday._Search(sets, benday._strangers(boxes, frames), len(boxes)).fewest(greedy)
    least = len(benday._every_way(boxes, frames))
    assert complete
    assert len(chosen) == least <= len(greedy)
    assert benday._least(boxes, frames) <= least


@given(areas(30))
@settings(max_examples=15, deadline=None)
def test_many_areas_are_each_in_one_lay_and_the_bound_is_below(boxes: tuple[benday.Box, ...]) -> None:
    frames = benday._either_way(((6, 8), (8, 10)))
    cover = fewest_lays(boxes, ((6, 8), (8, 10)))
    assert sorted(place for group in cover.groups for place in group) == list(range(len(boxes)))
    assert cover.at_least <= len(cover.groups)
    for group in cover.groups:
        assert frame_for(benday._around([boxes[place] for place in group]), frames) is not None


# ---------------------------------------------------------------- lays on a flat


def test_one_lay_serves_two_plates_and_its_frame_is_measured_as_the_metal_is_seen() -> None:
    plan, found = lays(
        {"size": "4 x 3 in", "tints": [tint("2 x 1 in", "1, 1 in")]},
        {"size": "3 x 3 in", "tints": [tint("1 x 1 in", "1, 1 in")]},
    )
    (lay,) = found
    assert (lay.sheet, lay.side, lay.plates) == ("tint lays", "metal", ("7/P1", "7/P2"))
    assert "lay 1 of 1; proven fewest" in lay.notes
    assert shape_of(lay.opens).area == pytest.approx(3)
    assert boxed(lay.frame).buffer(1e-6).covers(shape_of(lay.opens))
    (step,) = [step for step in steps_of(plan, "benday") if step.who == "tint hand"]
    assert lay.frame is not None
    seen = plan.flats[0].sheet.width - lay.frame[0] - lay.frame[2]
    assert seen * 8 == round(seen * 8)
    words = benday._edge(seen, "left")
    assert f"with its lower left corner {words} and" in step.words
    assert "stop out with gamboge" in step.words


def test_patterns_are_laid_one_after_the_other() -> None:
    _, found = lays({"size": "6 x 6 in", "tints": [tint("1 x 1 in", "1, 1 in", "9"), tint("1 x 1 in", "3, 3 in", "7")]})
    assert [lay.name for lay in found] == ["9, lay 1 of 1", "7, lay 1 of 1"]


def test_a_pattern_written_otherwise_is_the_same() -> None:
    _, found = lays(
        {"size": "6 x 6 in", "tints": [tint("1 x 1 in", "1, 1 in", "No. 7"), tint("1 x 1 in", "3, 3 in", "no.  7")]}
    )
    assert [lay.name for lay in found] == ["No. 7, lay 1 of 1"]


def test_a_pattern_written_otherwise_on_another_plate_is_the_same_everywhere() -> None:
    plates = [{"size": "3 x 3 in", "tints": [tint("1 x 1 in", "1, 1 in", name)]} for name in ("No. 7", "no.  7")]
    _, found = lays(*plates)
    assert [(lay.name, lay.plates) for lay in found] == [("No. 7, lay 1 of 1", ("7/P1", "7/P2"))]
    plan, found = lays(*plates, patterns=["NO. 7"], charge="1")
    assert [lay.name for lay in found] == ["NO. 7, lay 1 of 1"]
    charges = [one for plate in plan.plates for one in plate.charges if one.rule == "benday"]
    assert [one.what for one in charges] == ["Benday tint NO. 7"] * 2
    assert len({one.key for plate in plates for one in benday.flatwright_sharing(a_plate(**plate))}) == 1


def test_a_pattern_written_two_ways_on_one_plate_is_charged_once() -> None:
    tints = [tint("1 x 1 in", "1, 1 in", "No. 7"), tint("1 x 1 in", "1, 1 in", "no. 7")]
    plan, _ = lays({"size": "3 x 3 in", "tints": tints}, charge="1")
    (charge,) = [one for one in plan.plates[0].charges if one.rule == "benday"]
    assert charge.quantity == pytest.approx(1)


def test_two_tints_over_one_another_are_laid_once() -> None:
    _, found = lays({"size": "6 x 6 in", "tints": [tint("3 x 3 in", "1, 1 in"), tint("3 x 3 in", "2, 2 in")]})
    # 9 + 9 - 4 sq in.
    assert shape_of(found[0].opens).area == pytest.approx(14)


def test_a_tint_runs_in_under_solid_lines_and_never_over_white() -> None:
    # A frame of lines 1/8 in wide on the left of a 2 x 2 in tint: 1/64 in x 2 in of it is tinted as well; mitred
    # corners add nothing, the line being as high as the tint.
    line = {"kind": "line", "size": "1/8 x 2 in", "at": "7/8, 1 in"}
    _, found = lays({"size": "5 x 5 in", "negatives": [line], "tints": [tint("2 x 2 in", "1, 1 in")]})
    assert shape_of(found[0].opens).area == pytest.approx(4 + 2 / 64)
    _, bare = lays({"size": "5 x 5 in", "negatives": [line], "tints": [tint("2 x 2 in", "1, 1 in")]}, overlap="0 in")
    assert shape_of(bare[0].opens).area == pytest.approx(4)


def test_a_tint_stays_out_of_whites_of_art_too_narrow_for_a_cutter(tmp_path: Path) -> None:
    # Lines 1/16 in wide with whites of 1/32 in, on the left of the tint: they end at it, and a third of what the tint
    # could run in under is white. The image in the plan has those whites filled.
    lines = "".join(f'<rect x="1" y="{y / 32}" width="1" height="0.0625"/>' for y in range(0, 64, 3))
    (tmp_path / "comb.svg").write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="2in" viewBox="0 0 4 2">{lines}</svg>'
    )
    line = {"kind": "line", "art": "comb.svg", "size": "4 x 2 in", "at": "0, 0 in"}
    day = a_day({"size": "4 x 2 in", "negatives": [line], "tints": [tint("1 x 2 in", "2, 0 in")]})
    (tmp_path / "orders.json").write_text(json.dumps(day))
    house = a_house(**SHEET)
    plan = make_plan(read_orders(tmp_path / "orders.json"), house, rules_of(house), Search(iterations=10))
    (film,) = plan.flats[0].placements[0].films
    (found,) = passes_of(plan, "benday")
    more = shape_of(found.opens).area - 2
    assert shape_of(film.image).area > 1.9
    assert more == pytest.approx(22 / 16 / 64, rel=0.05)  # corners of art are round by an element


def test_an_image_over_the_whole_tint_is_no_line_to_hide_under() -> None:
    _, found = lays({"size": "5 x 5 in", "tints": [tint("2 x 2 in", "1, 1 in")]})
    assert shape_of(found[0].opens).area == pytest.approx(4)


def test_a_tint_runs_in_under_no_drawing_of_which_only_the_size_is_known() -> None:
    # As in the test with a line 1/8 in wide, but 1/2 in wide: its lines may be anywhere.
    for width, more in (("1/4", 2 / 64), ("1/2", 0)):
        line = {"kind": "line", "size": f"{width} x 2 in", "at": "1/2, 1 in"}
        at = {"1/4": "3/4, 1 in", "1/2": "1, 1 in"}[width]
        _, found = lays({"size": "5 x 5 in", "negatives": [line], "tints": [tint("2 x 2 in", at)]})
        assert shape_of(found[0].opens).area == pytest.approx(4 + more)


def test_a_tint_runs_in_under_an_outline() -> None:
    # The same 1/2 in, but an outline with a corner cut off is known to be solid.
    outline = {"points": ["1/2, 1 in", "1, 1 in", "1, 3 in", "3/4, 3 in", "1/2, 2 3/4 in"]}
    line = {"kind": "line", "outline": outline, "at": "1/2, 1 in"}
    _, found = lays({"size": "5 x 5 in", "negatives": [line], "tints": [tint("2 x 2 in", "1, 1 in")]})
    assert shape_of(found[0].opens).area == pytest.approx(4 + 2 / 64)


# ---------------------------------------------------------------- areas larger than every frame

LARGE = {"size": "21 x 17 in", "may_turn": True}


def large(*lines: dict[str, Any]) -> tuple[Plan, list[PassRecord]]:
    negatives = {"negatives": list(lines)} if lines else {}
    return lays({**LARGE, **negatives, "tints": [tint("20 x 16 1/2 in", "1/2, 1/4 in")]})


def test_an_area_larger_than_every_frame_is_split_once_and_the_joint_is_named() -> None:
    # 20 x 16 1/2 in in frames up to 16 x 20: two upright ones side by side (32 x 20 in), joined along 16 1/2 in.
    plan, found = large()
    assert len(found) == 2
    assert all("proven fewest" in lay.notes for lay in found)
    (joint,) = findings_of(plan, "benday", "benday.joint")
    assert (joint.severity, joint.plate, joint.amount) == ("warn", "7/P1", pytest.approx(16.5, abs=1e-4))
    assert "16 1/2 in" in joint.message
    one, other = opened(found)
    assert one.intersection(other).area == pytest.approx(0, abs=1e-6)
    assert one.area + other.area == pytest.approx(330)


def test_a_joint_goes_along_the_middle_of_a_straight_line() -> None:
    # The line stands from 9 to 9 1/8 in: the joint at 9 1/16 in is hidden.
    plan, found = large({"kind": "line", "size": "1/8 x 17 in", "at": "9, 0 in"})
    assert len(found) == 2
    assert findings_of(plan, "benday", "benday.joint") == []
    widths = sorted(area for area in (shape.area for shape in opened(found)))
    # The two lays lap under the line by the overlap both ways, and nowhere else.
    one, other = opened(found)
    assert one.intersection(other).area == pytest.approx(2 / 64 * 16.5, rel=0.02)
    assert widths[0] == pytest.approx((9 + 1 / 16 - 0.5 + 1 / 64) * 16.5, rel=1e-3)


def test_a_joint_follows_a_line_that_runs_askew() -> None:
    slant = {"points": ["8, 0 in", "8 1/8, 0 in", "12 1/8, 17 in", "12, 17 in"]}
    plan, found = large({"kind": "line", "outline": slant})
    assert len(found) == 2
    assert findings_of(plan, "benday", "benday.joint") == []


def test_a_line_that_ends_hides_only_as_far_as_it_runs() -> None:
    # From the foot of the tint 10 in up: 6 1/2 of its 16 1/2 in show.
    plan, _ = large({"kind": "line", "size": "1/8 x 10 1/4 in", "at": "9, 0 in"})
    (joint,) = findings_of(plan, "benday", "benday.joint")
    assert joint.amount == pytest.approx(6.5, abs=1e-4)


def test_a_drawing_of_which_only_the_size_is_known_hides_no_joint() -> None:
    # It covers all of the tint but 1/4 in round it.
    plan, _ = large({"kind": "line", "size": "19 1/2 x 16 in", "at": "3/4, 1/2 in"})
    (joint,) = findings_of(plan, "benday", "benday.joint")
    assert joint.amount == pytest.approx(16.5, abs=1e-4)


def test_the_joints_of_an_area_are_one_finding_that_names_the_worst() -> None:
    # 6 x 4 in in 2 x 2 in frames: two upright and one level joint, of 2 in for each pair of neighbours: 3 x 1 + 2 x 2.
    plan, found = lays({"size": "7 x 5 in", "tints": [tint("6 x 4 in", "1/2, 1/2 in")]}, frames=["2 x 2 in"])
    assert len(found) == 6
    (joint,) = findings_of(plan, "benday", "benday.joint")
    assert joint.message.startswith('7 joints of the tint "7" show, on 14 in in all; the worst on 2 in: on the metal')
    assert joint.amount == pytest.approx(14, abs=1e-4)


def test_an_area_that_takes_too_many_lays_is_refused_at_once() -> None:
    plan, found = lays({"size": "9 x 9 in", "tints": [tint("8 x 8 in", "1/2, 1/2 in")]}, frames=["1/64 x 1/64 in"])
    assert found == []
    (finding,) = findings_of(plan, "benday")
    assert (finding.code, finding.severity, finding.plate) == ("benday.too-many-lays", "stop", "7/P1")
    assert "8 x 8 in" in finding.message
    assert "1/64 x 1/64 in" in finding.message


def assert_cut(area: BaseGeometry, frames: tuple[tuple[float, float], ...]) -> list[BaseGeometry]:
    ways = benday._either_way(frames)
    pieces = benday._split(area, shapely.Polygon(), ways)
    assert shapely.union_all(pieces).symmetric_difference(area).area < 1e-4
    assert sum(piece.area for piece in pieces) == pytest.approx(area.area, abs=1e-4)
    assert all(frame_for(benday._bounds(piece), ways) is not None for piece in pieces)
    return pieces


hundredths = st.integers(0, 500).map(lambda number: number / 100)


@given(
    hundredths, hundredths, hundredths, hundredths,
    st.floats(0, 1, allow_subnormal=False),
    st.sampled_from([((4, 4),), ((3, 5),), ((5, 7),), ((6, 8), (8, 10))]),
)  # fmt: skip
@settings(max_examples=15, deadline=None)
def test_any_quadrilateral_is_cut_into_pieces_that_fit(
    foot: float, right: float, top: float, left: float, off: float, frames: tuple[tuple[float, float], ...]
) -> None:
    area = shapely.Polygon([(foot, 0), (17, right), (17 - top, 11), (0, 11 - left)])
    assert_cut(shapely.affinity.translate(area, off, off), frames)


def test_a_large_area_askew_is_planned() -> None:
    outline = {"points": ["5.71, 0 in", "34, 0.83 in", "27.99, 22 in", "0, 19.37 in"]}
    plate = {"size": "34 x 22 in", "mounting": "unmounted", "may_turn": False}
    house = {"sheets": [{"metal": "zinc", "size": "36 x 24 in"}], "glass": {"grip": "0 in", "size": "38 x 26 in"}}
    day = a_day({**plate, "tints": [{"pattern": "7", "at": "0, 0 in", "outline": outline}]})
    plan = planned(day, benday, settings={"frames": ["4 x 4 in"]}, house=house)
    found = passes_of(plan, "benday")
    assert sum(shape.area for shape in opened(found)) == pytest.approx(tints_of(plan, "7").area, abs=1e-4)
    assert len(findings_of(plan, "benday", "benday.joint")) == 1


@given(st.integers(200, 6000), st.integers(1, 50))
@settings(max_examples=6, deadline=None)
def test_the_bounds_in_a_room_are_those_of_the_area_cut_to_it(corners: int, waves: int) -> None:
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    reach = 5 + np.sin(turn * waves)
    area = shapely.Polygon(np.column_stack([reach * np.cos(turn), reach * np.sin(turn)]))
    outline = benday._Outline(area)
    for room in ((-3.0, -2.0, 1.0, 9.0), (2.0, 2.0, 6.0, 6.0), (-9.0, 5.0, 9.0, 9.0), (7.0, 7.0, 9.0, 9.0)):
        there = area.intersection(box(*room))
        found = outline.within(room)
        if found is None:
            assert there.area < 1e-6
        else:
            assert found == pytest.approx(there.bounds, abs=1e-6)


def test_work_is_bounded_and_what_is_not_proven_is_not_called_so() -> None:
    # Without work left, rows of the largest frame: 34 x 22 in take 9 x 6 of 4 x 4 in, and cover what is there.
    frames = benday._either_way([(4, 4), (3.1, 3.9)])
    pieces = benday._split(box(0, 0, 34, 22), shapely.Polygon(), frames, 0)
    assert len(pieces) == 54
    assert shapely.union_all(pieces).area == pytest.approx(34 * 22)
    # 40 x 15 squares, 1/4 in apart: too many to be shared out singly.
    boxes = tuple((x / 4, y / 4, x / 4 + 0.2, y / 4 + 0.2) for x in range(40) for y in range(15))
    for work in (0, benday._WORK):
        cover = fewest_lays(boxes, ((3, 2),), work)
        assert sorted(place for group in cover.groups for place in group) == list(range(600))
        assert cover.at_least <= len(cover.groups) <= 30
        for group in cover.groups:
            assert frame_for(benday._around([boxes[place] for place in group]), ((2, 3), (3, 2))) is not None


@given(areas(20), st.sampled_from([1, 3]))
@settings(max_examples=20, deadline=None)
def test_areas_taken_together_fit_in_a_frame(boxes: tuple[benday.Box, ...], most: int) -> None:
    frames = benday._either_way(((6, 8), (8, 10)))
    shares = benday._few(boxes, frames, most)
    assert sorted(place for share in shares for place in share) == list(range(len(boxes)))
    for share in shares:
        assert frame_for(benday._around([boxes[place] for place in share]), frames) is not None


def test_an_area_of_islands_is_parted_between_them() -> None:
    # Two squares 19 in apart fit no frame together, and need no joint.
    outline = {"unit": "in", "path": "M0 0 H2 V2 H0 Z M18 15 H20 V17 H18 Z"}
    plan, found = lays({"size": "21 x 18 in", "tints": [{"pattern": "7", "outline": outline, "at": "1/2, 1/2 in"}]})
    assert len(found) == 2
    assert findings_of(plan, "benday", "benday.joint") == []


def test_small_frames_only_make_many_lays_that_still_cover() -> None:
    _, found = lays({"size": "13 x 9 in", "tints": [tint("12 x 8 in", "1/2, 1/2 in")]}, frames=["4 x 4 in"])
    # 3 x 2 squares of 4 in.
    assert len(found) == 6
    assert all("proven fewest" in lay.notes for lay in found)
    assert shapely.union_all(opened(found)).area == pytest.approx(96)


@st.composite
def tinted(draw: st.DrawFn) -> dict[str, Any]:
    quarters = st.integers(0, 16).map(lambda number: number / 4)
    tints = []
    for _ in range(draw(st.integers(1, 3))):
        x, y = draw(quarters), draw(quarters)
        width, height = draw(st.integers(1, 40)) / 4, draw(st.integers(1, 20)) / 4
        tints.append(tint(f"{width} x {height} in", f"{x}, {y} in", draw(st.sampled_from(["7", "9"]))))
    line = {"kind": "line", "size": "1/8 x 5 in", "at": f"{draw(quarters)}, 1/2 in"}
    return {"size": "9 x 6 in", "tints": tints, "negatives": [line]}


@given(st.lists(tinted(), min_size=1, max_size=3))
@settings(max_examples=8, deadline=None)
def test_every_area_is_covered_once_inside_its_frames_and_all_else_is_stopped_out(plates: list[dict[str, Any]]) -> None:
    plan, found = lays(*plates, frames=["4 x 6 in", "5 x 7 in"], overlap="0 in")
    for pattern in {one["pattern"] for plate in plates for one in plate["tints"]}:
        shapes = opened([lay for lay in found if lay.name.startswith(f"{pattern},")])
        wanted = tints_of(plan, pattern)
        assert shapely.union_all(shapes).symmetric_difference(wanted).area < 1e-6
        assert sum(shape.area for shape in shapes) == pytest.approx(wanted.area, abs=1e-6)
    for lay in found:
        assert boxed(lay.frame).buffer(1e-5, join_style="mitre").covers(shape_of(lay.opens))
        sheet = box(0, 0, 24, 36)
        assert shape_of(lay.opens).intersection(shape_of(lay.mask)).area < 1e-6
        assert shape_of(lay.opens).union(shape_of(lay.mask)).area == pytest.approx(sheet.area)


# ---------------------------------------------------------------- patterns, money, being removed


def test_a_pattern_that_the_house_lacks_is_named_with_the_nearest() -> None:
    own = BendaySettings.model_validate({"patterns": ["No. 7 lines", "No. 9 dots"]})
    plate = a_plate(size="3 x 3 in", tints=[tint("1 x 1 in", "1, 1 in", "No. 7 line")])
    (finding,) = benday.flatwright_inspect_plate(plate, own)
    assert (finding.code, finding.severity) == ("benday.unknown-pattern", "stop")
    assert 'did you mean "No. 7 lines"?' in finding.cure
    known = a_plate(size="3 x 3 in", tints=[tint("1 x 1 in", "1, 1 in", "no. 7  LINES")])
    assert benday.flatwright_inspect_plate(known, own) == []
    assert benday.flatwright_inspect_plate(plate, HOUSE) == []


def test_a_block_with_tint_all_over_costs_a_penny_a_square_inch_more() -> None:
    # Harper (1894): a line block of 2 x 3 in with Benday all over is 6 sq in at 1d.
    plan, _ = lays({"size": "2 x 3 in", "tints": [{"pattern": "7"}]}, charge="1")
    (charge,) = [one for one in plan.plates[0].charges if one.rule == "benday"]
    assert (charge.quantity, charge.unit, Decimal(charge.rate)) == (pytest.approx(6), "sq in", 1)
    assert charge.setting.startswith("[rules.benday] charge")


def test_what_hangs_off_the_plate_is_neither_laid_nor_charged() -> None:
    plan, found = lays({"size": "3 x 3 in", "tints": [tint("2 x 1 in", "2, 1 in")]}, charge="1")
    assert shape_of(found[0].opens).area == pytest.approx(1)
    (charge,) = [one for one in plan.plates[0].charges if one.rule == "benday"]
    assert charge.quantity == pytest.approx(1)
    assert findings_of(plan, code="tint.off-plate")


def test_one_pattern_likes_one_flat() -> None:
    plate = a_plate(size="3 x 3 in", tints=[tint("1 x 1 in", "1, 1 in", "9"), tint("1 x 1 in", "0, 0 in", "7")])
    assert [(one.kind, one.key) for one in benday.flatwright_sharing(plate)] == [("near", "7"), ("near", "9")]


def test_without_the_rule_tints_are_drawn_and_not_laid() -> None:
    day = a_day({"size": "3 x 3 in", "tints": [tint("1 x 1 in", "1, 1 in")]})
    house: House = a_house(rules={"benday": {"enabled": False}})
    assert "benday" not in [rule.name for rule in load_rules(house, "house.toml").active]
    plan = planned_by_house(day, house)
    assert passes_of(plan, "benday") == []
    assert plan.flats[0].placements[0].tints[0].pattern == "7"

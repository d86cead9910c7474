from __future__ import annotations

import pytest

from planner.cutting import house_spacing
from planner.glass import usable_box

from .days import a_day, a_house, planned


def test_the_glass_limits_the_usable_metal_the_better_way_round() -> None:
    house = a_house(glass={"size": "40 x 30 in", "grip": "1/2 in"})
    assert usable_box(24, 36, house) == (0.5, 0.5, 23, 35)
    assert usable_box(60, 20, house) == (10, 0.5, 40, 19)


def test_metal_off_the_glass_is_wide_enough_to_be_cut_away() -> None:
    house = a_house(glass={"size": "22.99 x 60 in", "grip": "1/2 in"}, cutting={"how": "saw", "kerf": "1/16 in"})
    left, _, width, _ = usable_box(24, 36, house)
    assert left - 0.5 > 1 / 16
    assert left + width + left == 24


def test_the_strip_between_blanks_is_rounded_up_to_the_grid() -> None:
    assert house_spacing(a_house(cutting={"gap": "1/8 in"})) == 128
    assert house_spacing(a_house(cutting={"gap": "3 mm"})) == 121
    assert house_spacing(a_house(cutting={"gap": "0 in"})) == 0


def test_cuts_start_at_the_whole_sheet_and_are_numbered_in_order() -> None:
    (flat,) = planned(a_day({"size": "3 x 4 in", "quantity": 3}), a_house(cutting={"how": "saw"})).flats
    assert flat.cut_tree[0].box == (0, 0, flat.sheet.width, flat.sheet.height)
    cuts = [part for part in flat.cut_tree if part.cut is not None]
    assert [part.number for part in cuts[:4]] == [1, 2, 3, 4]
    assert sorted(part.number or 0 for part in cuts) == list(range(1, flat.cuts + 1))
    assert all(part.kerf == 1 / 16 for part in cuts)


def test_a_kerf_lies_in_the_middle_of_the_gap() -> None:
    house = a_house(cutting={"how": "saw", "kerf": "1/16 in", "gap": "1/4 in"}, glass={"grip": "0 in"})
    (flat,) = planned(a_day({"size": "3 x 4 in"}), house).flats
    (placement,) = flat.placements
    x, y, width, height = placement.blank
    part_x, part_y, part_width, part_height = placement.part
    assert (part_x, part_y) == (x, y)
    beside = part_width - width, part_height - height
    assert beside == pytest.approx((3 / 32, 3 / 32))

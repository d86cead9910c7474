from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.proportion import ProportionError, parse_percentage, solve

sides = st.floats(0.1, 100)


@given(width=sides, height=sides, percentage=st.floats(1.1, 400))
def test_any_three_that_fix_the_proportion_give_the_rest(width: float, height: float, percentage: float) -> None:
    whole = solve(width, height, percentage=percentage)
    plate_width, plate_height = whole.plate_width, whole.plate_height
    for again in (
        solve(width, height, plate_width=plate_width),
        solve(width, height, plate_height=plate_height),
        solve(width, plate_width=plate_width, plate_height=plate_height),
        solve(copy_height=height, plate_width=plate_width, plate_height=plate_height),
        solve(plate_width=plate_width, plate_height=plate_height, percentage=percentage),
        solve(width, plate_height=plate_height, percentage=percentage),
        solve(width, height, plate_width, plate_height, percentage),
    ):
        assert again.percentage == pytest.approx(percentage)
        assert (again.copy_width, again.copy_height) == pytest.approx((width, height))
        assert (again.plate_width, again.plate_height) == pytest.approx((plate_width, plate_height))


@pytest.mark.parametrize(
    ("given_sides", "says"),
    [
        ({}, "give the percentage"),
        ({"copy_width": 10}, "give the percentage"),
        ({"percentage": 50}, "give the width of the copy or of the plate"),
        ({"copy_width": 10, "plate_width": 5}, "give the height of the copy or of the plate"),
        ({"copy_width": -1, "copy_height": 1, "percentage": 50}, "greater than zero"),
        ({"copy_width": 10, "copy_height": 8, "plate_width": 5, "percentage": 60}, "leave one of them out"),
        ({"copy_width": 10, "copy_height": 8, "plate_width": 5, "plate_height": 4, "percentage": 60},
         "the sizes make 50.00 %, which is not the percentage given"),
        ({"copy_width": 10, "copy_height": 8, "percentage": 0.1}, "beyond any camera"),
        ({"copy_width": 10, "copy_height": 8, "plate_width": 6, "plate_height": 6},
         "crop 2.000 in off the width of the copy, or make the plate 6.000 x 4.800 in"),
        ({"copy_width": 8, "copy_height": 10, "plate_width": 6, "plate_height": 6},
         "crop 2.000 in off the height of the copy, or make the plate 4.800 x 6.000 in"),
    ],
)  # fmt: skip
def test_what_is_missing_or_does_not_agree_is_said(given_sides: dict[str, float], says: str) -> None:
    with pytest.raises(ProportionError, match=says):
        solve(**given_sides)


def test_percentages_as_they_are_written() -> None:
    assert parse_percentage("66.7 %") == 66.7
    assert parse_percentage("1/4 off") == 75
    for text in ("66.7", "0 %", "2/2 off", "1/0 off", "half off", "-5 %"):
        with pytest.raises(ProportionError):
            parse_percentage(text)


def test_sizes_read_off_a_rule_to_the_nearest_sixty_fourth_agree() -> None:
    assert solve(10, plate_width=6 + 21 / 32, copy_height=8, percentage=66.6).percentage == pytest.approx(66.6)

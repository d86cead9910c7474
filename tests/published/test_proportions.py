"""Reduction and enlargement against worked examples in print."""

from __future__ import annotations

import pytest

from planner.lengths import PICA, parse_length
from planner.proportion import parse_percentage, solve


@pytest.mark.parametrize(
    ("copy_picas", "plate_width", "depth_in_picas"),
    [((39, 48), "25p6", 31.4), ((27, 16), "39p", 23.1), ((30, 42), "25p6", 35.7)],
)
def test_depth_by_ratio_and_by_the_rule_of_the_diagonal(
    copy_picas: tuple[int, int], plate_width: str, depth_in_picas: float
) -> None:
    """University of Kansas, editing course pages "The Ratio Method" and "The Rule of the Diagonal".

    The depth of the third is our own arithmetic on that page's set-up.
    """
    width, height = (picas * float(PICA) for picas in copy_picas)
    answer = solve(width, height, plate_width=parse_length(plate_width))
    assert answer.plate_height / float(PICA) == pytest.approx(depth_in_picas, abs=0.05)


def test_mixed_units_give_an_exact_depth() -> None:
    """US Navy, Journalist 3 & 2, NAVEDTRA 14130, p. 8-15: 18 picas x 4 in into 13.5 picas is 3 in deep."""
    answer = solve(parse_length("18p"), parse_length("4 in"), plate_width=parse_length("13p6"))
    assert answer.plate_height == pytest.approx(3, abs=1e-12)


def test_ten_by_eight_to_six_wide() -> None:
    """North Dakota State University, R. Collins, "editor's proportion scale": 60 per cent, 4 13/16 in deep."""
    answer = solve(10, 8, plate_width=6)
    assert answer.percentage == pytest.approx(60)
    assert answer.plate_height == pytest.approx(4 + 13 / 16, abs=1 / 64)


def test_twelve_by_nine_to_eight_by_six_and_its_area() -> None:
    """A. Horsley Hinton, A Handbook of Illustration (1890s): 12 x 9 in reduced to 8 x 6 in."""
    answer = solve(12, 9, plate_width=8, plate_height=6)
    assert answer.percentage == pytest.approx(66.67, abs=0.01)
    assert answer.percentage**2 / 100 == pytest.approx(44.44, abs=0.01)


@pytest.mark.parametrize(("millimetres", "off"), [(2, "1/2 off"), (1.5, "1/3 off")])
def test_letters_come_out_a_millimetre_high(millimetres: float, off: str) -> None:
    """John L. Ridgway, The Preparation of Illustrations (USGS, 1920), p. 54; it fixes what "1/3 off" means."""
    answer = solve(1, parse_length(f"{millimetres} mm"), percentage=parse_percentage(off))
    assert answer.plate_height * 25.4 == pytest.approx(1)


def test_three_photographs_on_an_octavo_plate_need_slight_trimming() -> None:
    """Ridgway 1920, pp. 12 and 33: 3 1/4 x 5 1/2 in each, stacked to 4 3/8 in wide, against a depth of 7 1/2 in."""
    answer = solve(5.5, 3 * 3.25, plate_width=4.375)
    assert answer.percentage == pytest.approx(79.5, abs=0.1)
    assert answer.plate_height - 7.5 == pytest.approx(0.256, abs=0.005)


def test_half_scale_is_a_quarter_of_the_area() -> None:
    """Ridgway 1920, p. 18; Charles G. Harper, A Practical Handbook of Drawing (1894)."""
    answer = solve(7, 3, percentage=50)
    assert answer.plate_width * answer.plate_height == pytest.approx(7 * 3 / 4)

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.lengths import (
    LengthError,
    amount_text,
    exact_text,
    fraction_text,
    parse_length,
    parse_point,
    parse_size,
    size_text,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("4 1/4 in", 4.25), ('4-1/4"', 4.25), ("4.25in", 4.25), ("1/4 inch", 0.25), (".5 in", 0.5), ("5 IN", 5),
        ("4\u00bd in", 4.5), ("\u00be\u2033", 0.75), ("4''", 4), ("-1/8 in", -0.125), ("\u22121/8 in", -0.125),
        ("254 mm", 10), ("25.4 cm", 10), ("14 pt", 14 * 0.013837), ("26p6", 26.5 * 12 * 0.013837),
        ("26p", 26 * 12 * 0.013837), ("0p7.5", 7.5 * 0.013837), ("2 picas", 24 * 0.013837),
    ],
)  # fmt: skip
def test_lengths_as_people_write_them(text: str, inches: float) -> None:
    assert parse_length(text) == pytest.approx(inches, abs=1e-12)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("4", "names no unit"), ("4 1/4", "names no unit"), (4, "the bare number 4"), (4.5, "the bare number 4.5"),
        (True, "True is no length"), (None, "None is no length"), ("", "is no length"), ("four in", "is no length"),
        ("4 ell", "is no length"), ("1/0 in", "divides by zero"), ("4 in 3", "is no length"),
        ("nan in", "is no length"),
        ("1e3 in", "is no length"), ("5000 in", "check its unit"), ("4 / 5 in", "is no length"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_what_would_be_right(given: object, says: str) -> None:
    with pytest.raises(LengthError) as refusal:
        parse_length(given)
    assert says in str(refusal.value)
    assert "mm" in str(refusal.value) or "unit" in str(refusal.value)


@pytest.mark.parametrize(
    "text",
    ["4 1/4 x 6 in", "4 1/4 in x 6 in", '4 1/4" x 6"', '4 1/4"x6"', "4.25x6in", "4.25 X 6 in", "4.25 \u00d7 6 in"],
)
def test_sizes_share_a_unit_or_carry_their_own(text: str) -> None:
    assert parse_size(text) == (4.25, 6.0)


def test_a_size_may_mix_units() -> None:
    assert parse_size("18 picas x 4 in") == pytest.approx((18 * 12 * 0.013837, 4))


@pytest.mark.parametrize(
    "given", ["4 in", "4 x 6", "4 x 6 x 8 in", "0 x 6 in", "-4 x 6 in", 4, "x 6 in", "4 in x", "4 in x 6"]
)
def test_what_is_no_size_is_refused(given: object) -> None:
    with pytest.raises(LengthError):
        parse_size(given)


def test_points_may_be_negative_and_share_a_unit() -> None:
    assert parse_point("-1/8, 2 in") == (-0.125, 2.0)
    assert parse_point("12.7 mm, 0 in") == pytest.approx((0.5, 0))


@pytest.mark.parametrize("given", ["1 in", "1, 2", "1 in 2 in", "1 in, 2 in, 3 in", ["1 in", "2 in"]])
def test_what_is_no_place_is_refused(given: object) -> None:
    with pytest.raises(LengthError):
        parse_point(given)


@given(st.integers(-64_000, 64_000))
def test_every_sixty_fourth_is_exact_there_and_back(units: int) -> None:
    assert parse_length(f"{fraction_text(units / 64)} in") == units / 64


@given(st.floats(1e-12, 1000))
def test_exact_text_gives_the_same_float_back(inches: float) -> None:
    assert parse_length(exact_text(inches)) == inches


def test_texts_for_people() -> None:
    assert size_text(4.25, 6) == "4 1/4 x 6 in"
    assert amount_text(0.0361) == "0.036 in"
    assert amount_text(0.03125) == "1/32 in"
    assert fraction_text(-0.001) == "0"

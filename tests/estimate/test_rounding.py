from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.estimate.rounding import CENT, THOUSANDTH, cents, give_out, thousandths


def test_halves_are_rounded_up() -> None:
    assert cents(Decimal("0.125")) == Decimal("0.13")
    assert cents(Decimal("2.344999")) == Decimal("2.34")
    assert thousandths(0.0005) == Decimal("0.001")


def test_odd_cents_go_where_rounding_took_most_and_of_equals_to_the_first() -> None:
    assert give_out(Decimal("1.00"), [1, 1, 1]) == [Decimal("0.34"), Decimal("0.33"), Decimal("0.33")]
    # 10.00 by 1 : 2 : 4 is 1.428, 2.857, 5.714: rounded down 9.98, and the two odd cents go to .0071 and .0085.
    assert give_out(Decimal("10.00"), [1, 2, 4]) == [Decimal("1.43"), Decimal("2.86"), Decimal("5.71")]
    assert give_out(Decimal("-0.05"), [1, 1]) == [Decimal("-0.03"), Decimal("-0.02")]
    assert give_out(Decimal("0.03"), [0, 0]) == [Decimal("0.02"), Decimal("0.01")]
    assert give_out(Decimal(0), []) == []


@pytest.mark.parametrize(("total", "weights"), [("0.005", [1]), ("1", []), ("1", [-1, 2])])
def test_what_cannot_be_given_out_is_refused(total: str, weights: list[float]) -> None:
    with pytest.raises(ValueError, match=r"is no whole number|nobody|negative"):
        give_out(Decimal(total), weights)


@given(
    st.integers(-10_000_000, 10_000_000),
    st.lists(st.floats(0, 1e5, allow_subnormal=False), min_size=1, max_size=40),
    st.sampled_from([CENT, THOUSANDTH]),
)
def test_parts_add_up_and_none_is_a_step_off(steps: int, weights: list[float], step: Decimal) -> None:
    parts = give_out(steps * step, weights, step)
    assert sum(parts) == steps * step
    everything = sum(weights)
    if everything > 1e-6:
        for part, weight in zip(parts, weights, strict=True):
            assert abs(float(part / step) - steps * weight / everything) < 1 + abs(steps) * 1e-6

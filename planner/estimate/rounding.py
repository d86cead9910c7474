"""Whole cents, and who gets the odd ones.

Amounts are rounded to the hundredth, halves up, as shops do. What is given out to several is given out in whole steps:
each gets what its share is worth rounded down, and the steps that are left go to those whose shares lost most by it,
of equals to the first (the rule of the largest remainder). So the parts add up to the whole, always.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

CENT: Final = Decimal("0.01")
THOUSANDTH: Final = Decimal("0.001")
"""Of a square inch, and of a pound: to which the account counts."""

_FINE: Final = 10**9
"""Weights count to a billionth."""

RULE: Final = (
    "Money is rounded to the hundredth, halves up; areas and weights to the thousandth. What is given out to several "
    "is rounded down for each; the odd steps go where the rounding took most, of equals to the first."
)


def cents(amount: Decimal) -> Decimal:
    """Round an amount of money to the hundredth, halves away from nothing."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def thousandths(value: float) -> Decimal:
    """Round square inches or pounds to the thousandth."""
    return Decimal(repr(value)).quantize(THOUSANDTH, ROUND_HALF_UP)


def give_out(total: Decimal, weights: Sequence[float | Decimal], step: Decimal = CENT) -> list[Decimal]:
    """Give out a total, a whole number of steps, in proportion to weights of zero or more; the parts add up to it.

    Where no weight is more than zero all count the same.

    Raises:
        ValueError: there is something to give out and nobody to take it, a weight is negative, or the total is no
            whole number of steps.
    """
    whole = abs(total) / step
    if whole != int(whole):
        raise ValueError(f"{total} is no whole number of steps of {step}.")
    if not weights:
        if total:
            raise ValueError(f"There is nobody to take {total}.")
        return []
    shares = [round(weight * _FINE) for weight in weights]
    if min(shares) < 0:
        raise ValueError("A weight is negative.")
    if not any(shares):
        shares = [1] * len(shares)
    steps, everything = int(whole), sum(shares)
    parts, rests = zip(*(divmod(steps * share, everything) for share in shares), strict=True)
    given = list(parts)
    most = sorted(range(len(given)), key=lambda place: -rests[place])
    for place in most[: steps - sum(given)]:
        given[place] += 1
    sign = -1 if total < 0 else 1
    return [sign * part * step for part in given]

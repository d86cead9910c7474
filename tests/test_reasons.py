"""Why a plate needs what it needs: sums that add up, needs rounded up, and what is laid over it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from planner.plan import Plan
from planner.reasons import reason_lines
from planner.testing import a_day, planned

from .rules_written import written


def lines(plan: Plan, plate: str = "7/P1") -> list[str]:
    return list(reason_lines(plan, plate, "plan.json"))


def inches(words: str) -> float:
    return float(sum(Fraction(word) for word in words.split()))


WIDER = """
@hookimpl
def flatwright_margins(plate):
    return [Margin("trim", 0.5, 0, 0, 0, "gripped on the left"), Margin.all_round("trim", 1 / 16, "as much again")]
@hookimpl
def flatwright_passes(flat):
    plates = tuple(laid.record.id for laid in flat.plates)
    return [Pass("wash", "the wash", "metal", flat.area, Point(), "it is washed", plates)]
"""


def test_what_is_marked_as_added_is_what_the_metal_is_larger_by() -> None:
    plan = planned(a_day({"size": "3 x 4 in", "mounting": "unmounted"}), written(WIDER), alone=True)
    said = lines(plan)
    # Trim of 1/16 in, of 1/2 in on the left, one that adds nothing, and 1/4 in in all for the film on the other sides.
    assert said[0].startswith("7/P1 needs 3 3/4 x 4 1/2 in of zinc")
    assert [line.split(":")[0] for line in said if "trim, cut away" in line] == [
        "  + 1/16 in all round      trim, cut away",
        "  + 1/2 in left            trim, cut away",
        "  (1/16 in all round)      trim, cut away",
    ]
    assert sum("not added, as another asks for as much of it" in line for line in said) == 1
    assert "  the wash is laid over it: it is washed (rule stranger)" in said


@pytest.mark.parametrize("size", ["3 x 4 in", "3.0137 x 4.01 in", "101 x 77.7 mm"])
def test_the_metal_named_is_never_less_than_the_metal_needed(size: str) -> None:
    plan = planned(a_day({"size": size}), written(""))
    first = lines(plan)[0].split(" needs ")[1].split(" in of ")[0]
    needed: Any = plan.plates[0].blank[2:]
    for named, true in zip(map(inches, first.split(" x ")), needed, strict=True):
        assert true - 1e-6 <= named < true + 1 / 64

"""Which square inches of a plate are charged, and how its fractions count. Areas are square inches, as decimals."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from shapely.geometry.base import BaseGeometry

from planner.blanks import Blank
from planner.geometry import union_of
from planner.prices import Counting

_STEPS: Final = {"quarter": Decimal("0.25"), "half": Decimal("0.5"), "whole": Decimal(1)}
_MILLIONTH: Final = Decimal("0.000001")
"""Of an inch: what is finer is noise of floating point, and must not cost a step."""


@dataclass(frozen=True, slots=True)
class Counted:
    """What a plate counts as: its sides as measured, and its square inches as charged."""

    width: Decimal
    height: Decimal
    area: Decimal


def counted(blank: Blank, counting: Counting) -> Counted:
    """Count a plate the house's way: round what it measures, and which fractions are rounded up."""
    left, bottom, right, top = _measured(blank, counting).bounds
    return counted_sides(right - left, top - bottom, counting)


def counted_sides(width: float, height: float, counting: Counting) -> Counted:
    """Count a rectangle of these sides in inches."""
    sides = [Decimal(repr(side)).quantize(_MILLIONTH) for side in (width, height)]
    step = _STEPS.get(counting.fractions)
    if step is None:
        return Counted(sides[0], sides[1], sides[0] * sides[1])
    if counting.of == "sides":
        across, up = (_up(side, step) for side in sides)
        return Counted(sides[0], sides[1], across * up)
    return Counted(sides[0], sides[1], _up((sides[0] * sides[1]).quantize(_MILLIONTH), step))


def _measured(blank: Blank, counting: Counting) -> BaseGeometry:
    plate = blank.plate
    if counting.area == "printing" and not plate.printing.is_empty:
        return plate.printing
    if counting.area == "plate":
        return union_of([plate.face, blank.flange])
    return plate.face


def _up(value: Decimal, step: Decimal) -> Decimal:
    return math.ceil(value / step) * step

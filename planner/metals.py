"""What plate metal weighs."""

from __future__ import annotations

from typing import Final

from planner.lengths import INCH_IN_MILLIMETRES
from planner.orders import MetalName

DENSITY: Final[dict[MetalName, float]] = {"copper": 8.96, "zinc": 7.133, "magnesium": 1.738}
"""Grams per cubic centimetre at room temperature (CRC Handbook of Chemistry and Physics, 80th edition)."""

GRAMS_IN_POUND: Final = 453.59237
"""One avoirdupois pound in grams, exact by definition (UCUM ``[lb_av]``)."""

_CUBIC_CENTIMETRES_IN_CUBIC_INCH: Final = float(INCH_IN_MILLIMETRES / 10) ** 3


def weight_of(metal: MetalName, area: float, thickness: float) -> float:
    """Give the weight in pounds of a piece of metal: its area in square inches, its thickness in inches."""
    return area * thickness * _CUBIC_CENTIMETRES_IN_CUBIC_INCH * DENSITY[metal] / GRAMS_IN_POUND

"""Is everything laid square? A small angle is a large error at the far end of a long line."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.findings import Finding
from planner.geometry import spun
from planner.lengths import amount_text
from planner.plates import Film, OrderedPlate


def check_squareness(plate: OrderedPlate, register_tolerance: float) -> Iterator[Finding]:
    """Find overlays that are not parallel to their illustration, and square halftones not parallel to the plate.

    The drift is what the angle makes over the longer side of the film or picture. Beyond the register tolerance the
    film must be squared; below it, it is worth a look.
    """
    for film in plate.films:
        if film.is_overlay:
            under = plate.illustration_under(film)
            yield from _off(film, film.angle - under.angle, max(film.size), under.label, register_tolerance)
        elif film.kind in ("square", "combination") and film.angle:
            left, bottom, right, top = spun(film.image, -film.angle, (0, 0)).bounds
            longest = max(right - left, top - bottom)
            yield from _off(film, film.angle, longest, "the plate", register_tolerance)


def _off(film: Film, degrees: float, length: float, against: str, tolerance: float) -> Iterator[Finding]:
    if not degrees:
        return
    drift = length * math.sin(math.radians(abs(degrees)))
    way = "clockwise" if degrees > 0 else "anticlockwise"
    yield Finding(
        "square.overlay" if film.is_overlay else "square.picture",
        "stop" if drift > tolerance else "warn",
        f"{film.label} lies {abs(degrees):g} degrees out of square with {against}, "
        f"which makes {amount_text(drift)} over its length",
        f"turn it {abs(degrees):g} degrees {way}",
        amount=degrees,
        unit="deg",
        shape=film.film,
    )

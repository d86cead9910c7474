"""Is everything laid square? A small angle is a large error at the far end of a long line."""

from __future__ import annotations

import math
from collections.abc import Iterator

from planner.checks.laying import remake_words, squaring_words, turn_words
from planner.films import Film
from planner.findings import Finding
from planner.geometry import spun
from planner.lengths import amount_text
from planner.plates import OrderedPlate


def check_squareness(plate: OrderedPlate, register_tolerance: float) -> Iterator[Finding]:
    """Find overlays that are not parallel to their illustration, and square halftones not parallel to the plate.

    The drift is what the angle makes over the longer side of the film or picture. An overlay must be squared when it
    drifts beyond the register tolerance; a picture may be meant to lie askew, so it only wants a look.
    """
    for film in plate.films:
        if film.is_overlay:
            yield from _overlay(film, plate.illustration_under(film), register_tolerance)
        elif film.kind in ("square", "combination") and film.angle:
            yield from _picture(film)


def _overlay(overlay: Film, under: Film, tolerance: float) -> Iterator[Finding]:
    off = overlay.angle - under.angle
    if not off:
        return
    drift = max(overlay.size) * math.sin(math.radians(abs(off)))
    cure = squaring_words(overlay, under, tolerance)
    yield Finding(
        "square.overlay",
        "stop" if drift > tolerance else "warn",
        f"{overlay.label} lies {abs(off):g} degrees out of square with {under.label}, "
        f"which makes {amount_text(drift)} over its length",
        cure or f"{turn_words(overlay, under)}, and {remake_words(under, tolerance)}",
        amount=off,
        unit="deg",
        shape=overlay.film,
        sided=True,
    )


def _picture(film: Film) -> Iterator[Finding]:
    left, bottom, right, top = spun(film.image, -film.angle, (0, 0)).bounds
    drift = max(right - left, top - bottom) * math.sin(math.radians(abs(film.angle)))
    way = "clockwise" if film.angle > 0 else "anticlockwise"
    yield Finding(
        "square.picture",
        "warn",
        f"{film.label} lies {abs(film.angle):g} degrees out of square with the plate, "
        f"which makes {amount_text(drift)} over its length",
        f"unless it is meant so, turn it and its overlays {abs(film.angle):g} degrees {way}",
        amount=film.angle,
        unit="deg",
        shape=film.film,
    )

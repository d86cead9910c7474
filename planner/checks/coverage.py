"""Does every overlay cover the whole illustration it lies on, with something to spare for register?

A surprint's film that falls short lets the second exposure fog the halftone solid; a reverse's shows its own edge.
Either way the outline of the overlay ends up in the metal, so the whole illustration must be covered, not only the
lettering (common practice).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from shapely.geometry import MultiPolygon

from planner.findings import Finding
from planner.geometry import TINY_AREA, area_of, moved, spun
from planner.lengths import amount_text, size_text
from planner.plates import Film, OrderedPlate

REMAKE_STEP: Final = 1 / 16
"""Inches; film is remade to the next sixteenth."""


def check_coverage(plate: OrderedPlate, register_tolerance: float) -> Iterator[Finding]:
    """Find each overlay whose film, shrunk by the register tolerance, leaves part of its illustration bare."""
    for overlay in plate.films:
        if overlay.is_overlay:
            illustration = plate.illustration_under(overlay)
            sure = overlay.film.buffer(-register_tolerance, join_style="mitre")
            bare = area_of(illustration.image.difference(sure))
            if bare.area > TINY_AREA:
                yield _short(overlay, illustration, bare, register_tolerance)


def _short(overlay: Film, illustration: Film, bare: MultiPolygon, tolerance: float) -> Finding:
    where = ", ".join(
        f"{amount_text(amount)} on the {side}" for side, amount in _shortfall(overlay, illustration, tolerance).items()
    )
    spare = f", with {amount_text(tolerance)} kept for register" if tolerance else ""
    return Finding.over(
        bare,
        "coverage.short",
        "stop",
        f"{overlay.label} leaves {bare.area:.3f} sq in of {illustration.label} bare: it is short {where}{spare}",
        _cure(overlay, illustration, tolerance),
    )


def _shortfall(overlay: Film, illustration: Film, tolerance: float) -> dict[str, float]:
    """How far the illustration reaches beyond each edge of the sure field, seen along the film's own edges."""
    left, bottom, right, top, half_width, half_height = _beside(overlay, illustration, overlay.angle, tolerance)
    short = {
        "left": -half_width - left, "right": right - half_width,
        "bottom": -half_height - bottom, "top": top - half_height,
    }  # fmt: skip
    return {side: amount for side, amount in short.items() if amount > 1e-9}


def _beside(
    overlay: Film, illustration: Film, angle: float, tolerance: float
) -> tuple[float, float, float, float, float, float]:
    """The illustration's bounds seen from the film's centre along its edges at an angle; half the sure field."""
    centre = overlay.film.centroid
    left, bottom, right, top = spun(illustration.image, -angle, (centre.x, centre.y)).bounds
    width, height = (side - 2 * tolerance for side in overlay.size)
    return left - centre.x, bottom - centre.y, right - centre.x, top - centre.y, width / 2, height / 2


def _cure(overlay: Film, illustration: Film, tolerance: float) -> str:
    """Squaring up comes first where the overlay is out of square: it has to be done in any case."""
    off_square = overlay.angle - illustration.angle
    if off_square:
        squared = shift_to_cover(overlay, illustration, illustration.angle, tolerance)
        if squared is not None:
            turn = f"square it up by turning it {abs(off_square):g} degrees {_turning(-off_square)}"
            shift_words = _shift_text(overlay, illustration, illustration.angle, tolerance, squared)
            return f"{turn} about its centre" + (f", then shift it {shift_words}" if shift_words else "")
    shift = shift_to_cover(overlay, illustration, overlay.angle, tolerance)
    if shift is not None:
        return f"shift the film {_shift_text(overlay, illustration, overlay.angle, tolerance, shift)}"
    return f"remake the film, at least {size_text(*smallest_film(illustration, tolerance))}"


def _turning(degrees: float) -> str:
    return "anticlockwise" if degrees > 0 else "clockwise"


def shift_to_cover(overlay: Film, illustration: Film, angle: float, tolerance: float) -> tuple[float, float] | None:
    """Give the shortest shift (across, up; inches) that makes the film cover, when it lies at this angle.

    The film is taken as turned about its centre to the angle. Seen along the film's own edges the question falls into
    two intervals, one each way: a shift exists exactly when the illustration's extent fits the film less the
    tolerance on both sides. None when there is no such shift.
    """
    left, bottom, right, top, half_width, half_height = _beside(overlay, illustration, angle, tolerance)
    along = _interval_shift(left, right, half_width)
    across = _interval_shift(bottom, top, half_height)
    if along is None or across is None:
        return None
    turn = math.radians(angle)
    return (along * math.cos(turn) - across * math.sin(turn), along * math.sin(turn) + across * math.cos(turn))


def smallest_film(illustration: Film, tolerance: float) -> tuple[float, float]:
    """Give the smallest film, laid square to the illustration, that covers it with the tolerance on every side.

    Rounded up to the next 1/16 in.
    """
    left, bottom, right, top = spun(illustration.image, -illustration.angle, (0, 0)).bounds
    width, height = (
        math.ceil((side + 2 * tolerance) / REMAKE_STEP - 1e-6) * REMAKE_STEP for side in (right - left, top - bottom)
    )
    return width, height


def _interval_shift(low: float, high: float, half: float) -> float | None:
    """The least shift that brings [-half, half] over [low, high]."""
    if high - low > 2 * half + 1e-9:
        return None
    if high > half:
        return high - half
    return min(0.0, low + half)


def _shift_text(overlay: Film, illustration: Film, angle: float, tolerance: float, shift: tuple[float, float]) -> str:
    """Say a shift in whole 1/64 in where that still covers, else to the thousandth."""
    along, up = (math.copysign(math.ceil(abs(value) * 64 - 1e-6) / 64, value) for value in shift)
    centre = overlay.film.centroid
    squared = spun(overlay.film, angle - overlay.angle, (centre.x, centre.y))
    sure = moved(squared, along, up).buffer(-tolerance, join_style="mitre")
    if area_of(illustration.image.difference(sure)).area > TINY_AREA:
        along, up = shift
    words = [
        f"{amount_text(abs(amount))} {more if amount > 0 else less}"
        for amount, more, less in ((along, "to the right", "to the left"), (up, "up", "down"))
        if abs(amount) > 1e-6
    ]
    return " and ".join(words)

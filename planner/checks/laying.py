"""How must an overlay's film lie to cover its illustration? The shift, the squaring, or the film to remake.

Seen along the film's own edges the question falls into two intervals, one each way: the film less the tolerance on
both sides covers exactly when the illustration's extent lies inside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from planner.films import Film
from planner.geometry import spun
from planner.lengths import length_text

LEAST: Final = 1e-6
"""Inches; less is rounding, not a film laid short."""

REMAKE_STEP: Final = 1 / 16
"""Inches; film is remade to the next sixteenth."""


@dataclass(frozen=True, slots=True)
class _Room:
    """Shifts along the film's own edges, from least to most, that bring its sure field over the illustration.

    A least above its most means that the illustration is too long that way.
    """

    least_along: float
    most_along: float
    least_across: float
    most_across: float

    @property
    def exists(self) -> bool:
        return self.least_along - self.most_along <= LEAST and self.least_across - self.most_across <= LEAST

    def holds(self, along: float, across: float) -> bool:
        return (
            self.least_along - LEAST <= along <= self.most_along + LEAST
            and self.least_across - LEAST <= across <= self.most_across + LEAST
        )


def shortfall(overlay: Film, illustration: Film, tolerance: float) -> dict[str, float]:
    """Give, by side, how far the illustration reaches beyond the film's sure field; empty where the film covers.

    Sides are the film's own, which is turned by less than 45 degrees against the plate; inches.
    """
    room = _room(overlay, illustration, overlay.angle, tolerance)
    short = {
        "left": -room.most_along, "right": room.least_along, "bottom": -room.most_across, "top": room.least_across,
    }  # fmt: skip
    return {side: amount for side, amount in short.items() if amount > LEAST}


def shift_to_cover(overlay: Film, illustration: Film, angle: float, tolerance: float) -> tuple[float, float] | None:
    """Give the shortest shift (to the right, up; inches) that makes the film cover when it lies at this angle.

    The film is taken as turned about its centre to the angle (degrees). None when no shift does.
    """
    room = _room(overlay, illustration, angle, tolerance)
    if not room.exists:
        return None
    along = _nearest_to_zero(room.least_along, room.most_along)
    across = _nearest_to_zero(room.least_across, room.most_across)
    return _turned(along, across, angle)


def shift_words(overlay: Film, illustration: Film, angle: float, tolerance: float) -> str | None:
    """Say a shift that cures, as short and as round as it can be; empty where none is needed, None where none does."""
    shift = shift_to_cover(overlay, illustration, angle, tolerance)
    if shift is None:
        return None
    if max(map(abs, shift)) <= LEAST:
        return ""
    room = _room(overlay, illustration, angle, tolerance)
    for step in (64, 1000, 10_000, 100_000):
        rounded = _round(shift, step)
        for candidate in rounded:
            if room.holds(*_turned(*candidate, -angle)):
                return _words(candidate, step)
    return _words(shift, 1_000_000)


def squaring_words(overlay: Film, illustration: Film, tolerance: float) -> str | None:
    """Say how to square an overlay up so that it covers; None where no shift helps even then."""
    shift = shift_words(overlay, illustration, illustration.angle, tolerance)
    if shift is None:
        return None
    return f"{turn_words(overlay, illustration)} about its centre" + (f", then shift it {shift}" if shift else "")


def turn_words(overlay: Film, illustration: Film) -> str:
    """Say the turn that makes an overlay parallel to its illustration."""
    off = overlay.angle - illustration.angle
    return f"square it up by turning it {abs(off):g} degrees {'clockwise' if off > 0 else 'anticlockwise'}"


def remake_words(illustration: Film, tolerance: float) -> str:
    """Say the smallest film that covers when it is laid square to the illustration and centred on it."""
    width, height = smallest_film(illustration, tolerance)
    size = f"{length_text(width).removesuffix(' in')} x {length_text(height)}"
    return f"remake the film, at least {size}, to be laid square to the illustration and centred on it"


def smallest_film(illustration: Film, tolerance: float) -> tuple[float, float]:
    """Give the smallest film, laid square to the illustration, that covers it with the tolerance on every side.

    Rounded up to the next 1/16 in.
    """
    left, bottom, right, top = spun(illustration.image, -illustration.angle, (0, 0)).bounds
    width, height = (
        math.ceil((side + 2 * tolerance) / REMAKE_STEP - 1e-5) * REMAKE_STEP for side in (right - left, top - bottom)
    )
    return width, height


def _room(overlay: Film, illustration: Film, angle: float, tolerance: float) -> _Room:
    centre = overlay.film.centroid
    left, bottom, right, top = spun(illustration.image, -angle, (centre.x, centre.y)).bounds
    half_width, half_height = (side / 2 - tolerance for side in overlay.size)
    return _Room(
        right - centre.x - half_width,
        left - centre.x + half_width,
        top - centre.y - half_height,
        bottom - centre.y + half_height,
    )


def _nearest_to_zero(least: float, most: float) -> float:
    return (least + most) / 2 if least > most else min(max(0.0, least), most)


def _turned(along: float, across: float, degrees: float) -> tuple[float, float]:
    turn = math.radians(degrees)
    return along * math.cos(turn) - across * math.sin(turn), along * math.sin(turn) + across * math.cos(turn)


def _round(shift: tuple[float, float], step: int) -> list[tuple[float, float]]:
    """The shift rounded to whole steps, first away from zero, then the other ways."""
    ways = []
    for value in shift:
        away = math.copysign(math.ceil(abs(value) * step - 1e-6) / step, value)
        toward = math.copysign(math.floor(abs(value) * step + 1e-6) / step, value)
        ways.append((away, toward))
    (away_x, toward_x), (away_y, toward_y) = ways
    return [(away_x, away_y), (away_x, toward_y), (toward_x, away_y), (toward_x, toward_y)]


def _words(shift: tuple[float, float], step: int) -> str:
    words = []
    for value, more, less in ((shift[0], "to the right", "to the left"), (shift[1], "up", "down")):
        if abs(value) > LEAST:
            size = abs(value)
            amount = length_text(size) if step == 64 else f"{size:.{len(str(step)) - 1}f} in"
            words.append(f"{amount} {more if value > 0 else less}")
    return " and ".join(words)

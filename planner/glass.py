"""Where does the glass lie on a metal sheet, what of the sheet can be used, and which spots are to be kept clear?

The glass lies in the middle of the sheet, the way round that gives more room. Boxes are in the sheet's frame.
"""

from __future__ import annotations

from typing import Final

from planner.house import House
from planner.plan import Box

_LEAST_STRIP: Final = 1 / 64
"""Inches; metal off the glass is at least this much wider than a kerf, so that it can be cut away."""


def usable_box(width: float, height: float, house: House) -> Box:
    """Give the part of a width x height sheet that plates may lie on: inside the grip margin and on the glass.

    The box may be empty (a width of zero or less).
    """
    glass_width, glass_height = _glass(width, height, house)
    left, usable_width = _span(width, glass_width, house)
    bottom, usable_height = _span(height, glass_height, house)
    return left, bottom, usable_width, usable_height


def spots_on(width: float, height: float, house: House) -> tuple[Box, ...]:
    """Give the scratches and bubbles of the glass as they lie over a width x height sheet.

    They are measured on the glass from its lower left corner, as the stripper sees it lie upright (its first side
    across); a glass that lies turned is turned a quarter anticlockwise. Only what lies over usable metal is given.
    """
    glass = _glass(width, height, house)
    turned = glass != house.glass.size
    left, bottom, usable_width, usable_height = usable_box(width, height, house)
    spots: list[Box] = []
    for spot in house.glass.spots:
        (x, y), (across, up) = spot.at, spot.size
        if turned:
            x, y, across, up = house.glass.size[1] - y - up, x, up, across
        x, y = x + (width - glass[0]) / 2, y + (height - glass[1]) / 2
        near_x, far_x = max(x, left), min(x + across, left + usable_width)
        near_y, far_y = max(y, bottom), min(y + up, bottom + usable_height)
        if near_x < far_x and near_y < far_y:
            spots.append((near_x, near_y, far_x - near_x, far_y - near_y))
    return tuple(spots)


def _glass(width: float, height: float, house: House) -> tuple[float, float]:
    return max((house.glass.size, house.glass.size[::-1]), key=lambda size: _room(width, height, size, house))


def _room(width: float, height: float, glass: tuple[float, float], house: House) -> float:
    return max(0.0, _span(width, glass[0], house)[1]) * max(0.0, _span(height, glass[1], house)[1])


def _span(length: float, glass: float, house: House) -> tuple[float, float]:
    grip = house.glass.grip
    off = (length - glass) / 2 - grip
    if off <= 0:
        return grip, length - 2 * grip
    # What lies off the glass is cut from both ends, beside a kerf of its own.
    off = max(off, house.cutting.kerf_width + _LEAST_STRIP)
    return grip + off, length - 2 * (grip + off)

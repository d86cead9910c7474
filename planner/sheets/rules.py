"""Rules to hold the print against: ten inches each way, and rulers along the metal's edges."""

from __future__ import annotations

from typing import Final

from planner.sheets.style import BLACK, GREY
from planner.sheets.svg import Group, Paint, line_path
from planner.sheets.views import View

CHECK: Final = 10
"""Inches in a check rule."""

_FINE: Final = Paint(BLACK, 0.01)
_EDGE: Final = 0.05
_TALL: Final = 0.3
_INCH: Final = 0.2
_QUARTER: Final = 0.1


WORDS_DOWN: Final = 2.9
"""Inches below its upper end where the words of the upright check rule begin, that run upwards."""
SHORT_CHECK: Final = 5
"""Inches in the check rule of a page that is too low or too narrow for the other."""


def check_rules(
    group: Group,
    across: tuple[float, float],
    down: tuple[float, float],
    inches: tuple[int, int] = (CHECK, CHECK),
    words_down: float = WORDS_DOWN,
) -> None:
    """Draw a level check rule from its left end and an upright one from its upper end.

    The upright one says what it is ``words_down`` inches below its upper end.
    """
    level_inches, upright_inches = inches
    x, y = across
    level = group.group("check-rule", data={"inches": str(level_inches)})
    ticks = [(x + place, y, x + place, y - length) for place, length in _ticks(level_inches)]
    level.path(line_path((x, y, x + level_inches, y), *ticks), _FINE, {"part": "rule"})
    for inch in range(level_inches + 1):
        level.text(str(inch), x + inch, y + 0.14, 0.12, anchor="middle")
    x, y = down
    upright = group.group("check-rule-upright", data={"inches": str(upright_inches)})
    ticks = [(x, y + place, x + length, y + place) for place, length in _ticks(upright_inches)]
    upright.path(line_path((x, y, x, y + upright_inches), *ticks), _FINE, {"part": "rule"})
    for inch in range(upright_inches + 1):
        upright.text(str(inch), x - 0.06, y + inch + 0.04, 0.12, anchor="end")
    # So that nobody reads a place off it: it stands beside the ruler, and counts the other way.
    upright.text(f"check rule: {upright_inches} in", x + 0.41, y + words_down, 0.11, turned=True)


def rulers(group: Group, view: View, zero: tuple[float, float] | None = None) -> None:
    """Draw rulers along the left and the lower edge of the metal, in inches of the metal.

    They count from the corner seen at the lower left, or from ``zero``, a place of the layout.
    """
    inner = group.group("rulers")
    foot, left = view.top + view.page_height, view.left
    from_left, from_foot = (view.from_left(zero[0]), zero[1] - view.corner[1]) if zero else (0.0, 0.0)
    parts = 2 if view.scale < 2 else 4 if view.scale < 4 else 8
    across = _marks(from_left, view.width, parts, view.scale)
    up = _marks(from_foot, view.height, parts, view.scale)
    lines = [(left + x, foot + _EDGE, left + x, foot + _EDGE + _length(place, parts)) for place, x in across]
    lines += [(left - _EDGE, foot - y, left - _EDGE - _length(place, parts), foot - y) for place, y in up]
    inner.path(line_path(*lines), Paint(GREY, 0.008))
    for place, x in across:
        if place % parts == 0:
            inner.text(str(place // parts), left + x, foot + 0.3, 0.11, anchor="middle", fill=GREY)
    for place, y in up:
        if place % parts == 0:
            inner.text(str(place // parts), left - 0.21, foot - y + 0.04, 0.11, anchor="end", fill=GREY)


def _marks(start: float, length: float, parts: int, scale: float) -> list[tuple[int, float]]:
    """Give the marks of a ruler: which it is, counted from nothing, and how far along the edge on the page."""
    last = int((length - start) * parts + 1e-6)
    return [(place, (start + place / parts) * scale) for place in range(last + 1)]


def _length(place: int, parts: int) -> float:
    if place % parts == 0:
        return 0.13
    return 0.07 if place * 2 % parts == 0 else 0.045


def corners(group: Group, view: View) -> None:
    """Letter the corners of the metal alike on every sheet: A is where the layout begins."""
    inner = group.group("corners")
    for letter, (x, y) in zip("ABCD", ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
        across, down = view.on_page(x * view.width, y * view.height)
        at_left, at_foot = across <= view.left, y == 0
        inner.text(
            letter,
            across - 0.5 if at_left else across + 0.36,
            down + 0.36 if at_foot else down - 0.1,
            0.3,
            anchor="middle",
            bold=True,
        )


def _ticks(inches: int) -> list[tuple[float, float]]:
    ticks = []
    for quarter in range(inches * 4 + 1):
        length = _TALL if quarter in (0, inches * 4) else _QUARTER if quarter % 4 else _INCH
        ticks.append((quarter / 4, length))
    return ticks

"""Where does a label stand that has no room where it belongs? Beside it, with a line that leads to what it names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from planner.plan import Box
from planner.sheets.ground import Boxes, Ground
from planner.sheets.label import Label, Lines, extent
from planner.sheets.labels import Places, boxes_at
from planner.sheets.style import BLACK, SMALLEST_TEXT
from planner.sheets.svg import Group, Paint, circle_path, line_path

_FARTHEST: Final = 4.0
"""Inches; no line leads farther."""
_TRIED: Final = 500
"""Places nearest to what is named from which a leader is tried."""
_CROSSING: Final = 3.0
"""Inches of way round that an inch of a leader across an image is worth."""
_SAME: Final = 1e-9


def led(
    group: Group,
    room: Box,
    to: tuple[float, float],
    tiers: Sequence[Lines],
    places: Places,
    ground: Ground,
    data: dict[str, str],
    number: str = "",
    size: float = SMALLEST_TEXT,
) -> bool:
    """Label what has no room for a label from beside its room, with a line to a place of it; say whether that worked.

    The fullest form that has a place is taken; of its places the nearest whose leader goes across images least, and
    never across another label. ``number`` is a plate's that every form begins with.
    """
    for lines in tiers:
        width, height = extent(lines, size, False)
        boxes = _round_about(room, width, height)
        boxes = boxes[ground.open(boxes)]
        boxes = boxes[places.all_free(boxes)]
        away = np.hypot(*(np.maximum(np.abs(boxes[:, i] + boxes[:, i + 2] / 2 - to[i]), 0) for i in (0, 1)))
        best, least = None, math.inf
        for place in np.argsort(away, kind="stable")[:_TRIED]:
            if away[place] >= min(least, _FARTHEST + max(room[2:])):
                break
            x, y = (float(value) for value in boxes[place, :2])
            start = nearest((x, y, width, height), to)
            if any(cuts(start, to, other) for other in places.taken):
                continue
            cost = float(away[place]) + _CROSSING * ground.crossed(start, to)
            if cost < least - _SAME:
                best, least = ((x, y, width, height), start), cost
        if best is not None:
            box, start = best
            places.take(box)
            places.take_line(start, to)
            group.path(line_path((*start, *to)), Paint(BLACK, 0.008), {**data, "part": "leader"})
            group.path(circle_path(*to, 0.02), Paint(fill=BLACK))
            Label(tuple(lines), size, False, box, number).draw(group, data)
            return True
    return False


def _round_about(room: Box, width: float, height: float) -> Boxes:
    """Give places for a box all round a room, and over it."""
    across = np.arange(room[0] - _FARTHEST - width, room[0] + room[2] + _FARTHEST, 0.05)
    down = np.arange(room[1] - _FARTHEST - height, room[1] + room[3] + _FARTHEST, 0.05)
    return boxes_at(across, down, width, height)


def nearest(box: Box, to: tuple[float, float]) -> tuple[float, float]:
    """Give the place of a box's edge, or of the box, that is nearest to a place."""
    x, y, width, height = box
    return min(max(to[0], x), x + width), min(max(to[1], y), y + height)


def cuts(start: tuple[float, float], end: tuple[float, float], box: Box) -> bool:
    """Say whether a line meets a box (clipped side by side, after Liang and Barsky)."""
    first, last = 0.0, 1.0
    for axis in (0, 1):
        way, low = end[axis] - start[axis], box[axis] - start[axis]
        high = low + box[axis + 2]
        if abs(way) < _SAME:
            if low > 0 or high < 0:
                return False
            continue
        ends = sorted((low / way, high / way))
        first, last = max(first, ends[0]), min(last, ends[1])
    return first < last

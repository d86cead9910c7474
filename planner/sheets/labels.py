"""Finding room for labels: which size, how many lines, level or upright, and where, without touching another label.

No label lies on the edge of an image. Where a room has no place for even the shortest form of its label, `leaders`
puts it beside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.plan import Box
from planner.sheets.ground import Boxes, Ground, Region
from planner.sheets.label import PADDING, Label, Lines, extent
from planner.sheets.style import SMALLEST_TEXT
from planner.sheets.text import width_of, wrapped

SIZES: Final = (0.24, 0.21, 0.18, 0.16, 0.14, 0.125, 0.11, 0.1, SMALLEST_TEXT)
USUAL: Final = 0.18
"""Inches; the text of a label, if nothing is said of it."""


_WAYS: Final = ((False, tuple(size for size in SIZES if size >= 0.11)), (True, SIZES), (False, SIZES[-2:]))
"""Level text is tried first, upright text where level text would have to be very small."""

_CLEAR: Final = 0.03
_LARGE: Final = 0.25
"""Share of its room above which a label is made smaller than it need be."""
_TOO_LARGE: Final = 0.3
"""Share of its room above which a shorter form of a label is better than the fuller one, if not said otherwise."""
_PLACES: Final = 40
"""Places that are tried along each side of a room, at most."""
_STEP: Final = 0.025
"""Inches; places that are tried lie no closer."""
_SMALLER: Final = 3
"""How many smaller sizes are tried for the sake of the work beneath."""
_WORTH: Final = 0.1
"""Share of the label that must come off the work to be worth a size."""
_SHORTER: Final = 0.25
"""Share of the label that a shorter form must keep off the work to be worth it."""
_BEARABLE: Final = 0.3
"""Share of a label on the work at which it need not be made shorter."""
_OFF: Final = 0.05
"""What lying as far from the wanted place as a room allows costs, as a share of the label."""
_SAME: Final = 1e-9
_WIDE: Final = 0.005
"""Inches; half of what a leader takes across."""
_PIECE: Final = 0.06
"""Inches of a leader whose box is taken as one."""
NOT_SMALLER: Final = 0.11
"""Inches; the smallest text of what a label says beyond its shortest form: that is not worth a closer look."""
_LINES_EACH: Final = 2
_STRIP: Final = (1.25, 5.0)
"""At most so wide in inches, and so many times as long: a room in which a label is written on one line."""


def in_one_line(room: Box, tiers: Sequence[Lines]) -> Sequence[Lines]:
    """Give a label's forms, those for a long thin room first: all on one line, along it."""
    width, times = _STRIP
    if min(room[2:]) > width or max(room[2:]) < times * min(room[2:]):
        return tiers
    strips = [[(", ".join(text for text, _ in lines), True)] for lines in tiers]
    return [*strips[:-1], *tiers]


@dataclass(slots=True)
class Places:
    """What is taken on a page, so that no two labels meet. Boxes have their corner at the upper left."""

    taken: list[Box] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Say whether a box touches nothing that is taken."""
        return not any(_meet(box, other) for other in self.taken)

    def all_free(self, boxes: Boxes) -> NDArray[np.bool_]:
        """Say of each box whether it touches nothing that is taken."""
        free = np.ones(len(boxes), dtype=bool)
        if not len(boxes):
            return free
        left, top = boxes[:, :2].min(axis=0)
        right, foot = (boxes[:, :2] + boxes[:, 2:]).max(axis=0)
        for x, y, width, height in self.taken:
            if x < right and y < foot and x + width > left and y + height > top:
                across = (x < boxes[:, 0] + boxes[:, 2]) & (boxes[:, 0] < x + width)
                free &= ~(across & (y < boxes[:, 1] + boxes[:, 3]) & (boxes[:, 1] < y + height))
        return free

    def take(self, box: Box) -> None:
        """Take a box."""
        self.taken.append(box)

    def take_line(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        """Take what a leader runs over, in short pieces: no label hides it, and no other leader crosses it."""
        steps = max(1, math.ceil(math.dist(start, end) / _PIECE))
        for one, other in pairwise(np.linspace(start, end, steps + 1)):
            left, top = np.minimum(one, other) - _WIDE
            width, height = np.abs(one - other) + 2 * _WIDE
            self.take((float(left), float(top), float(width), float(height)))


def fitted(
    room: Box,
    tiers: Sequence[Lines],
    places: Places,
    *,
    ground: Ground | None = None,
    region: Region | None = None,
    toward: tuple[float, float] | None = None,
    largest: float = USUAL,
    least: float = 0.0,
    share: float = _TOO_LARGE,
    large: bool = False,
    number: str = "",
) -> Label | None:
    """Give the fullest label that fits into a room, or None; its box is taken.

    ``tiers`` are ever shorter forms of the same label. A label is made smaller before it is made shorter; where it
    would hide most of the room it is made smaller than it need be, and then shorter, to leave the work open to view.
    It lies on nothing that the ``ground`` bars, and within the ``region``. Of the places that are left the one is
    chosen that hides least and lies nearest to ``toward``, the middle of the room if nothing is said; where even that
    one hides much, a shorter form that hides clearly less. ``large``: being read from afar is worth more than what lies
    beneath. ``number`` is a plate's that every form begins with.
    """
    wanted = toward or (room[0] + room[2] / 2, room[1] + room[3] / 2)
    search = _Search(room, places, ground, region, wanted, large, number)
    best, lowest = None, math.inf
    for tier, lines in enumerate(tiers, start=1):
        for upright, sizes in _WAYS:
            found = search.best(lines, upright, [size for size in sizes if least <= size <= largest])
            if found is None or (tier < len(tiers) and _share(found[0].box, room) > share):
                continue
            label, hidden = found
            if hidden + _SHORTER * tier < lowest - _SAME:
                best, lowest = label, hidden + _SHORTER * tier
            break
        if best is not None and lowest <= _BEARABLE + _SHORTER * tier:
            break
    if best is not None:
        places.take(best.box)
    return best


@dataclass(frozen=True, slots=True)
class _Search:
    """Looks for the best place of a label in a room."""

    room: Box
    places: Places
    ground: Ground | None
    region: Region | None
    toward: tuple[float, float]
    large: bool
    number: str

    def best(self, lines: Lines, upright: bool, sizes: Sequence[float]) -> tuple[Label, float] | None:
        """Give the best label, and what it hides: of the largest size that is not too large, or somewhat smaller."""
        found: list[tuple[Label, float]] = []
        for size in sizes:
            broken = _broken(lines, self.room[3 if upright else 2] - 2 * (PADDING + _CLEAR), size)
            if broken is None:
                continue
            spot = self._spot(*extent(broken, size, upright))
            if spot is None:
                continue
            if found and _share(found[0][0].box, self.room) > _LARGE:
                found = []
            found.append((Label(tuple(broken), size, upright, spot[0], self.number), spot[1]))
            if self.large:
                break
            # A smaller size must keep a good part of the label off the work, or the larger one is read more easily.
            if len(found) > _SMALLER or (found[0][1] <= _WORTH and _share(found[0][0].box, self.room) <= _LARGE):
                break
        ranked = [(hidden + _WORTH * place, place) for place, (_, hidden) in enumerate(found)]
        return found[min(ranked)[1]] if ranked else None

    def _spot(self, width: float, height: float) -> tuple[Box, float] | None:
        boxes = _spots(self.room, width, height, self.toward)
        if not len(boxes):
            return None
        if self.region is not None:
            boxes = boxes[self.region.holds(boxes)]
        if self.ground is not None and len(boxes):
            boxes = boxes[self.ground.open(boxes)]
        boxes = boxes[self.places.all_free(boxes)]
        if not len(boxes):
            return None
        hidden = np.zeros(len(boxes)) if self.ground is None else self.ground.hidden(boxes)
        away = np.hypot(boxes[:, 0] + width / 2 - self.toward[0], boxes[:, 1] + height / 2 - self.toward[1])
        place = int(np.argmin(np.round(hidden + _OFF * away / math.hypot(*self.room[2:]), 9)))
        x, y = boxes[place, :2]
        return (float(x), float(y), width, height), float(hidden[place])


def _share(box: Box, room: Box) -> float:
    return box[2] * box[3] / (room[2] * room[3])


def _broken(lines: Lines, width: float, size: float) -> Lines | None:
    broken: list[tuple[str, bool]] = []
    for text, bold in lines:
        if not text:
            continue
        parts = wrapped(text, width, size, bold)
        if len(parts) > _LINES_EACH or any(width_of(part, size, bold) > width for part in parts):
            return None
        # A word that had to be split is no word any more; a shorter form says it better.
        if " ".join(parts) != text:
            return None
        broken += [(part, bold) for part in parts]
    return broken or None


def _spots(room: Box, width: float, height: float, toward: tuple[float, float]) -> Boxes:
    """Give places all over a room, and the wanted one itself: in a large room the others lie far apart."""
    left, top = room[0] + _CLEAR, room[1] + _CLEAR
    across, down = room[2] - 2 * _CLEAR - width, room[3] - 2 * _CLEAR - height
    if across < 0 or down < 0:
        return np.empty((0, 4))
    boxes = boxes_at(left + _shares(across) * across, top + _shares(down) * down, width, height)
    x, y = (max(0.0, min(toward[0] - width / 2 - left, across)), max(0.0, min(toward[1] - height / 2 - top, down)))
    return np.vstack((boxes, [(left + x, top + y, width, height)]))


def _shares(way: float) -> NDArray[np.float64]:
    return np.linspace(0.0, 1.0, max(3, min(_PLACES, int(way / _STEP))))


def boxes_at(across: NDArray[np.float64], down: NDArray[np.float64], width: float, height: float) -> Boxes:
    """Give boxes of one size at every crossing of these places across and down."""
    y, x = np.meshgrid(down, across, indexing="ij")
    return np.stack((x.ravel(), y.ravel(), np.full(x.size, width), np.full(x.size, height)), axis=1)


def _meet(one: Box, other: Box) -> bool:
    return (
        one[0] < other[0] + other[2]
        and other[0] < one[0] + one[2]
        and one[1] < other[1] + other[3]
        and other[1] < one[1] + one[3]
    )

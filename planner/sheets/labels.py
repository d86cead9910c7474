"""Finding room for labels: which size, how many lines, level or upright, and where, without touching another label."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeAlias

from planner.plan import Box
from planner.sheets.style import SMALLEST_TEXT, WHITE
from planner.sheets.svg import Group, Paint, box_path
from planner.sheets.text import shown, width_of, wrapped

SIZES: Final = (0.18, 0.16, 0.14, 0.125, 0.11, 0.1, SMALLEST_TEXT)
LINE_STEP: Final = 1.24
"""Base line to base line, in sizes of the text."""

_WAYS: Final = ((False, tuple(size for size in SIZES if size >= 0.11)), (True, SIZES), (False, SIZES[-2:]))
"""Level text is tried first, upright text where level text would have to be very small."""

_PADDING: Final = 0.035
_CLEAR: Final = 0.03
_LARGE: Final = 0.25
"""Share of its room above which a label is made smaller than it need be."""
_TOO_LARGE: Final = 0.3
"""Share of its room above which a shorter form of a label is better than the fuller one, if not said otherwise."""
_STEPS: Final = (0.0, 1.0, 0.5, 0.05, 0.95, 0.15, 0.85, 0.35, 0.65)
_SMALLER: Final = 3
"""How many smaller sizes are tried for the sake of the work beneath."""
_WORTH: Final = 0.1
"""Share of the label that must come off the work to be worth a size."""
_SHORTER: Final = 0.25
"""Cost for its size that a label must save to be worth a shorter form."""
_BEARABLE: Final = 0.3
"""Cost for its size at which a label need not be made shorter."""
_SAME: Final = 1e-9
_LINES_EACH: Final = 2
_STRIP: Final = (1.25, 5.0)
"""At most so wide in inches, and so many times as long: a room in which a label is written on one line."""

Lines: TypeAlias = Sequence[tuple[str, bool]]
"""Lines of a label, each with whether it is bold."""


def in_one_line(room: Box, tiers: Sequence[Lines]) -> Sequence[Lines]:
    """Give a label's forms, those for a long thin room first: all on one line, along it."""
    width, times = _STRIP
    if min(room[2:]) > width or max(room[2:]) < times * min(room[2:]):
        return tiers
    strips = [[(", ".join(text for text, _ in lines), True)] for lines in tiers]
    return [*strips[:-1], *tiers]


def no_cost(_box: Box) -> float:
    """Find every place as good as any other."""
    return 0.0


@dataclass(slots=True)
class Places:
    """What is taken on a page, so that no two labels meet. Boxes have their corner at the upper left."""

    taken: list[Box] = field(default_factory=list)

    def free(self, box: Box) -> bool:
        """Say whether a box touches nothing that is taken."""
        return not any(_meet(box, other) for other in self.taken)

    def within(self, room: Box) -> Places:
        """Give only what is taken of a room; the rest of the page need not be asked again and again."""
        return Places([other for other in self.taken if _meet(room, other)])

    def take(self, box: Box) -> None:
        """Take a box."""
        self.taken.append(box)


@dataclass(frozen=True, slots=True)
class Label:
    """A label that fits: its lines as broken, the size of its text and the box it fills."""

    lines: tuple[tuple[str, bool], ...]
    size: float
    upright: bool
    box: Box

    def draw(self, group: Group, data: dict[str, str]) -> None:
        """Draw the label on a paper-coloured ground, so that it can be read on a hatch."""
        x, y, _, height = self.box
        group.path(box_path(self.box), Paint(fill=WHITE, opacity=0.86), {**data, "part": "ground"})
        for place, (text, bold) in enumerate(self.lines):
            # 0.86: the height of a capital and a little air above it.
            down = _PADDING / 2 + self.size * (0.86 + place * LINE_STEP)
            if self.upright:
                foot = y + height - _PADDING
                group.text(shown(text), x + down, foot, self.size, bold=bold, turned=True, data=data)
            else:
                group.text(shown(text), x + _PADDING, y + down, self.size, bold=bold, data=data)


def fitted(
    room: Box,
    tiers: Sequence[Lines],
    places: Places,
    *,
    inside: Callable[[Box], bool] | None = None,
    cost: Callable[[Box], float] = no_cost,
    largest: float = SIZES[0],
    share: float = _TOO_LARGE,
) -> Label | None:
    """Give the fullest label that fits into a room, or None; its box is taken.

    ``tiers`` are ever shorter forms of the same label. A label is made smaller before it is made shorter; where it
    would hide most of the room it is made smaller than it need be, and then shorter, to leave the work open to view.
    Of the places that are free the one of least ``cost`` is chosen; where even that one hides much, a shorter form that
    hides clearly less.
    """
    here = places.within(room)
    best, least = None, math.inf
    for tier, lines in enumerate(tiers, start=1):
        for upright, sizes in _WAYS:
            ways = _ways(room, lines, upright, [size for size in sizes if size <= largest], here, inside)
            if not ways or (tier < len(tiers) and _share(ways[0].box, room) > share):
                continue
            label, hidden = _best(ways, cost)
            if hidden + _SHORTER * tier < least - _SAME:
                best, least = label, hidden + _SHORTER * tier
            break
        if best is not None and least <= _BEARABLE + _SHORTER * tier:
            break
    if best is not None:
        places.take(best.box)
    return best


def _ways(
    room: Box,
    lines: Lines,
    upright: bool,
    sizes: Sequence[float],
    places: Places,
    inside: Callable[[Box], bool] | None,
) -> list[Label]:
    """Give the labels of the largest size that is not too large for its room, and of a few smaller sizes."""
    found: list[list[Label]] = []
    for size in sizes:
        broken = _broken(lines, room[3 if upright else 2] - 2 * (_PADDING + _CLEAR), size)
        if broken is None:
            continue
        spots = [
            Label(tuple(broken), size, upright, spot)
            for spot in _spots(room, *_extent(broken, size, upright))
            if places.free(spot) and (inside is None or inside(spot))
        ]
        if not spots:
            continue
        if found and _share(found[0][0].box, room) > _LARGE:
            found = []
        found.append(spots)
        if len(found) > _SMALLER:
            break
    return [label for labels in found for label in labels]


def _best(labels: Sequence[Label], cost: Callable[[Box], float]) -> tuple[Label, float]:
    # A smaller size must keep a good part of the label off the work, or the larger one is read more easily.
    best, least = labels[0], math.inf
    for label in labels:
        smaller = _WORTH * sum(label.size < size <= labels[0].size for size in SIZES)
        if smaller >= least:
            break
        hidden = cost(label.box) / (label.box[2] * label.box[3]) + smaller
        if hidden < least - _SAME:
            best, least = label, hidden
    return best, least


def _extent(lines: Lines, size: float, upright: bool) -> tuple[float, float]:
    width = max(width_of(text, size, bold) for text, bold in lines) + 2 * _PADDING
    height = size * (1 + (len(lines) - 1) * LINE_STEP) + 1.5 * _PADDING
    return (height, width) if upright else (width, height)


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


def _spots(room: Box, width: float, height: float) -> Iterator[Box]:
    left, top = room[0] + _CLEAR, room[1] + _CLEAR
    across, down = room[2] - 2 * _CLEAR - width, room[3] - 2 * _CLEAR - height
    if across < 0 or down < 0:
        return
    for y in _STEPS:
        for x in _STEPS:
            yield (left + across * x, top + down * y, width, height)


def _meet(one: Box, other: Box) -> bool:
    return (
        one[0] < other[0] + other[2]
        and other[0] < one[0] + one[2]
        and one[1] < other[1] + other[3]
        and other[1] < one[1] + one[3]
    )

"""The distinct sizes of a task's pieces, and which of them fit into a given room.

Inside the search every rectangle is grown by the spacing to the right and to the top, sheets and pieces alike. A cut
then takes no room at all, and two grown rectangles that touch are exactly one spacing apart. Growing is undone in
`records.py`.

Sets of sizes are whole numbers, bit n for size n: whether anything wanted fits somewhere is then one `&`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

# A fine grid makes nearly every room new; forgetting all of them now and then keeps the memory small.
_MOST_REMEMBERED = 60_000


class Sizes:
    """Widths and heights by number, and whether pieces of the size may be turned; `whole` is the set of all."""

    def __init__(self, widths: Sequence[int], heights: Sequence[int], may_turn: Sequence[bool]) -> None:
        """Sort the sides once, so that a room is answered by a few look-ups."""
        self.widths = list(widths)
        self.heights = list(heights)
        self.may_turn = list(may_turn)
        self.whole = (1 << len(self.widths)) - 1
        fixed = [size for size, turn in enumerate(may_turn) if not turn]
        free = [size for size, turn in enumerate(may_turn) if turn]
        short = [min(pair) for pair in zip(widths, heights, strict=True)]
        long = [max(pair) for pair in zip(widths, heights, strict=True)]
        self._fixed = (_up_to(fixed, self.widths), _up_to(fixed, self.heights))
        self._free = (_up_to(free, short), _up_to(free, long))

    def fitting(self, width: int, height: int) -> int:
        """The set of sizes that fit into a room."""
        (short_sides, short_sets), (long_sides, long_sets) = self._free
        short, long = (width, height) if width < height else (height, width)
        found = short_sets[bisect_right(short_sides, short)] & long_sets[bisect_right(long_sides, long)]
        (widths, width_sets), (heights, height_sets) = self._fixed
        if widths:
            found |= width_sets[bisect_right(widths, width)] & height_sets[bisect_right(heights, height)]
        return found


class Welcome:
    """Which of the sizes welcome on a sheet fit into a room; `known` remembers the answers."""

    __slots__ = ("_sizes", "known", "welcome")

    def __init__(self, sizes: Sizes, welcome: int) -> None:
        self._sizes = sizes
        self.welcome = welcome
        self.known: dict[tuple[int, int], int] = {}

    def look_up(self, width: int, height: int) -> int:
        """The set of welcome sizes that fit; for rooms not `known` yet."""
        if len(self.known) >= _MOST_REMEMBERED:
            self.known.clear()
        found = self.known[width, height] = self._sizes.fitting(width, height) & self.welcome
        return found


def _up_to(members: Sequence[int], sides: Sequence[int]) -> tuple[list[int], list[int]]:
    """The sides in order, and for each number of them the set of members with these sides."""
    order = sorted(members, key=lambda size: sides[size])
    sets = [0]
    for size in order:
        sets.append(sets[-1] | 1 << size)
    return [sides[size] for size in order], sets

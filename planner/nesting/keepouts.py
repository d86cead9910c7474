"""Sheets with keep-out boxes: cut into open regions, rectangles on which pieces may lie, and closed rests.

No piece may reach into a box, but may end at its edge; the spacing is between pieces only, and a cut may run through a
box. There are several ways to cut a sheet around its boxes; each is a variant, and the search picks among them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product

from .slabs import Slab, row, uncut
from .slicing import HORIZONTAL, VERTICAL

Box = tuple[int, int, int, int]
"""Left, bottom, right, top."""


@dataclass(frozen=True, slots=True)
class Frame:
    """How the sheet is first cut: a region by its number (None: closed), or a row of frames."""

    width: int
    height: int
    cut: int
    parts: tuple[Frame, ...]
    region: int | None

    def slab(self, regions: Sequence[Slab], used: Sequence[bool]) -> Slab:
        """Put the regions' slabs into the frame; what holds no piece is left uncut."""
        if self.region is not None:
            return regions[self.region]
        if not self.cut or not self._is_used(used):
            return uncut(self.width, self.height)
        return row(self.cut, [part.slab(regions, used) for part in self.parts])

    def _is_used(self, used: Sequence[bool]) -> bool:
        if self.region is not None:
            return used[self.region]
        return any(part._is_used(used) for part in self.parts)


@dataclass(frozen=True, slots=True)
class Open:
    """One way to cut around the boxes: the regions' widths and heights, and the frame they stand in."""

    sizes: tuple[tuple[int, int], ...]
    frame: Frame


@dataclass(slots=True)
class _Builder:
    spacing: int
    ways: tuple[int, int]
    sizes: list[tuple[int, int]] = field(default_factory=list)

    def frame(self, part: Box, boxes: Sequence[Box], depth: int) -> Frame:
        left, bottom, right, top = part
        width, height = right - left, top - bottom
        inside = [box for box in (self._in_part(box, part) for box in boxes) if box is not None]
        if not inside:
            self.sizes.append((width, height))
            return Frame(width, height, 0, (), len(self.sizes) - 1)
        # The largest box first: what is cut off beside it is most likely to clear the others.
        box = max(inside, key=lambda box: ((box[2] - box[0]) * (box[3] - box[1]), box))
        if box == part:
            return Frame(width, height, 0, (), None)
        cut = self.ways[min(depth, 1)]
        if cut == VERTICAL and (box[0], box[2]) == (left, right):
            cut = HORIZONTAL
        elif cut == HORIZONTAL and (box[1], box[3]) == (bottom, top):
            cut = VERTICAL
        if cut == VERTICAL:
            edges = sorted({left, box[0], box[2], right})
            parts = [(low, bottom, high, top) for low, high in pairwise(edges)]
        else:
            edges = sorted({bottom, box[1], box[3], top})
            parts = [(left, low, right, high) for low, high in pairwise(edges)]
        return Frame(width, height, cut, tuple(self.frame(part, boxes, depth + 1) for part in parts), None)

    def _in_part(self, box: Box, part: Box) -> Box | None:
        """What a box closes of a part, widened so that no rest is too thin to be cut off."""
        across = self._span(box[0], box[2], part[0], part[2])
        along = self._span(box[1], box[3], part[1], part[3])
        if across is None or along is None:
            return None
        return across[0], along[0], across[1], along[1]

    def _span(self, low: int, high: int, start: int, end: int) -> tuple[int, int] | None:
        """Grown: a piece left of the box may end a spacing beyond the box's edge."""
        spacing = self.spacing
        # Nothing can lie across the line when the grown piece ends before it, or starts after it.
        if high <= start or low + spacing >= end:
            return None
        if end - high <= spacing:
            high = end
        low = min(low + spacing, high - spacing - 1)
        if low - start <= spacing:
            low = start
        high = max(high, low + spacing + 1)
        if end - high <= spacing:
            high = end
        return low, high


def open_parts(width: int, height: int, blocked: Sequence[Box], spacing: int) -> tuple[Open, ...]:
    """The ways to cut a grown sheet around boxes given as (x, y, width, height); at least one, perhaps no region."""
    boxes = [(x, y, x + across, y + along) for x, y, across, along in blocked]
    found: list[Open] = []
    for ways in product((VERTICAL, HORIZONTAL), (VERTICAL, HORIZONTAL)):
        builder = _Builder(spacing, ways)
        frame = builder.frame((0, 0, width, height), boxes, 0)
        variant = Open(tuple(builder.sizes), frame)
        if variant not in found:
            found.append(variant)
    return tuple(found)

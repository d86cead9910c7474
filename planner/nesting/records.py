"""Write a searched sheet down as the records a caller gets, and look at its leftovers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .problem import Layout, Part, Piece, Placement
from .rooms import Sheet
from .slabs import Slab, slab_of
from .slicing import VERTICAL
from .task import Task

# A longer run of parallel cuts is halved, so that the tree stays shallow enough for
# anyone who walks it by recursion.
_LONGEST_RUN = 16


def to_layout(task: Task, sheet: Sheet, members: Sequence[int], stock: str, pieces: Sequence[Piece]) -> Layout:
    """The layout of one sheet with these pieces; placements from the lower left, by x and then y."""
    slab = task.slab(sheet)
    assert slab is not None, "the search keeps only sheets that can be cut up"
    writer = _Writer(task, pieces, iter(members))
    root = writer.part(slab, 0, 0)
    placements = sorted(writer.placements, key=lambda placement: (placement.x, placement.y))
    return Layout(stock, root, tuple(placements))


def largest_leftover(task: Task, sheet: Sheet, keep: tuple[int, int]) -> int:
    """Area of the largest leftover of at least the size to keep, 0 for none."""
    short, long = sorted(keep)
    best = 0
    waiting = [slab_of(tree, *size, task.spacing) for tree, size in zip(sheet.trees, sheet.regions, strict=True)]
    while waiting:
        slab = waiting.pop()
        waiting += slab.parts
        width, height = slab.width - task.spacing, slab.height - task.spacing
        if not slab.cut and slab.piece is None and min(width, height) >= short and max(width, height) >= long:
            best = max(best, width * height)
    return best


class _Writer:
    def __init__(self, task: Task, pieces: Sequence[Piece], members: Iterator[int]) -> None:
        self._spacing = task.spacing
        limits = task.limits
        self._least_strip = 0 if limits is None or limits.least_strip is None else limits.least_strip
        self._pieces = pieces
        self._members = members
        self.placements: list[Placement] = []

    def part(self, slab: Slab, x: int, y: int) -> Part:
        """A slab with its lower left corner at x, y."""
        spacing = self._spacing
        if not slab.cut:
            name, turned = None, False
            if slab.piece is not None:
                piece = self._pieces[next(self._members)]
                width, height = slab.piece[1] - spacing, slab.piece[2] - spacing
                # A size that may be turned is kept one way round, whichever way round its pieces are.
                turned = (width, height) != (piece.width, piece.height) or (
                    width == height and bool(piece.together) and bool(slab.piece[0] & 1)
                )
                name = piece.name
                self.placements.append(Placement(name, x, y, width, height, turned))
            return Part(x, y, slab.width - spacing, slab.height - spacing, None, None, None, None, name, turned)
        parts = []
        for inner in slab.parts:
            parts.append(self.part(inner, x, y))
            if slab.cut == VERTICAL:
                x += inner.width
            else:
                y += inner.height
        return self._chain(parts, slab.cut == VERTICAL)

    def _chain(self, parts: list[Part], vertical: bool) -> Part:
        """One part cut into the given ones: strip after strip, the widest last; long runs are halved first."""
        widths = [part.width if vertical else part.height for part in parts]
        if len(parts) > _LONGEST_RUN:
            middle = len(parts) // 2
            if min(max(widths[:middle]), max(widths[middle:])) >= self._least_strip:
                low = self._chain(parts[:middle], vertical)
                return _joined(low, self._chain(parts[middle:], vertical), vertical)
        # Shears need something to hold: with a least strip, the widest part goes last.
        widest = widths.index(max(widths)) if self._least_strip else len(parts) - 1
        joined = parts[widest]
        for part in parts[widest + 1 :]:
            joined = _joined(joined, part, vertical)
        for part in reversed(parts[:widest]):
            joined = _joined(part, joined, vertical)
        return joined


def _joined(low: Part, high: Part, vertical: bool) -> Part:
    if vertical:
        width, height, at = high.x + high.width - low.x, low.height, low.x + low.width
    else:
        width, height, at = low.width, high.y + high.height - low.y, low.y + low.height
    return Part(low.x, low.y, width, height, "vertical" if vertical else "horizontal", at, low, high, None, False)

"""Turn a filled sheet into the records a caller gets, and look at its leftovers."""

from __future__ import annotations

from collections.abc import Sequence

from .problem import Layout, Part, Piece, Placement
from .shear import NONE, VERTICAL, Node, Sheet, place_size

# A longer run of parallel cuts is halved, so that the tree stays shallow enough for
# anyone who walks it by recursion.
_LONGEST_RUN = 16


def to_layout(sheet: Sheet, stock: str, pieces: Sequence[Piece]) -> Layout:
    """The layout of one sheet; placements from the lower left, by x and then y."""
    placements: list[Placement] = []
    root = _to_part(sheet.root, sheet.spacing, pieces, placements)
    placements.sort(key=lambda placement: (placement.x, placement.y))
    return Layout(stock, root, tuple(placements))


def largest_leftover(sheet: Sheet, keep: tuple[int, int]) -> tuple[int, Node | None]:
    """Area of the largest leftover of at least the size to keep, and its place.

    The place may be a corner still to be flipped (see `Sheet.free`).
    """
    short, long = sorted(keep)
    best: tuple[int, Node | None] = (0, None)
    waiting = [sheet.root]
    while waiting:
        node = waiting.pop()
        size = place_size(node)
        if size is not None:
            width, height = size[0] - sheet.spacing, size[1] - sheet.spacing
            if width * height > best[0] and min(width, height) >= short and max(width, height) >= long:
                best = (width * height, node)
        if node.cut != NONE:
            waiting.append(node.low)
            waiting.append(node.high)
    return best


def _to_part(node: Node, spacing: int, pieces: Sequence[Piece], placements: list[Placement]) -> Part:
    if node.cut == NONE:
        name = None
        if node.piece >= 0:
            piece = pieces[node.piece]
            name = piece.name
            width, height = piece.width, piece.height
            if node.turned:
                width, height = height, width
            placements.append(Placement(name, node.x, node.y, width, height, node.turned))
        return Part(
            node.x,
            node.y,
            node.width - spacing,
            node.height - spacing,
            None,
            None,
            None,
            None,
            name,
            node.turned,
        )
    run = _run(node)
    parts = [_to_part(member, spacing, pieces, placements) for member in run]
    return _chain(parts, node.cut == VERTICAL, spacing)


def _run(node: Node) -> list[Node]:
    """The parts of a run of parallel cuts, in order."""
    run: list[Node] = []
    waiting = [node]
    while waiting:
        member = waiting.pop()
        if member.cut == node.cut:
            waiting.append(member.high)
            waiting.append(member.low)
        else:
            run.append(member)
    return run


def _chain(parts: list[Part], vertical: bool, spacing: int) -> Part:
    """One part cut into the given ones: strip after strip, long runs halved first."""
    if len(parts) > _LONGEST_RUN:
        middle = len(parts) // 2
        low = _chain(parts[:middle], vertical, spacing)
        return _joined(low, _chain(parts[middle:], vertical, spacing), vertical)
    joined = parts[-1]
    for part in reversed(parts[:-1]):
        joined = _joined(part, joined, vertical)
    return joined


def _joined(low: Part, high: Part, vertical: bool) -> Part:
    if vertical:
        width, height, at = high.x + high.width - low.x, low.height, low.x + low.width
    else:
        width, height, at = low.width, high.y + high.height - low.y, low.y + low.height
    return Part(
        low.x,
        low.y,
        width,
        height,
        "vertical" if vertical else "horizontal",
        at,
        low,
        high,
        None,
        False,
    )

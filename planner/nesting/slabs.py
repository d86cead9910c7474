"""From open choices to real cuts: a sheet as slabs, each cut into a row of smaller slabs until pieces are left.

Lengths are still grown by the spacing. A room left over that is no wider than the spacing cannot be cut off; it stays
with the last part of its row.
"""

from __future__ import annotations

from dataclasses import dataclass

from .slicing import HORIZONTAL, VERTICAL, Tree


@dataclass(slots=True)
class Slab:
    """A rectangle of the sheet. `cut` 0: uncut, with a piece or none on it; else its parts from low to high."""

    width: int
    height: int
    cut: int
    parts: list[Slab]
    piece: Tree | None

    def extent(self, cut: int) -> int:
        """The side that cuts of this direction run across."""
        return self.width if cut == VERTICAL else self.height


def uncut(width: int, height: int, piece: Tree | None = None) -> Slab:
    """A slab that is not cut."""
    return Slab(width, height, 0, [], piece)


def row(cut: int, parts: list[Slab]) -> Slab:
    """A slab cut into these; a row of rows that are cut the same way becomes one row."""
    flat: list[Slab] = []
    for part in parts:
        flat += part.parts if part.cut == cut else [part]
    if len(flat) == 1:
        return flat[0]
    if cut == VERTICAL:
        return Slab(sum(part.width for part in flat), flat[0].height, cut, flat, None)
    return Slab(flat[0].width, sum(part.height for part in flat), cut, flat, None)


def slab_of(tree: Tree | None, width: int, height: int, spacing: int, contrary: bool = False) -> Slab:
    """Cut a slab for a tree, so that the larger of the rooms beside and above it stays whole (contrary: the other)."""
    if tree is None:
        return uncut(width, height)
    beside, above = width - tree[1], height - tree[2]
    beside_whole = (beside * height >= width * above) != contrary
    if beside_whole and beside > spacing:
        inner = _inner(tree, tree[1], height, spacing)
        return row(VERTICAL, [inner, uncut(beside, height)])
    if not beside_whole and above > spacing:
        inner = _inner(tree, width, tree[2], spacing)
        return row(HORIZONTAL, [inner, uncut(width, above)])
    return _inner(tree, width, height, spacing)


def _inner(tree: Tree, width: int, height: int, spacing: int) -> Slab:
    kind, least_x, least_y, parts = tree
    beside, above = width - least_x, height - least_y
    if kind >= 0:
        held = uncut(width if beside <= spacing else least_x, height if above <= spacing else least_y, tree)
        if above > spacing:
            held = row(HORIZONTAL, [held, uncut(held.width, above)])
        if beside > spacing:
            held = row(VERTICAL, [held, uncut(beside, height)])
        return held
    cut_parts: list[Slab] = []
    across, rest = (VERTICAL, beside) if kind == VERTICAL else (HORIZONTAL, above)
    for number, part in enumerate(parts, 1):
        extra = rest if number == len(parts) and rest <= spacing else 0
        if across == VERTICAL:
            cut_parts.append(_inner(part, part[1] + extra, height, spacing))
        else:
            cut_parts.append(_inner(part, width, part[2] + extra, spacing))
    if rest > spacing:
        cut_parts.append(uncut(rest, height) if across == VERTICAL else uncut(width, rest))
    return row(across, cut_parts)

"""Slicing trees: how pieces lie on a sheet, with every choice that need not be made yet left open.

A node is a tuple (kind, width, height, parts). A run (`VERTICAL` or `HORIZONTAL`) is a row of parts with parallel
cuts between them, beside each other for vertical cuts, above each other for horizontal ones; the runs in a run cut the
other way. A leaf has the kind 2 x size + turned, sizes counted as in `sizes.Sizes`, and no parts. Width and height are
the least that the node needs: a sheet holds a tree when it is no smaller than the tree's root. Where the room left over
lies, and which way it is cut, is settled only when the layout is written down; until then a piece may go wherever the
least sizes still allow it, which is what makes this form strong.

Trees are never changed, so that a sheet can be shared by many plans and a rejected change costs nothing. All lengths
are grown by the spacing (see `sizes.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Container
from typing import Final, TypeAlias

VERTICAL: Final = -1
HORIZONTAL: Final = -2

Tree: TypeAlias = "tuple[int, int, int, tuple[Tree, ...]]"
Path: TypeAlias = "tuple[Path, int] | None"
"""Which part to follow, the nearest to the root innermost; None for the root."""


def leaf(size: int, turned: bool, width: int, height: int) -> Tree:
    """A piece as it lies."""
    return (2 * size + turned, width, height, ())


def with_leaf(tree: Tree, path: Path, cut: int, added: Tree) -> Tree:
    """Put a leaf beside (vertical cut) or above (horizontal cut) the node at the path."""
    if path is not None:
        steps = []
        while path is not None:
            steps.append(path[1])
            path = path[0]
        return _with_leaf_below(tree, steps, len(steps) - 1, cut, added)
    kind, width, height, parts = tree
    parts = (*parts, added) if kind == cut else (tree, added)
    if cut == VERTICAL:
        return (VERTICAL, width + added[1], max(height, added[2]), parts)
    return (HORIZONTAL, max(width, added[1]), height + added[2], parts)


def _with_leaf_below(tree: Tree, steps: list[int], at: int, cut: int, added: Tree) -> Tree:
    if at < 0:
        return with_leaf(tree, None, cut, added)
    kind, width, height, parts = tree
    step = steps[at]
    old = parts[step]
    new = _with_leaf_below(old, steps, at - 1, cut, added)
    parts = (*parts[:step], new, *parts[step + 1 :])
    # A part only grows here, so the other parts need not be looked at.
    if kind == VERTICAL:
        return (kind, width - old[1] + new[1], height if height >= new[2] else new[2], parts)
    return (kind, width if width >= new[1] else new[1], height - old[2] + new[2], parts)


def run(kind: int, parts: tuple[Tree, ...]) -> Tree:
    """A run of two parts or more."""
    width = height = 0
    if kind == VERTICAL:
        for part in parts:
            width += part[1]
            height = max(height, part[2])
    else:
        for part in parts:
            height += part[2]
            width = max(width, part[1])
    return (kind, width, height, parts)


def without_some(tree: Tree, chance: Callable[[], float], whole: float, removed: list[int]) -> Tree | None:
    """Take out one piece or one run picked by chance; None when nothing is left.

    `whole` is the chance to take all of a run rather than to go down into one of its parts. The sizes taken out
    are added to `removed`.
    """
    kind, _, _, parts = tree
    if kind >= 0:
        removed.append(kind >> 1)
        return None
    if chance() < whole:
        add_sizes(tree, removed)
        return None
    step = int(chance() * len(parts))
    return _exchanged(kind, parts, step, without_some(parts[step], chance, whole, removed))


def without_sizes(tree: Tree, sizes: Container[int]) -> Tree | None:
    """Take out every piece of these sizes; None when nothing is left."""
    kind, _, _, parts = tree
    if kind >= 0:
        return None if kind >> 1 in sizes else tree
    kept: list[Tree] = []
    for part in parts:
        left = without_sizes(part, sizes)
        if left is None:
            continue
        if left[0] == kind:
            kept += left[3]
        else:
            kept.append(left)
    if len(kept) < 2:
        return kept[0] if kept else None
    return run(kind, tuple(kept))


def _exchanged(kind: int, parts: tuple[Tree, ...], step: int, new: Tree | None) -> Tree:
    if new is None:
        parts = parts[:step] + parts[step + 1 :]
        if len(parts) == 1:
            return parts[0]
    elif new[0] == kind:
        parts = parts[:step] + new[3] + parts[step + 1 :]
    else:
        parts = (*parts[:step], new, *parts[step + 1 :])
    return run(kind, parts)


def add_sizes(tree: Tree, sizes: list[int]) -> None:
    """Add the size of each piece, from the lower left on."""
    if tree[0] >= 0:
        sizes.append(tree[0] >> 1)
        return
    for part in tree[3]:
        add_sizes(part, sizes)


def leaves(tree: Tree) -> list[Tree]:
    """The pieces, from the lower left on, in the order of `add_sizes`."""
    if tree[0] >= 0:
        return [tree]
    return [found for part in tree[3] for found in leaves(part)]

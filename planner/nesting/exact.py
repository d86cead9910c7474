"""The exact answer for a handful of pieces: every way of cutting, and every way of sharing them out over sheets.

For each set of pieces all least sizes (width against height) of a slicing tree of the set are built from those of its
parts. That gives the sets that one sheet holds; the best way to part all pieces into such sets follows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from .answer import Answer
from .slicing import HORIZONTAL, VERTICAL, Tree, leaf, run
from .task import Task

# With more pieces the number of ways grows out of hand.
MOST_PIECES = 8
# Least sizes of one set that are looked at; beyond this the exact search gives up.
_MOST_SHAPES = 60

_Reached: TypeAlias = "tuple[int, int, tuple[tuple[int, Tree], ...]]"


@dataclass(frozen=True, slots=True)
class Proof:
    """The best plan, and the fewest sheets and least price of any plan."""

    answer: Answer
    sheets: int
    price: int


def proven_best(task: Task, most_pieces: int = MOST_PIECES) -> Proof | None:
    """Solve a task for good; None when it is too large, has limits of its own, or its stock does not hold it all."""
    if task.limits is not None or task.bundles or len(set(task.groups)) > 1 or len(set(task.levels)) > 1:
        return None
    sizes = [size for size, count in enumerate(task.counts) for _ in range(count)]
    if not sizes or len(sizes) > most_pieces:
        return None
    for kind in task.kinds:
        if kind.variants[0].sizes != ((kind.width, kind.height),):
            return None
    shapes = _shapes(task, sizes)
    return None if shapes is None else _shared_out(task, sizes, shapes)


def _shapes(task: Task, sizes: list[int]) -> list[list[Tree]] | None:
    """For each set of pieces the trees of least size that fit some sheet."""
    widest, highest = max(kind.width for kind in task.kinds), max(kind.height for kind in task.kinds)
    largest = max(kind.area for kind in task.kinds)
    areas = [task.area(size) for size in sizes]
    found: list[list[Tree]] = [[] for _ in range(1 << len(sizes))]
    for whole in range(1, len(found)):
        lowest = whole & -whole
        place = lowest.bit_length() - 1
        if whole == lowest:
            size = sizes[place]
            width, height = task.sizes.widths[size], task.sizes.heights[size]
            trees = [leaf(size, False, width, height)]
            if task.sizes.may_turn[size] and width != height:
                trees.append(leaf(size, True, height, width))
            found[whole] = [tree for tree in trees if tree[1] <= widest and tree[2] <= highest]
            continue
        if sum(areas[n] for n in range(len(sizes)) if whole >> n & 1) > largest:
            continue
        best: dict[int, Tree] = {}
        # Each way to part the set in two, once: the first half has the lowest piece.
        rest = whole ^ lowest
        other = rest
        while other:
            for one in found[whole ^ other]:
                for two in found[other]:
                    _keep(best, VERTICAL, one, two, widest, highest)
                    _keep(best, HORIZONTAL, one, two, widest, highest)
            other = (other - 1) & rest
        least = highest + 1
        for width in sorted(best):
            if best[width][2] < least:
                least = best[width][2]
                found[whole].append(best[width])
        if len(found[whole]) > _MOST_SHAPES:
            return None
    return found


def _keep(best: dict[int, Tree], cut: int, one: Tree, two: Tree, widest: int, highest: int) -> None:
    if cut == VERTICAL:
        width, height = one[1] + two[1], max(one[2], two[2])
    else:
        width, height = max(one[1], two[1]), one[2] + two[2]
    if width > widest or height > highest:
        return
    known = best.get(width)
    if known is None or height < known[2]:
        parts = [part for half in (one, two) for part in (half[3] if half[0] == cut else (half,))]
        best[width] = run(cut, tuple(parts))


def _shared_out(task: Task, sizes: list[int], shapes: list[list[Tree]]) -> Proof | None:  # noqa: PLR0912
    """Part the pieces into sets, each on a sheet; among plans, how much of each limited kind is used matters."""
    kinds = task.kinds
    limited = [number for number, kind in enumerate(kinds) if kind.count is not None]
    holding: list[list[tuple[int, Tree]]] = []
    for trees in shapes:
        options = []
        for number, kind in enumerate(kinds):
            fitting = [tree for tree in trees if tree[1] <= kind.width and tree[2] <= kind.height]
            if fitting:
                options.append((number, fitting[0]))
        holding.append(options)
    whole = len(shapes) - 1
    # For each set done and stock used: the least price and the fewest sheets, and how that price is reached.
    done: list[dict[tuple[int, ...], _Reached]] = [{} for _ in shapes]
    done[0][(0,) * len(limited)] = (0, 0, ())
    for before in range(whole):
        missing = whole ^ before
        lowest = missing & -missing
        rest = missing ^ lowest
        other = rest
        while done[before]:
            for number, tree in holding[lowest | other]:
                for used, (price, sheets, plan) in done[before].items():
                    after = used
                    if number in limited:
                        place = limited.index(number)
                        count = kinds[number].count
                        if count is not None and used[place] >= count:
                            continue
                        after = (*used[:place], used[place] + 1, *used[place + 1 :])
                    reached = done[before | lowest | other]
                    new_price, new_sheets = price + kinds[number].cost, sheets + 1
                    known = reached.get(after)
                    if known is None:
                        reached[after] = (new_price, new_sheets, (*plan, (number, tree)))
                    elif new_price < known[0]:
                        reached[after] = (new_price, min(new_sheets, known[1]), (*plan, (number, tree)))
                    elif new_sheets < known[1]:
                        reached[after] = (known[0], new_sheets, known[2])
            if not other:
                break
            other = (other - 1) & rest
    if not done[whole]:
        return None
    price, _, plan = min(done[whole].values(), key=lambda reached: reached[0])
    fewest = min(sheets for _, sheets, _ in done[whole].values())
    group, level = task.groups[sizes[0]], task.levels[sizes[0]]
    filled = [task.empty_sheet(number, 0, group, level).with_tree(0, tree) for number, tree in plan]
    return Proof(Answer(task, filled, {}), fewest, price)

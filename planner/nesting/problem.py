"""The plain records of a nesting problem and of its answer.

All lengths are whole *grid units*; the caller decides what a unit is. Areas are
grid units squared. Costs are in whatever money the caller counts in.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

Cut = Literal["vertical", "horizontal"]
Reason = Literal["no-stock", "too-large", "out-of-stock"]
Stopped = Literal["bound", "iterations", "seconds", "interrupted"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A rectangle to be placed once; sizes in grid units.

    Only stock of the same `material` may hold it, and pieces of different `group`
    never share a sheet. `due_rank` 0 is a rush, a higher rank is less urgent. Where
    sheets run out, pieces of a lower rank are placed before those of a higher one.

    together: pieces of one material and group with the same key, unless it is empty, share
        one sheet and are all turned or all not. Where no way is found to lay them all on one
        sheet they are placed independently, and `Solution.split` names the key.
    wishes: pieces that share a wish like to share a sheet. Wishes only decide between
        plans that are equal in all else.
    """

    name: str
    width: int
    height: int
    may_turn: bool = True
    material: str = ""
    group: str = ""
    due_rank: int = 0
    together: str = ""
    wishes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stock:
    """A kind of sheet; the usable size in grid units, the cost of one sheet.

    `count` is how many there are, None for as many as wanted; groups of the same
    material share it. Stock is never turned, pieces are.

    blocked: keep-out boxes (x, y, width, height in grid units) into which no piece may
        reach. A piece may end at a box's edge, and cuts may run through boxes.
    group: when given, only pieces of this group may use the stock.
    """

    name: str
    width: int
    height: int
    count: int | None
    cost: float
    material: str = ""
    remnant: bool = False
    blocked: tuple[tuple[int, int, int, int], ...] = ()
    group: str | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """How to search.

    spacing: least distance between two pieces and the width of the strip a cut may
        use, in grid units.
    iterations: rounds of improvement after the first complete answer.
    seconds: stop earlier when this much time has passed; the first answer is always
        completed. A plan is reproducible only as far as this did not bite.
    seed: another seed gives another, equally good search.
    keep: least leftover worth keeping (width, height in grid units, either way
        round). Among plans of equal cost the one with the largest such leftover wins.
    keep_of: the same for some materials, where it is another.
    longest_cut: the longest cut that the shears can make, in grid units.
    least_strip: the narrowest strip that the shears can hold, in grid units. Of the two
        parts that a cut makes, one is at least this wide across the cut, and one that is
        narrower is not cut again.
    stages: how many times the direction of cutting may be chosen, from the whole sheet
        down to any piece; trimming a piece to size counts.
    due_first: never trade lateness for metal. With F(r) the sheets that the pieces of a
        group with rank r or less take when planned for themselves with these options, none
        of them lies on a later sheet of its group than the F(r)-th, in the order of
        `Solution.layouts`.
    workers: how many searches to run, each with a seed of its own, of which the best plan
        is taken.
    """

    spacing: int = 0
    iterations: int = 1000
    seconds: float | None = None
    seed: int = 0
    keep: tuple[int, int] | None = None
    keep_of: tuple[tuple[str, tuple[int, int]], ...] = ()
    longest_cut: int | None = None
    least_strip: int | None = None
    stages: int | None = None
    due_first: bool = False
    workers: int = 1


@dataclass(frozen=True, slots=True)
class Part:
    """A node of a cut tree, in grid units from the lower left of the usable area.

    A vertical cut at `at` takes the strip from `at` to `at` + spacing: `low` lies left
    of it, `high` right of it (below and above for a horizontal cut), and both span the
    full other dimension. A leaf has no cut; it holds a piece at its lower left
    corner, or is leftover when `piece` is None. A leaf exceeds its piece by at most the
    spacing in each dimension: a remainder too thin to be cut off stays with it.
    """

    x: int
    y: int
    width: int
    height: int
    cut: Cut | None
    at: int | None
    low: Part | None
    high: Part | None
    piece: str | None
    turned: bool


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a piece lies, in grid units; the size is as it lies, after any turning."""

    piece: str
    x: int
    y: int
    width: int
    height: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """One sheet of the named stock: its cut tree and the pieces on it."""

    stock: str
    root: Part
    placements: tuple[Placement, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A piece that is on no sheet, and why.

    no-stock: there is no stock of its material. too-large: it fits no stock of its
    material in any allowed turning. out-of-stock: it would fit but the sheets ran out.
    """

    piece: str
    reason: Reason


@dataclass(frozen=True, slots=True)
class Bound:
    """What the pieces of one group need at the very least, beside what they took.

    No plan places the pieces placed here on fewer than `sheets` sheets or for less
    than `cost`. When sheets ran out, the bound speaks of the pieces that were placed,
    so `sheets` <= `used` and `cost` <= `spent` always hold.
    """

    material: str
    group: str
    sheets: int
    used: int
    cost: float
    spent: float


@dataclass(frozen=True, slots=True)
class Progress:
    """A look at the search while it runs; `seconds` since it began."""

    iterations: int
    sheets: int
    cost: float
    bound_cost: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Solution:
    """The best answer found; sheets with the lowest due ranks come first.

    `iterations` is the number of rounds done. `stopped` says what ended the search:
    the proven bound was met, the rounds or the seconds were spent, or the user
    interrupted it. `split` has the `Piece.together` keys that no sheet could honour.
    """

    layouts: tuple[Layout, ...]
    left_out: tuple[LeftOut, ...]
    bounds: tuple[Bound, ...]
    iterations: int
    stopped: Stopped
    split: tuple[str, ...] = ()


def check(pieces: Sequence[Piece], stocks: Sequence[Stock], options: Options) -> None:
    """Refuse a problem that makes no sense.

    Raises:
        ValueError: a name occurs twice, a size is not positive, or a cost, count,
            spacing, number of iterations or of seconds is negative or not a number, a
            keep-out box lies off its sheet, or a limit of the shears is not positive.
    """
    _check_names("piece", (piece.name for piece in pieces))
    # A stock name alone says which sheet to fetch, so it may not repeat over materials.
    _check_names("stock", (stock.name for stock in stocks))
    for piece in pieces:
        _check_size(f"piece {piece.name!r}", piece.width, piece.height)
    for stock in stocks:
        _check_size(f"stock {stock.name!r}", stock.width, stock.height)
        if not math.isfinite(stock.cost) or stock.cost < 0:
            raise ValueError(
                f"The cost of stock {stock.name!r} is {stock.cost}; it must be a number that is not negative."
            )
        if stock.count is not None and stock.count < 0:
            raise ValueError(f"The count of stock {stock.name!r} is {stock.count}; it must not be negative.")
        for x, y, width, height in stock.blocked:
            _check_size(f"a box to keep out of on stock {stock.name!r}", width, height)
            if x < 0 or y < 0 or x + width > stock.width or y + height > stock.height:
                raise ValueError(
                    f"A box to keep out of on stock {stock.name!r} is {width} x {height} at {x}, {y}; "
                    f"it must lie on the sheet of {stock.width} x {stock.height}."
                )
    if options.spacing < 0:
        raise ValueError(f"The spacing is {options.spacing}; it must not be negative.")
    if options.iterations < 0:
        raise ValueError(f"The number of iterations is {options.iterations}; it must not be negative.")
    if options.seconds is not None and not options.seconds >= 0:
        raise ValueError(f"The limit in seconds is {options.seconds}; it must be a number that is not negative.")
    for keep in filter(None, (options.keep, *dict(options.keep_of).values())):
        _check_size("the leftover to keep", *keep)
    for what, number in (
        ("longest cut", options.longest_cut),
        ("least strip", options.least_strip),
        ("number of stages", options.stages),
        ("number of workers", options.workers),
    ):
        if number is not None and number < 1:
            raise ValueError(f"The {what} is {number}; it must be at least 1.")


def _check_names(kind: str, names: Iterable[str]) -> None:
    seen: set[Hashable] = set()
    for name in names:
        if name in seen:
            raise ValueError(f"There are two {kind}s named {name!r}; names must be unique.")
        seen.add(name)


def _check_size(what: str, width: int, height: int) -> None:
    if width <= 0 or height <= 0:
        raise ValueError(f"The size of {what} is {width} x {height}; width and height must be positive.")

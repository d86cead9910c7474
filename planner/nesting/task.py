"""A set of pieces that has to be nested together, in the form in which the search wants it.

Pieces are counted by size: two pieces of one size, group and level are the same to the search, and who is who is
settled at the end (`naming.py`). Stock is counted by kind. Money becomes whole numbers, one more for each sheet opened,
so that sums are exact and of two plans of equal cost the one with fewer sheets is cheaper.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from .keepouts import Open, open_parts
from .limits import Limits
from .problem import Options, Piece, Stock
from .rooms import Sheet
from .sizes import Sizes, Welcome
from .slabs import Slab, slab_of
from .slicing import Tree


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of sheet: its place in the caller's list, size grown by the spacing, and how its open parts may be cut.

    `group` is the only one that may use it, None for any.
    """

    stock: int
    width: int
    height: int
    count: int | None
    cost: int
    group: int | None
    variants: tuple[Open, ...]

    @property
    def area(self) -> int:
        """Of the grown sheet, in grid units squared."""
        return self.width * self.height


@dataclass(frozen=True, slots=True, eq=False)
class Bundle:
    """Pieces that must share a sheet and a turning: the size of each, largest first.

    `alone` holds, for each kind of sheet known to hold them all, the variant and the trees that do.
    """

    sizes: tuple[int, ...]
    may_turn: bool
    alone: dict[int, tuple[int, tuple[Tree | None, ...]]]


@dataclass(frozen=True, slots=True)
class Together:
    """A set of pieces that must share a sheet: their places in the caller's list, and known ways to lay them.

    For each stock that holds them: the variant and its trees, with a piece's place instead of a size in each leaf.
    """

    pieces: tuple[int, ...]
    alone: Mapping[int, tuple[int, tuple[Tree | None, ...]]]


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """All that the search must know; lists are by size, except `kinds`.

    counts: pieces of the size. weights: what leaving out one of them costs. members: the pieces, by their place in the
    caller's list. levels: under `Options.due_first` the due rank by order, else 0. Bundles are sizes too: while its
    pieces wait for a place they are counted as one, and the size is that of its largest piece; on a sheet each piece
    lies by its own size.
    """

    sizes: Sizes
    counts: tuple[int, ...]
    weights: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]
    groups: tuple[int, ...]
    levels: tuple[int, ...]
    kinds: tuple[Kind, ...]
    bundles: dict[int, Bundle]
    bundle_of: dict[int, int]
    limits: Limits | None
    spacing: int
    unit: Fraction
    sheet_base: int
    _welcomes: dict[tuple[int, int], Welcome] = field(default_factory=dict)

    @property
    def stock(self) -> tuple[int | None, ...]:
        """How many sheets there are of each kind, None for no limit."""
        return tuple(kind.count for kind in self.kinds)

    def area(self, size: int) -> int:
        """Of one grown piece, or of a whole bundle, in grid units squared."""
        if size in self.bundles:
            return sum(self.area(member) for member in self.bundles[size].sizes)
        return self.sizes.widths[size] * self.sizes.heights[size]

    def price(self, cost: Fraction, sheets: int) -> int:
        """Money and sheets as one number, rounded up to what sheets can cost."""
        return math.ceil(cost / self.unit) * self.sheet_base + sheets

    def money(self, spent: int) -> float:
        """What sheets of this price cost the caller."""
        return float(spent // self.sheet_base * self.unit)

    def empty_sheet(self, kind: int, variant: int, group: int, level: int) -> Sheet:
        """An unused sheet for pieces of the group, of this level or less urgent."""
        welcome = self._welcomes.get((group, level))
        if welcome is None:
            members = 0
            for size, of_group in enumerate(self.groups):
                if of_group == group and self.levels[size] >= level:
                    members |= 1 << size
            welcome = self._welcomes[group, level] = Welcome(self.sizes, members)
        regions = self.kinds[kind].variants[variant].sizes
        return Sheet(kind, variant, group, level, regions, (None,) * len(regions), welcome)

    def slab(self, sheet: Sheet) -> Slab | None:
        """How the sheet is cut up; None when the shears cannot do it."""
        frame = self.kinds[sheet.kind].variants[sheet.variant].frame
        used = [tree is not None for tree in sheet.trees]
        for contrary in (False, True):
            regions = [
                slab_of(tree, *size, self.spacing, contrary)
                for tree, size in zip(sheet.trees, sheet.regions, strict=True)
            ]
            slab = frame.slab(regions, used)
            if self.limits is None or self.limits.permit(slab, self.spacing):
                return slab
        return None


@dataclass(frozen=True, slots=True)
class _Entry:
    width: int
    height: int
    may_turn: bool
    group: int
    level: int
    urgency: int  # how many ranks are less urgent, while that counts
    role: int  # 0: a piece of a bundle, 1: a piece, 2: a bundle
    bundle: int
    area: int
    weight: int


def make_task(
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    groups: Sequence[int],
    chosen: Sequence[int],
    bundles: Sequence[Together],
    options: Options,
    ranked: bool = False,
) -> Task:
    """The task of the chosen pieces, all of one material, some of them in bundles, on the stock of that material.

    ranked: not all pieces will find a place; a piece weighs more than all pieces of less urgent ranks together.
    """
    spacing = options.spacing
    group_names = {pieces[i].group: groups[i] for i in chosen}
    material = pieces[chosen[0]].material
    own = [i for i, stock in enumerate(stocks) if stock.material == material and stock.count != 0]
    own = [i for i in own if stocks[i].group is None or stocks[i].group in group_names]
    found = _entries(pieces, groups, chosen, bundles, options, ranked)
    # Largest last, so that the highest bit of a set of sizes is the one to be placed first.
    order = sorted(
        found,
        key=lambda e: (e.role > 0, e.urgency, -e.level, e.area, e.height, e.width, e.may_turn, e.group, e.bundle),
    )
    number_of = {found[e][0]: size for size, e in enumerate(order) if e.role == 0}
    unit = Fraction(1, math.lcm(1, *(Fraction(stocks[i].cost).denominator for i in own)))
    base = len(chosen) + 1
    kinds = tuple(_kind(i, stocks[i], group_names, spacing, unit, base) for i in own)
    heads = {e.bundle: size for size, e in enumerate(order) if e.role == 2}
    return Task(
        Sizes([e.width for e in order], [e.height for e in order], [e.may_turn for e in order]),
        tuple(0 if e.role == 0 else (1 if e.role == 2 else len(found[e])) for e in order),
        tuple(e.weight for e in order),
        tuple(tuple(found[e]) for e in order),
        tuple(e.group for e in order),
        tuple(e.level for e in order),
        kinds,
        {size: _bundle(bundles[number], number_of, kinds, pieces) for number, size in heads.items()},
        {number_of[i]: heads[number] for number, together in enumerate(bundles) for i in together.pieces},
        limits_of(options),
        spacing,
        unit,
        base,
    )


def _entries(
    pieces: Sequence[Piece],
    groups: Sequence[int],
    chosen: Sequence[int],
    bundles: Sequence[Together],
    options: Options,
    ranked: bool,
) -> dict[_Entry, list[int]]:
    """The sizes of the chosen pieces and of the bundles, each with its pieces."""
    ranks = sorted({pieces[i].due_rank for i in chosen})
    urgencies = {rank: urgency if ranked else 0 for urgency, rank in enumerate(reversed(ranks))}
    levels = {rank: level if options.due_first else 0 for level, rank in enumerate(ranks)}
    more_than_all = sum(pieces[i].width * pieces[i].height for i in chosen) + 1

    def entry(i: int, bundle: int, role: int) -> _Entry:
        piece = pieces[i]
        width, height = piece.width + options.spacing, piece.height + options.spacing
        if role == 1 and piece.may_turn and width > height:
            width, height = height, width
        urgency, level = urgencies[piece.due_rank], levels[piece.due_rank]
        weight = piece.width * piece.height * more_than_all**urgency
        return _Entry(width, height, piece.may_turn, groups[i], level, urgency, role, bundle, width * height, weight)

    found: dict[_Entry, list[int]] = {}
    bundled: set[int] = set()
    for number, together in enumerate(bundles):
        bundled.update(together.pieces)
        parts = [entry(i, i, 0) for i in together.pieces]
        found |= {part: [i] for part, i in zip(parts, together.pieces, strict=True)}
        largest = max(parts, key=lambda part: (part.area, part.width))
        head = replace(
            largest,
            may_turn=all(part.may_turn for part in parts),
            level=min(part.level for part in parts),
            urgency=max(part.urgency for part in parts),
            role=2,
            bundle=number,
            area=sum(part.area for part in parts),
            weight=sum(part.weight for part in parts),
        )
        found[head] = list(together.pieces)
    for i in chosen:
        if i not in bundled:
            found.setdefault(entry(i, -1, 1), []).append(i)
    return found


def limits_of(options: Options) -> Limits | None:
    """The shears' limits, None when there are none."""
    if options.longest_cut is None and options.least_strip is None and options.stages is None:
        return None
    return Limits(options.longest_cut, options.least_strip, options.stages)


def _kind(number: int, stock: Stock, group_names: Mapping[str, int], spacing: int, unit: Fraction, base: int) -> Kind:
    width, height = stock.width + spacing, stock.height + spacing
    cost = int(Fraction(stock.cost) / unit) * base + 1
    group = None if stock.group is None else group_names[stock.group]
    variants = open_parts(width, height, stock.blocked, spacing)
    return Kind(number, width, height, stock.count, cost, group, variants)


def _bundle(together: Together, number_of: dict[int, int], kinds: Sequence[Kind], pieces: Sequence[Piece]) -> Bundle:
    def renamed(tree: Tree | None) -> Tree | None:
        if tree is None:
            return None
        kind, width, height, parts = tree
        if kind >= 0:
            return (2 * number_of[kind >> 1] + (kind & 1), width, height, ())
        return (kind, width, height, tuple(part for part in map(renamed, parts) if part is not None))

    order = sorted(together.pieces, key=lambda i: (-pieces[i].width * pieces[i].height, i))
    alone = {
        kind: (together.alone[own.stock][0], tuple(map(renamed, together.alone[own.stock][1])))
        for kind, own in enumerate(kinds)
        if own.stock in together.alone
    }
    return Bundle(tuple(number_of[i] for i in order), all(pieces[i].may_turn for i in together.pieces), alone)

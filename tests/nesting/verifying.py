"""An independent reading of a solution: every promise of the contract, checked afresh."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from itertools import combinations

from planner.nesting import Layout, Options, Part, Piece, Solution, Stock


def verify(pieces: Sequence[Piece], stocks: Sequence[Stock], options: Options, solution: Solution) -> None:
    """Fail on the first broken promise."""
    piece_named = {piece.name: piece for piece in pieces}
    stock_named = {stock.name: stock for stock in stocks}
    seen = Counter(placement.piece for layout in solution.layouts for placement in layout.placements)
    seen.update(left.piece for left in solution.left_out)
    assert seen == Counter(piece_named.keys()), "each piece is placed or left out, once"
    used = Counter(layout.stock for layout in solution.layouts)
    for name, number in used.items():
        count = stock_named[name].count
        assert count is None or number <= count, f"{number} of {name}, there are {count}"
    for layout in solution.layouts:
        _verify_layout(layout, stock_named[layout.stock], piece_named, options.spacing)
        _verify_shears(layout.root, options, None, 0)
    _verify_together(pieces, solution)
    _verify_left_out(solution, stock_named, piece_named, used, options)
    _verify_bounds(solution, pieces, stock_named, piece_named)
    ranks = [sorted(piece_named[p.piece].due_rank for p in layout.placements) for layout in solution.layouts]
    assert ranks == sorted(ranks), "sheets with low ranks come first"


def _verify_layout(layout: Layout, stock: Stock, piece_named: dict[str, Piece], spacing: int) -> None:
    assert layout.placements, "no sheet is empty"
    for placement in layout.placements:
        piece = piece_named[placement.piece]
        size = (piece.height, piece.width) if placement.turned else (piece.width, piece.height)
        assert (placement.width, placement.height) == size
        assert piece.may_turn or not placement.turned
        assert piece.material == stock.material
        assert stock.group in (None, piece.group)
        for x, y, width, height in stock.blocked:
            beside = placement.x >= x + width or x >= placement.x + placement.width
            above = placement.y >= y + height or y >= placement.y + placement.height
            assert beside or above, f"{placement} reaches into the box at {x}, {y}"
        assert min(placement.x, placement.y) >= 0
        assert placement.x + placement.width <= stock.width
        assert placement.y + placement.height <= stock.height
    assert len({piece_named[p.piece].group for p in layout.placements}) == 1
    for one, other in combinations(layout.placements, 2):
        gap_x = max(other.x - one.x - one.width, one.x - other.x - other.width)
        gap_y = max(other.y - one.y - one.height, one.y - other.y - other.height)
        assert max(gap_x, gap_y) >= spacing, f"{one} and {other} are too close"
    root = layout.root
    assert (root.x, root.y, root.width, root.height) == (0, 0, stock.width, stock.height)
    leaves: dict[str, Part] = {}
    _walk(root, spacing, leaves)
    assert leaves.keys() == {placement.piece for placement in layout.placements}
    for placement in layout.placements:
        leaf = leaves[placement.piece]
        assert (leaf.x, leaf.y, leaf.turned) == (placement.x, placement.y, placement.turned)
        assert 0 <= leaf.width - placement.width <= spacing
        assert 0 <= leaf.height - placement.height <= spacing


def _walk(part: Part, spacing: int, leaves: dict[str, Part]) -> None:
    assert part.width > 0
    assert part.height > 0
    if part.cut is None:
        assert (part.at, part.low, part.high) == (None, None, None)
        if part.piece is None:
            assert not part.turned
        else:
            assert part.piece not in leaves
            leaves[part.piece] = part
        return
    assert part.piece is None
    assert part.at is not None
    assert part.low is not None
    assert part.high is not None
    low, high = part.low, part.high
    assert (low.x, low.y) == (part.x, part.y)
    beyond = part.at + spacing
    if part.cut == "vertical":
        assert low.x + low.width == part.at
        assert (high.x, high.y) == (beyond, part.y)
        assert high.x + high.width == part.x + part.width
        assert low.height == high.height == part.height
    else:
        assert low.y + low.height == part.at
        assert (high.x, high.y) == (part.x, beyond)
        assert high.y + high.height == part.y + part.height
        assert low.width == high.width == part.width
    _walk(low, spacing, leaves)
    _walk(high, spacing, leaves)


def _verify_shears(part: Part, options: Options, before: str | None, stage: int) -> None:
    """Every cut can be made: not too long, something to hold on to, not too many changes of direction."""
    if part.cut is None or part.low is None or part.high is None:
        return
    stage += part.cut != before
    assert options.stages is None or stage <= options.stages
    upright = part.cut == "vertical"
    assert options.longest_cut is None or (part.height if upright else part.width) <= options.longest_cut
    if options.least_strip is not None:
        sides = [(side, side.width if upright else side.height) for side in (part.low, part.high)]
        assert max(extent for _, extent in sides) >= options.least_strip, "nothing to hold"
        for side, extent in sides:
            assert extent >= options.least_strip or side.cut is None, "a narrow strip is cut again"
    _verify_shears(part.low, options, part.cut, stage)
    _verify_shears(part.high, options, part.cut, stage)


def _verify_together(pieces: Sequence[Piece], solution: Solution) -> None:
    """All of a set on one sheet and turned alike, or none of it placed, or the solution says that it was split."""
    places = {
        placement.piece: (number, placement.turned)
        for number, layout in enumerate(solution.layouts)
        for placement in layout.placements
    }
    sets: defaultdict[tuple[str, str, str], list[str]] = defaultdict(list)
    for piece in pieces:
        if piece.together:
            sets[piece.material, piece.group, piece.together].append(piece.name)
    for (_, _, key), names in sets.items():
        if key not in solution.split:
            assert len({places.get(name) for name in names}) == 1, f"{key} is not together"
    assert set(solution.split) <= {key for _, _, key in sets}


def fits(piece: Piece, stock: Stock) -> bool:
    """Whether the sheet holds the piece in any allowed turning."""
    upright = piece.width <= stock.width and piece.height <= stock.height
    turned = piece.may_turn and piece.height <= stock.width and piece.width <= stock.height
    return upright or turned


def _verify_left_out(
    solution: Solution,
    stock_named: dict[str, Stock],
    piece_named: dict[str, Piece],
    used: Counter[str],
    options: Options,
) -> None:
    limited = (options.stages, options.longest_cut, options.least_strip) != (None, None, None)
    for left in solution.left_out:
        piece = piece_named[left.piece]
        kinds = [
            stock
            for stock in stock_named.values()
            if stock.material == piece.material and stock.group in (None, piece.group)
        ]
        holding = [stock for stock in kinds if fits(piece, stock)]
        if not kinds:
            assert left.reason == "no-stock"
        elif not holding:
            assert left.reason == "too-large"
        elif limited or piece.together or any(stock.blocked for stock in holding):
            # Whether it fits an open part, beside its set, or can be cut out, is not worked out again here.
            assert left.reason in ("too-large", "out-of-stock")
            assert any(stock.count is not None for stock in holding) or left.reason == "too-large"
        else:
            assert left.reason == "out-of-stock"
            assert all(stock.count is not None and used[stock.name] == stock.count for stock in holding)


def _verify_bounds(
    solution: Solution, pieces: Sequence[Piece], stock_named: dict[str, Stock], piece_named: dict[str, Piece]
) -> None:
    groups = list(dict.fromkeys((piece.material, piece.group) for piece in pieces))
    assert [(bound.material, bound.group) for bound in solution.bounds] == groups
    sheets: Counter[tuple[str, str]] = Counter()
    spent: defaultdict[tuple[str, str], float] = defaultdict(float)
    for layout in solution.layouts:
        first = piece_named[layout.placements[0].piece]
        sheets[(first.material, first.group)] += 1
        spent[(first.material, first.group)] += stock_named[layout.stock].cost
    for bound in solution.bounds:
        key = (bound.material, bound.group)
        assert bound.used == sheets[key]
        assert abs(bound.spent - spent[key]) <= 1e-9 * max(1.0, bound.spent)
        assert 0 <= bound.sheets <= bound.used
        assert 0 <= bound.cost <= bound.spent

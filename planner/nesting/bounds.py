"""Proven lower bounds: how many sheets, and how much money, a group needs at least.

Rectangles here are grown by the spacing, sheets too (see `sizes.py`), so that pieces
one spacing apart become rectangles that must not overlap. The bounds hold for free
layouts, and so for guillotine layouts as well.

A dual feasible function f with capacity c maps lengths to numbers so that lengths
fitting side by side into a sheet never sum to more than c. The product of one for the
width and one for the height is a distorted area, of which a sheet holds no more than
the product of the two capacities (Fekete and Schepers).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from operator import mul

# Caps on the effort; the bounds stay valid whatever these are, only less sharp.
_PRODUCTS = 100_000
_COVER_NODES = 3_000
_LAYERS = 6


@dataclass(frozen=True, slots=True)
class Box:
    """A piece grown by the spacing, in grid units."""

    width: int
    height: int
    may_turn: bool


@dataclass(frozen=True, slots=True)
class Bin:
    """A kind of sheet grown by the spacing, in grid units, and the cost of one."""

    width: int
    height: int
    count: int | None
    cost: Fraction

    @property
    def area(self) -> int:
        """Of the grown sheet, in grid units squared."""
        return self.width * self.height

    def holds(self, box: Box) -> bool:
        """Whether the box fits, in any turning allowed to it."""
        return (box.width <= self.width and box.height <= self.height) or (
            box.may_turn and box.height <= self.width and box.width <= self.height
        )


def least_sheets_and_cost(boxes: Sequence[Box], bins: Sequence[Bin]) -> tuple[int, Fraction]:
    """Sheets and cost that every plan for these boxes reaches or exceeds.

    Each box must fit some bin. When the bins cannot hold all boxes, nothing is promised
    but that the numbers are finite.
    """
    usable = [bin_ for bin_ in bins if any(bin_.holds(box) for box in boxes)]
    if not usable:
        return 0, Fraction(0)
    sheets = _least_sheets(boxes, usable)
    area = sum(box.width * box.height for box in boxes)
    cost = max(_layered_cost(boxes, usable, sheets), _cover_cost(area, sheets, usable))
    return sheets, cost


def _least_sheets(boxes: Sequence[Box], bins: Sequence[Bin]) -> int:
    if not boxes:
        return 0
    area = sum(box.width * box.height for box in boxes)
    by_area = 0
    for bin_ in sorted(bins, key=lambda bin_: -bin_.area):
        wanted = -(-area // bin_.area)
        taken = wanted if bin_.count is None else min(wanted, bin_.count)
        by_area += taken
        area -= taken * bin_.area
        if area <= 0:
            break
    return max(1, by_area, _by_dual_functions(boxes, bins))


def _layered_cost(boxes: Sequence[Box], bins: Sequence[Bin], sheets: int) -> Fraction:
    """Count the sheets that cost at least c, for each c, and sum over the layers.

    Boxes that only dear bins hold need so many dear sheets; the cost of a plan is the
    sum over layers of (thickness of the layer) x (sheets that reach up to it).
    """
    levels = sorted({bin_.cost for bin_ in bins})
    total = levels[0] * sheets
    below = levels[0]
    for level in levels[1 : _LAYERS + 1]:
        cheap = [bin_ for bin_ in bins if bin_.cost < level]
        dear = [bin_ for bin_ in bins if bin_.cost >= level]
        bound_to_dear = [box for box in boxes if not any(bin_.holds(box) for bin_ in cheap)]
        if not bound_to_dear:
            break
        total += (level - below) * _least_sheets(bound_to_dear, dear)
        below = level
    return total


def _cover_cost(area: int, sheets: int, bins: Sequence[Bin]) -> Fraction:
    """Least cost of a set of sheets with at least this area and this number."""
    order = sorted(bins, key=lambda bin_: (bin_.cost / bin_.area, -bin_.area))
    relaxed = _relaxed_cost(area, order)
    best: Fraction | None = None
    visited = 0
    waiting = [(0, area, sheets, Fraction(0))]
    while waiting:
        index, area_left, sheets_left, cost = waiting.pop()
        visited += 1
        if visited > _COVER_NODES:
            return relaxed
        if area_left <= 0 and sheets_left <= 0:
            if best is None or cost < best:
                best = cost
            continue
        if index == len(order):
            continue
        if best is not None and cost + _relaxed_cost(area_left, order[index:]) >= best:
            continue
        bin_ = order[index]
        most = max(-(-area_left // bin_.area), sheets_left, 0)
        if bin_.count is not None:
            most = min(most, bin_.count)
        # Pushed last, tried first: many of the best value per area.
        for taken in range(most + 1):
            waiting.append(
                (
                    index + 1,
                    area_left - taken * bin_.area,
                    sheets_left - taken,
                    cost + taken * bin_.cost,
                )
            )
    return relaxed if best is None else best


def _relaxed_cost(area: int, order: Sequence[Bin]) -> Fraction:
    """Cost of covering the area when parts of sheets could be bought, best value first."""
    cost = Fraction(0)
    for bin_ in order:
        if area <= 0:
            break
        covered = area if bin_.count is None else min(area, bin_.count * bin_.area)
        cost += bin_.cost * Fraction(covered, bin_.area)
        area -= covered
    return cost


def _by_dual_functions(boxes: Sequence[Box], bins: Sequence[Bin]) -> int:
    # A box around all bins holds whatever any of them holds.
    width = max(bin_.width for bin_ in bins)
    height = max(bin_.height for bin_ in bins)
    # Each box as it may lie: two ways round, or twice the same way.
    ways: Counter[tuple[int, int, int, int]] = Counter()
    for box in boxes:
        turned = Box(box.height, box.width, False)
        upright = Box(box.width, box.height, False)
        allowed = [
            way for way in ((upright, turned) if box.may_turn else (upright,)) if any(bin_.holds(way) for bin_ in bins)
        ]
        first, second = allowed[0], allowed[-1]
        ways[(first.width, first.height, second.width, second.height)] += 1
    first_widths, first_heights, second_widths, second_heights = zip(*ways, strict=True)
    counts = list(ways.values())
    per_side = max(4, int((_PRODUCTS / len(counts)) ** 0.5))
    across = _functions(width, {*first_widths, *second_widths}, per_side)
    along = _functions(height, {*first_heights, *second_heights}, per_side)
    across_values = [
        (
            cap,
            [values[length] * n for length, n in zip(first_widths, counts, strict=True)],
            [values[length] * n for length, n in zip(second_widths, counts, strict=True)],
        )
        for cap, values in across
    ]
    along_values = [
        (
            cap,
            [values[length] for length in first_heights],
            [values[length] for length in second_heights],
        )
        for cap, values in along
    ]
    fixed = first_widths == second_widths and first_heights == second_heights
    best = 0
    for cap_x, first_x, second_x in across_values:
        for cap_y, first_y, second_y in along_values:
            if fixed:
                total = sum(map(mul, first_x, first_y))
            else:
                # However a box lies in a plan, it takes no less than the lesser of the two.
                total = sum(map(min, map(mul, first_x, first_y), map(mul, second_x, second_y)))
            best = max(best, -(-total // (cap_x * cap_y)))
    return best


def _functions(side: int, lengths: set[int], most: int) -> list[tuple[int, dict[int, int]]]:
    """Dual feasible functions for a side: (capacity, value of each length)."""
    found = [(side, {length: length for length in lengths})]
    for parts in (1, 2, 3, 4):
        # Round to multiples of 1/parts, exact multiples of 1/(parts + 1) excepted.
        found.append(
            (
                side * parts,
                {
                    length: length * parts if length * (parts + 1) % side == 0 else length * (parts + 1) // side * side
                    for length in lengths
                },
            )
        )
    small = {length for length in lengths if 2 * length <= side}
    edges = small | {side - length + 1 for length in lengths if 2 * length > side}
    limits = _thinned(sorted(edge for edge in edges if 2 * edge <= side), most // 2)
    for limit in limits:
        # What leaves room for nothing above the limit counts as the whole side.
        found.append(
            (
                side,
                {length: side if length > side - limit else (length if length >= limit else 0) for length in lengths},
            )
        )
    for step in _thinned(sorted(small), most - most // 2):
        # Count steps: below half rounded down, above half what is left rounded down.
        found.append(
            (
                2 * (side // step),
                {
                    length: 2 * (length // step)
                    if 2 * length < side
                    else (side // step if 2 * length == side else 2 * (side // step - (side - length) // step))
                    for length in lengths
                },
            )
        )
    return found


def _thinned(values: list[int], most: int) -> list[int]:
    if len(values) <= most:
        return values
    return [values[index * len(values) // most] for index in range(most)]

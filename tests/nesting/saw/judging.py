"""An independent judge of free layouts: shapely alone, nothing of the engine's geometry."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import shapely
from shapely import Polygon, affinity

from planner.nesting.saw import SawOptions, SawPlacement, SawSheet, SawSolution, Shape

HAIR = 1e-6


def polygon_at(shape: Shape, placement: SawPlacement) -> Polygon:
    """The shape as the placement says it lies."""
    turned = affinity.rotate(Polygon(shape.polygon[0], shape.polygon[1:]), placement.turn, origin=(0, 0))
    west, south, _, _ = turned.bounds
    return affinity.translate(turned, placement.x - west, placement.y - south)


def judge_sheet(
    shapes: dict[str, Shape], placements: Sequence[SawPlacement], width: float, height: float, spacing: float
) -> None:
    """Everything inside, allowed turns only, the spacing kept; AssertionError otherwise."""
    laid = [polygon_at(shapes[placement.name], placement) for placement in placements]
    for placement, polygon in zip(placements, laid, strict=True):
        assert placement.turn in shapes[placement.name].turns
        west, south, east, north = polygon.bounds
        assert west >= -HAIR
        assert south >= -HAIR
        assert east <= width + HAIR
        assert north <= height + HAIR
    for index, one in enumerate(laid):
        for other in laid[:index]:
            assert one.distance(other) >= spacing - HAIR
            # Touching is no distance either, so without spacing the areas must be disjoint.
            assert shapely.intersection(one, other).area <= HAIR * (one.length + other.length)


def judge(shapes: Sequence[Shape], sheets: Sequence[SawSheet], options: SawOptions, solution: SawSolution) -> None:
    """Every promise of a layout on sheets; AssertionError where one is broken."""
    by_name = {shape.name: shape for shape in shapes}
    kinds = {sheet.name: sheet for sheet in sheets}
    names = [placement.name for layout in solution.layouts for placement in layout.placements]
    names += [left.name for left in solution.left_out]
    assert sorted(names) == sorted(by_name)
    for layout in solution.layouts:
        sheet = kinds[layout.sheet]
        on = [by_name[placement.name] for placement in layout.placements]
        assert on
        assert {shape.material for shape in on} == {sheet.material}
        assert len({shape.group for shape in on}) == 1
        judge_sheet(by_name, layout.placements, sheet.width, sheet.height, options.spacing)
    for name, number in Counter(layout.sheet for layout in solution.layouts).items():
        count = kinds[name].count
        assert count is None or number <= count
    ranks = [min(by_name[one.name].due_rank for one in layout.placements) for layout in solution.layouts]
    assert ranks == sorted(ranks)
    assert math.isclose(solution.cost, sum(kinds[layout.sheet].cost for layout in solution.layouts), abs_tol=1e-9)
    left = {left.name: left.reason for left in solution.left_out}
    for name, reason in left.items():
        stock = [sheet for sheet in sheets if sheet.material == by_name[name].material]
        assert (reason == "no-stock") == (not stock)
        if reason == "out-of-stock":
            assert all(sheet.count is not None for sheet in stock if fits(by_name[name], sheet))
        if reason == "too-large":
            assert not any(fits(by_name[name], sheet) for sheet in stock)


def fits(shape: Shape, sheet: SawSheet) -> bool:
    """Whether the shape fits the empty sheet in some turn."""
    west, south, east, north = Polygon(shape.polygon[0]).bounds
    sizes = [(east - west, north - south), (north - south, east - west)]
    return any(
        sizes[turn // 90 % 2][0] <= sheet.width and sizes[turn // 90 % 2][1] <= sheet.height for turn in shape.turns
    )

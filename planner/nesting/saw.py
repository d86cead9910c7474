"""Free layouts for the saw: any polygon with holes, in quarter turns, on sheets or in a strip.

    from planner.nesting.saw import SawOptions, SawSheet, Shape, lay
    shapes = [Shape("shield", (((0, 0), (4, 0), (2, 5)),), (0, 180))]
    solution = lay(shapes, [SawSheet("zinc", 18, 24, None, 30.0)], SawOptions(spacing=0.125))

This package part knows nothing of printing: plain numbers come in and go out.
"""

from __future__ import annotations

from collections.abc import Sequence

from .saw_clock import Clock
from .saw_problem import (
    SawLayout,
    SawLeftOut,
    SawOptions,
    SawPlacement,
    SawReason,
    SawSheet,
    SawSolution,
    SawStrip,
    Shape,
    check,
    polygon_of,
)
from .saw_sheets import SheetSearch
from .saw_stock import Stock, shape_set
from .saw_strip import lay_in_strip

__all__ = [
    "SawLayout",
    "SawLeftOut",
    "SawOptions",
    "SawPlacement",
    "SawReason",
    "SawSheet",
    "SawSolution",
    "SawStrip",
    "Shape",
    "lay",
    "lay_in_strip",
]


def lay(shapes: Sequence[Shape], sheets: Sequence[SawSheet], options: SawOptions | None = None) -> SawSolution:
    """Lay shapes on sheets, urgent ones first, then for the least cost and the fewest sheets.

    Any two shapes on a sheet keep at least `options.spacing` inches between them; a
    shape may lie in the hole of another. The same input with the same seed and
    iterations gives the same answer. On KeyboardInterrupt the best so far is returned,
    what was not laid yet being left out as "interrupted".

    Raises:
        ValueError: the problem makes no sense; the message says which value is wrong.
    """
    options = options or SawOptions()
    check(shapes, sheets, options)
    stock = Stock(sheets)
    clock = Clock(None, options.seconds)
    searches: list[SheetSearch] = []
    complete = False
    try:
        searches.extend(_searches(shapes, sheets, stock, options, clock))
        for search in searches:
            search.begin()
        # Sets share the stock, so a rush of one comes before the later shapes of another.
        for rank in sorted({shape.due_rank for shape in shapes}):
            for search in searches:
                search.lay_urgency(rank)
        complete = True
        for index, search in enumerate(searches):
            left = clock.left()
            search.clock = Clock(options.iterations, None if left is None else left / (len(searches) - index))
            search.clock.running = True
            search.improve()
        for search in searches:
            search.add_left_out()
            search.tidy()
    except KeyboardInterrupt:
        pass
    return _solution(searches, shapes, sheets, complete)


def _searches(
    shapes: Sequence[Shape], sheets: Sequence[SawSheet], stock: Stock, options: SawOptions, clock: Clock
) -> list[SheetSearch]:
    grouped: dict[tuple[str, str], list[Shape]] = {}
    for shape in shapes:
        grouped.setdefault((shape.material, shape.group), []).append(shape)
    searches = []
    for (material, _), members in grouped.items():
        kinds = [kind for kind, sheet in enumerate(sheets) if sheet.material == material and sheet.count != 0]
        if kinds:
            prepared = shape_set(members, [sheets[kind] for kind in kinds], options.spacing)
            searches.append(SheetSearch(prepared, stock, kinds, options.seed, clock))
    return searches


def _solution(
    searches: Sequence[SheetSearch], shapes: Sequence[Shape], sheets: Sequence[SawSheet], complete: bool
) -> SawSolution:
    found: list[tuple[int, float, SawLayout]] = []
    placed: set[str] = set()
    cost = laid = metal = 0.0
    for search in searches:
        answer, members = search.set.answer, search.set.shapes
        for number in answer.used():
            sheet = sheets[answer.kinds[number]]
            on = [shape for shape, place in enumerate(answer.places) if place is not None and place[0] == number]
            area = sum(search.set.areas[shape] for shape in on)
            cost, laid, metal = cost + sheet.cost, laid + area, metal + sheet.width * sheet.height
            placements = search.placements(on)
            placed.update(placement.name for placement in placements)
            layout = SawLayout(sheet.name, tuple(placements))
            # The emptiest sheet comes last among equally urgent ones: its rest is the one to keep.
            found.append((min(members[shape].due_rank for shape in on), -area / (sheet.width * sheet.height), layout))
    found.sort(key=lambda one: one[:2])
    left_out = tuple(
        SawLeftOut(shape.name, _reason(shape, sheets) if complete else "interrupted")
        for shape in shapes
        if shape.name not in placed
    )
    return SawSolution(tuple(layout for *_, layout in found), left_out, cost, laid / metal if metal else 0.0)


def _reason(shape: Shape, sheets: Sequence[SawSheet]) -> SawReason:
    west, south, east, north = polygon_of(shape).bounds
    of_material = [sheet for sheet in sheets if sheet.material == shape.material]
    if not of_material:
        return "no-stock"
    for turn in shape.turns:
        width, height = (east - west, north - south) if turn in (0, 180) else (north - south, east - west)
        if any(width <= sheet.width + 1e-9 and height <= sheet.height + 1e-9 for sheet in of_material):
            return "out-of-stock"
    return "too-large"

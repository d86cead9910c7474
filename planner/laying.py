"""Lay a day's blanks: straight cuts everywhere, free flats for the saw where they save metal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner import nesting
from planner.blanks import Blank
from planner.flats import Search, Work, due_ranks, flat_of, nest
from planner.free import free_bounds, free_flat, is_better, lay_free, wants_free
from planner.house import House
from planner.nesting.saw import SawLayout
from planner.plan import BoundRecord, Flat
from planner.records import bound_records
from planner.stock import Stock, material_of


@dataclass(frozen=True, slots=True)
class Laid:
    """Flats in the order in which they are worked, what is on none, and what is proven."""

    flats: tuple[Flat, ...]
    left_out: tuple[nesting.LeftOut, ...]
    bounds: tuple[BoundRecord, ...]
    straight: nesting.Solution


def lay_day(blanks: Sequence[Blank], works: Mapping[str, Work], stock: Stock, house: House, search: Search) -> Laid:
    """Lay blanks on the metal on hand; the most urgent flats come first."""
    straight = nest(blanks, stock, house, search)
    layouts: list[nesting.Layout | SawLayout] = list(straight.layouts)
    left_out = list(straight.left_out)
    bounds = list(bound_records(straight))
    for material in sorted(wants_free(blanks, house)):
        members = [blank for blank in blanks if material_of(blank.plate.metal, blank.plate.gauge) == material]
        ids = {blank.plate.id for blank in members}
        keys = {blank.share.key for blank in members}
        free = lay_free(members, stock, house, search)
        if not is_better(free, straight, members, stock):
            continue
        layouts = [layout for layout in layouts if _plates(layout)[0] not in ids] + list(free.layouts)
        left_out = [left for left in left_out if left.piece not in ids]
        left_out += [nesting.LeftOut(left.name, left.reason) for left in free.left_out if left.reason != "interrupted"]
        bounds = [bound for bound in bounds if bound.share_key not in keys]
        bounds += free_bounds(free, members, stock)
    if len(layouts) != len(straight.layouts) or any(isinstance(layout, SawLayout) for layout in layouts):
        layouts = _in_order(layouts, blanks)
    flats = tuple(
        free_flat(number, layout, works, stock, house)
        if isinstance(layout, SawLayout)
        else flat_of(number, layout, works, stock, house)
        for number, layout in enumerate(layouts, 1)
    )
    return Laid(flats, tuple(left_out), tuple(bounds), straight)


def _plates(layout: nesting.Layout | SawLayout) -> list[str]:
    if isinstance(layout, SawLayout):
        return [placed.name for placed in layout.placements]
    return [placed.piece for placed in layout.placements]


def _in_order(
    layouts: Sequence[nesting.Layout | SawLayout], blanks: Sequence[Blank]
) -> list[nesting.Layout | SawLayout]:
    ranks = due_ranks([blank.plate for blank in blanks])
    rank_of = {blank.plate.id: ranks[blank.plate.rush, blank.plate.due] for blank in blanks}
    return sorted(layouts, key=lambda layout: sorted(rank_of[name] for name in _plates(layout)))

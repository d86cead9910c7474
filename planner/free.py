"""Free flats for the saw: each plate sawn out along its own line, small plates in the mortises of large ones.

A free flat is worth its trouble only where it saves metal against straight cuts, so it is compared with them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final, Literal

import numpy as np
from shapely import Polygon, box, covers, prepare
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner import nesting
from planner.blanks import Blank
from planner.flats import Place, Search, Work, due_ranks, placement_at
from planner.geometry import area_of, plain, rectangle, shape_of, turned_quarter, union_of
from planner.glass import usable_box
from planner.house import House
from planner.nesting.saw import SawLayout, SawOptions, SawSheet, SawSolution, Shape, lay
from planner.plan import BoundRecord, Box, Flat, Placement, RestRecord
from planner.stock import Stock, material_of

_OFFCUT_STEP: Final = 1 / 4
"""Inches; offcuts of a free flat begin and end on a grid of this step."""

_ROUNDS: Final = 60
"""Rounds of improvement of a free layout; each costs some hundredths of a second."""


def metal_of(blank: Blank) -> Polygon:
    """Give the metal that is sawn out for a plate, in its own frame: face, flange and trim; mortises stay open."""
    finished = union_of([blank.plate.face, blank.flange])
    trims = [asked for asked in blank.allowances if asked.kind == "trim"]
    all_round = max((min(trim.left, trim.right, trim.bottom, trim.top) for trim in trims), default=0.0)
    grown = area_of(finished.buffer(all_round, join_style="mitre")) if all_round else finished
    return max(grown.geoms, key=lambda part: part.area)


def wants_free(blanks: Iterable[Blank], house: House) -> set[str]:
    """Give the materials that a free layout could save metal of: those with plates that are no plain rectangles.

    Scratches in the glass are kept clear by straight layouts only.
    """
    if house.cutting.how != "saw" or house.cutting.layout != "best" or house.glass.spots:
        return set()
    return {
        material_of(blank.plate.metal, blank.plate.gauge)
        for blank in blanks
        if blank.plate.outline.interiors or not blank.plate.is_rectangle
    }


def lay_free(blanks: Sequence[Blank], stock: Stock, house: House, search: Search) -> SawSolution:
    """Lay blanks of one material freely on the metal on hand."""
    ranks = due_ranks([blank.plate for blank in blanks])
    shapes = [
        Shape(
            name=blank.plate.id,
            polygon=_rings(metal_of(blank)),
            turns=(0, 90, 180, 270) if blank.plate.may_turn else (0,),
            material=material_of(blank.plate.metal, blank.plate.gauge),
            group=blank.share.key,
            due_rank=ranks[blank.plate.rush, blank.plate.due],
        )
        for blank in blanks
    ]
    sheets = []
    for entry in stock.nesting:
        record = stock.records[entry.name]
        _, _, width, height = usable_box(record.width, record.height, house)
        sheets.append(SawSheet(entry.name, width, height, entry.count, entry.cost, entry.material, entry.remnant))
    options = SawOptions(
        spacing=house.cutting.spacing,
        iterations=min(_ROUNDS, search.iterations),
        seconds=search.seconds,
        seed=search.seed,
    )
    return lay(shapes, sheets, options)


def is_better(free: SawSolution, straight: nesting.Solution, blanks: Sequence[Blank], stock: Stock) -> bool:
    """Say whether a free layout of these blanks holds more of them, or the same for less, and keeps sets together."""
    ids = {blank.plate.id: blank for blank in blanks}
    left_free = sum(ids[left.name].box[2] * ids[left.name].box[3] for left in free.left_out)
    left_straight = sum(
        ids[left.piece].box[2] * ids[left.piece].box[3] for left in straight.left_out if left.piece in ids
    )
    costs = {entry.name: entry.cost for entry in stock.nesting}
    layouts = [layout for layout in straight.layouts if layout.placements[0].piece in ids]
    spent = sum(costs[layout.stock] for layout in layouts)
    judged_free = (left_free, free.cost, free.sheets)
    judged_straight = (left_straight, spent, len(layouts))
    return judged_free < judged_straight and _keeps_sets(free, ids)


def _keeps_sets(free: SawSolution, blanks: Mapping[str, Blank]) -> bool:
    places: dict[str, set[tuple[int, int]]] = {}
    for number, layout in enumerate(free.layouts):
        for placement in layout.placements:
            key = blanks[placement.name].share.together
            if key:
                places.setdefault(key, set()).add((number, placement.turn))
    return all(len(where) == 1 for where in places.values())


def free_flat(number: int, layout: SawLayout, works: Mapping[str, Work], stock: Stock, house: House) -> Flat:
    """Make the record of one free flat."""
    record = stock.records[layout.sheet]
    usable = usable_box(record.width, record.height, house)
    placements = tuple(
        _placement(placed.name, placed.x, placed.y, placed.turn, works[placed.name], usable)
        for placed in layout.placements
    )
    metals = union_of(shape_of(placement.metal) for placement in placements)
    sheet = rectangle(0, 0, record.width, record.height)
    kerf = shape_of(plain(_kerf(metals, house.cutting.kerf_width).intersection(sheet)))
    grip = house.glass.grip
    etched = rectangle(grip, grip, record.width - 2 * grip, record.height - 2 * grip)
    left = area_of(etched.difference(metals).difference(kerf))
    offcuts = _offcuts(left, house.flats.least_offcut_of(record.metal))
    scrap = area_of(left.difference(union_of(offcuts)))
    rests: list[tuple[Literal["grip", "offcut", "scrap"], BaseGeometry]] = [
        ("grip", area_of(sheet.difference(etched).difference(kerf))),
        *(("offcut", offcut) for offcut in offcuts),
        ("scrap", scrap),
    ]
    return Flat(
        number=number,
        sheet=record,
        share_key=works[layout.placements[0].name].blank.share.key,
        grip=grip,
        usable=usable,
        spots=(),
        how_cut="saw",
        kerf=house.cutting.kerf_width,
        gap=house.cutting.gap,
        layout="free",
        placements=placements,
        cut_tree=(),
        kerf_shape=plain(kerf),
        rest=tuple(RestRecord(use=use, shape=plain(shape)) for use, shape in rests if not shape.is_empty),
        cuts=0,
    )


def free_bounds(free: SawSolution, blanks: Sequence[Blank], stock: Stock) -> tuple[BoundRecord, ...]:
    """Give what is proven of free flats, by the area of their metal alone."""
    by_id = {blank.plate.id: blank for blank in blanks}
    costs = {entry.name: entry.cost for entry in stock.nesting}
    sizes = {name: record.width * record.height for name, record in stock.records.items()}
    used: dict[str, list[SawLayout]] = {}
    for layout in free.layouts:
        used.setdefault(by_id[layout.placements[0].name].share.key, []).append(layout)
    bounds = []
    for key, layouts in used.items():
        plates = [by_id[placed.name] for layout in layouts for placed in layout.placements]
        area = sum(metal_of(blank).area for blank in plates)
        material = material_of(plates[0].plate.metal, plates[0].plate.gauge)
        kinds = [entry for entry in stock.nesting if entry.material == material]
        least = math.ceil(area / max(sizes[kind.name] for kind in kinds) - 1e-9)
        cost = sum(costs[layout.sheet] for layout in layouts)
        least_cost = max(min(kind.cost for kind in kinds), area * min(kind.cost / sizes[kind.name] for kind in kinds))
        bounds.append(
            BoundRecord(
                share_key=key,
                flats=len(layouts),
                proven_least=min(max(1, least), len(layouts)),
                cost=round(cost, 2),
                least_cost=min(round(least_cost, 2), round(cost, 2)),
            )
        )
    return tuple(bounds)


def _rings(shape: Polygon) -> tuple[tuple[tuple[float, float], ...], ...]:
    return tuple(tuple((x, y) for x, y, *_ in ring.coords[:-1]) for ring in (shape.exterior, *shape.interiors))


def _placement(name: str, x: float, y: float, turn: int, work: Work, usable: Box) -> Placement:
    metal = metal_of(work.blank)
    _, _, width, height = work.blank.box
    quarters = turn // 90
    at_origin = turned_quarter(_moved(metal, work.blank), quarters, width, height)
    near_x, near_y, *_ = at_origin.bounds
    place = Place(work.blank, quarters, usable[0] + x - near_x, usable[1] + y - near_y)
    metal_there = plain(place.put(metal))
    left, bottom, right, top = shape_of(metal_there).bounds
    return placement_at(name, place, work, (left, bottom, right - left, top - bottom), metal_there)


def _moved(metal: Polygon, blank: Blank) -> Polygon:
    left, bottom, *_ = blank.box
    return Polygon(
        [(x - left, y - bottom) for x, y in metal.exterior.coords],
        [[(x - left, y - bottom) for x, y in ring.coords] for ring in metal.interiors],
    )


def _kerf(metals: MultiPolygon, width: float) -> BaseGeometry:
    return metals.buffer(width, quad_segs=16).difference(metals) if width else MultiPolygon()


def _offcuts(left: MultiPolygon, least: tuple[float, float]) -> list[Polygon]:
    """Upright rectangles worth keeping, the largest first, until what is left holds none."""
    found: list[Polygon] = []
    while True:
        offcut = _largest_rectangle(left)
        if offcut is None:
            return found
        near_x, near_y, far_x, far_y = offcut.bounds
        sides = sorted((far_x - near_x, far_y - near_y))
        if sides[0] < min(least) or sides[1] < max(least):
            return found
        found.append(offcut)
        left = area_of(left.difference(offcut))


def _largest_rectangle(shape: MultiPolygon) -> Polygon | None:
    """The largest upright rectangle of whole grid squares inside a shape."""
    if shape.is_empty:
        return None
    left, bottom, right, top = shape.bounds
    columns, rows = (int((far - near) / _OFFCUT_STEP) for near, far in ((left, right), (bottom, top)))
    if not columns or not rows:
        return None
    xs, ys = left + np.arange(columns) * _OFFCUT_STEP, bottom + np.arange(rows) * _OFFCUT_STEP
    grid_x, grid_y = np.meshgrid(xs, ys)
    prepare(shape)
    free = covers(shape, box(grid_x, grid_y, grid_x + _OFFCUT_STEP, grid_y + _OFFCUT_STEP))
    best: tuple[int, int, int, int] | None = None
    most = 0
    heights = [0] * columns
    for row in range(rows):
        heights = [heights[column] + 1 if free[row, column] else 0 for column in range(columns)]
        for first, width, height in _under_skyline(heights):
            if width * height > most:
                most, best = width * height, (first, row - height + 1, width, height)
    if best is None:
        return None
    column, row, width, height = best
    return rectangle(xs[column], ys[row], width * _OFFCUT_STEP, height * _OFFCUT_STEP)


def _under_skyline(heights: Sequence[int]) -> Iterable[tuple[int, int, int]]:
    """Every rectangle under a skyline that cannot grow: its first column, width and height."""
    open_runs: list[tuple[int, int]] = []
    for column, height in enumerate((*heights, 0)):
        first = column
        while open_runs and open_runs[-1][1] >= height:
            first, tall = open_runs.pop()
            if tall:
                yield first, column - first, tall
        open_runs.append((first, height))

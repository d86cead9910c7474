"""Strips laid by the library spyrrow where it is installed; it brings more speed than Python can."""

from __future__ import annotations

import importlib
from collections.abc import Sequence

import shapely
from shapely import Polygon, affinity

from .saw_problem import Ring, SawPlacement, Shape, polygon_of

# How far a layout of the library may miss the spacing or the strip and still be believed.
_TOLERANCE = 1e-6


def laid_by_spyrrow(
    shapes: Sequence[Shape], height: float, spacing: float, seconds: int, seed: int
) -> list[SawPlacement] | None:
    """All shapes in a strip of that height in inches, or None where the library cannot do it.

    It is not asked when a shape has holes, which it does not use, and not believed when
    its answer does not keep the spacing.
    """
    if any(len(shape.polygon) > 1 for shape in shapes):
        return None
    try:
        library = importlib.import_module("spyrrow")
    except ImportError:
        return None
    # Shapes that are alike are one item to the library, wanted several times.
    alike: dict[tuple[Ring, tuple[int, ...]], list[Shape]] = {}
    for shape in shapes:
        alike.setdefault((shape.polygon[0], shape.turns), []).append(shape)
    waiting = {str(number): list(reversed(members)) for number, members in enumerate(alike.values())}
    items = [
        library.Item(str(number), [tuple(point) for point in ring], len(members), [float(turn) for turn in turns])
        for number, ((ring, turns), members) in enumerate(alike.items())
    ]
    config = library.StripPackingConfig(
        early_termination=False,
        total_computation_time=seconds,
        num_workers=1,
        seed=seed,
        min_items_separation=spacing or None,
    )
    answer = library.StripPackingInstance("strip", height, items).solve(config)
    placements = []
    for item in answer.placed_items:
        if not waiting[item.id]:
            return None
        shape = waiting[item.id].pop()
        turn = round(item.rotation) % 360
        moved = affinity.translate(
            affinity.rotate(polygon_of(shape), turn, origin=(0, 0)), item.translation[0], item.translation[1]
        )
        west, south, _, _ = moved.bounds
        placements.append((SawPlacement(shape.name, west, south, turn), moved))
    if len(placements) != len(shapes) or not _believable([moved for _, moved in placements], height, spacing):
        return None
    left = min(placement.x for placement, _ in placements)
    return [
        SawPlacement(placement.name, placement.x - left, max(0.0, placement.y), placement.turn)
        for placement, _ in placements
    ]


def _believable(polygons: Sequence[Polygon], height: float, spacing: float) -> bool:
    _, south, _, north = shapely.total_bounds(polygons)
    if south < -_TOLERANCE or north > height + _TOLERANCE:
        return False
    tree = shapely.STRtree(polygons)
    ones, others = tree.query(polygons, predicate="dwithin", distance=max(spacing - _TOLERANCE, 0.0))
    for one, other in zip(ones.tolist(), others.tolist(), strict=True):
        if one < other and (
            spacing > _TOLERANCE or polygons[one].buffer(-_TOLERANCE).intersects(polygons[other].buffer(-_TOLERANCE))
        ):
            return False
    return True

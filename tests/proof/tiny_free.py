"""A free flat worked out by hand: a ring, a small plate in its mortise, and an L; nothing here calls the planner.

The sheet, the grip and the kerf are those of the tiny plan. Every plate has 1/16 in of trim, so its metal is its
outline grown by that much; only round the outer corners the kerf has arcs, and these shapely draws. Each image ends
1/64 in inside its plate, so that no metal is dead.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from shapely import Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from planner.plan import Plan

from .tiny import WEIGHT

KERF, TRIM, EDGE = 0.0625, 0.0625, 0.015625
SHEET, USABLE, OFFCUT = box(0, 0, 20, 16), box(0.5, 0.5, 19.5, 15.5), box(12, 0.5, 19.5, 15.5)
L_OUTLINE = Polygon([(0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4)])
L_METAL = Polygon([(-TRIM, -TRIM), (4 + TRIM, -TRIM), (4 + TRIM, 2 + TRIM), (2 + TRIM, 2 + TRIM), (2 + TRIM, 4 + TRIM),
                   (-TRIM, 4 + TRIM)])  # fmt: skip

# Name, outline and metal in the plate's frame, image, and where the frame begins on the sheet.
PLATES: list[tuple[str, BaseGeometry, BaseGeometry, BaseGeometry, tuple[float, float]]] = [
    (
        "ring", box(0, 0, 6, 6) - box(1.5, 1.5, 4.5, 4.5),
        box(-TRIM, -TRIM, 6 + TRIM, 6 + TRIM) - box(1.5 + TRIM, 1.5 + TRIM, 4.5 - TRIM, 4.5 - TRIM),
        box(EDGE, EDGE, 6 - EDGE, 6 - EDGE) - box(1.5 - EDGE, 1.5 - EDGE, 4.5 + EDGE, 4.5 + EDGE), (0.5625, 0.5625),
    ),
    (
        "seal", box(0, 0, 2, 2), box(-TRIM, -TRIM, 2 + TRIM, 2 + TRIM),
        box(EDGE, EDGE, 2 - EDGE, 2 - EDGE), (2.5625, 2.5625),
    ),
    ("bracket", L_OUTLINE, L_METAL, L_OUTLINE.buffer(-EDGE, join_style="mitre"), (7.0625, 0.5625)),
]  # fmt: skip


def written(shape: BaseGeometry, across: float = 0.0, up: float = 0.0) -> list[Any]:
    """A shape as a plan file has it."""
    return [
        [
            [[round(x + across, 9), round(y + up, 9)] for x, y in ring.coords[:-1]]
            for ring in (part.exterior, *part.interiors)
        ]
        for part in getattr(shape, "geoms", [shape])
    ]


def _record(name: str, outline: BaseGeometry, image: BaseGeometry) -> dict[str, Any]:
    _, _, width, height = outline.bounds
    sides = dict.fromkeys(("left", "right", "bottom", "top"), TRIM)
    return {
        "id": f"2042/{name}", "job": "2042", "name": name, "copy_number": 1, "copies": 1, "colour": None,
        "metal": "zinc", "gauge": 0.064, "screen": None, "mounting": "flush", "block": None, "may_turn": False,
        "notes": "", "width": width, "height": height, "outline": written(outline), "printing": written(image),
        "films": 1, "blank": [-TRIM, -TRIM, width + 2 * TRIM, height + 2 * TRIM],
        "allowances": [{"kind": "trim", "rule": "house", "reason": "it is usual", **sides}], "share_key": "zinc",
    }  # fmt: skip


def _placement(
    name: str, outline: BaseGeometry, metal: BaseGeometry, image: BaseGeometry, at: tuple[float, float]
) -> dict[str, Any]:
    _, _, width, height = outline.bounds
    place = [at[0] - TRIM, at[1] - TRIM, width + 2 * TRIM, height + 2 * TRIM]
    return {
        "plate": f"2042/{name}", "blank": place, "part": list(place), "metal": written(metal, *at), "turned": 0,
        "outline": written(outline, *at), "printing": written(image, *at), "flange": [], "staying": [],
        "films": [{
            "number": 1, "name": f"{name} negative", "kind": "line", "use": "base", "on": None, "angle": 0.0,
            "size": [width, height], "film": written(box(0, 0, width, height), *at), "image": written(image, *at),
        }],
        "tints": [], "zones": [],
    }  # fmt: skip


def free_tables() -> dict[str, Any]:
    """The plan as plain tables, to be changed at will."""
    placements = [_placement(*plate) for plate in PLATES]
    metals = unary_union([Polygon(rings[0], rings[1:]) for placed in placements for rings in placed["metal"]])
    kerf = (metals.buffer(KERF) - metals) & SHEET
    left = USABLE - metals - kerf
    rest = [("grip", SHEET - USABLE - kerf), ("offcut", OFFCUT), ("scrap", left - OFFCUT)]
    # 27 + 4 + 12 of plates; 6.125^2 - 2.875^2, 2.125^2 and 4.125^2 - 2^2 of metal, less the plates, are trim.
    plates = {"printing": 43.0, "routed": 0.0, "flange": 0.0, "trim": 46.78125 - 43.0}
    sums = {**plates, "kerf": kerf.area, **{use: shape.area for use, shape in rest}}
    flat = {
        "number": 1,
        "sheet": {
            "name": "zinc", "metal": "zinc", "gauge": 0.064, "width": 20.0, "height": 16.0,
            "price": None, "remnant": False,
        },
        "share_key": "zinc", "grip": 0.5, "usable": [0.5, 0.5, 19.0, 15.0], "spots": [[8.0, 8.0, 0.25, 0.001]],
        "how_cut": "saw", "layout": "free", "kerf": KERF, "gap": 0.125, "placements": placements,
        "cut_tree": [], "kerf_shape": written(kerf),
        "rest": [{"use": use, "shape": written(shape)} for use, shape in rest], "cuts": 0,
    }  # fmt: skip
    return {
        "title": "odd shapes", "version": "0",
        "settings": {
            "seed": 0, "iterations": 1, "stopped": "iterations", "house": "", "currency": "$",
            "register_tolerance": 0.03125, "clearance": 0.03125, "least_white": 0.375, "cutters": [0.25],
            "least_offcut": [6.0, 8.0], "rules": [],
        },
        "jobs": [{"number": "2042", "customer": None, "due": None, "rush": False, "notes": "", "plates": 3}],
        "plates": [_record(name, outline, image) for name, outline, _, image, _ in PLATES],
        "flats": [flat], "held": [], "findings": [],
        "offcuts": [{"name": "odd-1a", "flat": 1, "box": [12.0, 0.5, 7.5, 15.0], "after_cut": None}],
        "bounds": [{"share_key": "zinc", "flats": 1, "proven_least": 1, "cost": 9, "least_cost": 9}],
        "ledger": {
            "flats": [{"flat": 1, "sheet_area": 320.0, "weight": WEIGHT, "areas": sums}],
            "jobs": [{"job": "2042", "areas": {**dict.fromkeys(sums, 0.0), **plates}}],
            "total": sums,
        },
    }  # fmt: skip


def free_tampered(change: Callable[[dict[str, Any]], object] = bool) -> Plan:
    """The free plan after a change to its tables; as it is, if none is given."""
    tables = free_tables()
    change(tables)
    return Plan.model_validate_json(json.dumps(tables))

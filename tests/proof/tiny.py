"""A plan of two plates on one zinc sheet, worked out by hand, and drawings of it; nothing here calls the planner.

The sheet is 20 x 16 in with 1/2 in of grip and a saw kerf of 1/16 in. Plate A (4 x 3 in) is bevelled on two sides and
lies in the lower left corner; plate B (2 x 3 in, with bleed on its left) lies beside it, turned by a quarter. Images
end 1/64 in inside the plates, so that every corner of them has a witness in the printing shape, and no metal along the
edges is dead.

A is routed between its two images, from edge to edge. B's tint is a frame whose window is too narrow for the cutter;
a spot in the window stays, for a nail. A's left image is made from art: a solid with a white of 5/256 in, which the
image has filled.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from planner.plan import Plan

Rectangle = tuple[float, float, float, float]
"""Left, bottom, right, top."""

WEIGHT = 320 * 0.064 * 2.54**3 * 7.133 / 453.59237
"""Pounds: zinc of 7.133 g/cm3, 0.064 in thick."""


def ring(left: float, bottom: float, right: float, top: float) -> list[list[float]]:
    return [[left, bottom], [right, bottom], [right, top], [left, top]]


def area(*rectangles: Rectangle) -> list[Any]:
    return [[ring(*rectangle)] for rectangle in rectangles]


def of_a(left: float, bottom: float, right: float, top: float) -> Rectangle:
    """From plate A's frame to the flat's: its blank begins at -1/4 there and at 1/2 here."""
    return left + 0.75, bottom + 0.75, right + 0.75, top + 0.75


def of_b(left: float, bottom: float, right: float, top: float) -> Rectangle:
    """From plate B's frame to the flat's: x becomes what is up, and what is up runs from 8.1875 to the left."""
    return 8.1875 - top, left + 0.6875, 8.1875 - bottom, right + 0.6875


def frame(left: float, bottom: float, right: float, top: float, window: Rectangle) -> list[Any]:
    return [[ring(left, bottom, right, top), ring(*window)]]


def _sides(kind: str, width: float) -> dict[str, Any]:
    return {**_all_round(kind, 0.0), "left": width, "right": width}


def _all_round(kind: str, width: float) -> dict[str, Any]:
    sides = dict.fromkeys(("left", "right", "bottom", "top"), width)
    return {"kind": kind, "rule": "house", "reason": "it is usual", **sides}


def _plate(
    name: str, width: float, height: float, blank: list[float], printing: list[Any], allowances: list[Any]
) -> dict[str, Any]:
    return {
        "id": f"2041/{name}", "job": "2041", "name": name, "copy_number": 1, "copies": 1, "colour": None,
        "metal": "zinc", "gauge": 0.064, "screen": None, "mounting": "bevelled", "block": 0.854,
        "may_turn": name == "B",
        "notes": "", "width": width, "height": height, "outline": area((0.0, 0.0, width, height)),
        "printing": printing, "films": 2 if name == "A" else 1,
        "blank": blank, "allowances": allowances, "share_key": "zinc, 0.064 in, line", "together": "",
        "sharing": [{"kind": "apart", "key": "line", "rule": "bands", "reason": "they are etched alike"}],
    }  # fmt: skip


def _film(number: int, size: tuple[float, float], angle: float, film: Rectangle, image: Rectangle) -> dict[str, Any]:
    return {
        "number": number, "name": f"negative {number}", "kind": "line", "use": "base", "on": None,
        "angle": angle, "size": list(size), "film": area(film), "image": area(image),
    }  # fmt: skip


LEFT, RIGHT = (0.015625, 0.015625, 1.5, 2.984375), (2.5, 0.015625, 3.984375, 2.984375)
"""A's images, in its own frame."""

IMAGE, TINT, WINDOW = (-0.109375, 0.015625, 0.6, 2.984375), (0.65, 0.015625, 1.984375, 2.984375), (1.2, 0.5, 1.5, 2.5)
DEAD, SPOT = (1.23125, 0.53125, 1.46875, 2.46875), (1.3, 1.4, 1.4, 1.6)
"""B's image, tint, the window in the tint, the dead metal in the window, and the spot for a nail, in its own frame."""


def _placement_a() -> dict[str, Any]:
    plate = of_a(0.0, 0.0, 4.0, 3.0)
    left, right = of_a(*LEFT), of_a(*RIGHT)
    art = {"art": "art-1", "art_transform": [1.0, 0.0, 0.0, 1.0, left[0], left[1]]}
    return {
        "plate": "2041/A", "blank": [0.5, 0.5, 4.5, 3.5], "part": [0.5, 0.5, 4.53125, 3.53125], "turned": 0,
        "outline": area(plate), "printing": area(left, right),
        "flange": area(of_a(-0.125, 0.0, 0.0, 3.0), of_a(4.0, 0.0, 4.125, 3.0)),
        "staying": [],
        "films": [
            {**_film(1, (2.0, 3.5), 0.0, of_a(-0.25, -0.25, 1.75, 3.25), left), **art},
            _film(2, (2.0, 3.5), 0.0, of_a(2.25, -0.25, 4.25, 3.25), right),
        ],
        "tints": [],
        "zones": [{"cutter": 0.25, "area": 2.8125, "shape": area(of_a(1.53125, 0.0, 2.46875, 3.0))}],
    }  # fmt: skip


def _placement_b() -> dict[str, Any]:
    image, spot = of_b(*IMAGE), of_b(*SPOT)
    tint = frame(*of_b(*TINT), of_b(*WINDOW))
    return {
        "plate": "2041/B", "blank": [5.125, 0.5, 3.125, 2.25], "part": [5.09375, 0.5, 3.1875, 2.28125], "turned": 90,
        "outline": area(of_b(-0.125, 0.0, 2.0, 3.0)), "printing": [*area(image), *tint], "flange": [],
        "staying": area(spot),
        "films": [_film(1, (0.975, 3.0), 90.0, of_b(-0.125, 0.0, 0.85, 3.0), image)],
        "tints": [{"pattern": "17", "area": tint}],
        "zones": [{"cutter": None, "area": 0.44015625, "shape": frame(*of_b(*DEAD), spot)}],
    }  # fmt: skip


ZINC = 7.133 * 2.54**3 / 453.59237
"""Pounds in a cubic inch."""


def _router() -> list[dict[str, Any]]:
    """A is cleared by five passes up and down, set down once; B by hand."""
    path = []
    for number in range(5):
        x, ends = 1.65625 + 0.171875 * number, [0.0, 3.0]
        path += [[x, y] for y in (ends if number % 2 == 0 else ends[::-1])]
    length = 5 * 3.0 + 4 * 0.171875
    chips = 2.8125 * 0.046875 * ZINC, 0.44015625 * 0.03125 * ZINC
    common = {"whites": [], "whites_area": 0.0, "nails": [], "nail_width": 0.09375, "near": [], "travel": 0.0}
    return [
        {
            **common, "plates": ["2041/A"],
            "zones": [{
                "number": 1, "cutter": 0.25, "depth": 0.046875, "depth_for": "open", "area": 2.8125,
                "shape": area((1.53125, 0.0, 2.46875, 3.0)), "paths": [path], "length": length, "travel": 0.0,
                "lifts": 1, "minutes": 0.75, "chips": chips[0],
            }],
            "near": [{"zone": 1, "line": [[1.53125, 1.0], [1.53125, 2.0]], "length": 1.0, "distance": 0.03125,
                      "width": 0.01}],
            "length": length, "travel_nearest": 0.0, "lifts": 1, "minutes": 0.75, "chips": chips[0],
        },
        {
            **common, "plates": ["2041/B"],
            "zones": [{
                "number": 1, "cutter": None, "depth": 0.03125, "depth_for": "line", "area": 0.44015625,
                "shape": frame(*DEAD, SPOT), "paths": [], "length": 0.0, "travel": 0.0,
                "lifts": 0, "minutes": None, "chips": chips[1],
            }],
            "nails": [[1.35, 1.5]],
            "length": 0.0, "travel_nearest": 0.0, "lifts": 0, "minutes": 0.0, "chips": chips[1],
        },
    ]  # fmt: skip


def _art() -> dict[str, Any]:
    """A solid of 1520 x 3040 units of 1/1024 in, and in it a white of 20 x 20 units."""
    return {
        "id": "art-1", "file": "solid.svg", "page": None, "digest": "0" * 64, "kind": "line", "threshold": 0.5,
        "light_on_dark": False, "mirrored": False, "copy_size": [3.0, 6.0], "crop": [0.0, 0.03125, 0.0625, 0.0],
        "size": [1.484375, 2.96875], "percentage": 50.0, "resolution": 1024.0, "error": 0.002,
        "area": (1520 * 3040 - 400) / 1024**2, "unit": 1 / 1024,
        "path": "M0 0l1520 0 0 3040-1520 0zM100,100l0 20l20,0 0-20z",
    }  # fmt: skip


def _cut(box: list[float], way: str, at: float, number: int, low: int) -> dict[str, Any]:
    return {"box": box, "cut": way, "at": at, "kerf": 0.0625, "number": number, "low": low, "high": low + 1}


def _leaf(box: list[float], use: str, plate: str | None = None) -> dict[str, Any]:
    return {"box": box, "use": use, "plate": plate}


def _cut_tree() -> list[dict[str, Any]]:
    return [
        _cut([0.0, 0.0, 20.0, 16.0], "vertical", 0.46875, 1, 1),
        _leaf([0.0, 0.0, 0.4375, 16.0], "grip"),
        _cut([0.5, 0.0, 19.5, 16.0], "vertical", 19.53125, 2, 3),
        _cut([0.5, 0.0, 19.0, 16.0], "horizontal", 0.46875, 3, 5),
        _leaf([19.5625, 0.0, 0.4375, 16.0], "grip"),
        _leaf([0.5, 0.0, 19.0, 0.4375], "grip"),
        _cut([0.5, 0.5, 19.0, 15.5], "horizontal", 15.53125, 4, 7),
        _cut([0.5, 0.5, 19.0, 15.0], "horizontal", 4.0625, 5, 9),
        _leaf([0.5, 15.5625, 19.0, 0.4375], "grip"),
        _cut([0.5, 0.5, 19.0, 3.53125], "vertical", 5.0625, 6, 11),
        _leaf([0.5, 4.09375, 19.0, 11.40625], "offcut"),
        _leaf([0.5, 0.5, 4.53125, 3.53125], "plate", "2041/A"),
        _cut([5.09375, 0.5, 14.40625, 3.53125], "vertical", 8.3125, 7, 13),
        _cut([5.09375, 0.5, 3.1875, 3.53125], "horizontal", 2.8125, 8, 15),
        _leaf([8.34375, 0.5, 11.15625, 3.53125], "scrap"),
        _leaf([5.09375, 0.5, 3.1875, 2.28125], "plate", "2041/B"),
        _leaf([5.09375, 2.84375, 3.1875, 1.1875], "scrap"),
    ]


def _account(
    printing: float, routed: float, flange: float, trim: float,
    kerf: float = 0.0, grip: float = 0.0, offcut: float = 0.0, scrap: float = 0.0,
) -> dict[str, float]:  # fmt: skip
    return {
        "printing": printing, "routed": routed, "flange": flange, "trim": trim,
        "kerf": kerf, "grip": grip, "offcut": offcut, "scrap": scrap,
    }  # fmt: skip


def tiny_tables() -> dict[str, Any]:
    """The plan as plain tables, to be changed at will."""
    # 12 - 2.8125 and 6.375 - 0.44015625 print; of the parts 16.0009765625 and 7.271484375 remain as trim what is not
    # plate or flange; eight kerfs of 16, 16, 19, 19, 19, 3.53125, 3.53125 and 3.1875 in.
    whole = _account(15.12234375, 3.25265625, 0.75, 4.1474609375, 6.203125, 30.625, 216.71875, 43.1806640625)
    plates = _account(15.12234375, 3.25265625, 0.75, 4.1474609375)
    flat = {
        "number": 1,
        "sheet": {
            "name": "zinc", "metal": "zinc", "gauge": 0.064, "width": 20.0, "height": 16.0,
            "price": "14.00", "remnant": False,
        },
        "share_key": "zinc, 0.064 in, line", "grip": 0.5, "usable": [0.5, 0.5, 19.0, 15.0], "spots": [],
        "how_cut": "saw", "layout": "straight",
        "kerf": 0.0625, "gap": 0.125, "placements": [_placement_a(), _placement_b()],
        "cut_tree": _cut_tree(), "cuts": 8,
        "passes": [{
            "rule": "tints", "sheet": "tint lays", "name": "lay 1", "side": "metal", "reason": "B has a tint",
            "opens": area((5.2, 1.0, 7.0, 2.0)), "mask": frame(0.0, 0.0, 20.0, 16.0, (5.2, 1.0, 7.0, 2.0)),
            "plates": ["2041/B"], "films": [["2041/A", 2]], "frame": [5.0, 0.5, 6.0, 8.0], "notes": "",
        }],
        "marks": [{
            "rule": "tints", "kind": "cross", "layer": "Register", "words": "register mark", "sheets": ["metal"],
            "plate": "2041/A", "area": [], "lines": [[[10.0, 10.0]], [[19.0, 15.0]]],
        }],
        "steps": [{"rule": "tints", "who": "tint hand", "words": "Lay it.", "plates": ["2041/B"]}],
    }  # fmt: skip
    bleed = {**_all_round("bleed", 0.0), "left": 0.125}
    return {
        "title": "a quiet day", "version": "0",
        "settings": {
            "seed": 0, "iterations": 1, "stopped": "bound", "house": "", "currency": "$",
            "register_tolerance": 0.03125, "clearance": 0.03125, "least_white": 0.125, "cutters": [0.25],
            "least_offcut": [6.0, 8.0], "rules": [],
        },
        "jobs": [{"number": "2041", "customer": None, "due": None, "rush": False, "notes": "", "plates": 2}],
        "plates": [
            _plate("A", 4.0, 3.0, [-0.25, -0.25, 4.5, 3.5],
                   area(LEFT, RIGHT),
                   [_sides("flange", 0.125), _all_round("trim", 0.0625), _all_round("film", 0.0625)]),
            _plate("B", 2.0, 3.0, [-0.1875, -0.0625, 2.25, 3.125],
                   [*area(IMAGE), *frame(*TINT, WINDOW)], [bleed, _all_round("trim", 0.0625)]),
        ],
        "flats": [flat], "held": [], "findings": [],
        "offcuts": [{"name": "tiny-1a", "flat": 1, "box": [0.5, 4.09375, 19.0, 11.40625], "after_cut": 5}],
        "bounds": [{"share_key": "zinc, 0.064 in, line", "flats": 1, "proven_least": 1, "cost": 9, "least_cost": 9}],
        "ledger": {
            "flats": [{"flat": 1, "sheet_area": 320.0, "weight": WEIGHT, "areas": whole}],
            "jobs": [{"job": "2041", "areas": plates}],
            "total": whole,
        },
        "art": [_art()],
        "camera": [{
            "percentage": 50.0, "spread": 0.0,
            "copies": [{"plates": ["2041/A"], "film": 1, "art": "art-1", "percentage": 50.0}],
        }],
        "router": _router(),
    }  # fmt: skip


def as_plan(tables: dict[str, Any]) -> Plan:
    """Read the tables as a plan file is read."""
    return Plan.model_validate_json(json.dumps(tables))


def tiny_plan() -> Plan:
    return as_plan(tiny_tables())


def tampered(change: Callable[[dict[str, Any]], object]) -> Plan:
    """The tiny plan after a change to its tables."""
    tables = tiny_tables()
    change(tables)
    return as_plan(tables)


def drawing(plan: Plan, *, mirrored: bool, within: Callable[[str], str] = str) -> str:
    """The plan's first flat as a sheet draws it; ``within`` may alter the plates' groups."""
    flat = plan.flats[0]
    matrix = f"matrix(-1 0 0 -1 {1.35 + flat.sheet.width} 18)" if mirrored else "matrix(1 0 0 -1 1.35 18)"
    groups = []
    for number, placement in enumerate(flat.placements, 1):
        rings = [ring for polygon in placement.outline for ring in polygon]
        path = " ".join("M" + " L".join(f"{x:.5f} {y:.5f}" for x, y in ring) + " Z" for ring in rings)
        groups.append(
            f'<g id="plate-{number}" data-plate="{placement.plate}"><path data-kind="outline" d="{path}"/></g>'
        )
    sheet = f'<path data-kind="sheet" d="M0 0 H{flat.sheet.width} V{flat.sheet.height} H0 Z"/>'
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="24in" height="20in" viewBox="0 0 24 20">'
        f'<g id="work" transform="{matrix}">{sheet}<g id="layer-plates">{within("".join(groups))}</g></g></svg>'
    )


def draw(plan: Plan, folder: Path) -> None:
    """Both drawings of the plan's first flat."""
    (folder / "flat-01-stripper.svg").write_text(drawing(plan, mirrored=False), encoding="utf-8")
    (folder / "flat-01-metal.svg").write_text(drawing(plan, mirrored=True), encoding="utf-8")

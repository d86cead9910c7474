"""What does a flat look like at a glance? A small picture of the stripper's view, drawn from the flat alone.

It stands in the page's list of flats and in notebooks. It is no sheet to work from: shapes are rough, and it has no
true size.
"""

from __future__ import annotations

from typing import Final

from planner.lengths import size_text
from planner.plan import Flat, Placement, Shape
from planner.sheets.looking import thinned
from planner.sheets.svg import Drawing, Group, Paint, box_path, line_path, shape_path
from planner.sheets.views import View

_ROUGH: Final = 1 / 400
"""Of the sheet's longer side: what is left out of curves, about a pixel of a picture as it is shown."""
_METALS: Final = {"zinc": "#dfe4e7", "copper": "#edd3c1", "magnesium": "#e6e8de"}
_EDGE: Final = Paint("#26292c", 0.05)
_PLATE: Final = Paint("#26292c", 0.025, fill="#fbfaf7")
_PRINTS: Final = Paint(fill="#6f767b")
_OVERLAY: Final = Paint("#0072b2", 0.02)
_CUT: Final = Paint("#b4500f", 0.02, (0.2, 0.1))
_GRIP: Final = Paint(fill="#b9bfc3")
_NUMBER: Final = 0.7
"""Of a plate's shorter side: how high its number is at most."""


def flat_picture(flat: Flat) -> str:
    """Draw a flat as the stripper sees it: sheet, grip margin, plates with what prints and their numbers, cuts."""
    sheet = flat.sheet
    title = f"Flat {flat.number}, {sheet.metal} {size_text(sheet.width, sheet.height)}, {_count(flat)}"
    drawing = Drawing(title, "As the stripper sees it, not to scale.")
    drawing.size(sheet.width + 0.2, sheet.height + 0.2)
    view = View(mirrored=False, left=0.1, top=0.1, width=sheet.width, height=sheet.height)
    layout = drawing.group(transform=view.matrix)
    whole = (0.0, 0.0, sheet.width, sheet.height)
    layout.path(box_path(whole), Paint(_EDGE.stroke, _EDGE.width, fill=_METALS.get(sheet.metal, "#e4e4e4")))
    inside = (flat.grip, flat.grip, sheet.width - 2 * flat.grip, sheet.height - 2 * flat.grip)
    if flat.grip > 0 and min(inside[2:]) > 0:
        layout.path(box_path(whole, inside), _GRIP)
    rough = max(sheet.width, sheet.height) * _ROUGH
    for placed in flat.placements:
        layout.path(_rough(placed.outline, rough), _PLATE)
        layout.path(_rough(placed.printing, rough), _PRINTS)
        for film in placed.films:
            if film.use != "base":
                layout.path(_rough(film.film, rough), _OVERLAY)
    cuts = [_cut(part.box, part.cut == "vertical", part.at or 0.0) for part in flat.cut_tree if part.cut]
    layout.path(line_path(*cuts), _CUT)
    for number, placed in enumerate(flat.placements, start=1):
        _number(drawing, view, number, placed)
    return drawing.markup().split("\n", 1)[1].strip()


def _count(flat: Flat) -> str:
    count = len(flat.placements)
    return f"{count} plate{'' if count == 1 else 's'}"


def _rough(shape: Shape, tolerance: float) -> str:
    """A shape's path without rings that are smaller than what is left out."""
    kept = []
    for polygon in thinned(shape, tolerance):
        rings = tuple(ring for ring in polygon if _reach(ring) > 2 * tolerance)
        if rings and rings[0] == polygon[0]:
            kept.append(rings)
    return shape_path(tuple(kept), 2)


def _reach(ring: tuple[tuple[float, float], ...]) -> float:
    across, up = [x for x, _ in ring], [y for _, y in ring]
    return max(max(across) - min(across), max(up) - min(up))


def _cut(box: tuple[float, float, float, float], vertical: bool, at: float) -> tuple[float, float, float, float]:
    x, y, width, height = box
    return (at, y, at, y + height) if vertical else (x, at, x + width, at)


def _number(drawing: Group, view: View, number: int, placed: Placement) -> None:
    """A plate's number in its middle, on a light ground, so that it is read over black as over white."""
    x, y, width, height = view.box_on_page(placed.part)
    words = str(number)
    size = min(1.0, _NUMBER * min(height, width / (0.6 * len(words))))
    wide, high = size * (0.62 * len(words) + 0.3), size * 1.1
    middle = (x + width / 2, y + height / 2)
    drawing.path(
        box_path((middle[0] - wide / 2, middle[1] - high / 2, wide, high)), Paint(fill="#ffffff", opacity=0.85)
    )
    drawing.text(words, middle[0], middle[1] + size * 0.36, size, anchor="middle", bold=True)

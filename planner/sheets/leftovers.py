"""What is left when the plates are cut out: offcuts that go back on the rack, and scrap."""

from __future__ import annotations

from typing import Final

from planner.geometry import shape_of
from planner.lengths import size_text
from planner.plan import Box
from planner.sheets.canvas import Canvas
from planner.sheets.desk import Desk
from planner.sheets.ground import Ground
from planner.sheets.labels import Places, fitted
from planner.sheets.looking import seen_path
from planner.sheets.svg import Group, box_path
from planner.sheets.work import tag_areas

_SCRAP_TAGS: Final = 3
"""Of what is left of a free flat, only the largest pieces are named."""


def draw_leftovers(canvas: Canvas, desk: Desk) -> None:
    """Draw offcuts and scrap."""
    layer = canvas.layer("offcuts", "Offcuts and scrap")
    for part in desk.flat.cut_tree:
        if part.use in ("offcut", "scrap"):
            canvas.draw(layer, part.use, box_path(part.box))
    for rest in desk.flat.rest:
        if rest.use != "grip":
            canvas.draw(layer, rest.use, seen_path(rest.shape))


def label_leftovers(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    """Name offcuts, with their size, and scrap."""
    for part in desk.flat.cut_tree:
        _label_leftover(canvas, group, places, ground, part.use or "", part.box)
    for rest in desk.flat.rest:
        if rest.use == "offcut":
            left, bottom, right, top = shape_of(rest.shape).bounds
            box = (left, bottom, right - left, top - bottom)
            _label_leftover(canvas, group, places, ground, "offcut", box)
        elif rest.use == "scrap":
            tag_areas(canvas, group, rest.shape, "scrap", places, ground, most=_SCRAP_TAGS)


def _label_leftover(canvas: Canvas, group: Group, places: Places, ground: Ground, use: str, box: Box) -> None:
    size = (size_text(box[2], box[3]), False)
    tiers = {
        "offcut": [[("OFFCUT", True), size], [(f"OFFCUT {size[0]}", True)], [("OFFCUT", True)]],
        "scrap": [[("scrap", False)]],
    }.get(use)
    if tiers is None:
        return
    label = fitted(canvas.view.box_on_page(box), tiers, places, ground=ground)
    if label is not None:
        label.draw(group, {"label": use})

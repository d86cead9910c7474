"""What is left when the plates are cut out: offcuts that go back on the rack, and scrap."""

from __future__ import annotations

from typing import Final

from planner.geometry import shape_of
from planner.lengths import size_text
from planner.plan import Box
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Row
from planner.sheets.desk import LONGEST_NAME, Desk
from planner.sheets.ground import Ground
from planner.sheets.labels import Places, fitted
from planner.sheets.looking import seen_path
from planner.sheets.svg import Group, box_path
from planner.sheets.text import cut_within
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
    """Name offcuts, with their size and what is to be written on them, and scrap."""
    for part in desk.flat.cut_tree:
        _label_leftover(canvas, desk, group, places, ground, part.use or "", part.box)
    for rest in desk.flat.rest:
        if rest.use == "offcut":
            left, bottom, right, top = shape_of(rest.shape).bounds
            box = (left, bottom, right - left, top - bottom)
            _label_leftover(canvas, desk, group, places, ground, "offcut", box)
        elif rest.use == "scrap":
            tag_areas(canvas, group, rest.shape, "scrap", places, ground, most=_SCRAP_TAGS)


def offcuts_list(desk: Desk) -> list[Block]:
    """Give the offcuts that go back on the rack, with the name that is to be written on each."""
    if not desk.offcuts:
        return []
    rows = []
    for offcut in desk.offcuts:
        after = "" if offcut.after_cut is None else f"after cut {offcut.after_cut}"
        rows.append(Row((cut_within(offcut.name, LONGEST_NAME), size_text(*offcut.box[2:]), after)))
    head = ("write this name on it", "size", "it is free")
    return [Block("offcuts", f"OFFCUTS TO KEEP: {len(rows)}", rows, (0.0, 3.0, 4.75), head)]


def _label_leftover(
    canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground, use: str, box: Box
) -> None:
    if use == "offcut":
        size = (size_text(*box[2:]), False)
        name = (desk.offcut_name(box), True)
        brief = [[("OFFCUT", True), size], [(f"OFFCUT {size[0]}", True)], [("OFFCUT", True)]]
        tiers = [[("OFFCUT", True), name, size], [("OFFCUT", True), name], [name], *brief] if name[0] else brief
    elif use == "scrap":
        tiers = [[("scrap", False)]]
    else:
        return
    label = fitted(canvas.view.box_on_page(box), tiers, places, ground=ground)
    if label is not None:
        label.draw(group, {"label": use})

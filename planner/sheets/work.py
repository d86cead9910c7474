"""What both sheets show of the work: the metal, its margins, the plates, and the marks of findings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from shapely.ops import polylabel

from planner.geometry import shape_of
from planner.lengths import length_text
from planner.plan import Box, Placement, Shape
from planner.sheets.art import has_art
from planner.sheets.canvas import Canvas
from planner.sheets.desk import LONGEST_NAME, Desk, Noted
from planner.sheets.ground import Ground, Region
from planner.sheets.label import Lines
from planner.sheets.labels import NOT_SMALLER, SIZES, USUAL, Places, fitted, in_one_line
from planner.sheets.leaders import led
from planner.sheets.looking import COVERED, seen_path, thinned
from planner.sheets.marks import mark_near
from planner.sheets.svg import FEWER, Group, box_path, shape_path
from planner.sheets.text import cut_at

_LEAST_TAGGED: Final = 0.06
"""Square inches; an area below it is too small for a tag."""
_LEAST_LED: Final = 0.06
"""Inches from the middle of an area to its edge; a line leads to no narrower one: it is the rim of another."""
_MOST_TAGS: Final = 6
_TAG: Final = 0.14
"""Inches; the largest text of a tag."""
_SLACK: Final = 1e-6
_INSIDE: Final = 0.27
"""Inches of the page from the edges of a plate to the middle of its number."""


def draw_metal(canvas: Canvas, desk: Desk) -> None:
    """Draw the sheet of metal, its grip margin, and the usable area where that is smaller than the margin leaves."""
    flat = desk.flat
    whole = (0.0, 0.0, flat.sheet.width, flat.sheet.height)
    layer = canvas.layer("sheet", "Sheet and grip margin")
    held = _shrunk(whole, flat.grip)
    if flat.grip > 0 and held[2] > 0 and held[3] > 0:
        canvas.draw(layer, "grip", box_path(whole, held))
    if max(abs(one - other) for one, other in zip(held, flat.usable, strict=True)) > _SLACK:
        canvas.draw(layer, "usable", box_path(flat.usable))
    canvas.draw(layer, "sheet", box_path(whole))
    if flat.spots:
        canvas.draw(canvas.layer("spots", "Spots of the glass"), "spot", box_path(*flat.spots))


def draw_blanks(canvas: Canvas, desk: Desk) -> None:
    """Draw the metal that each plate needs; on a free flat blanks overlap, and the metal sawn out is drawn instead."""
    layer = canvas.layer("blanks", "Metal of plates" if desk.free else "Blanks")
    for placement in desk.flat.placements:
        if desk.free:
            canvas.draw(layer, "metal", shape_path(placement.metal), placement.plate)
        else:
            canvas.draw(layer, "blank", box_path(placement.blank), placement.plate)


def draw_plates(canvas: Canvas, desk: Desk, covered: float = COVERED) -> None:
    """Draw each plate, the same group of paths on both sheets: what prints and the outline.

    What prints of art is drawn within ``covered`` only, as the art's own path lies over it.
    """
    layer = canvas.layer("plates", "Plates")
    for number, placement, record in desk.numbered:
        name = f"{number}: {cut_at(record.id, 120)}"
        data = {"plate": placement.plate}
        group = layer.group(f"plate-{number}", data=data, title=name)
        shape = thinned(placement.printing, covered) if has_art(placement) else placement.printing
        path = shape_path(shape, FEWER)
        canvas.draw(group, "printing", path)
        canvas.draw(group, "outline", shape_path(placement.outline))


def draw_tints(canvas: Canvas, desk: Desk) -> None:
    """Draw the areas that get a mechanical pattern."""
    layer = canvas.layer("tints", "Tint areas")
    for placement in desk.flat.placements:
        for tint in placement.tints:
            canvas.draw(layer, "tint", seen_path(tint.area), placement.plate)


def tag_tints(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    """Name each tint area by its key and pattern, or by its key alone where there is not room for more."""
    for placement in desk.flat.placements:
        for tint in placement.tints:
            key = f"T{desk.patterns.index(tint.pattern) + 1}"
            named = [[(f"{key} {cut_at(tint.pattern, LONGEST_NAME)}", False)]]
            if not label_within(canvas, group, tint.area, named, places, ground, key):
                tag_areas(canvas, group, tint.area, key, places, ground)


def draw_findings(canvas: Canvas, desk: Desk, places: Places, ground: Ground) -> None:
    """Outline the place of each finding and mark it with its symbol and number."""
    here = canvas.layer("finding-places", "Places of findings")
    marks = canvas.upright("findings", "Findings")
    view = canvas.view
    within = (view.left, view.top, view.width, view.height)
    for noted in desk.findings:
        at = _place(canvas, desk, here, noted)
        if at is not None:
            data = {"finding": str(noted.number)}
            mark_near(marks, noted.record.severity, str(noted.number), at, within, places, ground, data)


def label_grip(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    """Name the grip margin along the upper edge of the metal, when its strip is high enough."""
    grip = desk.flat.grip
    view = canvas.view
    if grip <= 0:
        return
    room = (view.left + grip, view.top, view.width - 2 * grip, grip)
    words = [[(f"grip margin {length_text(grip)}", False)]]
    label = fitted(room, words, places, ground=ground, toward=room[:2], largest=0.14)
    if label is not None:
        label.draw(group, {"label": "grip"})


def label_plate(
    canvas: Canvas,
    desk: Desk,
    group: Group,
    numbered: tuple[int, Placement],
    tiers: Sequence[Lines],
    places: Places,
    ground: Ground,
    largest: float = SIZES[0],
) -> None:
    """Label a plate within its blank; on a free flat on its own metal, since other plates may lie in its box.

    Where there is no room off the edges of its image, the label stands beside it with a line that leads there.
    """
    number, placement = numbered
    view = canvas.view
    room = view.box_on_page(desk.box_of(placement))
    region = Region(view, placement.metal) if desk.free else None
    forms = in_one_line(room, tiers)
    # A number alone is looked for at the corner where reading begins, inside the plate where there is room.
    left, bottom, right, top = shape_of(placement.outline).bounds
    corner = view.box_on_page((left, bottom, right - left, top - bottom))
    begins = corner[0] + _INSIDE, corner[1] + _INSIDE
    framed = str(number)
    label = fitted(
        room, forms[:-1], places, ground=ground, region=region, largest=largest, least=NOT_SMALLER, number=framed
    ) or fitted(
        room, forms[-1:], places, ground=ground, region=region, toward=begins, largest=max(largest, USUAL), large=True,
        number=framed,
    )  # fmt: skip
    data = {"label": "plate", "number": framed}
    if label is not None:
        label.draw(group, data)
        return
    middle = shape_of(placement.metal or placement.outline).representative_point()
    led(group, room, view.on_page(middle.x, middle.y), tiers[-3:], places, ground, {**data, "led": framed}, framed)


def tag_areas(
    canvas: Canvas,
    group: Group,
    shape: Shape,
    text: str,
    places: Places,
    ground: Ground,
    most: int = _MOST_TAGS,
    fuller: str = "",
    largest: float = _TAG,
    beside: float = 0.0,
) -> None:
    """Write a short tag, or a fuller one, into each part of an area that has room for it, the largest first.

    A part that has no room for text of the size ``beside`` has the fuller tag beside it, with a line that leads there.
    """
    tiers = [[(words, True)] for words in (fuller, text) if words]
    parts = sorted(zip(shape_of(shape).geoms, shape, strict=True), key=lambda one: -one[0].area)
    for part, rings in [one for one in parts if one[0].area >= _LEAST_TAGGED][:most]:
        middle = polylabel(part, max(0.03, math.sqrt(part.area) / 40))
        toward = canvas.view.on_page(middle.x, middle.y)
        region = Region(canvas.view, (rings,))
        label = fitted(
            region.box, tiers, places, ground=ground, region=region, toward=toward, largest=largest, least=beside,
            share=1.0,
        )  # fmt: skip
        if label is not None:
            label.draw(group, {"tag": text})
        elif beside and part.boundary.distance(middle) >= _LEAST_LED:
            led(group, region.box, toward, tiers[:1], places, ground, {"tag": text, "led": text}, size=beside)


def label_within(
    canvas: Canvas,
    group: Group,
    shape: Shape,
    tiers: Sequence[Lines],
    places: Places,
    ground: Ground,
    tag: str,
    toward: tuple[float, float] | None = None,
    share: float = 0.3,
) -> bool:
    """Label an area inside its own bounds; say whether there was room."""
    region = Region(canvas.view, shape)
    label = fitted(region.box, tiers, places, ground=ground, region=region, toward=toward, largest=_TAG, share=share)
    if label is not None:
        label.draw(group, {"tag": tag})
    return label is not None


def _place(canvas: Canvas, desk: Desk, here: Group, noted: Noted) -> tuple[float, float] | None:
    shape = noted.record.shape
    if noted.record.flat is not None and shape:
        canvas.draw(here, "place", shape_path(shape))
        middle = shape_of(shape).representative_point()
        return canvas.view.on_page(middle.x, middle.y)
    if noted.plate is None:
        return None
    placement: Placement = desk.flat.placements[noted.plate - 1]
    if desk.free:
        middle = shape_of(placement.metal).representative_point()
        return canvas.view.on_page(middle.x, middle.y)
    x, y, width, height = canvas.view.box_on_page(placement.blank)
    return x + width - min(0.2, width / 2), y + min(0.2, height / 2)


def _shrunk(box_: Box, by: float) -> Box:
    return box_[0] + by, box_[1] + by, box_[2] - 2 * by, box_[3] - 2 * by

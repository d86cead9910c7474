"""What both sheets show of the work: the metal, its margins, the plates, and the marks of findings."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from shapely import MultiLineString, MultiPolygon, box, clip_by_rect, prepare
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel

from planner.geometry import shape_of
from planner.lengths import length_text
from planner.plan import Box, Placement, Shape
from planner.sheets.art import has_art
from planner.sheets.canvas import Canvas
from planner.sheets.desk import LONGEST_NAME, Desk, Noted
from planner.sheets.labels import SIZES, Lines, Places, fitted, in_one_line, no_cost
from planner.sheets.looking import COVERED, rough_area, rough_lines, seen_path, thinned
from planner.sheets.marks import mark_near
from planner.sheets.svg import FEWER, Group, box_path, shape_path
from planner.sheets.text import cut_at
from planner.sheets.views import View

_LEAST_TAGGED: Final = 0.06
"""Square inches; an area below it is too small for a tag."""
_MOST_TAGS: Final = 6
_SLACK: Final = 1e-6
_ROUGH: Final = 0.02
"""Inches; shapes are simplified by so much before labels are weighed against them."""
_LINE_COST: Final = 0.6
"""Square inches that must not be hidden which an inch of line counts for."""
_LIGHT_COST: Final = 0.15


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


def draw_plates(canvas: Canvas, desk: Desk) -> None:
    """Draw each plate, the same group of paths on both sheets: what prints and the outline."""
    layer = canvas.layer("plates", "Plates")
    for number, placement, record in desk.numbered:
        name = f"{number}: {cut_at(record.id, 120)}"
        data = {"plate": placement.plate}
        group = layer.group(f"plate-{number}", data=data, title=name)
        # Art has more corners than anybody sees; its path is drawn over it with all its detail.
        shape = thinned(placement.printing, COVERED) if has_art(placement) else placement.printing
        path = shape_path(shape, FEWER)
        canvas.draw(group, "printing", path)
        canvas.draw(group, "outline", shape_path(placement.outline))


def draw_tints(canvas: Canvas, desk: Desk) -> None:
    """Draw the areas that get a mechanical pattern."""
    layer = canvas.layer("tints", "Tint areas")
    for placement in desk.flat.placements:
        for tint in placement.tints:
            canvas.draw(layer, "tint", seen_path(tint.area), placement.plate)


def tag_tints(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    """Name each tint area by its key and pattern, or by its key alone where there is not room for more."""
    for placement in desk.flat.placements:
        for tint in placement.tints:
            key = f"T{desk.patterns.index(tint.pattern) + 1}"
            named = [[(f"{key} {cut_at(tint.pattern, LONGEST_NAME)}", False)]]
            if not label_within(canvas, group, tint.area, named, places, key):
                tag_areas(canvas, group, tint.area, key, places)


def draw_findings(canvas: Canvas, desk: Desk, places: Places) -> None:
    """Outline the place of each finding and mark it with its symbol and number."""
    here = canvas.layer("finding-places", "Places of findings")
    marks = canvas.upright("findings", "Findings")
    view = canvas.view
    within = (view.left, view.top, view.width, view.height)
    for noted in desk.findings:
        at = _place(canvas, desk, here, noted)
        if at is not None:
            data = {"finding": str(noted.number)}
            mark_near(marks, noted.record.severity, str(noted.number), at, within, places, data)


def label_grip(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    """Name the grip margin along the upper edge of the metal, when its strip is high enough."""
    grip = desk.flat.grip
    view = canvas.view
    if grip <= 0:
        return
    room = (view.left + grip, view.top, view.width - 2 * grip, grip)
    label = fitted(room, [[(f"grip margin {length_text(grip)}", False)]], places, largest=0.14)
    if label is not None:
        label.draw(group, {"label": "grip"})


def label_plate(
    canvas: Canvas,
    desk: Desk,
    group: Group,
    numbered: tuple[int, Placement],
    tiers: Sequence[Lines],
    places: Places,
    cost: Callable[[Box], float],
    largest: float = SIZES[0],
) -> None:
    """Label a plate within its blank; on a free flat on its own metal, since other plates may lie in its box."""
    number, placement = numbered
    room = canvas.view.box_on_page(desk.box_of(placement))
    inside = _within_area(canvas.view, shape_of(placement.metal)) if desk.free else None
    label = fitted(room, in_one_line(room, tiers), places, inside=inside, cost=cost, largest=largest)
    if label is not None:
        label.draw(group, {"label": "plate", "number": str(number)})
    elif desk.free:
        tag_areas(canvas, group, placement.metal, str(number), places, most=1)


def tag_areas(canvas: Canvas, group: Group, shape: Shape, text: str, places: Places, most: int = _MOST_TAGS) -> None:
    """Write a short tag into each part of an area that is large enough for it, the largest first."""
    parts = sorted(shape_of(shape).geoms, key=lambda part: -part.area)
    for part in [part for part in parts if part.area >= _LEAST_TAGGED][:most]:
        middle = polylabel(part, 0.03)
        x, y = canvas.view.on_page(middle.x, middle.y)
        reach = part.boundary.distance(middle)
        room = (x - reach, y - reach, 2 * reach, 2 * reach)
        inside, cost = _within_area(canvas.view, part), _distance_to((x, y))
        label = fitted(room, [[(text, True)]], places, inside=inside, cost=cost, largest=0.14)
        if label is not None:
            label.draw(group, {"tag": text})
        else:
            _label_in(canvas, group, part, [[(text, True)]], places, text, no_cost, 1.0)


def label_within(
    canvas: Canvas,
    group: Group,
    shape: Shape,
    tiers: Sequence[Lines],
    places: Places,
    tag: str,
    cost: Callable[[Box], float] = no_cost,
    share: float = 0.3,
) -> bool:
    """Label an area inside its own bounds; say whether there was room."""
    return _label_in(canvas, group, shape_of(shape), tiers, places, tag, cost, share)


def _label_in(
    canvas: Canvas,
    group: Group,
    area: BaseGeometry,
    tiers: Sequence[Lines],
    places: Places,
    tag: str,
    cost: Callable[[Box], float],
    share: float,
) -> bool:
    x, y, right, top = area.bounds
    room = canvas.view.box_on_page((x, y, right - x, top - y))
    inside = _within_area(canvas.view, area)
    label = fitted(room, tiers, places, inside=inside, cost=cost, largest=0.14, share=share)
    if label is not None:
        label.draw(group, {"tag": tag})
    return label is not None


def cost_of_hiding(
    view: View, areas: Iterable[Shape], outlines: Iterable[Shape], lighter: Iterable[Shape] = ()
) -> Callable[[Box], float]:
    """Give a cost for labels: the area and the length of outline that a label would lie on.

    ``areas`` are those that must be seen themselves, ``lighter`` those of which it is nearly enough to see the edges.
    """
    image = _joined([rough_area(shape, _ROUGH) for shape in areas])
    light = _joined([rough_area(shape, _ROUGH) for shape in lighter])
    lines = MultiLineString([line for shape in outlines for line in rough_lines(shape, _ROUGH).geoms])

    def cost(place: Box) -> float:
        x, y, width, height = view.box_in_layout(place)
        ends = (x, y, x + width, y + height)
        hidden = 0.0 if image.is_empty else float(clip_by_rect(image, *ends).area)
        if not light.is_empty:
            hidden += _LIGHT_COST * float(clip_by_rect(light, *ends).area)
        return hidden + _LINE_COST * float(clip_by_rect(lines, *ends).length)

    return cost


def _joined(areas: Iterable[MultiPolygon]) -> MultiPolygon:
    return MultiPolygon([part for area in areas for part in area.geoms])


def _distance_to(place: tuple[float, float]) -> Callable[[Box], float]:
    def cost(spot: Box) -> float:
        return math.dist(place, (spot[0] + spot[2] / 2, spot[1] + spot[3] / 2))

    return cost


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


def _within_area(view: View, area: BaseGeometry) -> Callable[[Box], bool]:
    prepare(area)

    def inside(place: Box) -> bool:
        x, y, width, height = view.box_in_layout(place)
        return bool(area.contains(box(x, y, x + width, y + height)))

    return inside

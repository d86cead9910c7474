"""The metal sheet: wrong-reading, for those who look at the metal. What is cut in which order, what is routed away."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from planner.geometry import shape_of
from planner.lengths import size_text
from planner.plan import Box, Flat, Person, Placement, Plan, PlateRecord
from planner.sheets.additions import draw_marks, mark_looks, steps_list, write_marks
from planner.sheets.art import draw_art, is_solid
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import metal_cautions
from planner.sheets.cuts import cuts_list, draw_cuts, mark_cuts
from planner.sheets.desk import SHORT_NAME, Desk, plate_size, plate_words
from planner.sheets.frame import (
    draw_frame,
    findings_list,
    flat_heading,
    jobs_list,
    legend,
    plates_list,
    said,
    tints_list,
)
from planner.sheets.labels import Places, fitted
from planner.sheets.looking import seen_path
from planner.sheets.sawing import draw_sawing, saw_list, saw_looks
from planner.sheets.style import zone_kind, zone_letter
from planner.sheets.svg import Group, box_path, shape_path
from planner.sheets.text import cut_at
from planner.sheets.views import View
from planner.sheets.work import (
    cost_of_hiding,
    draw_blanks,
    draw_findings,
    draw_metal,
    draw_plates,
    draw_tints,
    label_grip,
    label_plate,
    tag_areas,
    tag_tints,
)

NAME = "WRONG-READING - metal side"

_SCRAP_TAGS: Final = 3
"""Of what is left of a free flat, only the largest pieces are named."""

_USE = (
    "The metal as you see it, printing side up: the mirror image of the stripper's sheet, left for right. Copy reads "
    "the wrong way round; corner A is at the lower RIGHT.",
    "The first number on a label is the plate's number in the list below. A letter in dead metal names the cutter.",
)


def metal_sheet(plan: Plan, flat: Flat, people: Collection[Person]) -> str:
    """Draw the metal sheet of a flat, with the steps of these people."""
    desk = Desk(plan, flat)
    view = View(True, LEFT, TOP, flat.sheet.width, flat.sheet.height)
    title = f"Flat {flat.number}, {NAME}"
    words = f"Mirror image of the layout at true size on {desk.sheet_words()}: cuts, dead metal, flanges, offcuts."
    cutters = [zone.cutter for placement in flat.placements for zone in placement.zones]
    looks = {**desk.zone_looks(cutters), **saw_looks(desk), **mark_looks(desk, "metal")}
    canvas = Canvas("metal", view, title, words, looks)
    draw_metal(canvas, desk)
    _draw_leftovers(canvas, desk)
    if not desk.free:
        draw_blanks(canvas, desk)
    draw_flanges(canvas, desk)
    draw_zones(canvas, desk)
    draw_plates(canvas, desk)
    draw_art(canvas, desk)
    draw_tints(canvas, desk)
    draw_cuts(canvas, desk)
    draw_sawing(canvas, desk)
    draw_marks(canvas, desk, "metal")
    places = Places()
    numbers = canvas.upright("cut-numbers", "Cut numbers")
    mark_cuts(canvas, desk, numbers, places)
    draw_findings(canvas, desk, places)
    labels = canvas.upright("labels", "Labels")
    # Which cutter goes where is found on the drawing only; what a plate is stands in the list as well.
    tag_tints(canvas, desk, labels, places)
    tag_zones(canvas, desk, labels, places)
    for number, placement, record in desk.numbered:
        _label(canvas, desk, labels, places, number, placement, record)
    _label_leftovers(canvas, desk, labels, places)
    label_grip(canvas, desk, labels, places)
    write_marks(canvas, desk, "metal", labels, places)
    blocks = [
        said("use", "HOW TO READ THIS SHEET", _USE),
        steps_list(desk, people),
        jobs_list(desk),
        legend(canvas),
        said("cautions", "CAUTIONS", metal_cautions(flat.sheet.metal)),
        *cuts_list(desk, view),
        *saw_list(desk),
        findings_list(desk.findings),
        tints_list(desk),
        plates_list(desk, True),
    ]
    draw_frame(canvas, flat_heading(desk, NAME), blocks)
    return canvas.drawing.markup()


def draw_zones(canvas: Canvas, desk: Desk) -> None:
    """Draw the dead metal of every plate, by cutter."""
    layer = canvas.layer("zones", "Dead metal by cutter")
    for number, placement, _ in desk.numbered:
        group = layer.group(f"zones-{number}", data={"plate": placement.plate})
        for zone in placement.zones:
            canvas.draw(group, zone_kind(desk.cutter_place(zone.cutter)), seen_path(zone.shape))


def draw_flanges(canvas: Canvas, desk: Desk) -> None:
    """Draw what the router must keep off: flanges, and other metal that stays though it does not print."""
    layer = canvas.layer("flanges", "Flanges and staying metal")
    for number, placement, _ in desk.numbered:
        group = layer.group(f"flange-{number}", data={"plate": placement.plate})
        canvas.draw(group, "flange", shape_path(placement.flange))
        canvas.draw(group, "staying", seen_path(placement.staying))


def _draw_leftovers(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("offcuts", "Offcuts and scrap")
    for part in desk.flat.cut_tree:
        if part.use in ("offcut", "scrap"):
            canvas.draw(layer, part.use, box_path(part.box))
    for rest in desk.flat.rest:
        if rest.use != "grip":
            canvas.draw(layer, rest.use, seen_path(rest.shape))


def _label(
    canvas: Canvas, desk: Desk, group: Group, places: Places, number: int, placement: Placement, record: PlateRecord
) -> None:
    head = (f"{number} {desk.job_words(record.job)}", True)
    brief = (f"{number} {desk.job_words(record.job, SHORT_NAME)}", True)
    name = (plate_words(record), False)
    size = (plate_size(placement, record, mirrored=True), False)
    mounting = (cut_at(record.mounting, 20), False)
    short = (str(number), True)
    hidden = [placement.flange, placement.staying, *(zone.shape for zone in placement.zones if zone.cutter is None)]
    # The router goes along these edges; a label within what prints or within one zone hides nothing.
    edges = [placement.outline, placement.printing, *(zone.shape for zone in placement.zones)]
    # Of art there is more to see than its edges.
    lines = [film.image for film in placement.films if is_solid(film)]
    tiers = [[head, name, size, mounting], [head, name, size], [head, size], [head], [brief, size], [brief], [short]]
    cost = cost_of_hiding(canvas.view, hidden, edges, lines)
    label_plate(canvas, desk, group, (number, placement), tiers, places, cost, 0.16)


def tag_zones(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    """Write the letter of its cutter into each zone that has room for it."""
    for placement in desk.flat.placements:
        for zone in placement.zones:
            place = desk.cutter_place(zone.cutter)
            if place is not None:
                tag_areas(canvas, group, zone.shape, zone_letter(place), places)


def _label_leftovers(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    for part in desk.flat.cut_tree:
        _label_leftover(canvas, group, places, part.use or "", part.box)
    for rest in desk.flat.rest:
        if rest.use == "offcut":
            left, bottom, right, top = shape_of(rest.shape).bounds
            _label_leftover(canvas, group, places, "offcut", (left, bottom, right - left, top - bottom))
        elif rest.use == "scrap":
            tag_areas(canvas, group, rest.shape, "scrap", places, most=_SCRAP_TAGS)


def _label_leftover(canvas: Canvas, group: Group, places: Places, use: str, box: Box) -> None:
    size = (size_text(box[2], box[3]), False)
    tiers = {
        "offcut": [[("OFFCUT", True), size], [(f"OFFCUT {size[0]}", True)], [("OFFCUT", True)]],
        "scrap": [[("scrap", False)]],
    }.get(use)
    if tiers is None:
        return
    label = fitted(canvas.view.box_on_page(box), tiers, places)
    if label is not None:
        label.draw(group, {"label": use})

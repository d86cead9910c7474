"""The metal sheet: wrong-reading, for those who look at the metal. What is cut in which order, what is routed away."""

from __future__ import annotations

from collections.abc import Collection

from planner.plan import Flat, Person, Placement, Plan, PlateRecord, Shape
from planner.sheets.additions import bar_crosses, draw_marks, mark_looks, steps_list, write_marks
from planner.sheets.art import draw_art
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import metal_cautions
from planner.sheets.columns import Block
from planner.sheets.cuts import draw_cuts, mark_cuts
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
from planner.sheets.ground import Ground
from planner.sheets.label import numbered
from planner.sheets.labels import Places
from planner.sheets.leftovers import draw_leftovers, label_leftovers, offcuts_list
from planner.sheets.looking import COVERED, seen_path
from planner.sheets.sawing import draw_sawing, saw_list, saw_looks
from planner.sheets.style import zone_kind, zone_letter
from planner.sheets.svg import Group, shape_path
from planner.sheets.text import cut_at
from planner.sheets.under import ground_of
from planner.sheets.views import View
from planner.sheets.work import (
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

_USE = (
    "The metal as you see it, printing side up: the mirror image of the stripper's sheet, left for right. Copy reads "
    "the wrong way round; corner A is at the lower RIGHT.",
    "A number in a frame is a plate's in the list{of_cuts}. A letter in dead metal names the cutter.",
)
_OF_CUTS = ", one in a circle a cut's"


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
    draw_leftovers(canvas, desk)
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
    ground = ground_of(canvas, desk, open_wanted=kept_open(desk), lines=zone_edges(desk))
    bar_crosses(ground, canvas, desk, "metal")
    mark_cuts(canvas, desk, numbers, places, ground)
    draw_findings(canvas, desk, places, ground)
    labels = canvas.upright("labels", "Labels")
    # Which cutter goes where is found on the drawing only; what a plate is stands in the list as well.
    tag_tints(canvas, desk, labels, places, ground)
    tag_zones(canvas, desk, labels, places, ground)
    for number, placement, record in desk.numbered:
        _label(canvas, desk, labels, places, ground, number, placement, record)
    label_leftovers(canvas, desk, labels, places, ground)
    label_grip(canvas, desk, labels, places, ground)
    write_marks(canvas, desk, "metal", labels, places, ground)
    blocks = [
        said("use", "HOW TO READ THIS SHEET", [words.format(of_cuts=_OF_CUTS if desk.cuts else "") for words in _USE]),
        findings_list(desk.findings),
        steps_list(desk, people),
        said("cautions", "CAUTIONS", metal_cautions(flat.sheet.metal)),
        *_cut_apart(desk),
        *saw_list(desk),
        *offcuts_list(desk),
        plates_list(desk, True),
        tints_list(desk),
        jobs_list(desk),
        legend(canvas),
    ]
    draw_frame(canvas, flat_heading(desk, NAME), blocks)
    return canvas.drawing.markup()


def _cut_apart(desk: Desk) -> list[Block]:
    """Say where the cuts are listed."""
    if not desk.cuts:
        return []
    words = f"The {len(desk.cuts)} cuts are listed on the shear sheet, flat-{desk.flat.number:02d}-shear.svg."
    return [said("cutting", "CUTTING APART", (words,))]


def draw_zones(canvas: Canvas, desk: Desk) -> None:
    """Draw the dead metal of every plate, by cutter."""
    layer = canvas.layer("zones", "Dead metal by cutter")
    for number, placement, _ in desk.numbered:
        group = layer.group(f"zones-{number}", data={"plate": placement.plate})
        for zone in placement.zones:
            # The router's page of the plate has every corner; here the zone is only found.
            canvas.draw(group, zone_kind(desk.cutter_place(zone.cutter)), seen_path(zone.shape, COVERED))


def draw_flanges(canvas: Canvas, desk: Desk) -> None:
    """Draw what the router must keep off: flanges, and other metal that stays though it does not print."""
    layer = canvas.layer("flanges", "Flanges and staying metal")
    for number, placement, _ in desk.numbered:
        group = layer.group(f"flange-{number}", data={"plate": placement.plate})
        canvas.draw(group, "flange", shape_path(placement.flange))
        canvas.draw(group, "staying", seen_path(placement.staying))


def _label(
    canvas: Canvas,
    desk: Desk,
    group: Group,
    places: Places,
    ground: Ground,
    number: int,
    placement: Placement,
    record: PlateRecord,
) -> None:
    head = (numbered(number, desk.job_words(record.job)), True)
    brief = (numbered(number, desk.job_words(record.job, SHORT_NAME)), True)
    name = (plate_words(record), False)
    size = (plate_size(placement, record, mirrored=True), False)
    mounting = (cut_at(record.mounting, 20), False)
    short = (str(number), True)
    tiers = [[head, name, size, mounting], [head, name, size], [head, size], [head], [brief, size], [brief], [short]]
    label_plate(canvas, desk, group, (number, placement), tiers, places, ground, 0.16)


def kept_open(desk: Desk) -> list[Shape]:
    """Give what labels had better not hide on the metal: flanges, staying metal, and what hand tools take."""
    return [
        shape
        for placement in desk.flat.placements
        for shape in (
            placement.flange,
            placement.staying,
            *(zone.shape for zone in placement.zones if zone.cutter is None),
        )
        if shape
    ]


def zone_edges(desk: Desk) -> list[Shape]:
    """Give the zones of the cutters: the router goes along their edges; within one a label hides nothing."""
    return [zone.shape for placement in desk.flat.placements for zone in placement.zones if zone.cutter is not None]


def tag_zones(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    """Write the letter of its cutter into each zone that has room for it."""
    for placement in desk.flat.placements:
        for zone in placement.zones:
            place = desk.cutter_place(zone.cutter)
            if place is not None:
                tag_areas(canvas, group, zone.shape, zone_letter(place), places, ground)

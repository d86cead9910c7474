"""The router's overview of a flat: which plates have dead metal, for which cutters, and how long it all takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from planner.plan import Flat, Placement, Plan, PlateRecord
from planner.sheets.additions import ON_SHEET, bar_crosses, draw_marks, mark_looks, steps_list, write_marks
from planner.sheets.art import draw_art
from planner.sheets.bench import Job, put, put_line, to_flat
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import router_cautions
from planner.sheets.desk import SHORT_NAME, Desk, plate_words
from planner.sheets.frame import draw_frame, findings_list, flat_heading, jobs_list, legend, plates_list, said
from planner.sheets.ground import Ground
from planner.sheets.label import numbered
from planner.sheets.labels import Places
from planner.sheets.looking import seen_path
from planner.sheets.metal import draw_flanges, draw_zones, kept_open, tag_zones, zone_edges
from planner.sheets.router_lists import flat_work_list, minutes_text, plates_on
from planner.sheets.svg import Group, circle_path, line_path
from planner.sheets.under import ground_of
from planner.sheets.views import View
from planner.sheets.work import (
    draw_blanks,
    draw_findings,
    draw_metal,
    draw_plates,
    label_plate,
)

NAME: Final = "WRONG-READING - router, whole flat"

_OVERVIEW: Final = 0.008
"""Inches; half of 1/64: near enough to find a place by. The plate's own page has every corner."""
_USE: Final = (
    "The metal as you see it, printing side up: the mirror image of the stripper's sheet, left for right. Copy reads "
    "the wrong way round; corner A is at the lower RIGHT.",
    "A number in a frame is a plate's in the list; below it, if there is room, how many zones it has and how long they "
    "take. A letter in dead metal names the cutter.",
)


def flat_router_sheet(plan: Plan, flat: Flat, jobs: Sequence[Job]) -> str:
    """Draw the router's overview of a flat."""
    desk = Desk(plan, flat)
    mine = plates_on(flat, jobs)
    view = View(True, LEFT, TOP, flat.sheet.width, flat.sheet.height)
    title = f"Flat {flat.number}, {NAME}"
    words = f"Mirror image of the layout at true size on {desk.sheet_words()}: dead metal by cutter, nails, whites."
    cutters = [zone.cutter for placement in flat.placements for zone in placement.zones]
    canvas = Canvas("router", view, title, words, {**desk.zone_looks(cutters), **mark_looks(desk, "router")})
    draw_metal(canvas, desk)
    draw_blanks(canvas, desk)
    draw_flanges(canvas, desk)
    draw_zones(canvas, desk)
    _draw_whites(canvas, desk, mine)
    draw_plates(canvas, desk, _OVERVIEW)
    draw_art(canvas, desk)
    _draw_nails(canvas, desk, mine)
    draw_marks(canvas, desk, "router")
    places = Places()
    ground = ground_of(canvas, desk, open_wanted=kept_open(desk), lines=zone_edges(desk))
    bar_crosses(ground, canvas, desk, "router")
    draw_findings(canvas, desk, places, ground)
    labels = canvas.upright("labels", "Labels")
    tag_zones(canvas, desk, labels, places, ground)
    work = dict(mine)
    for number, placement, record in desk.numbered:
        _label(canvas, desk, labels, places, ground, number, placement, record, work.get(number))
    write_marks(canvas, desk, "router", labels, places, ground)
    blocks = [
        said("use", "HOW TO READ THIS SHEET", _USE),
        findings_list(desk.findings),
        said("cautions", "CAUTIONS", router_cautions(flat.sheet.metal)),
        steps_list(desk, ON_SHEET["router"]),
        *flat_work_list(desk, jobs),
        plates_list(desk, True),
        jobs_list(desk),
        legend(canvas),
    ]
    draw_frame(canvas, flat_heading(desk, NAME), blocks)
    return canvas.drawing.markup()


def _draw_whites(canvas: Canvas, desk: Desk, mine: Sequence[tuple[int, Job]]) -> None:
    layer = canvas.layer("whites", "Whites left standing")
    for number, job in mine:
        _, placement, record = desk.numbered[number - 1]
        path = seen_path(put(to_flat(record, placement), job.record.whites), _OVERVIEW)
        canvas.draw(layer, "white", path, placement.plate)


def _draw_nails(canvas: Canvas, desk: Desk, mine: Sequence[tuple[int, Job]]) -> None:
    layer = canvas.layer("nails", "Nails")
    for number, job in mine:
        _, placement, record = desk.numbered[number - 1]
        width = job.record.nail_width
        for x, y in put_line(to_flat(record, placement), job.record.nails):
            cross = line_path((x - width * 0.7, y, x + width * 0.7, y), (x, y - width * 0.7, x, y + width * 0.7))
            canvas.draw(layer, "nail", f"{circle_path(x, y, width / 2)} {cross}", placement.plate)


def _label(
    canvas: Canvas,
    desk: Desk,
    group: Group,
    places: Places,
    ground: Ground,
    number: int,
    placement: Placement,
    record: PlateRecord,
    job: Job | None,
) -> None:
    if job is None:
        work = "no dead metal"
    else:
        zones = len(job.record.zones)
        work = f"{zones} zone{'s' if zones > 1 else ''}, {minutes_text(job.record.minutes)} min"
    head = (numbered(number, desk.job_words(record.job, SHORT_NAME)), True)
    name, said_of, short = (plate_words(record), False), (work, False), (str(number), True)
    tiers = [[head, name, said_of], [head, said_of], [short, said_of], [short]]
    label_plate(canvas, desk, group, (number, placement), tiers, places, ground, 0.16)

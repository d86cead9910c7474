"""The router's page of one plate: as it lies on the machine, large; what to cut with what, in which order, how deep.

The plate is seen on the metal, cut apart already: its own frame, turned over, its head up.
"""

from __future__ import annotations

from typing import Final

from planner.lengths import size_text
from planner.plan import Box, FindingRecord, Plan, PlateRecord
from planner.sheets.art import draw_art_of, has_art
from planner.sheets.bench import Job, around, plates_words, put, runs_words, to_plate
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import router_cautions
from planner.sheets.columns import WIDTH, Block, Picture
from planner.sheets.desk import LONGEST_NAME, Desk, Noted, plate_words
from planner.sheets.frame import (
    BETWEEN,
    Heading,
    draw_frame,
    findings_list,
    legend,
    said,
    shop_words,
    urgency_words,
)
from planner.sheets.labels import Places
from planner.sheets.looking import seen_lines, seen_path
from planner.sheets.router_lists import MOST_NUMBERED, letter_of, near_list, work_list, zones_list
from planner.sheets.router_marks import ZoneMarks
from planner.sheets.style import BLACK, GREY, WHITE, zone_kind
from planner.sheets.svg import Group, Paint, box_path, circle_path, line_path, matrix, outline_path, shape_path
from planner.sheets.text import cut_within
from planner.sheets.views import View

NAME: Final = "WRONG-READING - router"

_ROOM: Final = (22.0, 22.0)
"""Inches; a plate is enlarged as far as it stays within."""
_SCALES: Final = (8, 6, 4, 3, 2)
_KEY_HEIGHT: Final = 5.0
_DOT: Final = 0.028
"""Inches on the page; half of the mark where a cutter is set down."""
_CROSS: Final = 0.7
"""Half of a nail's cross, in diameters of what stays round it."""


def plate_sheet(plan: Plan, job: Job) -> str:
    """Draw the router's page of one plate."""
    desk = Desk(plan, job.flat)
    plate, record = job.plate, job.record
    box = window_of(job)
    scale = scale_for(box)
    view = View(True, LEFT, TOP, box[2], box[3], scale, box[:2])
    where = f"Flat {job.flat.number}, plate {job.number}"
    words = f"{where} as the router sees it, {scale_words(scale)}: dead metal by cutter, paths, nails, close edges."
    looks = desk.zone_looks(zone.cutter for zone in record.zones)
    canvas = Canvas(f"router-{job.flat.number}-{job.number}", view, f"{where}, {NAME}", words, looks)
    _draw_metal(canvas, job)
    _draw_zones(canvas, desk, job)
    _draw_image(canvas, desk, job)
    _draw_ways(canvas, desk, job)
    _draw_marks(canvas, job)
    missing = _number(canvas, desk, job)
    _head(canvas)
    blocks: list[Block | Picture] = [
        said("use", "HOW TO READ THIS PAGE", _use(job, scale, missing)),
        findings_list(_findings(desk, job)),
        said("cautions", "CAUTIONS", router_cautions(job.flat.sheet.metal)),
        work_list(desk, record),
        legend(canvas),
        near_list(record.near),
        zones_list(desk, record.zones),
    ]
    if scale > 1 and box[2] <= WIDTH and box[3] <= _KEY_HEIGHT:
        blocks.insert(1, _key(canvas, desk, job, box))
    draw_frame(canvas, _heading(desk, job, scale), blocks, zero=(plate.width, 0.0))
    return canvas.drawing.markup()


def window_of(job: Job) -> Box:
    """Give what the page shows: the plate's metal, and the ways of the cutter where it runs off the metal."""
    points = [point for zone in job.record.zones for path in zone.paths for point in path]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    ways = [(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))] if points else []
    return around(job.plate.blank, (0.0, 0.0, job.plate.width, job.plate.height), *ways)


def scale_for(box: Box) -> float:
    """Give how many times true size a plate is drawn: a whole number, more the smaller it is."""
    return next((scale for scale in _SCALES if box[2] * scale <= _ROOM[0] and box[3] * scale <= _ROOM[1]), 1)


def scale_words(scale: float) -> str:
    """Say how large a plate is drawn."""
    return "true size" if scale == 1 else f"{scale:g} x true size"


def _heading(desk: Desk, job: Job, scale: float) -> Heading:
    plate = job.plate
    what = f"{cut_within(plate.job, LONGEST_NAME)} {plate_words(plate)}, {size_text(plate.width, plate.height)}"
    also = f"{BETWEEN}also for {plates_words(job.others, job.flat.number)}" if job.others else ""
    lines = (
        (f"{scale_words(scale).upper()}{BETWEEN}{what}{also}", True),
        urgency_words(_findings(desk, job), [other for other in desk.jobs_here if other.number == plate.job]),
        (f"{desk.sheet_words()}{BETWEEN}{shop_words(desk.plan)}", False),
    )
    return Heading(NAME, f"flat {job.flat.number}, plate {job.number}", lines)


def _use(job: Job, scale: float, missing: list[int]) -> list[str]:
    sentences = [
        "The plate as you see it on the metal, printing side up: copy reads the wrong way round. The head of the plate "
        "is up.",
        f"Drawn {scale_words(scale)}. The rulers along the plate count in inches of the plate, from the lower left "
        "corner of the finished plate.",
        "A letter names the cutter, the number after it the place in the working order; H is for hand tools.",
    ]
    if job.others:
        sentences.append(f"ALSO for {plates_words(job.others, job.flat.number)}: they are alike.")
    if missing:
        sentences.append(f"Not numbered on the drawing, being small or crowded: {runs_words(missing)}.")
    return sentences


def _draw_metal(canvas: Canvas, job: Job) -> None:
    layer = canvas.layer("metal", "Metal, flange, staying metal")
    into = to_plate(job.plate, job.placement)
    canvas.draw(layer, "blank", box_path(job.plate.blank), job.placement.plate)
    canvas.draw(layer, "flange", shape_path(put(into, job.placement.flange)), job.placement.plate)
    canvas.draw(layer, "staying", seen_path(put(into, job.placement.staying)), job.placement.plate)


def _draw_zones(canvas: Canvas, desk: Desk, job: Job) -> None:
    layer = canvas.layer("zones", "Dead metal by cutter")
    groups: dict[str, Group] = {}
    for zone in job.record.zones:
        letter = letter_of(desk, zone.cutter)
        if letter not in groups:
            groups[letter] = layer.group(f"zones-{letter}")
        kind = zone_kind(desk.cutter_place(zone.cutter))
        canvas.draw(groups[letter], kind, seen_path(zone.shape), data={"zone": str(zone.number)})
    canvas.draw(canvas.layer("whites", "Whites left standing"), "white", seen_path(job.record.whites))


def _draw_image(canvas: Canvas, desk: Desk, job: Job) -> None:
    layer = canvas.layer("plates", "Plate")
    group = layer.group(f"plate-{job.number}", data={"plate": job.placement.plate})
    # What prints of art is drawn over this with all its whites.
    canvas.draw(group, "filled" if has_art(job.placement) else "printing", seen_path(job.plate.printing))
    if has_art(job.placement):
        into = to_plate(job.plate, job.placement)
        draw_art_of(canvas, desk, canvas.layer("art", "Art"), job.placement, job.number, into)
    outline = canvas.layer("outline", "Outline").group(data={"plate": job.placement.plate})
    canvas.draw(outline, "outline", shape_path(put(to_plate(job.plate, job.placement), job.placement.outline)))


def _draw_ways(canvas: Canvas, desk: Desk, job: Job) -> None:
    layer = canvas.layer("ways", "Ways of the cutters")
    size = _DOT / canvas.view.scale
    ways: dict[str, list[str]] = {}
    starts: dict[str, list[str]] = {}
    for zone in job.record.zones:
        letter = letter_of(desk, zone.cutter)
        ways.setdefault(letter, []).append(outline_path(*seen_lines(zone.paths)))
        starts.setdefault(letter, []).extend(circle_path(*path[0], size) for path in zone.paths if path)
    for letter, paths in ways.items():
        canvas.draw(layer, "way", "".join(paths), data={"cutter": letter})
    for letter, paths in starts.items():
        canvas.draw(layer, "entry", "".join(paths), data={"cutter": letter})


def _draw_marks(canvas: Canvas, job: Job) -> None:
    record = job.record
    nails = canvas.layer("nails", "Nails")
    for x, y in record.nails:
        arm = record.nail_width * _CROSS
        cross = line_path((x - arm, y, x + arm, y), (x, y - arm, x, y + arm))
        canvas.draw(nails, "nail", f"{circle_path(x, y, record.nail_width / 2)} {cross}")
    near = canvas.layer("near", "Close to fine detail")
    for number, stretch in enumerate(record.near, start=1):
        kind = "near" if number <= MOST_NUMBERED else "close"
        canvas.draw(near, kind, outline_path(*seen_lines((stretch.line,))), data={"stretch": str(number)})


def _number(canvas: Canvas, desk: Desk, job: Job) -> list[int]:
    view, record = canvas.view, job.record
    size = record.nail_width * 1.5
    nails = [view.box_on_page((x - size / 2, y - size / 2, size, size)) for x, y in record.nails]
    places = Places([*nails])
    marks = ZoneMarks(canvas, desk, job.plate, record.near, nails)
    stretches = canvas.upright("near-numbers", "Numbers of close stretches")
    numbers = canvas.upright("numbers", "Numbers of zones")
    marks.number_near(stretches, record.near, places)
    return marks.number_zones(numbers, record.zones, places)


def _head(canvas: Canvas) -> None:
    view = canvas.view
    layer = canvas.upright("head", "Head")
    x, y = view.left + view.page_width / 2, view.top - 0.14
    layer.text("HEAD OF THE PLATE", x, y, 0.14, anchor="middle", bold=True)
    for side in (-1, 1):
        tip = x + side * 1.05
        layer.path(line_path((tip, y, tip, y - 0.16)), Paint(BLACK, 0.02))
        layer.path(line_path((tip, y - 0.18, tip - 0.06, y - 0.08), (tip, y - 0.18, tip + 0.06, y - 0.08)),
                   Paint(BLACK, 0.02))  # fmt: skip


def _findings(desk: Desk, job: Job) -> list[Noted]:
    about: list[FindingRecord] = [found for found in desk.plan.findings if found.plate in job.record.plates]
    return [Noted(number, found, desk.numbers.get(found.plate or "")) for number, found in enumerate(about, start=1)]


def _key(canvas: Canvas, desk: Desk, job: Job, box: Box) -> Picture:
    plate: PlateRecord = job.plate

    def draw(group: Group, left: float, top: float) -> None:
        group.path(box_path((left, top, box[2], box[3])), Paint(GREY, 0.006, fill=WHITE))
        # The same turning over as the large view, at the size of the metal.
        small = View(True, left, top, box[2], box[3], 1.0, box[:2])
        inner = group.group(transform=matrix(-1, 0, 0, -1, *small.on_page(0, 0)))
        if has_art(job.placement):
            into = to_plate(plate, job.placement)
            draw_art_of(canvas, desk, inner, job.placement, job.number, into, name="key-art")
        else:
            inner.path(seen_path(plate.printing), Paint(fill=BLACK))
        inner.path(shape_path(plate.outline), Paint(BLACK, 0.012))

    return Picture("key", "THE PLATE AT TRUE SIZE", box[3] + 0.1, draw)

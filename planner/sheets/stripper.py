"""The stripper's sheet: right-reading, under the glass. Which negative lies where, which way up, and over what."""

from __future__ import annotations

from typing import Final

from planner.geometry import shape_of
from planner.plan import FilmRecord, Flat, Placement, Plan, PlateRecord
from planner.sheets.additions import ON_SHEET, bar_crosses, draw_marks, mark_looks, steps_list, write_marks
from planner.sheets.art import draw_art, is_solid
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import stripper_cautions
from planner.sheets.desk import (
    SHORT_NAME,
    Desk,
    corner_words,
    film_words,
    one_film,
    plate_size,
    plate_words,
)
from planner.sheets.frame import (
    draw_frame,
    findings_list,
    flat_heading,
    jobs_list,
    legend,
    said,
    tints_list,
)
from planner.sheets.ground import Ground
from planner.sheets.label import Lines, numbered
from planner.sheets.labels import Places
from planner.sheets.laying import corner_of, draw_seams, draw_ticks, films_list
from planner.sheets.leaders import led
from planner.sheets.looking import seen_path
from planner.sheets.style import LOOKS
from planner.sheets.svg import FEWER, Group, shape_path
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
    label_within,
    tag_tints,
)

NAME = "RIGHT-READING - stripper"

_LARGEST_TAG: Final = 0.06
"""Share of a film that its tag may hide; the label of its plate says the rest."""

_NUMBERS = (
    "A number in a frame is the plate's in the list. Films of one plate are laid in the order of their numbers: a "
    "reverse (R) over its halftone; a surprint (S) not now, but for the second exposure."
)
_USE = (
    "Lay this sheet under the glass, this side up. Copy reads the right way round; corner A is at the lower left.",
    "L and B: how far the lower left corner of a plate's first film lies from the left and from the bottom edge of the "
    "metal, in inches; the list has it of every film. Ticks at the edges of the metal stand at the same places, and "
    "the rulers count from the same corner.",
    _NUMBERS,
)
_USE_FREE = (
    _USE[0],
    "L and B: how far the leftmost and the lowest point of a plate's first film lie from the left and from the bottom "
    "edge of the sheet, in inches; the list has it of every film. Ticks at the edges of the sheet stand at the same "
    "places, and the rulers count from the same corner.",
    "Film may reach over a neighbouring plate: cut it to fit within the metal of its own plate.",
    _NUMBERS,
)


def stripper_sheet(plan: Plan, flat: Flat) -> str:
    """Draw the stripper's sheet of a flat."""
    desk = Desk(plan, flat)
    view = View(False, LEFT, TOP, flat.sheet.width, flat.sheet.height)
    title = f"Flat {flat.number}, {NAME}"
    looks = mark_looks(desk, "stripper")
    canvas = Canvas("stripper", view, title, f"Layout of the negatives at true size on {desk.sheet_words()}.", looks)
    draw_metal(canvas, desk)
    draw_seams(canvas, desk)
    draw_blanks(canvas, desk)
    draw_plates(canvas, desk)
    # A reverse is white in the halftone: over its hatch too.
    draw_art(canvas, desk, "base")
    _draw_images(canvas, desk)
    draw_art(canvas, desk, "overlays")
    draw_tints(canvas, desk)
    _draw_films(canvas, desk)
    ticks = draw_ticks(canvas, desk)
    draw_marks(canvas, desk, "stripper")
    places = Places()
    ground = ground_of(
        canvas,
        desk,
        open_wanted=[placement.flange for placement in flat.placements],
        lines=[film.film for placement in flat.placements for film in placement.films],
    )
    ground.bar_lines(view, ticks)
    bar_crosses(ground, canvas, desk, "stripper")
    draw_findings(canvas, desk, places, ground)
    labels = canvas.upright("labels", "Labels")
    label_grip(canvas, desk, labels, places, ground)
    tag_tints(canvas, desk, labels, places, ground)
    for number, placement, record in desk.numbered:
        tiers = _tiers(number, placement, record, desk)
        label_plate(canvas, desk, labels, (number, placement), tiers, places, ground)
    _tag_films(canvas, desk, labels, places, ground)
    write_marks(canvas, desk, "stripper", labels, places, ground)
    surprint = any(film.use == "surprint" for placement in flat.placements for film in placement.films)
    blocks = [
        said("use", "HOW TO USE THIS SHEET", _USE_FREE if desk.free else _USE),
        findings_list(desk.findings),
        steps_list(desk, ON_SHEET["stripper"]),
        films_list(desk),
        tints_list(desk),
        jobs_list(desk),
        legend(canvas),
        said("cautions", "CAUTIONS", stripper_cautions(surprint, flat.sheet.metal)),
    ]
    draw_frame(canvas, flat_heading(desk, NAME), blocks)
    return canvas.drawing.markup()


def _draw_images(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("images", "Images by kind")
    for number, placement, _ in desk.numbered:
        for film in placement.films:
            if is_solid(film):
                continue
            group = layer.group(f"image-{number}-{film.number}", data={"plate": placement.plate})
            canvas.draw(group, _image_kind(film), seen_path(film.image))


def _image_kind(film: FilmRecord) -> str:
    kind = f"image-{film.kind if film.use == 'base' else film.use}"
    return kind if kind in LOOKS else "image-other"


def _draw_films(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("films", "Films")
    for number, placement, _ in desk.numbered:
        for film in placement.films:
            group = layer.group(f"film-{number}-{film.number}", data={"plate": placement.plate})
            canvas.draw(group, f"film-{film.use}", shape_path(film.film, FEWER))


def _tag_films(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    for number, placement, _ in desk.numbered:
        several = sum(film.use == "base" for film in placement.films) > 1
        for film in placement.films:
            if film.use == "base" and not several:
                continue
            name = f"film-{film.number}"
            # A tag belongs by what its film shows: beside another film's lettering it would name the wrong one.
            middle = shape_of(film.image or film.film).centroid
            toward = canvas.view.on_page(middle.x, middle.y)
            tiers = _film_tiers(film)
            if label_within(canvas, group, film.film, tiers, places, ground, name, toward, _LARGEST_TAG):
                continue
            at = shape_of(film.image or film.film).representative_point()
            room = canvas.view.box_on_page(desk.box_of(placement))
            data = {"tag": name, "led": f"{number}-{film.number}"}
            led(group, room, canvas.view.on_page(at.x, at.y), tiers[-1:], places, ground, data)


def _film_tiers(film: FilmRecord) -> list[Lines]:
    if film.use == "base":
        return [[(f"film {film.number}", True)], [(str(film.number), True)]]
    return [
        [(f"film {film.number}: {one_film(film, None)}", True)],
        [(f"film {film.number}: {film.use.upper()}", True)],
        [(f"{film.number} {'S' if film.use == 'surprint' else 'R'}", True)],
    ]


def _tiers(number: int, placement: Placement, record: PlateRecord, desk: Desk) -> list[Lines]:
    head = (numbered(number, desk.job_words(record.job)), True)
    brief = (numbered(number, desk.job_words(record.job, SHORT_NAME)), True)
    name = (plate_words(record), False)
    size = (plate_size(placement, record, mirrored=False), False)
    corner = corner_of(placement.films[0]) if placement.films else desk.box_of(placement)[:2]
    where = (corner_words(*corner), True)
    films = [(words, False) for words in film_words(placement.films, record.screen)]
    return [
        [head, name, size, *films, where],
        [head, name, size, where],
        [head, where],
        [brief, size, where],
        [brief, where],
        [(str(number), True), where],
        [(str(number), True)],
    ]

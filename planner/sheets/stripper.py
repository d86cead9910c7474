"""The stripper's sheet: right-reading, under the glass. Which negative lies where, which way up, and over what."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

from planner.geometry import shape_of
from planner.plan import Box, FilmRecord, Flat, Placement, Plan, PlateRecord
from planner.sheets.additions import ON_SHEET, draw_marks, mark_looks, steps_list, write_marks
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
    plates_list,
    said,
    tints_list,
)
from planner.sheets.labels import Lines, Places
from planner.sheets.looking import seen_path
from planner.sheets.style import LOOKS
from planner.sheets.svg import FEWER, Group, shape_path
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
    label_within,
    tag_tints,
)

NAME = "RIGHT-READING - stripper"

_AWAY: Final = 0.3
"""What an inch between a tag and the image of its film costs, for the tag's size."""
_LARGEST_TAG: Final = 0.06
"""Share of a film that its tag may hide; the label of its plate says the rest."""

_NUMBERS = (
    "The first number on a label is the plate's number in the list below. Films of one plate are laid in the "
    "order of their numbers; S is a surprint, R a reverse."
)
_USE = (
    "Lay this sheet under the glass, this side up. Copy reads the right way round; corner A is at the lower left.",
    "L and B: how far the lower left corner of a blank lies from the left and from the bottom edge of the metal, in "
    "inches. The rulers along the metal count from the same corner.",
    _NUMBERS,
)
_USE_FREE = (
    _USE[0],
    "L and B: how far the leftmost and the lowest point of a plate's metal lie from the left and from the bottom edge "
    "of the sheet, in inches. The rulers along the metal count from the same corner.",
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
    draw_blanks(canvas, desk)
    draw_plates(canvas, desk)
    # A reverse is white in the halftone: over its hatch too.
    draw_art(canvas, desk, "base")
    _draw_images(canvas, desk)
    draw_art(canvas, desk, "overlays")
    draw_tints(canvas, desk)
    _draw_films(canvas, desk)
    draw_marks(canvas, desk, "stripper")
    places = Places()
    draw_findings(canvas, desk, places)
    labels = canvas.upright("labels", "Labels")
    label_grip(canvas, desk, labels, places)
    tag_tints(canvas, desk, labels, places)
    for number, placement, record in desk.numbered:
        _label(canvas, labels, places, number, placement, record, desk)
    _tag_films(canvas, desk, labels, places)
    write_marks(canvas, desk, "stripper", labels, places)
    surprint = any(film.use == "surprint" for placement in flat.placements for film in placement.films)
    blocks = [
        said("use", "HOW TO USE THIS SHEET", _USE_FREE if desk.free else _USE),
        steps_list(desk, ON_SHEET["stripper"]),
        jobs_list(desk),
        legend(canvas),
        findings_list(desk.findings),
        tints_list(desk),
        plates_list(desk, False),
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


def _tag_films(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    for placement in desk.flat.placements:
        several = sum(film.use == "base" for film in placement.films) > 1
        cost = _cost(canvas, placement)
        for film in placement.films:
            if film.use != "base" or several:
                name = f"film-{film.number}"
                near = _near(canvas, film, cost)
                label_within(canvas, group, film.film, _film_tiers(film), places, name, near, _LARGEST_TAG)


def _near(canvas: Canvas, film: FilmRecord, cost: Callable[[Box], float]) -> Callable[[Box], float]:
    # A tag belongs by what its film shows: beside another film's lettering it would name the wrong one.
    middle = shape_of(film.image or film.film).centroid
    there = canvas.view.on_page(middle.x, middle.y)

    def both(box: Box) -> float:
        away = math.dist(there, (box[0] + box[2] / 2, box[1] + box[3] / 2))
        return cost(box) + _AWAY * away * box[2] * box[3]

    return both


def _film_tiers(film: FilmRecord) -> list[Lines]:
    if film.use == "base":
        return [[(f"film {film.number}", True)], [(str(film.number), True)]]
    return [
        [(f"{film.number} {one_film(film, None)}", True)],
        [(f"{film.number} {film.use.upper()}", True)],
        [(f"{film.number} {'S' if film.use == 'surprint' else 'R'}", True)],
    ]


def _cost(canvas: Canvas, placement: Placement) -> Callable[[Box], float]:
    films = placement.films
    # The lettering of an overlay is the reason why the overlay is there; one that fills its film cannot be kept free.
    lettering = [film.image for film in films if (film.use != "base" or is_solid(film)) and not _fills(film)]
    edges = [placement.outline, *(film.film for film in films), *(film.image for film in films)]
    return cost_of_hiding(canvas.view, [placement.flange, *lettering], edges, [placement.printing])


def _fills(film: FilmRecord) -> bool:
    return shape_of(film.image).area > shape_of(film.film).area / 2


def _label(
    canvas: Canvas, group: Group, places: Places, number: int, placement: Placement, record: PlateRecord, desk: Desk
) -> None:
    tiers = _tiers(number, placement, record, desk)
    label_plate(canvas, desk, group, (number, placement), tiers, places, _cost(canvas, placement))


def _tiers(number: int, placement: Placement, record: PlateRecord, desk: Desk) -> list[Lines]:
    head = (f"{number} {desk.job_words(record.job)}", True)
    brief = (f"{number} {desk.job_words(record.job, SHORT_NAME)}", True)
    name = (plate_words(record), False)
    size = (plate_size(placement, record, mirrored=False), False)
    where = (corner_words(*desk.box_of(placement)[:2]), True)
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

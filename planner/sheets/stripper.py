"""The stripper's sheet: right-reading, under the glass. Which negative lies where, which way up, and over what."""

from __future__ import annotations

from collections.abc import Callable

from planner.plan import Box, FilmRecord, Flat, Placement, Plan, PlateRecord
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import stripper_cautions
from planner.sheets.desk import (
    LONGEST_NAME,
    Desk,
    corner_words,
    film_words,
    one_film,
    plate_size,
    plate_words,
)
from planner.sheets.frame import draw_frame, findings_list, legend, plates_list, said, tints_list
from planner.sheets.labels import Lines, Places, fitted
from planner.sheets.style import LOOKS
from planner.sheets.svg import Group, shape_path
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
    label_within,
    tag_tints,
)

NAME = "RIGHT-READING - stripper"

_USE = (
    "Lay this sheet under the glass, this side up. Copy reads the right way round; corner A is at the lower left.",
    "L and B: how far the lower left corner of a blank lies from the left and from the bottom edge of the metal, in "
    "inches. The rulers along the metal count from the same corner.",
    "The first number on a label is the plate's number in the list below. Films of one plate are laid in the "
    "order of their numbers; S is a surprint, R a reverse.",
)


def stripper_sheet(plan: Plan, flat: Flat) -> str:
    """Draw the stripper's sheet of a flat."""
    desk = Desk(plan, flat)
    view = View(False, LEFT, TOP, flat.sheet.width, flat.sheet.height)
    title = f"Flat {flat.number}, {NAME}"
    canvas = Canvas("stripper", view, title, f"Layout of the negatives at true size on {desk.sheet_words()}.", {})
    draw_metal(canvas, desk)
    draw_blanks(canvas, desk)
    draw_plates(canvas, desk)
    _draw_images(canvas, desk)
    draw_tints(canvas, desk)
    _draw_films(canvas, desk)
    places = Places()
    draw_findings(canvas, desk, places)
    labels = canvas.upright("labels", "Labels")
    label_grip(canvas, desk, labels, places)
    tag_tints(canvas, desk, labels, places)
    _tag_films(canvas, desk, labels, places)
    for number, placement, record in desk.numbered:
        _label(canvas, labels, places, number, placement, record, desk)
    surprint = any(film.use == "surprint" for placement in flat.placements for film in placement.films)
    blocks = [
        said("use", "HOW TO USE THIS SHEET", _USE),
        legend(canvas),
        findings_list(desk.findings),
        tints_list(desk),
        plates_list(desk, False),
        said("cautions", "CAUTIONS", stripper_cautions(surprint, flat.sheet.metal)),
    ]
    draw_frame(canvas, desk, NAME, blocks)
    return canvas.drawing.markup()


def _draw_images(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("images", "Images by kind")
    for number, placement, _ in desk.numbered:
        for film in placement.films:
            group = layer.group(f"image-{number}-{film.number}", data={"plate": placement.plate})
            canvas.draw(group, _image_kind(film), shape_path(film.image))


def _image_kind(film: FilmRecord) -> str:
    kind = f"image-{film.kind if film.use == 'base' else film.use}"
    return kind if kind in LOOKS else "image-other"


def _draw_films(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("films", "Films")
    for number, placement, _ in desk.numbered:
        for film in placement.films:
            group = layer.group(f"film-{number}-{film.number}", data={"plate": placement.plate})
            canvas.draw(group, f"film-{film.use}", shape_path(film.film))


def _tag_films(canvas: Canvas, desk: Desk, group: Group, places: Places) -> None:
    for placement in desk.flat.placements:
        several = sum(film.use == "base" for film in placement.films) > 1
        cost = _cost(canvas, placement)
        for film in placement.films:
            if film.use != "base" or several:
                label_within(canvas, group, film.film, _film_tiers(film), places, f"film-{film.number}", cost)


def _film_tiers(film: FilmRecord) -> list[Lines]:
    if film.use == "base":
        return [[(f"film {film.number}", True)], [(str(film.number), True)]]
    return [
        [(f"{film.number} {one_film(film, None)}", True)],
        [(f"{film.number} {film.use.upper()}", True)],
        [(f"{film.number} {'S' if film.use == 'surprint' else 'R'}", True)],
    ]


def _cost(canvas: Canvas, placement: Placement) -> Callable[[Box], float]:
    overlays = [film for film in placement.films if film.use != "base"]
    # The edges of an overlay's lettering count as lines: it is small, and the reason why the overlay is there.
    lines = [placement.outline, *(film.film for film in overlays), *(film.image for film in overlays)]
    return cost_of_hiding(canvas.view, [placement.printing], lines)


def _label(
    canvas: Canvas, group: Group, places: Places, number: int, placement: Placement, record: PlateRecord, desk: Desk
) -> None:
    room = canvas.view.box_on_page(placement.blank)
    cost = _cost(canvas, placement)
    label = fitted(room, _tiers(number, placement, record, desk), places, cost=cost)
    if label is not None:
        label.draw(group, {"label": "plate", "number": str(number)})


def _tiers(number: int, placement: Placement, record: PlateRecord, desk: Desk) -> list[Lines]:
    job = desk.jobs.get(record.job)
    rush = "RUSH " if job is not None and job.rush else ""
    head = (f"{number} {rush}{cut_at(record.job, LONGEST_NAME)}", True)
    name = (plate_words(record), False)
    size = (plate_size(placement, record), False)
    where = (corner_words(placement.blank[0], placement.blank[1]), True)
    films = [(words, False) for words in film_words(placement.films, record.screen)]
    return [
        [head, name, size, *films, where],
        [head, name, size, where],
        [head, where],
        [(str(number), True), where],
        [(str(number), True)],
    ]

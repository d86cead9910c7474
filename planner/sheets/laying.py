"""What the stripper lays where: films in their order with the places of their corners, ticks to lay them by, seams."""

from __future__ import annotations

from typing import Final, TypeAlias

from planner.geometry import shape_of
from planner.lengths import fraction_text
from planner.plan import FilmRecord, Placement
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Row
from planner.sheets.desk import LONGEST_NAME, Desk, film_words, one_film, plate_size, plate_words
from planner.sheets.frame import CORNER_HEAD, CORNER_STOPS
from planner.sheets.svg import line_path, shape_path
from planner.sheets.text import cut_at, cut_within

Line: TypeAlias = tuple[float, float, float, float]
"""Both ends of a line, in the layout."""

_EDGE_TICK: Final = 3 / 16
"""Inches; how far a tick reaches from the edge of the metal inward."""
_CENTRE_TICK: Final = 5 / 16
"""Inches; how far a centre tick of the metal reaches inward."""
_CENTRE_OUT: Final = 3 / 16
"""Inches; how far it reaches outward: the figures of the rulers begin beyond."""
_PLATE_TICK: Final = 1 / 8
"""Inches; how far a centre tick of a plate reaches outward from its edge."""


def corner_of(film: FilmRecord) -> tuple[float, float]:
    """Give how far the leftmost and the lowest place of a film lie from the left and the lower edge of the metal."""
    left, bottom, *_ = shape_of(film.film).bounds
    return left, bottom


def draw_seams(canvas: Canvas, desk: Desk) -> None:
    """Draw what is opaqued."""
    if desk.flat.seams:
        canvas.draw(canvas.layer("seams", "Opaquing seams"), "seam", shape_path(desk.flat.seams))


def draw_ticks(canvas: Canvas, desk: Desk) -> list[Line]:
    """Draw a tick at the edges of the metal for each film's left and lower edge, and ticks in the middle of edges.

    Those at the edges of the metal are given: no label may hide one.
    """
    layer = canvas.layer("ticks", "Centre and edge ticks")
    width, height = desk.flat.sheet.width, desk.flat.sheet.height
    corners = [corner_of(film) for placement in desk.flat.placements for film in placement.films if film.film]
    across = sorted({round(x, 6) for x, _ in corners})
    up = sorted({round(y, 6) for _, y in corners})
    ticks = [line for x in across for line in ((x, 0.0, x, _EDGE_TICK), (x, height - _EDGE_TICK, x, height))]
    ticks += [line for y in up for line in ((0.0, y, _EDGE_TICK, y), (width - _EDGE_TICK, y, width, y))]
    canvas.draw(layer, "tick", line_path(*ticks))
    within, out = _CENTRE_TICK, _CENTRE_OUT
    middles = [(width / 2, -out, width / 2, within), (width / 2, height - within, width / 2, height + out)]
    middles += [(-out, height / 2, within, height / 2), (width - within, height / 2, width + out, height / 2)]
    of_plates = [line for placement in desk.flat.placements for line in _middles(placement)]
    canvas.draw(layer, "centre", line_path(*middles, *of_plates))
    return [*ticks, *middles]


def _middles(placement: Placement) -> list[Line]:
    left, bottom, right, top = shape_of(placement.outline).bounds
    x, y, out = (left + right) / 2, (bottom + top) / 2, _PLATE_TICK
    return [
        (x, bottom - out, x, bottom),
        (x, top, x, top + out),
        (left - out, y, left, y),
        (right, y, right + out, y),
    ]


def films_list(desk: Desk) -> Block:
    """Give every film of the flat, plate by plate in the order of laying, with the place of its lower left corner."""
    rows = []
    for number, placement, record in desk.numbered:
        what = f"{cut_within(record.job, LONGEST_NAME)} {plate_words(record)}"
        notes = f"; {cut_at(record.notes, 80)}" if record.notes.strip() else ""
        head = f"{what}, {plate_size(placement, record, mirrored=False)}, {cut_at(record.mounting, 20)}{notes}"
        films = placement.films
        if len(films) == 1:
            rows.append(Row((str(number), f"{head}; {film_words(films, record.screen)[0]}", *_corner(films[0]))))
            continue
        x, y, *_ = desk.box_of(placement)
        rows.append(Row((str(number), head, "" if films else fraction_text(x), "" if films else fraction_text(y))))
        for film in films:
            named = f' "{cut_at(film.name, LONGEST_NAME)}"' if film.name.strip() else ""
            later = ", NOT NOW: for the second exposure" if film.use == "surprint" else ""
            words = f"film {film.number}{named}: {one_film(film, record.screen)}{later}"
            rows.append(Row(("", words, *_corner(film)), follows=True))
    count = sum(len(placement.films) for placement in desk.flat.placements)
    heading = f"PLATES: {len(desk.numbered)}, FILMS: {count}, IN LAYING ORDER"
    return Block("plates", heading, rows, CORNER_STOPS, ("No.", "job, plate, size, mounting; film", *CORNER_HEAD))


def _corner(film: FilmRecord) -> tuple[str, str]:
    x, y = corner_of(film)
    return fraction_text(x), fraction_text(y)

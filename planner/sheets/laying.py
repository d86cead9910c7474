"""What the stripper lays where: films in their order with the places of their corners, ticks to lay them by, seams."""

from __future__ import annotations

from typing import Final

from planner.geometry import shape_of
from planner.lengths import fraction_text
from planner.plan import FilmRecord, Placement
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Row
from planner.sheets.desk import LONGEST_NAME, Desk, one_film, plate_size, plate_words
from planner.sheets.svg import line_path, shape_path
from planner.sheets.text import cut_at, cut_within

_EDGE_TICK: Final = 3 / 16
"""Inches; how far a tick reaches from the edge of the metal inward."""
_CENTRE_TICK: Final = 5 / 16
"""Inches; half of a centre tick of the metal."""
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


def draw_ticks(canvas: Canvas, desk: Desk) -> None:
    """Draw a tick at the edges of the metal for each film's left and lower edge, and ticks in the middle of edges."""
    layer = canvas.layer("ticks", "Centre and edge ticks")
    width, height = desk.flat.sheet.width, desk.flat.sheet.height
    corners = [corner_of(film) for placement in desk.flat.placements for film in placement.films if film.film]
    across = sorted({round(x, 6) for x, _ in corners})
    up = sorted({round(y, 6) for _, y in corners})
    ticks = [line for x in across for line in ((x, 0.0, x, _EDGE_TICK), (x, height - _EDGE_TICK, x, height))]
    ticks += [line for y in up for line in ((0.0, y, _EDGE_TICK, y), (width - _EDGE_TICK, y, width, y))]
    canvas.draw(layer, "tick", line_path(*ticks))
    half = _CENTRE_TICK
    middles = [(width / 2, y - half, width / 2, y + half) for y in (0.0, height)]
    middles += [(x - half, height / 2, x + half, height / 2) for x in (0.0, width)]
    for placement in desk.flat.placements:
        middles += _middles(placement)
    canvas.draw(layer, "centre", line_path(*middles))


def _middles(placement: Placement) -> list[tuple[float, float, float, float]]:
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
            rows.append(Row((str(number), f"{head}; {one_film(films[0], record.screen)}", *_corner(films[0]))))
            continue
        x, y, *_ = desk.box_of(placement)
        rows.append(Row((str(number), head, "" if films else fraction_text(x), "" if films else fraction_text(y))))
        for film in films:
            named = f' "{cut_at(film.name, LONGEST_NAME)}"' if film.name.strip() else ""
            words = f"film {film.number}{named}: {one_film(film, record.screen)}"
            rows.append(Row(("", words, *_corner(film)), follows=True))
    count = sum(len(placement.films) for placement in desk.flat.placements)
    heading = f"PLATES: {len(desk.numbered)}, FILMS: {count}, IN THEIR ORDER"
    head_ = ("No.", "job, plate, size, mounting; film", "from left", "from bottom")
    return Block("plates", heading, rows, (0.0, 0.42, 4.1, 4.95), head_)


def _corner(film: FilmRecord) -> tuple[str, str]:
    x, y = corner_of(film)
    return fraction_text(x), fraction_text(y)

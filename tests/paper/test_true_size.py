"""Measured on pictures by two renderers: PDF by PDFium, SVG by resvg, which share no code."""

from __future__ import annotations

import numpy as np
import pytest

from planner.paper.furniture import tile_page
from planner.paper.printing import Printed, print_sheets
from planner.paper.tiling import FOOT, Tiling, rule_lengths, rule_start, tiling_of
from planner.printer import Printer

from .days import plain, sheets
from .looking import Picture, cropped, ends, pdf_picture, strays, svg_picture

DOTS = 160
"""To the inch; the drawing begins on a whole dot of the page."""


def printed(name: str, **keys: str) -> Printed:
    (one,) = print_sheets({name: plain(sheets()[name])}, Printer.model_validate(keys))
    return one


def rule_measures(picture: Picture, tiling: Tiling, dots: float) -> tuple[float, float]:
    """Measure both rules of a page between the middles of their end strokes."""
    foot = tiling.page[1] - tiling.margin - FOOT + 0.52
    row = picture[round((foot - 0.145) * dots), round((rule_start(tiling) - 0.05) * dots) :]
    first, last = ends(row)
    upright = rule_lengths(tiling)[1] * tiling.stretch[1]
    rows = slice(round((tiling.margin + 0.05) * dots), round((tiling.margin + upright + 0.2) * dots))
    column = picture[rows, round((tiling.margin + 0.24 - 0.145) * dots)]
    top, bottom = ends(column)
    return (last - first) / dots, (bottom - top) / dots


@pytest.mark.parametrize(
    "keys",
    [
        {},
        {"measured_x": "9.97 in", "measured_y": "10.02 in"},
        {"paper": "Letter", "measured_x": "9.97 in", "measured_y": "10.02 in"},
        {"paper": "A4", "measured_x": "6.98 in of 7 in", "measured_y": "256 mm"},
    ],
)
def test_rules_are_as_long_as_the_printer_needs_them(keys: dict[str, str]) -> None:
    printer = Printer.model_validate(keys)
    tiling = tiling_of(5, 8, printer)
    shown = rule_lengths(tiling)
    asked = shown[0] * printer.stretch[0], shown[1] * printer.stretch[1]
    assert shown[1] == 10
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" width="5in" height="8in" viewBox="0 0 5 8"/>'
    (one,) = print_sheets({"camera.svg": drawing}, printer)
    by_pdfium = rule_measures(pdf_picture(one.content, 0, DOTS), tiling, DOTS)
    by_resvg = rule_measures(
        svg_picture(tile_page(tiling, tiling.tiles[0], "camera", printer.paper, ()), DOTS), tiling, DOTS
    )
    assert by_pdfium == pytest.approx(asked, rel=0.001)
    assert by_resvg == pytest.approx(asked, rel=0.001)


@pytest.mark.parametrize("kind", ["stripper", "metal"])
def test_layouts_and_mirrored_views_land_within_a_pixel(kind: str) -> None:
    name = f"flat-01-{kind}.svg"
    one = printed(name)
    tile = one.tiling.tiles[0]
    page = pdf_picture(one.content, 0, DOTS)
    # Off the frame that is drawn round the sheet's edge.
    inner = (0.1, 0.1, tile.width - 0.2, tile.height - 0.2)
    on_page = cropped(page, (one.tiling.window[0] + 0.1, one.tiling.window[1] + 0.1, *inner[2:]), DOTS)
    drawn = cropped(svg_picture(plain(sheets()[name]), DOTS), inner, DOTS)
    assert drawn.shape == on_page.shape
    assert np.count_nonzero(drawn > 0.5) > 20_000
    assert strays(drawn, on_page) < 0.001
    # The comparison sees a shift of three dots, and a mirror image.
    assert strays(drawn[:, 3:], on_page[:, :-3]) > 0.03
    assert strays(drawn[:, ::-1], on_page) > 0.03


def test_tiles_laid_together_are_the_sheet() -> None:
    name = "flat-01-stripper.svg"
    one = printed(name, paper="Letter")
    whole = svg_picture(plain(sheets()[name]), DOTS)
    seen = np.zeros(whole.shape, dtype=bool)
    (left, top), edge = one.tiling.window, 0.03
    assert len(one.tiling.tiles) >= 4
    for number, tile in enumerate(one.tiling.tiles, start=1):
        start = round((tile.x + edge) * DOTS) / DOTS, round((tile.y + edge) * DOTS) / DOTS
        size = tile.width - 2 * edge - 0.01, tile.height - 2 * edge - 0.01
        part = cropped(whole, (*start, *size), DOTS)
        box = (left + start[0] - tile.x, top + start[1] - tile.y, *size)
        shown = pdf_picture(one.content, number, DOTS, box)[: part.shape[0], : part.shape[1]]
        part = part[: shown.shape[0], : shown.shape[1]]
        # All of the sheet is on the tile; the tile has dotted lines of its own besides.
        dark = part > 0.5
        near = shown > 0.2
        for shift in ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (-1, -1), (1, -1), (-1, 1)):
            near |= np.roll(shown > 0.2, shift, (0, 1))
        assert np.count_nonzero(dark & ~near) <= 0.001 * np.count_nonzero(dark), tile.name
        x, y = (round(place * DOTS) for place in start)
        seen[y : y + part.shape[0], x : x + part.shape[1]] = True
    rim = round(0.05 * DOTS)
    assert seen[rim:-rim, rim:-rim].all()

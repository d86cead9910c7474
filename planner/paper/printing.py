"""Which PDFs does a folder of sheets come to, on one printer's paper?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from pathlib import Path, PurePath
from typing import Any, Final

from planner.forms import InputError, Problem, shortened
from planner.paper.binding import Book, Page, Window, bound
from planner.paper.blank import ink_of, without_blanks
from planner.paper.converting import pages_of, unshowable
from planner.paper.furniture import key_map, tile_page
from planner.paper.layers import DrawnSheet, sheet_of, uncommon_signs
from planner.paper.tiling import Tiling, check_paper, tiling_of
from planner.printer import PLOTTER, Printer

_SHEET: Final = ".svg"


@dataclass(frozen=True, slots=True)
class Printed:
    """One sheet's PDF, and how it is spread over its pages."""

    name: str
    content: bytes
    tiling: Tiling
    unshown: str
    """Signs that no font of this machine has; their codes are printed in their place."""


def print_sheets(sheets: Mapping[str, str], printer: Printer) -> list[Printed]:
    """Make a PDF of each drawn sheet among these files (SVG texts by file name), at true size on the printer's paper.

    Raises:
        InputError: the paper does not serve.
    """
    check_paper(printer)
    drawn = {name: markup for name, markup in sheets.items() if name.endswith(_SHEET)}
    missing = unshowable(uncommon_signs(drawn.values()))
    return [_printed(name, markup, printer, missing) for name, markup in drawn.items()]


def chosen(sheets: Mapping[str, str], patterns: tuple[str, ...]) -> dict[str, str]:
    """Give the sheets whose names fit one of the patterns (``flat-01-*``), all without any.

    Raises:
        InputError: a pattern fits no sheet.
    """
    names = {name: name.removesuffix(_SHEET) for name in sheets if name.endswith(_SHEET)}
    if not patterns:
        return {name: sheets[name] for name in names}
    found: set[str] = set()
    for pattern in patterns:
        stem = PurePath(pattern).name.removesuffix(_SHEET).removesuffix(".pdf")
        fitting = {name for name, own in names.items() if fnmatchcase(own, stem)}
        if not fitting:
            there = ", ".join(names.values()) or "none"
            raise InputError("", [Problem("", f"--sheets {shortened(pattern)} fits no sheet; there are: {there}")])
        found |= fitting
    return {name: sheets[name] for name in names if name in found}


def printed_words(printed: Printed) -> str:
    """Say what one sheet came to, in a line."""
    tiling = printed.tiling
    way = "landscape" if tiling.landscape else "portrait"
    if len(tiling.tiles) == 1:
        return f"{printed.name}: 1 page, {way}"
    words = f"{printed.name}: {tiling.pages} pages, {way}: key map and {tiling.columns} x {tiling.rows} tiles"
    count = len(tiling.left_out)
    return f"{words}, {count} blank and left out" if count else words


def printed_table(all_printed: Sequence[Printed], printer: Printer, folder: Path) -> dict[str, Any]:
    """Give the same as plain data; lengths in inches."""
    return {
        "format": "flatwright print 1",
        "folder": str(folder),
        "paper": printer.paper,
        "stretch": {"x": printer.stretch[0], "y": printer.stretch[1]},
        "files": [
            {
                "name": printed.name,
                "pages": printed.tiling.pages,
                "page": list(printed.tiling.page),
                "columns": printed.tiling.columns,
                "rows": printed.tiling.rows,
                "left_out": [tile.name for tile in printed.tiling.tiles if tile.name in printed.tiling.left_out],
                "unshown": printed.unshown,
            }
            for printed in all_printed
        ],
    }


def unshown_words(all_printed: Sequence[Printed]) -> str:
    """Say which signs were printed as codes for want of a font; nothing if none were."""
    signs = "".join(dict.fromkeys("".join(printed.unshown for printed in all_printed)))
    return (
        f"no font here has {signs}: printed as their codes; install a font that has them, and print again"
        if signs
        else ""
    )


def _printed(name: str, markup: str, printer: Printer, missing: str) -> Printed:
    own = "".join(sign for sign in missing if sign in markup)
    sheet = sheet_of(markup, {sign: f"[U+{ord(sign):04X}]" for sign in own})
    tiling = tiling_of(sheet.width, sheet.height, printer)
    stem = name.removesuffix(_SHEET)
    notes = ("Signs that no font here has stand as codes like [U+65E5].",) if own else ()
    layers = pages_of([(piece.markup, sheet.width, sheet.height) for piece in sheet.pieces]) if sheet.pieces else b""
    if len(tiling.tiles) > 1 and layers:
        tiling = without_blanks(tiling, ink_of(layers))
    pages, marks = _pages(tiling, sheet, stem, printer, notes)
    book = Book(
        sheet.title or stem, (sheet.width, sheet.height), tuple(piece.layer for piece in sheet.pieces), tuple(pages)
    )
    return Printed(f"{stem}.pdf", bound(book, layers, pages_of([(each, *tiling.page) for each in marks])), tiling, own)


def _pages(
    tiling: Tiling, sheet: DrawnSheet, name: str, printer: Printer, notes: tuple[str, ...]
) -> tuple[list[Page], list[str]]:
    left, top = tiling.window
    told = ". ".join(words.rstrip(".") for words in (sheet.title or name, sheet.description) if words) + "."
    pages, marks = [], []
    if len(tiling.tiles) > 1:
        drawn, (x, y, scale) = key_map(tiling, name, printer.paper, notes)
        seen = (x, y, tiling.sheet[0] * scale, tiling.sheet[1] * scale)
        small = tiling.stretch[0] * scale, tiling.stretch[1] * scale
        words = f"{told} Key map: the whole sheet, small, with the names of its {len(tiling.tiles)} tiles."
        pages.append(Page("Key map", tiling.page, Window((x, y), small, seen), words))
        marks.append(drawn)
    for tile in tiling.printed:
        seen = (left, top, tile.width, tile.height)
        window = Window((left - tile.x, top - tile.y), tiling.stretch, seen)
        label = name if printer.paper == PLOTTER else tile.name
        words = f"{told} Tile {tile.name}: its part in column {tile.column + 1} and row {tile.row + 1}."
        pages.append(Page(label, tiling.page, window, words if len(tiling.tiles) > 1 else told))
        marks.append(tile_page(tiling, tile, name, printer.paper, notes))
    return pages, marks

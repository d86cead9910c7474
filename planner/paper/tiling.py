"""Which part of a sheet goes on which page, so that the fewest pages hold it at true size?

All lengths are inches of paper, after stretching for the printer; places count from the upper left.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from planner.forms import InputError, Problem
from planner.lengths import amount_text, size_text
from planner.printer import RULE, Printer

LEFT: Final = 0.5
"""Beside the drawing: the upright rule, and the word at a cut edge."""
RIGHT: Final = 0.25
TOP: Final = 0.25
"""Above and right of the drawing: marks, and which tile is laid where."""
FOOT: Final = 1.05
"""Below the drawing: marks, the level rule, three lines of words."""

LARGEST: Final = 200.0
"""Inches; PDF viewers need not show larger pages (ISO 32000-1, annex C: 14 400 units of 1/72 in)."""

_LEAST_STEP: Final = 1.0
"""What a tile must at least show beyond its overlap."""
_SLACK: Final = 1e-9
_MOST: Final = 26 * 26
"""Tiles in a row that names are made for."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One page's part of the sheet: its column and row, and the upper left corner and size of what it shows."""

    column: int
    row: int
    x: float
    y: float
    width: float
    height: float

    @property
    def name(self) -> str:
        """Column as a letter, row as a number: A1 is the upper left, A2 below it, B1 right of it."""
        return tile_name(self.column, self.row)


@dataclass(frozen=True, slots=True)
class Tiling:
    """How a sheet is spread over pages of one size."""

    page: tuple[float, float]
    margin: float
    overlap: float
    stretch: tuple[float, float]
    """Along the page as it reads, across and down."""
    axes: tuple[str, str]
    """Which rule of the printer lies across the page, and which down."""
    sheet: tuple[float, float]
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    left_out: frozenset[str] = frozenset()
    """Names of tiles that are not printed, as they show nothing of their own; the others keep their names."""

    @property
    def printed(self) -> tuple[Tile, ...]:
        """The tiles that have pages."""
        return tuple(tile for tile in self.tiles if tile.name not in self.left_out)

    def has(self, column: int, row: int) -> bool:
        """Whether there is a printed tile at this place."""
        inside = 0 <= column < self.columns and 0 <= row < self.rows
        return inside and tile_name(column, row) not in self.left_out

    @property
    def window(self) -> tuple[float, float]:
        """Where the drawing begins on each page."""
        return self.margin + LEFT, self.margin + TOP

    @property
    def landscape(self) -> bool:
        """Whether pages lie on their long side."""
        return self.page[0] > self.page[1]

    @property
    def pages(self) -> int:
        """How many pages there are, with the key map where there are several tiles."""
        return len(self.printed) + (len(self.tiles) > 1)


def tile_name(column: int, row: int) -> str:
    """Name a tile by its column (A to Z, then AA) and row, both counted from nothing."""
    letters = chr(ord("A") + column % 26)
    return f"{chr(ord('A') + column // 26 - 1) if column >= 26 else ''}{letters}{row + 1}"


def check_paper(printer: Printer) -> None:
    """Refuse paper on which no drawing finds room, before any work is done for it.

    Raises:
        InputError: margins, marks and overlap leave too little of the paper.
    """
    if printer.size is None:
        return
    narrow, long = printer.size
    if max(narrow, long) > LARGEST:
        raise _refusal(f"paper {printer.paper} is larger than a PDF page may be ({LARGEST:g} in)")
    least = printer.overlap + _LEAST_STEP
    for width, height in ((narrow, long), (long, narrow)):
        if min(_open(width, height, printer.margin)) < least - _SLACK:
            room = _open(narrow, long, printer.margin)
            left = size_text(*room) if min(room) > 0 else "nothing"
            raise _refusal(
                f"paper {printer.paper} leaves {left} for the drawing beside margins and marks; with"
                f" {amount_text(printer.overlap)} of overlap {amount_text(least)} are needed each way;"
                " take larger paper or less overlap"
            )


def tiling_of(width: float, height: float, printer: Printer) -> Tiling:
    """Spread a sheet of this size (inches, before stretching) over the printer's paper.

    Tiles are alike in size and share ``overlap`` with their neighbours. Of portrait and landscape the one that needs
    fewer pages is taken, portrait if both need as many.

    Raises:
        InputError: a page would be larger than a PDF may have, or there would be more tiles than names.
    """
    if printer.size is None:
        return _on_a_plotter(width, height, printer)
    narrow, long = printer.size
    x, y = printer.stretch
    upright = _spread(width, height, (narrow, long), (x, y), ("X", "Y"), printer)
    lying = _spread(width, height, (long, narrow), (y, x), ("Y", "X"), printer)
    found = lying if lying.pages < upright.pages else upright
    if max(found.columns, found.rows) > _MOST:
        raise _refusal(f"paper {printer.paper} is too small for a sheet of {size_text(width, height)}")
    return found


def rule_lengths(tiling: Tiling) -> tuple[float, float]:
    """Give how many inches the rules across and down show: 10, or the whole inches that the paper has room for."""
    width, height = tiling.page
    down = _rule((height - 2 * tiling.margin - 0.2) / tiling.stretch[1])
    return _rule((width - tiling.margin - rule_start(tiling)) / tiling.stretch[0]), down


def rule_start(tiling: Tiling) -> float:
    """Give where the rule across begins: clear of the upright one, or farther out where it is longer so."""
    width, height = tiling.page
    above_foot = height - 2 * tiling.margin - FOOT - 0.2
    upright = _rule((height - 2 * tiling.margin - 0.2) / tiling.stretch[1]) * tiling.stretch[1]
    clear, outer = tiling.margin + LEFT, tiling.margin + 0.1
    longer = _rule((width - tiling.margin - outer) / tiling.stretch[0])
    gains = longer > _rule((width - tiling.margin - clear) / tiling.stretch[0])
    return outer if gains and upright <= above_foot else clear


def _rule(room: float) -> float:
    return min(RULE, float(math.floor(room + _SLACK)))


def _open(width: float, height: float, margin: float) -> tuple[float, float]:
    """What of a page is left for the drawing."""
    return width - 2 * margin - LEFT - RIGHT, height - 2 * margin - TOP - FOOT


def _on_a_plotter(width: float, height: float, printer: Printer) -> Tiling:
    x, y = printer.stretch
    drawn = width * x, height * y
    # Ten inches of rule have room, however small the sheet is.
    page = (
        max(drawn[0] + LEFT + RIGHT, RULE * x + LEFT) + 2 * printer.margin,
        max(drawn[1] + TOP + FOOT, RULE * y + 0.2) + 2 * printer.margin,
    )
    if max(page) > LARGEST:
        raise _refusal(
            f"a page for a sheet of {size_text(width, height)} is larger than PDF allows; take paper to tile"
        )
    tile = Tile(0, 0, 0.0, 0.0, *drawn)
    return Tiling(page, printer.margin, 0.0, (x, y), ("X", "Y"), drawn, 1, 1, (tile,))


def _spread(
    width: float,
    height: float,
    page: tuple[float, float],
    stretch: tuple[float, float],
    axes: tuple[str, str],
    printer: Printer,
) -> Tiling:
    drawn = width * stretch[0], height * stretch[1]
    room = _open(*page, printer.margin)
    columns, rows = (_count(side, free, printer.overlap) for side, free in zip(drawn, room, strict=True))
    step_x, step_y = (drawn[0] - printer.overlap) / columns, (drawn[1] - printer.overlap) / rows
    tiles = tuple(
        Tile(
            column, row,
            column * step_x if columns > 1 else 0.0, row * step_y if rows > 1 else 0.0,
            step_x + printer.overlap, step_y + printer.overlap,
        )
        for row in range(rows) for column in range(columns)
    )  # fmt: skip
    return Tiling(page, printer.margin, printer.overlap, stretch, axes, drawn, columns, rows, tiles)


def _count(side: float, room: float, overlap: float) -> int:
    if side <= room + _SLACK:
        return 1
    return math.ceil((side - overlap) / (room - overlap) - _SLACK)


def _refusal(message: str) -> InputError:
    return InputError("", [Problem("", message)])

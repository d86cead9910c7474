"""Lists in the margin: headed blocks of rows that flow down one column and on into the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from planner.sheets.canvas import Canvas, Samples
from planner.sheets.marks import Symbol, mark
from planner.sheets.style import BLACK, GREY, LIST_TEXT
from planner.sheets.svg import Group, Paint, box_path, circle_path, line_path
from planner.sheets.text import cut_to, shown, wrapped

WIDTH: Final = 5.0
GAP: Final = 0.35

_LINE: Final = LIST_TEXT * 1.28
_HEADING: Final = 0.17
_SWATCH: Final = (0.5, 0.2)
_AIR: Final = 0.05


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a block: a text for each of its columns, and before them a swatch or a symbol.

    One that ``follows`` stands in the same column as the row before it.
    """

    cells: tuple[str, ...]
    bold: bool = False
    swatch: str | None = None
    symbol: tuple[Symbol, str] | None = None
    follows: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """Rows under a heading. ``stops`` says where the columns begin; ``head`` names them."""

    name: str
    heading: str
    rows: Sequence[Row]
    stops: tuple[float, ...] = (0.0,)
    head: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A small drawing under a heading; ``draw`` is given its group and its upper left corner."""

    name: str
    heading: str
    height: float
    draw: Callable[[Group, float, float], None]


@dataclass(slots=True)
class Columns:
    """Columns that are filled one after the other; as many as are needed."""

    canvas: Canvas
    group: Group
    left: float
    top: float
    height: float
    width: float = WIDTH
    count: int = 1
    _down: float = field(default=0.0)

    @property
    def right(self) -> float:
        """Where the last column ends."""
        return self._across + self.width

    def add(self, block: Block | Picture) -> None:
        """Draw a block, going on in the next column where this one is full."""
        if isinstance(block, Picture):
            self._picture(block)
            return
        if not block.rows:
            return
        group = self.group.group(f"list-{block.name}")
        heights = [self._height(row, block.stops) for row in block.rows]
        first = self._head_height(block) + sum(heights[:2])
        if self._down and self._down + first > self.height:
            self._next_column()
        self._heading(group, block, block.heading)
        for place, (row, height) in enumerate(zip(block.rows, heights, strict=True)):
            after = heights[place + 1] if place + 1 < len(heights) and block.rows[place + 1].follows else 0.0
            if not row.follows and self._down + height + after > self.height:
                self._next_column()
                self._heading(group, block, f"{block.heading} (continued)")
            self._row(group, row, block.stops, block.name)
            self._down += height
        self._down += 0.2

    def _picture(self, picture: Picture) -> None:
        headed = Block(picture.name, picture.heading, ())
        if self._down and self._down + self._head_height(headed) + picture.height > self.height:
            self._next_column()
        group = self.group.group(f"list-{picture.name}")
        self._heading(group, headed, picture.heading)
        picture.draw(group, self._across, self.top + self._down)
        self._down += picture.height + 0.2

    @property
    def foot(self) -> float:
        """Where the last block in the last column ends."""
        return self.top + self._down

    @property
    def _across(self) -> float:
        return self.left + (self.count - 1) * (self.width + GAP)

    def _next_column(self) -> None:
        self.count += 1
        self._down = 0.0

    def _head_height(self, block: Block) -> float:
        return 0.36 + (_LINE + 2 * _AIR if block.head else 0)

    def _heading(self, group: Group, block: Block, words: str) -> None:
        y = self.top + self._down
        group.text(shown(cut_to(words, self.width, _HEADING, bold=True)), self._across, y + 0.2, _HEADING, bold=True)
        group.path(line_path((self._across, y + 0.27, self._across + self.width, y + 0.27)), Paint(BLACK, 0.014))
        if block.head:
            for stop, text in zip(block.stops, block.head, strict=True):
                group.text(text, self._across + stop, y + 0.36 + LIST_TEXT, LIST_TEXT * 0.9, fill=GREY)
        self._down += self._head_height(block)

    def _row(self, group: Group, row: Row, stops: tuple[float, ...], name: str) -> None:
        y = self.top + self._down
        if row.swatch:
            width, height = _SWATCH
            at = self._across, y + height + 0.02
            self.canvas.swatch(group, row.swatch, _samples(self.canvas, width, height), at)
        if row.symbol:
            mark(group, row.symbol[0], row.symbol[1], self._across + 0.16, y + 0.135)
        for stop, lines in zip(stops, self._broken(row, stops), strict=True):
            for place, line in enumerate(lines if any(lines) else ()):
                base = y + LIST_TEXT + _AIR + place * _LINE
                group.text(shown(line), self._across + stop, base, LIST_TEXT, bold=row.bold, data={"list": name})

    def _height(self, row: Row, stops: tuple[float, ...]) -> float:
        lines = max(len(lines) for lines in self._broken(row, stops))
        least = 0.3 if row.symbol else 0.27 if row.swatch else 0.0
        return max(least, lines * _LINE + _AIR)

    def _broken(self, row: Row, stops: tuple[float, ...]) -> list[list[str]]:
        ends = [*stops[1:], self.width + 0.1]
        return [
            wrapped(text, end - stop - 0.1, LIST_TEXT, row.bold, most=6)
            for text, stop, end in zip(row.cells, stops, ends, strict=True)
        ]


def _samples(canvas: Canvas, width: float, height: float) -> Samples:
    # The swatch's own frame has its origin at the lower left of the sample and is turned over as the work is.
    width, height, edge = (size / canvas.view.scale for size in (width, height, 0.01))
    left = -width if canvas.view.mirrored else 0.0
    area = box_path((left + edge, edge, width - 2 * edge, height - 2 * edge))
    line = line_path((left, height / 2, left + width, height / 2))
    return Samples(area, line, circle_path(left + width / 2, height / 2, height * 0.4))

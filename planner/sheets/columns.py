"""Lists in the margin: headed blocks of rows that flow down one column and on into the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from planner.sheets.canvas import Canvas, Samples
from planner.sheets.marks import SEVERITY_WORDS, Symbol, mark
from planner.sheets.style import BLACK, GREY, HEADING_TEXT, LIST_TEXT
from planner.sheets.svg import Group, Paint, box_path, circle_path, line_path
from planner.sheets.text import cut_to, shown, width_of, wrapped

WIDTH: Final = 5.9
GAP: Final = 0.35

_STEP: Final = 1.28
"""From line to line, in sizes of the text."""
_SWATCH: Final = (0.55, 0.22)
_AIR: Final = 0.05
_CONTINUED: Final = " (continued)"
_SIGN: Final = 0.38
"""Inches; the height of a row with the sign of a finding, which is larger than others."""
_LEAST: Final = 4
"""Rows with which a block begins at the foot of a column; one that would begin with fewer goes into the next."""


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
    """A small drawing under a heading, if it has one; ``draw`` is given its group and its upper left corner."""

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
    size: float = LIST_TEXT
    """Of the text."""
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
        first = self._head_height(block) + sum(heights[:_LEAST])
        if self._down and self._down + first > self.height:
            self._next_column()
        self._heading(group, block, block.heading)
        for place, (row, height) in enumerate(zip(block.rows, heights, strict=True)):
            after = heights[place + 1] if place + 1 < len(heights) and block.rows[place + 1].follows else 0.0
            if not row.follows and self._down + height + after > self.height:
                self._next_column()
                self._heading(group, block, self._continued(block.heading))
            self._row(group, row, block.stops, block.name)
            self._down += height
        self._down += 0.2

    def _picture(self, picture: Picture) -> None:
        headed = Block(picture.name, picture.heading, ())
        above = self._head_height(headed) if picture.heading else 0.0
        if self._down and self._down + above + picture.height > self.height:
            self._next_column()
        group = self.group.group(f"list-{picture.name}")
        if picture.heading:
            self._heading(group, headed, picture.heading)
        picture.draw(group, self._across, self.top + self._down)
        self._down += picture.height + 0.2

    def counted(self, blocks: Sequence[Block | Picture]) -> int:
        """Give how many columns of this height these would fill, as ``add`` flows them."""
        count, down = 1, 0.0
        for block in blocks:
            if isinstance(block, Picture):
                whole = block.height + (0.36 if block.heading else 0.0)
                if down and down + whole > self.height:
                    count, down = count + 1, 0.0
                down += whole + 0.2
                continue
            heights = [self._height(row, block.stops) for row in block.rows]
            if not heights:
                continue
            head = self._head_height(block)
            if down and down + head + sum(heights[:_LEAST]) > self.height:
                count, down = count + 1, 0.0
            down += head
            for place, height in enumerate(heights):
                follows = place + 1 < len(heights) and block.rows[place + 1].follows
                after = heights[place + 1] if follows else 0.0
                if not block.rows[place].follows and down + height + after > self.height:
                    count, down = count + 1, head
                down += height
            down += 0.2
        return count

    def skip(self, down: float) -> None:
        """Leave so much open below the last block; something else is drawn there."""
        self._down += down

    @property
    def _step(self) -> float:
        return self.size * _STEP

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
        return 0.36 + (self._step + 2 * _AIR if block.head else 0)

    def _continued(self, heading: str) -> str:
        room = self.width - width_of(_CONTINUED, HEADING_TEXT, bold=True)
        return cut_to(heading, room, HEADING_TEXT, bold=True) + _CONTINUED

    def _heading(self, group: Group, block: Block, words: str) -> None:
        y = self.top + self._down
        group.text(
            shown(cut_to(words, self.width, HEADING_TEXT, bold=True)), self._across, y + 0.2, HEADING_TEXT, bold=True
        )
        group.path(line_path((self._across, y + 0.27, self._across + self.width, y + 0.27)), Paint(BLACK, 0.014))
        if block.head:
            for stop, text in zip(block.stops, block.head, strict=True):
                group.text(text, self._across + stop, y + 0.36 + self.size, self.size * 0.9, fill=GREY)
        self._down += self._head_height(block)

    def _row(self, group: Group, row: Row, stops: tuple[float, ...], name: str) -> None:
        y = self.top + self._down
        if row.swatch:
            width, height = _SWATCH
            at = self._across, y + height + 0.02
            self.canvas.swatch(group, row.swatch, _samples(self.canvas, width, height), at)
        if row.symbol:
            mark(group, row.symbol[0], row.symbol[1], self._across + 0.16, y + 0.15)
        for stop, lines in zip(stops, self._broken(row, stops), strict=True):
            for place, line in enumerate(lines if any(lines) else ()):
                base = y + self.size + _AIR + place * self._step
                group.text(shown(line), self._across + stop, base, self.size, bold=row.bold, data={"list": name})

    def _height(self, row: Row, stops: tuple[float, ...]) -> float:
        lines = max(len(lines) for lines in self._broken(row, stops))
        least = (_SIGN if row.symbol[0] in SEVERITY_WORDS else 0.32) if row.symbol else 0.3 if row.swatch else 0.0
        return max(least, lines * self._step + _AIR)

    def _broken(self, row: Row, stops: tuple[float, ...]) -> list[list[str]]:
        ends = [*stops[1:], self.width + 0.1]
        return [
            wrapped(text, end - stop - 0.1, self.size, row.bold, most=6)
            for text, stop, end in zip(row.cells, stops, ends, strict=True)
        ]


def _samples(canvas: Canvas, width: float, height: float) -> Samples:
    # The swatch's own frame has its origin at the lower left of the sample and is turned over as the work is.
    width, height, edge = (size / canvas.view.scale for size in (width, height, 0.01))
    left = -width if canvas.view.mirrored else 0.0
    area = box_path((left + edge, edge, width - 2 * edge, height - 2 * edge))
    line = line_path((left, height / 2, left + width, height / 2))
    x, y, arm = left + width / 2, height / 2, height * 0.5
    arms = line_path((x - arm, y, x + arm, y), (x, y - arm, x, y + arm))
    return Samples(area, line, circle_path(x, y, height * 0.3), arms)

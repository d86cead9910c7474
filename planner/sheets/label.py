"""What a label is, and how it is drawn: lines of text on a ground of paper, a plate's number framed before them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from planner.plan import Box
from planner.sheets.style import BLACK, WHITE
from planner.sheets.svg import Group, Paint, box_path
from planner.sheets.text import TIED, shown, width_of

LINE_STEP: Final = 1.24
"""Base line to base line, in sizes of the text."""
PADDING: Final = 0.035
_FRAME: Final = 0.012
"""Inches; the line about a plate's number that words follow."""
_FRAME_ALONE: Final = 0.02
_FRAME_AIR: Final = 0.022
"""Inches between such a line and the number, the number taken as wide as it can be."""

Lines: TypeAlias = Sequence[tuple[str, bool]]
"""Lines of a label, each with whether it is bold."""


def numbered(number: int, words: str = "") -> str:
    """Give the first line of a plate's label; its number is framed, as no other number on a drawing is.

    Two blanks leave room for the frame.
    """
    return f"{number}{TIED} {words}" if words else str(number)


@dataclass(frozen=True, slots=True)
class Label:
    """A label that fits: its lines as broken, the size of its text and the box it fills."""

    lines: tuple[tuple[str, bool], ...]
    size: float
    upright: bool
    box: Box
    number: str = ""
    """A plate's number that the first line begins with; it is framed."""

    def draw(self, group: Group, data: dict[str, str]) -> None:
        """Draw the label on a paper-coloured ground, so that it can be read on a hatch."""
        group.path(box_path(self.box), Paint(fill=WHITE, opacity=0.86), {**data, "part": "ground"})
        for place, (text, bold) in enumerate(self.lines):
            rest, along = text, 0.0
            # 0.86: the height of a capital and a little air above it.
            down = PADDING / 2 + self.size * (0.86 + place * LINE_STEP)
            if self.number and not place:
                rest = text.removeprefix(self.number).lstrip(f"{TIED}, ")
                along = self._frame(group, down, data)
            if rest:
                x, y = self._at(along, down)
                group.text(shown(rest), x, y, self.size, bold=bold, turned=self.upright, data=data)

    def _frame(self, group: Group, down: float, data: dict[str, str]) -> float:
        """Write the number in its frame, and say how far along the line the words after it begin."""
        wide = width_of(self.number, self.size, bold=True)
        frame, line = self.box, _FRAME_ALONE
        if [text for text, _ in self.lines] != [self.number]:
            (x1, y1) = self._at(-_FRAME_AIR, down - self.size * 0.84)
            (x2, y2) = self._at(wide + _FRAME_AIR, down + self.size * 0.14)
            frame, line = (min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1)), _FRAME
        group.path(box_path(frame), Paint(BLACK, line, fill=WHITE), {**data, "part": "frame"})
        x, y = self._at(wide / 2, down)
        turned = self.upright
        group.text(self.number, x, y, self.size, anchor="middle", bold=True, turned=turned, data=data)
        return width_of(f"{self.number}{TIED} ", self.size, bold=True)

    def _at(self, along: float, down: float) -> tuple[float, float]:
        """Give the place of the page so far along the first line and down from the top of the label, as it is read."""
        x, y, _, height = self.box
        return (x + down, y + height - PADDING - along) if self.upright else (x + PADDING + along, y + down)


def extent(lines: Lines, size: float, upright: bool) -> tuple[float, float]:
    """Give the width and the height of a label's box."""
    width = max(width_of(text, size, bold) for text, bold in lines) + 2 * PADDING
    height = size * (1 + (len(lines) - 1) * LINE_STEP) + 1.5 * PADDING
    return (height, width) if upright else (width, height)

"""The estimator's pages: account, quotation, difference. Tables with figures set to the right, on a page of their size.

What the figures are is not asked here: a page is handed its words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from planner.sheets.frame import Heading
from planner.sheets.list_page import LEFT, RIGHT, TOP, finish_page, list_canvas
from planner.sheets.style import BLACK, DESK_TEXT, GREY, HEADING_TEXT, TONE
from planner.sheets.svg import Group, Paint, line_path
from planner.sheets.text import cut_to, shown, width_of, wrapped

_LINE: Final = DESK_TEXT * 1.28
_AIR: Final = 0.06
_GAP: Final = 0.12
"""Between a column and the next."""
_NARROWEST: Final = 1.2
"""Of a column of words."""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a heading; the first ``words`` columns hold words and stand to the left, figures to the right.

    Rows whose place is in ``sums`` stand in bold under a rule.
    """

    name: str
    heading: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    words: int = 1
    sums: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Page:
    """A page: what it is called, of what it is, three lines below, tables, and sentences at its foot."""

    name: str
    place: str
    lines: tuple[tuple[str, bool], tuple[str, bool], tuple[str, bool]]
    tables: tuple[Table, ...]
    sentences: tuple[str, ...] = ()
    width: float = 11.0
    height: float = 8.5
    """Least height in inches; a long list makes the page longer."""


def estimate_sheet(page: Page) -> str:
    """Draw a page of the estimator's and give its SVG text."""
    title = f"{page.name.capitalize()}: {page.place}"
    canvas = list_canvas("estimate", title, "Figures of the estimator.")
    layer = canvas.upright("figures", "Figures")
    room = page.width - LEFT - RIGHT
    y = TOP
    for table in page.tables:
        y = _table(layer, table, y, room) + 0.22
    for sentence in page.sentences:
        for line in wrapped(sentence, room, DESK_TEXT):
            y += _LINE
            layer.text(shown(line), LEFT, y, DESK_TEXT, data={"list": "sentences"})
        y += _AIR
    return finish_page(canvas, Heading(page.name, page.place, page.lines), y, page.width, page.height)


def _table(layer: Group, table: Table, top: float, room: float) -> float:
    """Draw a table below ``top`` and give where it ends."""
    group = layer.group(f"list-{table.name}")
    group.text(shown(cut_to(table.heading, room, HEADING_TEXT, bold=True)), LEFT, top + 0.2, HEADING_TEXT, bold=True)
    group.path(line_path((LEFT, top + 0.27, LEFT + room, top + 0.27)), Paint(BLACK, 0.014))
    ends = _ends(table, room)
    y = top + 0.3
    y = _row(group, table, table.head, y, ends, head=True)
    for place, row in enumerate(table.rows):
        if place in table.sums:
            group.path(line_path((LEFT, y + 0.02, LEFT + room, y + 0.02)), Paint(GREY, 0.008))
        elif place:
            # Figures stand far from their words: a hairline leads the eye across.
            group.path(line_path((LEFT, y + 0.02, LEFT + room, y + 0.02)), Paint(TONE, 0.006))
        y = _row(group, table, row, y, ends, bold=place in table.sums)
    return y


def _row(
    group: Group, table: Table, cells: Sequence[str], top: float, ends: Sequence[float], *, bold: bool = False,
    head: bool = False,
) -> float:  # fmt: skip
    size = DESK_TEXT * 0.9 if head else DESK_TEXT
    lines = 1
    start = 0.0
    for place, (text, end) in enumerate(zip(cells, ends, strict=True)):
        base = top + DESK_TEXT + _AIR
        fill = GREY if head else BLACK
        if place < table.words:
            broken = wrapped(text, end - start, size, bold, most=4)
            lines = max(lines, len(broken))
            for number, line in enumerate(broken):
                group.text(shown(line), LEFT + start, base + number * _LINE, size, bold=bold, fill=fill,
                           data={"list": table.name})  # fmt: skip
        elif text:
            group.text(shown(text), LEFT + end, base, size, anchor="end", bold=bold, fill=fill,
                       data={"list": table.name})  # fmt: skip
        start = end + _GAP
    return top + lines * _LINE + _AIR


def _ends(table: Table, room: float) -> list[float]:
    """Where each column ends: figures as wide as they need, and the words share what is left as they need it."""
    rows = [table.head, *table.rows]
    need = [
        max(
            width_of(row[place], DESK_TEXT, bold=number == 0 or number - 1 in table.sums)
            for number, row in enumerate(rows)
        )
        for place in range(len(table.head))
    ]
    figures = need[table.words :]
    left = room - sum(figures) - _GAP * (len(need) - 1)
    wanted = [max(width, 0.3) for width in need[: table.words]]
    left = max(left, _NARROWEST * table.words)
    share = [width * min(1.0, left / sum(wanted)) for width in wanted]
    # The last column of words takes what is over, so that the figures stand at the right edge.
    share[-1] += max(0.0, left - sum(share))
    ends, at = [], 0.0
    for width in (*share, *figures):
        ends.append(at + width)
        at += width + _GAP
    return ends

"""How is a list that is longer than its paper given out to pages?

Tables are broken between rows; their heading and column names stand on every page anew, and what explains the columns
stands at the foot of every page that has the table. A sum never stands alone. How high a page comes out is not reckoned
here: it is drawn and measured.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from planner.sheets.estimate import Page, Table, estimate_sheet
from planner.sheets.style import DESK_TEXT

_ROW: Final = 1.6 * DESK_TEXT
"""Inches that a row takes at least; only where to begin trying hangs on it."""
_GOES_ON: Final = " (continued)"
_HEIGHT: Final = re.compile(r'<svg[^>]*? height="([\d.]+)in"')


@dataclass(frozen=True, slots=True)
class ExplainedTable(Table):
    """A table with what its columns mean, in a sentence or two for somebody who sees such a page for the first time."""

    note: str = ""


def drawn_pages(page: Page, stem: str) -> dict[str, str]:
    """Draw a page, or as many as its paper needs, by file name: ``account.svg``, ``account-2.svg`` and so on.

    A page is longer than its paper only where one row alone is.
    """
    pages = list(_split(page))
    names = [f"{stem}.svg", *(f"{stem}-{number}.svg" for number in range(2, len(pages) + 1))]
    if len(pages) > 1:
        pages = [_numbered(one, number, len(pages)) for number, one in enumerate(pages, 1)]
    return {name: estimate_sheet(one) for name, one in zip(names, pages, strict=True)}


def _numbered(page: Page, number: int, pages: int) -> Page:
    first, second, (words, bold) = page.lines
    said = "  \u2014  ".join(word for word in (f"page {number} of {pages}", words) if word)
    return replace(page, lines=(first, second, (said, bold)))


def _split(page: Page) -> Iterator[Page]:
    here: tuple[Table, ...] = ()
    for table in page.tables:
        rest = table
        while len(rest.rows) * _ROW > page.height or not _fits(page, (*here, rest), ()):
            rows = _rows_that_fit(page, here, rest)
            if rows or not here:
                if len(rest.rows) < 2:
                    break  # one row that is longer than the paper
                first, rest = _broken(rest, rows or 1)
                here = (*here, first)
            yield _page(page, here, ())
            here = ()
        here = (*here, rest)
    sentences = page.sentences
    while not _fits(page, here, sentences):
        count = next((count for count in range(len(sentences), 0, -1) if _fits(page, here, sentences[:count])), 0)
        if not count and not here:
            count = 1
        if count == len(sentences):
            break
        yield _page(page, here, sentences[:count])
        here, sentences = (), sentences[count:]
    yield _page(page, here, sentences)


def _page(page: Page, tables: tuple[Table, ...], sentences: tuple[str, ...]) -> Page:
    """A page with these tables and what explains them, and these sentences."""
    notes = dict.fromkeys(table.note for table in tables if isinstance(table, ExplainedTable) and table.note)
    return replace(page, tables=tables, sentences=(*notes, *sentences))


def _rows_that_fit(page: Page, here: tuple[Table, ...], table: Table) -> int:
    """How many rows of a table fit below what stands on a page; never all but a sum."""
    bare = _height(page, (*here, replace(table, rows=(), sums=frozenset())), ())
    rows = min(len(table.rows), max(0, math.floor((page.height - bare) / _ROW)))
    while rows > 0:
        high = _height(page, (*here, _broken(table, rows)[0]), ())
        if high <= page.height:
            break
        rows = min(rows - 1, max(0, math.floor(rows * (page.height - bare) / (high - bare))))
    while 0 < rows < len(table.rows) and rows in table.sums:
        rows -= 1
    return rows


def _broken(table: Table, rows: int) -> tuple[Table, Table]:
    """Break a table after so many rows."""
    heading = table.heading if table.heading.endswith(_GOES_ON) else f"{table.heading}{_GOES_ON}"
    first = replace(table, rows=table.rows[:rows], sums=frozenset(one for one in table.sums if one < rows))
    after = frozenset(one - rows for one in table.sums if one >= rows)
    return first, replace(table, heading=heading, rows=table.rows[rows:], sums=after)


def _fits(page: Page, tables: tuple[Table, ...], sentences: tuple[str, ...]) -> bool:
    return _height(page, tables, sentences) <= page.height


def _height(page: Page, tables: tuple[Table, ...], sentences: tuple[str, ...]) -> float:
    """Inches of a page with nothing else on it, however short."""
    found = _HEIGHT.search(estimate_sheet(replace(_page(page, tables, sentences), height=0.0)))
    assert found is not None, "every sheet says its height"
    return float(found[1])

"""Tiles that are not printed: only such as nobody misses, and the others can still be joined."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import numpy as np
import pypdf
from hypothesis import given
from hypothesis import strategies as st

from planner.paper.blank import ink_of, without_blanks
from planner.paper.converting import pages_of
from planner.paper.printing import Printed, print_sheets, printed_table, printed_words
from planner.paper.tiling import Tile, tiling_of
from planner.printer import Printer

from .looking import words_of

LETTER = Printer.model_validate({"paper": "Letter"})


def sheet(*lines: str, width: float = 20, height: float = 24) -> str:
    paths = "".join(f'<path d="{line}" stroke="#000000" stroke-width="0.004" fill="none"/>' for line in lines)
    size = f'width="{width}in" height="{height}in" viewBox="0 0 {width} {height}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}><title>Lines</title><desc>A few.</desc>{paths}</svg>'


def printed(*lines: str, **keys: str) -> Printed:
    (one,) = print_sheets({"lines.svg": sheet(*lines)}, Printer.model_validate({"paper": "Letter", **keys}))
    return one


def labels(one: Printed) -> list[str]:
    return list(pypdf.PdfReader(io.BytesIO(one.content)).page_labels)


def test_blank_tiles_are_left_out_and_the_key_map_says_so() -> None:
    # Down the left side and along the foot; a hairline is enough for a tile to be printed.
    one = printed("M0.5 0.5V23.5", "M0.5 23.5H19.5")
    assert (one.tiling.columns, one.tiling.rows) == (3, 3)
    assert one.tiling.left_out == {"B1", "C1", "B2", "C2"}
    assert labels(one) == ["Key map", "A1", "A2", "A3", "B3", "C3"]
    assert printed_words(one) == "lines.pdf: 6 pages, portrait: key map and 3 x 3 tiles, 4 blank and left out"
    (told,) = printed_table([one], LETTER, Path())["files"]
    assert told["left_out"] == ["B1", "C1", "B2", "C2"]
    assert "Crossed out and not printed, as the tiles beside show all that is on them: B1, C1, B2, C2." in words_of(
        one.content, 0
    )
    # No tile asks for a neighbour that is not there, nor to be cut where none is laid on.
    told_by = {label: words_of(one.content, page) for page, label in enumerate(labels(one))}
    assert "lay the edge of A2 here" in told_by["A1"]
    assert "B1 here" not in told_by["A1"]
    assert "B2 here" not in told_by["A2"]
    assert "CUT HERE" in told_by["B3"]
    assert told_by["A2"].count("CUT HERE") == 1
    assert "Tile C3 of A1 to C3" in told_by["C3"]


def test_what_the_others_show_as_well_is_no_reason_for_a_page() -> None:
    one = printed()
    edge = next(tile for tile in one.tiling.tiles if tile.name == "B1").x + 0.25
    assert "B1" in printed("M1 1V23", f"M{edge} 1V7").tiling.left_out
    assert "B1" not in printed("M1 1V23", f"M{edge + 0.5} 1V7").tiling.left_out
    # Without a strip for glue nothing is on two tiles.
    assert "B1" not in printed("M1 1V23", f"M{edge} 1V7", overlap="0 in").tiling.left_out


def test_what_is_left_holds_together() -> None:
    one = printed("M1 1H2", "M18 23H19")
    assert {"A1", "C3"} <= {tile.name for tile in one.tiling.printed}
    assert len(one.tiling.printed) == 5


def test_an_empty_sheet_and_one_on_a_page_are_printed() -> None:
    assert len(printed().tiling.printed) == 9  # no layer, nothing to look at
    assert printed("M1 1V2", paper="Arch E").tiling.left_out == frozenset()
    assert labels(printed("M1 1V2")) == ["Key map", "A1"]


def beside(one: Tile, other: Tile) -> bool:
    return abs(one.column - other.column) + abs(one.row - other.row) == 1


@given(
    st.lists(st.tuples(st.floats(0, 20), st.floats(0, 24)), min_size=1, max_size=6),
    st.sampled_from(["A4", "Tabloid", "9 x 6 in"]), st.integers(0, 16), st.integers(245, 262),
)  # fmt: skip
def test_every_mark_is_on_a_printed_tile_and_these_are_one_piece(
    marks: list[tuple[float, float]], paper: str, overlap: int, measured: int
) -> None:
    keys = {"paper": paper, "overlap": f"{overlap}/16 in", "measured_x": f"{measured} mm"}
    tiling = tiling_of(20, 24, Printer.model_validate(keys))
    ink = np.zeros((24 * 24, 24 * 20), dtype=bool)
    for x, y in marks:
        ink[min(575, int(y * 24)), min(479, int(x * 24))] = True
    found = without_blanks(tiling, ink)
    for x, y in marks:
        across, down = x * tiling.stretch[0], y * tiling.stretch[1]
        assert any(
            tile.x - 1e-9 <= across <= tile.x + tile.width + 1e-9
            and tile.y - 1e-9 <= down <= tile.y + tile.height + 1e-9
            for tile in found.printed
        )
    near, rest = [found.printed[0]], set(found.printed[1:])
    while near:
        next_to = {tile for tile in rest if beside(near[-1], tile)}
        near.pop()
        near += next_to
        rest -= next_to
    assert not rest


def test_hairlines_and_pale_greys_are_seen() -> None:
    def seen(paint: str) -> Any:
        mark = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><path d="M1 1H3" {paint}/></svg>'
        return ink_of(pages_of([(mark, 4, 4)])).any()

    assert seen('stroke="#000000" stroke-width="0.0005"')
    assert seen('stroke="#f8f8f8" stroke-width="0.1"')
    assert not seen('stroke="#ffffff" stroke-width="0.1"')

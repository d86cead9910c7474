from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.forms import InputError
from planner.paper.tiling import FOOT, LEFT, RIGHT, TOP, check_paper, rule_lengths, tile_name, tiling_of
from planner.printer import Printer


def printer(**keys: str) -> Printer:
    return Printer.model_validate(keys)


PRINTERS = st.builds(
    lambda paper, overlap, x, y: printer(
        paper=paper, overlap=f"{overlap}/16 in", measured_x=f"{x} mm", measured_y=f"{y} mm"
    ),
    st.sampled_from(["A4", "A3", "Letter", "Tabloid", "13 x 19 in", "9 x 6 in", "Arch E"]),
    st.integers(0, 20), st.integers(242, 266), st.integers(242, 266),
)  # fmt: skip
SIDES = st.floats(0.5, 60)


@given(SIDES, SIDES, PRINTERS)
def test_tiles_cover_the_sheet_and_overlap_as_asked(width: float, height: float, chosen: Printer) -> None:
    tiling = tiling_of(width, height, chosen)
    across, down = tiling.stretch
    assert tiling.sheet == pytest.approx((width * across, height * down))
    columns = sorted({(tile.x, tile.width) for tile in tiling.tiles})
    rows = sorted({(tile.y, tile.height) for tile in tiling.tiles})
    assert len(tiling.tiles) == len(columns) * len(rows) == len({tile.name for tile in tiling.tiles})
    for parts, side in ((columns, tiling.sheet[0]), (rows, tiling.sheet[1])):
        assert parts[0][0] == 0
        assert sum(parts[-1]) == pytest.approx(side)
        for (start, length), (following, _) in itertools.pairwise(parts):
            assert start + length - following == pytest.approx(chosen.overlap)


@given(SIDES, SIDES, PRINTERS)
def test_all_lies_on_the_paper_off_its_margin(width: float, height: float, chosen: Printer) -> None:
    tiling = tiling_of(width, height, chosen)
    assert sorted(tiling.page) == pytest.approx(sorted(chosen.size or ()))
    for tile in tiling.tiles:
        assert tiling.window[0] + tile.width + RIGHT + chosen.margin <= tiling.page[0] + 1e-6
        assert tiling.window[1] + tile.height + FOOT + chosen.margin <= tiling.page[1] + 1e-6


@given(SIDES, SIDES, PRINTERS)
def test_no_way_of_turning_the_paper_needs_fewer_pages(width: float, height: float, chosen: Printer) -> None:
    narrow, long = chosen.size or (0, 0)
    x, y = chosen.stretch

    def needed(side: float, room: float) -> int:
        count = 1
        while count * (room - chosen.overlap) + chosen.overlap < side - 1e-6:
            count += 1
        return count

    m = 2 * chosen.margin
    upright = needed(width * x, narrow - m - LEFT - RIGHT) * needed(height * y, long - m - TOP - FOOT)
    lying = needed(width * y, long - m - LEFT - RIGHT) * needed(height * x, narrow - m - TOP - FOOT)
    assert len(tiling_of(width, height, chosen).tiles) == min(upright, lying)


def test_the_stretch_follows_the_printer_when_the_page_is_turned() -> None:
    bent = printer(paper="A3", measured_x="9.9 in", measured_y="10.1 in")
    upright, lying = tiling_of(8, 12, bent), tiling_of(12, 8, bent)
    assert (upright.landscape, lying.landscape) == (False, True)
    assert upright.axes == ("X", "Y")
    assert lying.axes == ("Y", "X")
    assert upright.stretch == lying.stretch[::-1] == pytest.approx((10 / 9.9, 10 / 10.1))


@pytest.mark.parametrize(
    ("paper", "size", "rules"),
    [
        ("plotter", (3, 2), (10, 10)),
        ("Tabloid", (9, 12), (10, 10)),
        ("Letter", (6, 8), (7, 10)),  # 8 1/2 less two quarters and the upright rule's half inch: 7 1/2
        ("Letter", (9, 6), (10, 7)),
        ("A4", (6, 8), (7, 10)),
        ("A5", (4, 5), (4, 7)),  # 5.83 x 8.27 in
    ],
)
def test_rules_are_ten_inches_where_the_paper_has_room(
    paper: str, size: tuple[float, float], rules: tuple[float, float]
) -> None:
    assert rule_lengths(tiling_of(*size, printer(paper=paper))) == rules


def test_a_plotters_page_is_the_sheet_with_its_marks() -> None:
    tiling = tiling_of(31.6, 40.25, printer(margin="0 in", measured_x="9.97 in"))
    assert tiling.page == pytest.approx((31.6 * 10 / 9.97 + LEFT + RIGHT, 40.25 + TOP + FOOT))
    assert tiling.pages == 1


def test_names_go_on_after_z() -> None:
    assert [tile_name(*place) for place in ((0, 0), (0, 1), (1, 0), (25, 8), (26, 0), (52, 2))] == [
        "A1", "A2", "B1", "Z9", "AA1", "BA3",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"paper": "3 x 4 in"}, "leaves 1 3/4 x 2 13/64 in|leaves 1 3/4 x 2 3/16 in"),
        ({"paper": "A4", "overlap": "9 in"}, "10 in are needed each way"),
        ({"paper": "A4", "margin": "5 in"}, "leaves nothing"),
        ({"paper": "300 x 300 in"}, "larger than a PDF page"),
    ],
)
def test_paper_without_room_is_refused(keys: dict[str, str], words: str) -> None:
    with pytest.raises(InputError, match=words):
        check_paper(printer(**keys))


def test_a_sheet_too_large_for_one_page_is_refused() -> None:
    with pytest.raises(InputError, match="take paper to tile"):
        tiling_of(250, 10, printer())
    assert len(tiling_of(250, 10, printer(paper="Letter")).tiles) == 2 * 27  # landscape shows 9 3/4 in a page

"""Free layouts on sheets: what a user may rely on."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from shapely import Polygon

from planner.nesting import saw_separate, saw_sheets
from planner.nesting.saw import SawOptions, SawSheet, Shape, lay
from planner.nesting.saw_clock import Clock
from planner.nesting.saw_stock import Answer, Stock, shape_set

from .judging import judge, polygon_at

ALL_TURNS = (0, 90, 180, 270)


def rectangle(name: str, width: float, height: float, **more: object) -> Shape:
    return Shape(name, (((0, 0), (width, 0), (width, height), (0, height)),), (0, 90), **more)  # type: ignore[arg-type]


def frame(name: str, size: float, border: float) -> Shape:
    """A plate with a square mortise."""
    inner = size - border
    return Shape(
        name,
        (
            ((0, 0), (size, 0), (size, size), (0, size)),
            ((border, border), (inner, border), (inner, inner), (border, inner)),
        ),
    )


def triangle(name: str, base: float, height: float) -> Shape:
    return Shape(name, (((0, 0), (base, 0), (0, height)),), ALL_TURNS)


ELL = ((0.0, 0.0), (5.0, 0.0), (5.0, 2.0), (2.0, 2.0), (2.0, 6.0), (0.0, 6.0))


def test_nothing_gives_nothing() -> None:
    solution = lay([], [])
    assert (solution.layouts, solution.left_out, solution.cost, solution.density) == ((), (), 0.0, 0.0)


def test_small_plate_lands_in_the_mortise() -> None:
    shapes = [frame("frame", 10, 2), rectangle("small", 5, 4)]
    sheets = [SawSheet("zinc", 10.0, 10.0, None, 1.0)]
    options = SawOptions(spacing=0.125, iterations=20)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert solution.sheets == 1
    places = {placement.name: placement for placement in solution.layouts[0].placements}
    mortise = Polygon(shapes[0].polygon[1])
    assert mortise.contains(polygon_at(shapes[1], places["small"]))


def test_a_plate_too_large_for_the_mortise_takes_another_sheet() -> None:
    shapes = [frame("frame", 10, 2), rectangle("small", 5.9, 4)]
    sheets = [SawSheet("zinc", 10.0, 10.0, None, 1.0)]
    options = SawOptions(spacing=0.125, iterations=5)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert solution.sheets == 2


def test_two_triangles_share_the_room_of_one_rectangle() -> None:
    shapes = [triangle("one", 6, 8), triangle("two", 6, 8)]
    sheets = [SawSheet("zinc", 6.5, 8.6, None, 1.0)]
    options = SawOptions(spacing=0.1, iterations=40)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert solution.sheets == 1


def test_rectangles_that_tile_a_sheet_take_no_more() -> None:
    # Eight of 6 x 4.5 tile an 18 x 12 sheet; with the spacing they tile 18.375 x 12.375.
    shapes = [rectangle(f"plate {number}", 4.5, 6.0) for number in range(16)]
    sheets = [SawSheet("zinc", 18.375, 12.125, None, 1.0)]
    options = SawOptions(spacing=0.125, iterations=60)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert solution.sheets == 2


def test_stock_counts_are_kept_and_the_rush_goes_first() -> None:
    shapes = [rectangle(f"late {number}", 7, 7, due_rank=2) for number in range(3)]
    shapes += [rectangle("rush", 7, 7)]
    shapes += [rectangle("other", 7, 7, group="second", due_rank=1)]
    sheets = [SawSheet("zinc", 10.0, 10.0, 2, 1.0)]
    options = SawOptions(iterations=5)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert [layout.placements[0].name for layout in solution.layouts] == ["rush", "other"]
    assert {left.reason for left in solution.left_out} == {"out-of-stock"}


def test_reasons_for_leaving_out() -> None:
    shapes = [rectangle("large", 20, 20), rectangle("copper", 1, 1, material="copper"), rectangle("good", 1, 1)]
    sheets = [SawSheet("zinc", 10.0, 10.0, None, 1.0)]
    solution = lay(shapes, sheets, SawOptions(iterations=1))
    judge(shapes, sheets, SawOptions(), solution)
    assert {left.name: left.reason for left in solution.left_out} == {"large": "too-large", "copper": "no-stock"}


def test_the_cheap_remnant_is_used_when_it_does() -> None:
    shapes = [rectangle("small", 3, 3)]
    sheets = [SawSheet("new", 18.0, 24.0, None, 30.0), SawSheet("scrap", 4.0, 4.0, 1, 1.0, remnant=True)]
    solution = lay(shapes, sheets, SawOptions(iterations=1))
    assert [layout.sheet for layout in solution.layouts] == ["scrap"]


def test_improvement_saves_a_sheet() -> None:
    # Two ells of opposite turning take 7.1 x 6 inches, four such pairs the whole sheet.
    shapes = [Shape(f"ell {number}", (ELL,), ALL_TURNS) for number in range(8)]
    sheets = [SawSheet("zinc", 12.2, 14.5, None, 1.0)]
    options = SawOptions(spacing=0.1, iterations=150)
    solution = lay(shapes, sheets, options)
    judge(shapes, sheets, options, solution)
    assert solution.sheets == 1


def test_a_sheet_done_without_is_back_in_stock_and_no_longer_in_the_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    # Else the set could lay a shape on it again while another set has taken it.
    monkeypatch.setattr(saw_sheets, "_RESTARTS", 0)
    sheets = [SawSheet("zinc", 10.0, 10.0, 2, 1.0)]
    stock = Stock(sheets)
    shapes = shape_set([rectangle("one", 4, 4), rectangle("other", 4, 4)], sheets, 0.1)
    clock = Clock(40, None)
    search = saw_sheets.SheetSearch(shapes, stock, [0], 0, clock)
    stock.take(0, 2)
    outline = shapes.choices[0][0]
    shapes.answer = Answer([0, 0], [(0, outline, 0, 0), (1, outline, 0, 0)])
    clock.running = True
    search.improve()
    assert shapes.answer.kinds == [0]
    assert {place[0] for place in shapes.answer.places if place is not None} == {0}
    assert stock.left == [1]


def test_same_seed_same_answer() -> None:
    shapes = [Shape(f"ell {number}", (ELL,), ALL_TURNS) for number in range(6)]
    shapes += [triangle(f"triangle {number}", 3 + number % 3, 4) for number in range(6)]
    sheets = [SawSheet("zinc", 11.0, 9.0, None, 1.0)]
    options = SawOptions(spacing=0.1, iterations=25, seed=3)
    first = lay(shapes, sheets, options)
    assert first == lay(shapes, sheets, options)
    judge(shapes, sheets, options, first)


@pytest.mark.parametrize("calls", [0, 3, 40])
def test_interruption_returns_the_best_so_far(monkeypatch: pytest.MonkeyPatch, calls: int) -> None:
    shapes = [Shape(f"ell {number}", (ELL,), ALL_TURNS) for number in range(8)]
    sheets = [SawSheet("zinc", 12.2, 14.5, None, 1.0)]
    options = SawOptions(spacing=0.1, iterations=150)
    original: Callable[..., object] = saw_separate.Separator.grid
    left = [calls]

    def grid(*arguments: object) -> object:
        left[0] -= 1
        if left[0] < 0:
            raise KeyboardInterrupt
        return original(*arguments)

    monkeypatch.setattr(saw_separate.Separator, "grid", grid)
    judge(shapes, sheets, options, lay(shapes, sheets, options))


def test_senseless_problems_are_refused() -> None:
    sheet = SawSheet("zinc", 10.0, 10.0, None, 1.0)
    bow = Shape("bow", (((0, 0), (2, 2), (2, 0), (0, 2)),))
    for shapes, sheets, options in [
        ([bow], [sheet], SawOptions()),
        ([rectangle("a", 1, 1), rectangle("a", 1, 1)], [sheet], SawOptions()),
        ([Shape("a", (((0, 0), (1, 0), (1, 1)),), (45,))], [sheet], SawOptions()),
        ([Shape("a", (((0, 0), (1, 0)),))], [sheet], SawOptions()),
        ([], [SawSheet("zinc", 0.0, 10.0, None, 1.0)], SawOptions()),
        ([], [SawSheet("zinc", 1.0, 10.0, -1, 1.0)], SawOptions()),
        ([], [sheet], SawOptions(spacing=-1.0)),
        ([], [sheet], SawOptions(iterations=None)),
    ]:
        with pytest.raises(ValueError, match=r"\.$"):
            lay(shapes, sheets, options)

"""Nesting against instances and dissections out of the literature."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from planner.nesting import Layout, Options, Piece, Placement, Solution, Stock, solve

# Two-dimensional bin packing, twenty rectangles each. Classes 1-6: J. O. Berkey and P. Y. Wang, "Two-dimensional
# finite bin-packing algorithms", Journal of the Operational Research Society 38 (1987), 423-429. Classes 7-10:
# S. Martello and D. Vigo, "Exact solution of the two-dimensional finite bin packing problem", Management Science 44
# (1998), 388-399. Turned and cut from edge to edge since A. Lodi, S. Martello and D. Vigo, "Heuristic and
# metaheuristic approaches for a class of two-dimensional bin packing problems", INFORMS Journal on Computing 11
# (1999), 345-357. The number is the best published for three stages of edge-to-edge cuts with quarter turns.
INSTANCES = [
    ("C01_20_1", (10, 10), 7, "5x9 4x2 10x6 5x7 6x3 10x7 1x5 3x5 6x9 2x4 6x7 7x2 8x3 4x10 4x5 10x3 8x3 7x8 8x3 8x7"),
    ("C01_20_3", (10, 10), 7, "7x5 10x6 5x6 7x2 4x8 9x10 8x5 8x6 4x9 9x3 3x10 9x5 1x7 8x9 4x6 3x6 4x3 10x2 6x1 1x4"),
    (
        "C03_20_1", (40, 40), 5,
        "18x30 13x5 33x19 17x22 18x9 34x24 1x16 9x15 19x31 4x11 "
        "19x23 24x4 27x9 13x33 13x15 34x9 27x10 22x28 26x11 25x25",
    ),
    (
        "C05_20_2", (100, 100), 4,
        "18x16 51x72 95x12 7x24 75x32 21x91 1x89 4x48 52x25 1x9 "
        "40x20 90x16 7x85 81x48 33x62 19x16 28x32 82x65 37x4 81x71",
    ),
    (
        "C07_20_1", (100, 100), 5,
        "56x75 98x27 74x24 99x34 80x1 84x43 88x6 89x6 98x38 78x21 "
        "75x49 31x93 90x37 21x73 71x4 93x35 89x48 90x12 13x79 10x42",
    ),
    (
        "C08_20_3", (100, 100), 5,
        "29x87 25x26 40x88 44x98 29x90 16x97 47x95 41x80 42x66 19x83 "
        "15x75 49x71 76x29 88x19 45x98 20x70 2x78 9x81 36x42 2x77",
    ),
    (
        "C09_20_4", (100, 100), 16,
        "60x69 84x31 18x91 78x55 77x81 57x83 90x53 65x62 54x53 51x96 "
        "73x82 65x82 95x89 56x71 79x23 76x63 47x35 73x57 76x75 99x55",
    ),
    (
        "C10_20_3", (100, 100), 4,
        "29x32 25x26 40x88 44x46 29x36 16x45 96x92 90x71 42x1 19x26 "
        "15x14 49x8 76x29 88x19 45x98 20x7 2x18 9x23 36x42 2x17",
    ),
]  # fmt: skip


def sizes_of(text: str) -> list[tuple[int, int]]:
    return [(int(width), int(height)) for width, height in (size.split("x") for size in text.split())]


def packed(sizes: list[tuple[int, int]], sheet: tuple[int, int], iterations: int) -> Solution:
    pieces = [Piece(str(number), *size) for number, size in enumerate(sizes)]
    solution = solve(pieces, [Stock("sheet", *sheet, None, 1.0)], Options(iterations=iterations))
    assert not solution.left_out
    placed = [placement for layout in solution.layouts for placement in layout.placements]
    assert sorted(int(placement.piece) for placement in placed) == list(range(len(sizes)))
    for placement in placed:
        width, height = sizes[int(placement.piece)]
        assert (placement.width, placement.height) == ((height, width) if placement.turned else (width, height))
    for layout in solution.layouts:
        refuse_overlaps(layout, sheet)
        assert comes_apart(list(layout.placements)), "edge-to-edge cuts part the pieces"
    return solution


def refuse_overlaps(layout: Layout, sheet: tuple[int, int]) -> None:
    """Lay every piece on squared paper, and find no square covered twice or beyond the edge."""
    paper = np.zeros((sheet[1] + 1, sheet[0] + 1), dtype=int)
    for piece in layout.placements:
        assert min(piece.x, piece.y) >= 0
        paper[piece.y : piece.y + piece.height, piece.x : piece.x + piece.width] += 1
        assert piece.x + piece.width <= sheet[0]
        assert piece.y + piece.height <= sheet[1]
    assert paper.max() == 1


def comes_apart(pieces: list[Placement]) -> bool:
    """Whether straight cuts from edge to edge part all pieces, found from their places alone.

    Any cut that hits no piece may be made first: it never spoils another one.
    """
    if len(pieces) <= 1:
        return True
    spans = (lambda piece: (piece.x, piece.x + piece.width), lambda piece: (piece.y, piece.y + piece.height))
    for span in spans:
        for cut in {span(piece)[1] for piece in pieces}:
            low = [piece for piece in pieces if span(piece)[1] <= cut]
            high = [piece for piece in pieces if span(piece)[0] >= cut]
            if low and high and len(low) + len(high) == len(pieces):
                return comes_apart(low) and comes_apart(high)
    return False


@pytest.mark.parametrize(("name", "sheet", "published", "text"), INSTANCES, ids=[entry[0] for entry in INSTANCES])
def test_published_instances_take_as_many_sheets_as_published(
    name: str, sheet: tuple[int, int], published: int, text: str
) -> None:
    """Within a sheet of the best published, and never below what area alone demands.

    Sources: Berkey and Wang 1987, Martello and Vigo 1998, Lodi, Martello and Vigo 1999, as above.
    """
    sizes = sizes_of(text)
    assert len(sizes) == 20
    solution = packed(sizes, sheet, iterations=200)
    by_area = -(-sum(width * height for width, height in sizes) // (sheet[0] * sheet[1]))
    (bound,) = solution.bounds
    assert by_area <= bound.sheets <= published, "no proof may contradict a published plan"
    assert bound.sheets <= len(solution.layouts) <= published + 1, name


def test_together_they_lose_at_most_one_sheet() -> None:
    """Over all eight instances, 53 sheets are published. Sources: as above."""
    taken = sum(len(packed(sizes_of(text), sheet, iterations=200).layouts) for _, sheet, _, text in INSTANCES)
    assert sum(published for _, _, published, _ in INSTANCES) == 53
    assert taken <= 54


@pytest.mark.parametrize("count", [5, 8, 11])
def test_fibonacci_squares_fill_their_rectangle(count: int) -> None:
    """Squares of 1, 1, 2, 3, 5 ... fill a rectangle without waste, and every cut runs from edge to edge.

    Source: E. Lucas, Theorie des nombres, 1891: the squares of the first n Fibonacci numbers add up to the n-th
    times the next (from memory).
    """
    sides = [1, 1]
    while len(sides) <= count:
        sides.append(sides[-1] + sides[-2])
    sheet = (sides[count], sides[count - 1])
    squares = [(side, side) for side in sides[:count]]
    assert sum(side * side for side, _ in squares) == sheet[0] * sheet[1]
    solution = packed(squares, sheet, iterations=200)
    assert len(solution.layouts) == 1
    assert solution.stopped == "bound"


PERFECT_SET = "4x14 5x2 2x2 9x7 5x5 2x5 7x7 3x5 6x5 3x2 6x2 4x6 6x3 10x3 6x3 10x3"


def test_a_perfect_set_of_hopper_and_turton_fills_one_sheet() -> None:
    """Sixteen rectangles cut from 20 x 20 without waste.

    Source: E. Hopper and B. C. H. Turton, "An empirical investigation of meta-heuristic and heuristic algorithms for a
    2D packing problem", European Journal of Operational Research 128 (2001), 34-57, category C1, problem 3.
    """
    sizes = sizes_of(PERFECT_SET)
    assert sum(width * height for width, height in sizes) == 400
    assert len(packed(sizes, (20, 20), iterations=1500).layouts) == 1


BENCHMARKS = Path(__file__).parents[3] / "shared" / "benchmarks" / "perfect_hopper.json"


@pytest.mark.skipif(not BENCHMARKS.is_file(), reason=f"published instances are not beside the repository: {BENCHMARKS}")
def test_perfect_sets_fill_one_sheet_or_little_more() -> None:
    """Sets cut from one rectangle without waste: never more than two sheets, and one for some.

    Sources: E. Hopper and B. C. H. Turton 2001, as above, sets C1; E. Hopper, "Two-dimensional packing utilising
    evolutionary algorithms and other meta-heuristic methods", thesis, Cardiff (2000), sets T1.
    """
    taken = {}
    for instance in json.loads(BENCHMARKS.read_text()):
        if instance["name"].startswith(("C1", "t1")):
            solution = packed([tuple(size) for size in instance["items"]], tuple(instance["bin"]), iterations=3000)
            assert solution.bounds[0].sheets == 1
            taken[instance["name"]] = len(solution.layouts)
    assert max(taken.values()) <= 2
    assert taken["C1_1"] == taken["C1_3"] == 1


@pytest.mark.parametrize(
    ("sheet", "sides"),
    [
        ((33, 32), (18, 15, 14, 10, 9, 8, 7, 4, 1)),
        ((69, 61), (36, 33, 28, 25, 16, 9, 7, 5, 2)),
        ((112, 112), (50, 42, 37, 35, 33, 29, 27, 25, 24, 19, 18, 17, 16, 15, 11, 9, 8, 7, 6, 4, 2)),
    ],
)
def test_squared_rectangles_cannot_be_sheared_from_one_sheet(sheet: tuple[int, int], sides: tuple[int, ...]) -> None:
    """Simple perfect dissections hold no smaller rectangle, so no first cut runs from edge to edge: two sheets.

    By area one sheet would do, and a plan that used one could not be cut apart. No other dissection by the same squares
    exists: nine is the least number of unequal squares in a rectangle, and only these two have it; the least compound
    squared square has twenty-four.

    Sources: Z. Moron, "O rozkladach prostokatow na kwadraty", Przeglad matematyczno-fizyczny 3 (1925); R. L. Brooks,
    C. A. B. Smith, A. H. Stone and W. T. Tutte, "The dissection of rectangles into squares", Duke Mathematical Journal
    7 (1940); A. J. W. Duijvestijn, "Simple perfect squared square of lowest order", Journal of Combinatorial Theory B
    25 (1978), and with P. J. Federico and P. Leeuw, "Compound perfect squares", American Mathematical Monthly 89
    (1982). The squares are from memory; that their areas add up is checked here.
    """
    assert sum(side * side for side in sides) == sheet[0] * sheet[1]
    solution = packed([(side, side) for side in sides], sheet, iterations=100)
    assert len(solution.layouts) == 2
    assert solution.bounds[0].sheets <= 2

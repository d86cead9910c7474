"""Tables of seconds, sheets and fill: beside two yardsticks, and how time grows with the number of plates.

Run from the top of the source tree:

    python -m tests.nesting.benchmark_nesting            # beside the shelf packer and rectpack
    python -m tests.nesting.benchmark_nesting scale      # first answer and all, from 40 to 10,000 plates
    python -m tests.nesting.benchmark_nesting settle     # 300 plates of four metals: 5 s beside 60 s
"""

from __future__ import annotations

import random
import sys
import time

from planner.nesting import Options, Piece, Solution, Stock, solve

from .shelf import shelf_sheets

UNITS = 1024  # grid units per inch
SHEET = (24 * UNITS, 18 * UNITS)
SPACING = UNITS // 8


def random_pieces(number: int, seed: int, materials: int = 1) -> list[Piece]:
    """Plates of 1 to 9 inches a side in steps of 1/16 inch, spread over the materials."""
    chance = random.Random(seed)
    return [
        Piece(
            f"piece {index}",
            chance.randint(16, 144) * UNITS // 16,
            chance.randint(16, 144) * UNITS // 16,
            material=f"metal {index % materials}",
        )
        for index in range(number)
    ]


def rectpack_sheets(sizes: list[tuple[int, int]]) -> int | None:
    """Sheets that rectpack takes, the best of its guillotine settings; None without rectpack."""
    try:
        import rectpack
        from rectpack import guillotine
    except ImportError:
        return None
    best: int | None = None
    names = [name for name in dir(guillotine) if name.startswith("GuillotineB") and len(name) > 14]
    for name in names:
        packer = rectpack.newPacker(
            bin_algo=rectpack.PackingBin.BBF, pack_algo=getattr(guillotine, name), rotation=True
        )
        packer.add_bin(SHEET[0] + SPACING, SHEET[1] + SPACING, count=float("inf"))
        for width, height in sizes:
            packer.add_rect(width + SPACING, height + SPACING)
        packer.pack()
        best = len(packer) if best is None else min(best, len(packer))
    return best


def timed(number: int, materials: int, options: Options) -> tuple[Solution, float, float]:
    """A solution, the seconds to the first complete plan, and the seconds in all."""
    pieces = random_pieces(number, seed=number, materials=materials)
    stocks = [Stock(f"sheet {m}", *SHEET, None, 10.0, f"metal {m}") for m in range(materials)]
    looks: list[float] = []
    began = time.perf_counter()
    solution = solve(pieces, stocks, options, lambda _: looks.append(time.perf_counter() - began))
    return solution, looks[0], time.perf_counter() - began


def scale() -> None:
    """Print how time grows; a line with 0 rounds is the first answer alone."""
    print("plates materials first (s) all (s) rounds sheets bound  us/plate (first)")
    cases = [(40, 1, 0), (40, 3, 0), (100, 1, 0), (300, 1, 0), (1000, 1, 0), (3000, 1, 0), (5000, 1, 0), (10_000, 1, 0)]
    for number, materials, rounds in [*cases, (5000, 1, 1000), (5000, 1, 20_000)]:
        options = Options(spacing=SPACING, iterations=rounds, seconds=55.0)
        solution, first, seconds = timed(number, materials, options)
        bound = sum(bound.sheets for bound in solution.bounds)
        print(
            f"{number:6} {materials:9} {first:9.3f} {seconds:7.2f} {solution.iterations:6} "
            f"{len(solution.layouts):6} {bound:5} {first / number * 1e6:9.0f}",
            flush=True,
        )


def settle() -> None:
    """Print what 300 plates of four metals take after 1, 5 and 60 seconds."""
    for seconds in (1.0, 5.0, 60.0):
        options = Options(spacing=SPACING, iterations=10**9, seconds=seconds)
        solution, first, taken = timed(300, 4, options)
        bound = sum(bound.sheets for bound in solution.bounds)
        print(
            f"{seconds:4.0f} s: {len(solution.layouts)} sheets, bound {bound}, first plan after {first:.3f} s, "
            f"{taken:.1f} s in all, {solution.stopped}",
            flush=True,
        )


def main() -> None:
    """Print the table asked for."""
    if "scale" in sys.argv:
        scale()
    elif "settle" in sys.argv:
        settle()
    else:
        side_by_side()


def side_by_side() -> None:
    """Print the table beside the yardsticks."""
    print("pieces materials seconds rounds stopped     sheets bound  fill  shelf rectpack (seconds)")
    for number, materials in ((40, 1), (40, 3), (300, 1), (300, 4), (1000, 1), (1000, 5)):
        pieces = random_pieces(number, seed=number, materials=materials)
        stocks = [Stock(f"sheet {m}", *SHEET, None, 10.0, f"metal {m}") for m in range(materials)]
        began = time.perf_counter()
        solution = solve(pieces, stocks, Options(spacing=SPACING))
        seconds = time.perf_counter() - began
        by_material = [
            [(piece.width, piece.height) for piece in pieces if piece.material == stock.material] for stock in stocks
        ]
        shelf = sum(shelf_sheets(sizes, SHEET, SPACING) for sizes in by_material)
        began = time.perf_counter()
        others = [rectpack_sheets(sizes) for sizes in by_material]
        other_seconds = time.perf_counter() - began
        other = "-" if None in others else str(sum(count or 0 for count in others))
        sheets = len(solution.layouts)
        fill = sum(piece.width * piece.height for piece in pieces) / (sheets * SHEET[0] * SHEET[1])
        bound = sum(bound.sheets for bound in solution.bounds)
        print(
            f"{number:6} {materials:9} {seconds:7.2f} {solution.iterations:6} {solution.stopped:10} "
            f"{sheets:7} {bound:5} {fill:5.1%} {shelf:6} {other:>8} ({other_seconds:.2f})"
        )


if __name__ == "__main__":
    main()

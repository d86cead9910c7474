"""A table of seconds, sheets and fill, beside a shelf packer and rectpack.

Run from the top of the source tree:

    python -m tests.nesting.benchmark_nesting
"""

from __future__ import annotations

import random
import time

from planner.nesting import Options, Piece, Stock, solve

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


def main() -> None:
    """Print the table."""
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

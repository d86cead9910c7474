"""How the nesting bears a large day: the first plan, 300 plates after 5 and 60 seconds, 5,000 plates, and growth.

Run from the top of the source tree, all of it (about three minutes) or some parts by name:

    python -m tests.nesting.benchmark_scale
    python -m tests.nesting.benchmark_scale first settle day growth
"""

from __future__ import annotations

import math
import sys
import time
from statistics import median

from planner.nesting import Options, Solution, Stock, solve

from .benchmark_nesting import SHEET, SPACING, random_pieces


def timed(number: int, materials: int, options: Options) -> tuple[Solution, float, float]:
    """A solution, the seconds to the first complete plan, and the seconds in all."""
    pieces = random_pieces(number, seed=number, materials=materials)
    stocks = [Stock(f"sheet {m}", *SHEET, None, 10.0, f"metal {m}") for m in range(materials)]
    looks: list[float] = []
    began = time.perf_counter()
    solution = solve(pieces, stocks, options, lambda _: looks.append(time.perf_counter() - began))
    return solution, looks[0], time.perf_counter() - began


def first() -> None:
    """Print the time to the first complete plan of a small day."""
    for materials in (1, 3):
        times = [timed(40, materials, Options(spacing=SPACING, iterations=0))[1] for _ in range(9)]
        print(f"40 plates of {materials} metals: first plan after {median(times) * 1000:.1f} ms, the median of nine")


def settle() -> None:
    """Print what 300 plates of four metals cost after 5 seconds, beside 60."""
    spent = {}
    for seconds in (5.0, 60.0):
        options = Options(spacing=SPACING, iterations=10**9, seconds=seconds)
        solution, _, taken = timed(300, 4, options)
        spent[seconds] = math.fsum(bound.spent for bound in solution.bounds)
        least = math.fsum(bound.cost for bound in solution.bounds)
        print(
            f"300 plates of 4 metals, {seconds:.0f} s: cost {spent[seconds]:.0f}, proven least {least:.0f}, "
            f"ended by {solution.stopped} after {taken:.1f} s",
            flush=True,
        )
    print(f"the 5 s plan costs {spent[5.0] / spent[60.0] - 1:.2%} more than the 60 s plan")


def day() -> None:
    """Print what 5,000 plates take."""
    for metals in (1, 4):
        options = Options(spacing=SPACING, iterations=10**9, seconds=55.0)
        solution, early, taken = timed(5000, metals, options)
        least = sum(bound.sheets for bound in solution.bounds)
        print(
            f"5000 plates of {metals} metals: first plan after {early:.2f} s, done after {taken:.1f} s, "
            f"{len(solution.layouts)} sheets, proven least {least}",
            flush=True,
        )


def growth() -> None:
    """Print how the time to the first plan grows, and the power of the number of plates that it grows with."""
    print("plates  first plan, s  microseconds a plate  microseconds a plate and bit of its number")
    points = []
    for number in (100, 300, 1000, 3000, 10_000):
        again = max(1, 1000 // number)
        early = median(timed(number, 1, Options(spacing=SPACING, iterations=0))[1] for _ in range(again))
        points.append((math.log(number), math.log(early)))
        each = early / number * 1e6
        print(f"{number:6} {early:14.3f} {each:21.0f} {each / math.log2(number):43.1f}", flush=True)
    middle_x, middle_y = (sum(values) / len(points) for values in zip(*points, strict=True))
    slope = sum((x - middle_x) * (y - middle_y) for x, y in points) / sum((x - middle_x) ** 2 for x, _ in points)
    like = [(x, x + math.log(x)) for x, _ in points]
    middle = sum(y for _, y in like) / len(like)
    even = sum((x - middle_x) * (y - middle) for x, y in like) / sum((x - middle_x) ** 2 for x, _ in like)
    print(f"grows with the power {slope:.2f} of the number; n log n would be {even:.2f} over this range")


PARTS = {"first": first, "settle": settle, "day": day, "growth": growth}


def main() -> None:
    """Print the parts asked for, or all."""
    for name in sys.argv[1:] or PARTS:
        if name not in PARTS:
            sys.exit(f"There is no part {name!r}; there are {', '.join(PARTS)}.")
        PARTS[name]()


if __name__ == "__main__":
    main()

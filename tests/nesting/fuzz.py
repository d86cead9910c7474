"""Run many small random problems, with every constraint of the trade mixed in, against the verifier.

    python -m tests.nesting.fuzz 100000

The number may be followed by the first seed. A failure prints its seed and ends the run.
"""

from __future__ import annotations

import random
import sys
import time

from planner.nesting import Options, Piece, Stock, solve

from .verifying import verify


def random_problem(seed: int) -> tuple[list[Piece], list[Stock], Options]:
    """A problem that depends on the seed alone."""
    chance = random.Random(seed)
    plain = chance.random() < 0.3
    largest = chance.choice((6, 14, 24))
    materials = ["zinc", "copper"][: chance.randint(1, 2)]
    keys = ["", "", "", "a", "b"] if chance.random() < 0.4 and not plain else [""]
    pieces = [
        Piece(
            f"piece {number}",
            chance.randint(1, largest),
            chance.randint(1, largest),
            chance.random() < 0.7,
            chance.choice(materials),
            chance.choice(("", "", "second")),
            chance.randint(0, 2),
            chance.choice(keys),
            tuple({chance.choice("uvw") for _ in range(chance.randint(0, 2))}) if not plain else (),
        )
        for number in range(chance.randint(0, 18))
    ]
    stocks = []
    for number in range(chance.randint(1, 3)):
        width, height = chance.randint(6, 40), chance.randint(6, 40)
        blocked = []
        for _ in range(chance.choice((0, 0, 1, 2)) if not plain else 0):
            x, y = chance.randrange(width), chance.randrange(height)
            blocked.append((x, y, chance.randint(1, min(9, width - x)), chance.randint(1, min(9, height - y))))
        stocks.append(
            Stock(
                f"stock {number}",
                width,
                height,
                chance.choice((None, None, 0, 1, 2, 3)),
                chance.choice((0.0, 0.1, 0.7, 1.0, 3.3)),
                chance.choice(materials),
                False,
                tuple(blocked),
                chance.choice((None, None, None, "", "second")) if not plain else None,
            )
        )
    limited = chance.random() < 0.3 and not plain
    options = Options(
        spacing=chance.randint(0, 4),
        iterations=chance.choice((0, 5, 30)),
        seed=chance.randint(0, 3),
        keep=chance.choice((None, (3, 5))),
        longest_cut=chance.choice((None, 12, 25)) if limited else None,
        least_strip=chance.choice((None, 2, 6)) if limited else None,
        stages=chance.choice((None, 1, 2, 3, 4)) if limited else None,
        due_first=chance.random() < 0.2,
    )
    return pieces, stocks, options


def main() -> None:
    """Run the number of problems given as the first argument."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    began = time.perf_counter()
    for seed in range(first, first + number):
        problem = random_problem(seed)
        try:
            verify(*problem, solve(*problem))
        except BaseException:
            print(f"seed {seed} after {time.perf_counter() - began:.0f} s: {problem}", flush=True)
            raise
        if (seed - first + 1) % 5000 == 0:
            print(f"{seed - first + 1} problems, {time.perf_counter() - began:.0f} s", flush=True)
    print(f"{number} problems without a violation in {time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    main()

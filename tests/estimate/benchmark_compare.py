"""How long does a comparison over ten choices of zinc take? Run: python -m tests.estimate.benchmark_compare"""

from __future__ import annotations

import random
import time
from typing import Any

from planner.crew import processes_here
from planner.estimate.comparing import compare
from planner.house import House, house_from
from planner.orders import orders_from

from ..days import rules_of

# Width, height, price: about three cents a square inch, small sheets and odd sizes a little dearer.
CHOICES = (
    (18, 24, 11.80), (24, 36, 21.60), (20, 24, 12.90), (24, 24, 15.50), (16, 20, 8.90), (30, 40, 30.50),
    (22, 28, 16.90), (12, 24, 8.20), (20, 30, 16.20), (26, 38, 26.00),
)  # fmt: skip


def a_day_of(plates: int) -> dict[str, Any]:
    """Plates of 1 x 1 to 7 x 9 in, five to a job."""
    dice = random.Random(1)
    sizes = [f"{dice.randint(4, 28)}/4 x {dice.randint(4, 36)}/4 in" for _ in range(plates)]
    jobs = [sizes[first : first + 5] for first in range(0, plates, 5)]
    return {
        "jobs": [
            {"number": number, "plates": [{"name": f"P{place}", "size": size, "metal": "zinc"}
                                          for place, size in enumerate(own)]}
            for number, own in enumerate(jobs)
        ]
    }  # fmt: skip


def a_shop() -> House:
    """Two sizes on hand, eight to be bought, some of them in packs."""
    sheets = [
        {"name": f"{width} x {height}", "metal": "zinc", "size": f"{width} x {height} in", "price": price}
        for width, height, price in CHOICES
    ]
    buyable = [{**sheet, "lead": place, "pack": 1 + place % 3} for place, sheet in enumerate(sheets[2:])]
    return house_from(
        {"prices": {"flat": 6.5}, "sheets": [{**sheet, "count": 4} for sheet in sheets[:2]], "buyable": buyable},
        "the benchmark",
    )


def main() -> None:
    """Print a line for each day and number of processes."""
    house = a_shop()
    for plates in (40, 300):
        for processes in sorted({1, processes_here()}):
            began = time.perf_counter()
            found = compare(orders_from(a_day_of(plates), "day"), house, rules_of(house), processes=processes)
            (zinc,) = found.materials
            print(f"{plates} plates, {processes} processes: {time.perf_counter() - began:.1f} s, ", end="")
            print(f"{zinc.laid} of {zinc.mixes} mixes laid, {zinc.ruled_out} ruled out, all compared: ", end="")
            print(f"{zinc.exhaustive}, proven: {zinc.proven}, cheapest {zinc.best.cost}")


if __name__ == "__main__":
    main()

"""How long a day takes, room by room: ``python -m tests.benchmark_day``. Prints figures; asserts nothing."""

from __future__ import annotations

import random
import time
from itertools import pairwise

from planner.orders import orders_from
from planner.plan import plan_text
from planner.planning import make_plan
from planner.proof import prove
from planner.sheets.folder import sheet_files

from .days import a_house, rules_of


def day(count: int, seed: int = 1) -> dict[str, object]:
    """Plates of two metals; one in five a silhouette in a wide white."""
    chance = random.Random(seed)
    plates: list[dict[str, object]] = []
    for number in range(count):
        width, height = chance.randint(24, 96) / 16, chance.randint(24, 128) / 16
        plate: dict[str, object] = {
            "name": f"P{number}",
            "size": f"{width} x {height} in",
            "metal": chance.choice(["zinc", "copper"]),
        }
        if number % 5 == 0:
            arc = f"A{width / 3} {height / 4} 0 0 1 {width / 1.5} {height / 4}"
            path = f"M0 {height / 4} {arc} L{width / 3} {height / 2} Z"
            silhouette = {"kind": "silhouette", "outline": {"path": path, "unit": "in"}}
            plate |= {"mounting": "nailed", "screen": 120, "negatives": [silhouette]}
        plates.append(plate)
    return {"jobs": [{"number": "1", "plates": plates}]}


def main() -> None:
    house = a_house()
    rules = rules_of(house)
    print("plates  flats  plan s  draw s  proof s  plan.json KiB  sheets KiB")
    for count in (40, 300, 1000):
        orders = orders_from(day(count), "benchmark")
        times = [time.perf_counter()]
        plan = make_plan(orders, house, rules)
        times.append(time.perf_counter())
        files = sheet_files(plan)
        times.append(time.perf_counter())
        proof = prove(plan)
        times.append(time.perf_counter())
        planning, drawing, proving = (after - before for before, after in pairwise(times))
        sizes = f"{len(plan_text(plan)) / 1024:14.0f} {sum(map(len, files.values())) / 1024:11.0f}"
        clean = "" if proof.clean else "  NOT CLEAN"
        print(f"{count:6} {len(plan.flats):6} {planning:7.2f} {drawing:7.2f} {proving:8.2f} {sizes}{clean}")


if __name__ == "__main__":
    main()

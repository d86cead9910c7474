"""A table of densities on the classic irregular strips, beside the best published and spyrrow.

Run from the top of the source tree:
python -m tests.nesting.saw.benchmark_irregular [--seconds 10] [--seed 0] [--only swim,fu] [--spyrrow]
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

import shapely
from shapely import Polygon, affinity

from planner.nesting.saw import SawOptions, SawStrip, Shape, lay_in_strip

PLACE = Path("../shared/benchmarks/irregular_strip.json")
SPYRROW_10_SECONDS = {
    "albano": 86.2,
    "blaz1": 79.5,
    "dagli": 84.7,
    "fu": 88.0,
    "jakobs1": 82.2,
    "jakobs2": 77.2,
    "mao": 80.9,
    "marques": 88.3,
    "shapes0": 63.8,
    "shapes1": 71.1,
    "shirts": 85.7,
    "swim": 72.8,
    "trousers": 89.2,
}


def shapes_of(instance: dict[str, object]) -> list[Shape]:
    """The items of an instance, as often as each is wanted."""
    items = instance["items"]
    assert isinstance(items, list)
    return [
        Shape(
            f"{item['id']}-{number}",
            (tuple((float(x), float(y)) for x, y in item["polygon"]),),
            tuple(int(turn) % 360 for turn in item["rotations"]),
        )
        for item in items
        for number in range(item["demand"])
    ]


def faults(shapes: list[Shape], height: float, strip: SawStrip) -> str:
    """What is wrong with a layout, by geometry that shares nothing with the engine; empty when sound."""
    polygons = {shape.name: Polygon(shape.polygon[0]) for shape in shapes}
    laid = []
    for placement in strip.placements:
        polygon = affinity.rotate(polygons.pop(placement.name), placement.turn, origin=(0, 0))
        west, south, _, _ = polygon.bounds
        laid.append(affinity.translate(polygon, placement.x - west, placement.y - south))
    west, south, east, north = shapely.total_bounds(laid)
    hair = 1e-6 * height
    if polygons:
        return "shapes lost"
    if west < -hair or south < -hair or east > strip.length + hair or north > height + hair:
        return "outside"
    shrunk = [polygon.buffer(-hair) for polygon in laid]
    ones, others = shapely.STRtree(shrunk).query(shrunk, predicate="intersects")
    return "overlap" if (ones != others).any() else ""


def main() -> int:
    """Print the table; 1 when a layout is not sound."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="")
    parser.add_argument("--file", type=Path, default=PLACE)
    parser.add_argument("--spyrrow", action="store_true", help="a column laid by spyrrow, if installed")
    arguments = parser.parse_args()
    instances = json.loads(arguments.file.read_text())
    only = set(arguments.only.split(",")) - {""}
    print(f"{'instance':10}{'shapes':>7}{'best':>7}{'spyrrow':>9}{'saw':>8}{'diff':>7}{'seconds':>9}", end="")
    print(f"{'with spyrrow':>14}" if arguments.spyrrow else "")
    sums = [0.0, 0.0, 0.0, 0.0]
    number, sound = 0, True
    for instance in instances:
        if only and instance["name"] not in only:
            continue
        shapes, height = shapes_of(instance), float(instance["strip_height"])
        start = time.perf_counter()
        options = SawOptions(iterations=None, seconds=arguments.seconds, seed=arguments.seed, spyrrow=False)
        strip = lay_in_strip(shapes, height, options)
        seconds = time.perf_counter() - start
        best = float(instance["ref_density_pct"]["Best known solution value"])
        known = SPYRROW_10_SECONDS[instance["name"]]
        density = 100 * strip.density
        number += 1
        row = [best, known, density, 0.0]
        fault = faults(shapes, height, strip)
        print(f"{instance['name']:10}{len(shapes):7}{best:7.1f}{known:9.1f}{density:8.2f}", end="")
        print(f"{density - known:+7.1f}{seconds:9.1f}", end="")
        if arguments.spyrrow:
            options = SawOptions(iterations=None, seconds=arguments.seconds, seed=arguments.seed, spyrrow=True)
            other = lay_in_strip(shapes, height, options)
            row[3] = 100 * other.density
            fault = fault or faults(shapes, height, other)
            print(f"{row[3]:14.2f}", end="")
        print(f"  {fault}", flush=True)
        sums = [total + value for total, value in zip(sums, row, strict=True)]
        sound = sound and not fault
    mean = [total / max(1, number) for total in sums]
    print(f"{'mean':10}{'':7}{mean[0]:7.1f}{mean[1]:9.1f}{mean[2]:8.2f}{mean[2] - mean[1]:+7.1f}{'':9}", end="")
    print(f"{mean[3]:14.2f}" if arguments.spyrrow else "")
    return 0 if sound else 1


if __name__ == "__main__":
    sys.exit(main())

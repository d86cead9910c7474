"""A table of densities on the classic irregular strips, beside the best published and the library spyrrow.

Run from the top of the source tree, for example:

    python -m tests.nesting.saw.benchmark_irregular --seconds 10
    python -m tests.nesting.saw.benchmark_irregular --seconds 10 --spyrrow --only swim,fu

With --spyrrow each instance is laid three times with the same seconds: by the engine alone, by the engine with the
library, and by the library alone, called here without the engine.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

import shapely
from shapely import Polygon, affinity

from planner.nesting.saw import SawOptions, SawStrip, Shape, lay_in_strip

try:
    import spyrrow
except ImportError:
    spyrrow = None

PLACE = Path("../shared/benchmarks/irregular_strip.json")


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


def by_spyrrow_alone(instance: dict[str, object], seconds: int, seed: int) -> float:
    """The density that the library tells for its own layout on one core, in per cent."""
    items, height = instance["items"], instance["strip_height"]
    assert isinstance(items, list)
    given = [
        spyrrow.Item(
            str(item["id"]),
            [(float(x), float(y)) for x, y in item["polygon"]],
            item["demand"],
            [float(turn) for turn in item["rotations"]],
        )
        for item in items
    ]
    config = spyrrow.StripPackingConfig(
        early_termination=False, total_computation_time=seconds, num_workers=1, seed=seed
    )
    return 100 * float(spyrrow.StripPackingInstance("alone", height, given).solve(config).density)


def main() -> int:
    """Print the table; 1 when a layout is not sound."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", default="", help="names with commas; all when left out")
    parser.add_argument("--file", type=Path, default=PLACE)
    parser.add_argument("--spyrrow", action="store_true", help="columns with the library and of the library alone")
    arguments = parser.parse_args()
    if arguments.spyrrow and spyrrow is None:
        parser.error("spyrrow is not installed; pip install spyrrow")
    instances = json.loads(arguments.file.read_text())
    only = set(arguments.only.split(",")) - {""}
    modes = [False, True] if arguments.spyrrow else [False]
    print(f"{'instance':10}{'shapes':>7}{'best':>8}{'saw':>8}", end="")
    print(f"{'with':>8}{'spyrrow':>9}{'saw less':>10}{'with less':>11}" if arguments.spyrrow else "")
    rows: list[list[float]] = []
    sound = True
    for instance in instances:
        if only and instance["name"] not in only:
            continue
        shapes, height = shapes_of(instance), float(instance["strip_height"])
        row = [float(instance["ref_density_pct"]["Best known solution value"])]
        fault = ""
        for mode in modes:
            options = SawOptions(iterations=None, seconds=arguments.seconds, seed=arguments.seed, spyrrow=mode)
            strip = lay_in_strip(shapes, height, options)
            row.append(100 * strip.density)
            fault = fault or faults(shapes, height, strip)
        if arguments.spyrrow:
            row.append(by_spyrrow_alone(instance, int(arguments.seconds), arguments.seed))
        rows.append(row)
        sound = sound and not fault
        print(f"{instance['name']:10}{len(shapes):7}{_line(row)}  {fault}", flush=True)
    if rows:
        print(f"{'mean':10}{'':7}{_line([sum(column) / len(rows) for column in zip(*rows, strict=True)])}")
    return 0 if sound else 1


def _line(row: list[float]) -> str:
    text = "".join(f"{value:8.2f}" for value in row[:3])
    if len(row) > 3:
        text += f"{row[3]:9.2f}{row[1] - row[3]:+10.2f}{row[2] - row[3]:+11.2f}"
    return text


if __name__ == "__main__":
    sys.exit(main())

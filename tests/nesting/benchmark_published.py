"""Tables of published instances: sheets, proven bound, gap and seconds, each layout checked by the verifier.

Run from the top of the source tree, for example:

    python -m tests.nesting.benchmark_published --seconds 2
    python -m tests.nesting.benchmark_published --seconds 10 --classes 7,8 --workers 2
    python -m tests.nesting.benchmark_published --file vsbp_hopper_ortmann.json --classes M1,M2,M3 --seconds 10
    python -m tests.nesting.benchmark_published --file vsbp_hopper_ortmann.json --classes nice,path --most 200
    python -m tests.nesting.benchmark_published --seconds 0.2 --rectpack
    python -m tests.nesting.benchmark_published --seconds 10 --processor

The instances are looked for in ../shared/benchmarks beside the source tree, or where --folder says. With --processor
the seconds are those that the processor worked for this process, so that a machine with other work on it gives nearly
the figures of a quiet one.
"""

from __future__ import annotations

import argparse
import json
import re
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from planner.nesting import Options, Piece, Solution, Stock, solve, solving

from .verifying import verify

FOLDERS = (Path(__file__).parents[3] / "shared" / "benchmarks",)


@dataclass
class Row:
    """What one class took."""

    instances: int = 0
    sheets: int = 0
    bound: int = 0
    published: int = 0
    seconds: float = 0.0
    longest: float = 0.0
    rounds: int = 0
    fill: list[float] = field(default_factory=list)
    other_sheets: int = 0
    other_seconds: float = 0.0


def instances(path: Path, classes: Sequence[str], most: int) -> Iterator[tuple[str, dict[str, Any]]]:
    """The instances of a file, each with the name of its class."""
    for instance in json.loads(path.read_text()):
        if "class" in instance:
            name = str(instance["class"])
        else:
            # M1a is of the class M1, C1_1 of C1, Nice25i2b1 of Nice25: letters, then the first number.
            found = re.match(r"[A-Za-z]+[0-9]+", instance["name"])
            name = found[0] if found else instance["name"]
        # Asked for as Nice25, or as Nice for all sizes.
        asked = any(name.lower() == one.lower() or name.lower().rstrip("0123456789") == one.lower() for one in classes)
        if (not classes or asked) and len(instance["items"]) <= most:
            yield name, instance


def problem(instance: dict[str, Any]) -> tuple[list[Piece], list[Stock]]:
    """Pieces that may turn, and stock that costs its area (or one, when there is a single kind)."""
    pieces = [Piece(str(number), *size) for number, size in enumerate(instance["items"])]
    if "bins" in instance:
        kinds = instance["bins"]
        return pieces, [
            Stock(f"sheet {number}", width, height, count, float(width * height))
            for number, (width, height, count) in enumerate(kinds)
        ]
    return pieces, [Stock("sheet", *instance["bin"], None, 1.0)]


def rectpack_sheets(instance: dict[str, Any]) -> tuple[int, float] | None:
    """Sheets of rectpack's best guillotine setting and the seconds for all of them; None without rectpack."""
    try:
        import rectpack
        from rectpack import guillotine
    except ImportError:
        return None
    began = time.perf_counter()
    best = 0
    names = [name for name in dir(guillotine) if name.startswith("GuillotineB") and len(name) > 14]
    for name in names:
        for sorting in (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE):
            for bins in (rectpack.PackingBin.BFF, rectpack.PackingBin.BBF):
                packer = rectpack.newPacker(
                    bin_algo=bins, pack_algo=getattr(guillotine, name), sort_algo=sorting, rotation=True
                )
                packer.add_bin(*instance["bin"], count=float("inf"))
                for width, height in instance["items"]:
                    packer.add_rect(width, height)
                packer.pack()
                best = len(packer) if not best else min(best, len(packer))
    return best, time.perf_counter() - began


def measure(instance: dict[str, Any], options: Options, row: Row) -> Solution:
    """Solve, verify and count one instance."""
    pieces, stocks = problem(instance)
    clock = solving.time.monotonic
    began = clock()
    solution = solve(pieces, stocks, options)
    seconds = clock() - began
    verify(pieces, stocks, options, solution)
    area_of = {stock.name: stock.width * stock.height for stock in stocks}
    placed = {placement.piece for layout in solution.layouts for placement in layout.placements}
    used = sum(area_of[layout.stock] for layout in solution.layouts)
    row.instances += 1
    row.sheets += len(solution.layouts)
    row.bound += sum(bound.sheets for bound in solution.bounds)
    row.published += instance.get("ref", {}).get("R_3G", 0)
    row.seconds += seconds
    row.longest = max(row.longest, seconds)
    row.rounds += solution.iterations
    if len(placed) == len(pieces):
        row.fill.append(sum(piece.width * piece.height for piece in pieces) / used)
    return solution


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--file", default="2bp250.json")
    parser.add_argument("--classes", default="", help="names with commas; all when left out")
    parser.add_argument("--most", type=int, default=10**9, help="leave out instances with more pieces")
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--iterations", type=int, default=10**9)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--workers", type=int, default=1)
    parser.add_argument("--rectpack", action="store_true", help="side by side with rectpack")
    parser.add_argument("--each", action="store_true", help="a line for each instance")
    parser.add_argument("--processor", action="store_true", help="count seconds of processor time")
    chosen = parser.parse_args(arguments)
    if chosen.processor:
        if chosen.workers > 1:
            parser.error("--processor counts one process; it goes with --workers 1 only")
        solving.time = SimpleNamespace(monotonic=time.process_time)
    folder = chosen.folder or next((path for path in FOLDERS if path.is_dir()), FOLDERS[0])
    options = Options(iterations=chosen.iterations, seconds=chosen.seconds, seed=chosen.seed, workers=chosen.workers)
    rows: defaultdict[str, Row] = defaultdict(Row)
    classes = [name for name in chosen.classes.split(",") if name]
    for name, instance in instances(folder / chosen.file, classes, chosen.most):
        row = rows[name]
        solution = measure(instance, options, row)
        if chosen.each:
            bound = sum(bound.sheets for bound in solution.bounds)
            fill = f"{row.fill[-1]:.2%}" if row.fill else "-"
            print(instance["name"], len(solution.layouts), bound, fill, solution.stopped, flush=True)
        if chosen.rectpack:
            other = rectpack_sheets(instance)
            if other is not None:
                row.other_sheets += other[0]
                row.other_seconds += other[1]
    heading = "  rectpack seconds  sheets/its seconds/its" if chosen.rectpack else ""
    print("class instances sheets bound  gap published   fill seconds longest  rounds/s" + heading)
    whole = Row()
    for name, row in [*rows.items(), ("all", whole)]:
        fill = sum(row.fill) / len(row.fill) if row.fill else 0.0
        other_text = ""
        if row.other_sheets:
            sheet_ratio, second_ratio = row.sheets / row.other_sheets, row.seconds / row.other_seconds
            other_text = f"{row.other_sheets:9} {row.other_seconds:7.1f} {sheet_ratio:11.4f} {second_ratio:11.2f}"
        gap = row.sheets - row.bound
        print(
            f"{name:5} {row.instances:9} {row.sheets:6} {row.bound:5} {gap:4} {row.published:9} {fill:7.2%} "
            f"{row.seconds:7.1f} {row.longest:7.2f} {row.rounds / max(row.seconds, 1e-9):9.0f} {other_text}",
            flush=True,
        )
        for key, value in vars(row).items():
            old = getattr(whole, key)
            setattr(whole, key, max(old, value) if key == "longest" else old + value)


if __name__ == "__main__":
    main()

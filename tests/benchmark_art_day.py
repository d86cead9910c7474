"""A day of plates made from art files: seconds from orders to plan, to sheets, and to a proven plan.

Run from the top of the source tree:

    python -m tests.benchmark_art_day
    python -m tests.benchmark_art_day --plates 12 --processes 1

The art is made up: drawings as SVG, type and line scans as 1-bit and grey bitmaps, toned silhouettes and drop-outs.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import resource
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from PIL import Image, ImageDraw, ImageFilter

from planner.flats import Search
from planner.orders import read_orders
from planner.plan import plan_text
from planner.planning import make_plan
from planner.proof import prove
from planner.sheets.folder import sheet_files

from .days import a_house, rules_of

SIZES = ((3, 4), (4, 5), (5, 7), (6, 4), (8, 10), (7, 3))
DPI = 600


def drawing(width: float, height: float, chance: random.Random) -> str:
    """A drawing of shaded blobs and ruled lines, as SVG at one and a half times its size."""
    parts = []
    for _ in range(6):
        x, y = chance.uniform(0.1, 0.9) * width, chance.uniform(0.1, 0.9) * height
        radius = chance.uniform(0.05, 0.15) * width
        wave = [
            (x + radius * (1 + 0.2 * math.sin(5 * turn)) * math.cos(turn), y + radius * math.sin(turn))
            for turn in (step * math.tau / 60 for step in range(60))
        ]
        points = " ".join(f"{across:.4f},{up:.4f}" for across, up in wave)
        parts.append(f'<polygon points="{points}" fill="none" stroke="black" stroke-width="0.03"/>')
        for line in range(8):
            shift = (line - 4) * radius / 5
            parts.append(
                f'<line x1="{x - radius:.4f}" y1="{y + shift:.4f}" x2="{x + radius:.4f}" y2="{y + shift:.4f}" '
                f'stroke="black" stroke-width="0.012"/>'
            )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{1.5 * width}in" height="{1.5 * height}in" '
        f'viewBox="0 0 {width} {height}">{"".join(parts)}</svg>'
    )


def page_of_type(width: float, height: float, chance: random.Random) -> Image.Image:
    """Lines of small black signs with margins and gaps, as a 1-bit scan."""
    image = Image.new("1", (round(width * DPI), round(height * DPI)), 1)
    draw = ImageDraw.Draw(image)
    for row in range(int(height * 4)):
        if chance.random() < 0.2:
            continue
        y, x = (0.15 + row / 4) * DPI, 0.25 * DPI
        while x < (width - 0.35) * DPI:
            tall, wide = chance.uniform(0.05, 0.12) * DPI, chance.uniform(0.03, 0.09) * DPI
            draw.ellipse((x, y, x + wide, y + tall), outline=0, width=round(0.018 * DPI))
            x += wide + chance.choice((0.015, 0.015, 0.05)) * DPI
    return image


def toned_subject(width: float, height: float, chance: random.Random) -> Image.Image:
    """A toned subject on white paper, with highlights."""
    image = Image.new("L", (round(width * 300), round(height * 300)), 255)
    draw = ImageDraw.Draw(image)
    for _ in range(5):
        x, y = chance.uniform(0.25, 0.6) * image.width, chance.uniform(0.25, 0.6) * image.height
        draw.ellipse((x, y, x + 0.3 * image.width, y + 0.25 * image.height), fill=chance.randrange(30, 120))
    for _ in range(4):
        x, y = chance.uniform(0.3, 0.7) * image.width, chance.uniform(0.3, 0.7) * image.height
        draw.ellipse((x, y, x + 0.08 * image.width, y + 0.06 * image.height), fill=255)
    return image.filter(ImageFilter.GaussianBlur(1))


def make_day(folder: Path, plates: int) -> Path:
    """Write the art and the order file of a day; the same number of plates, the same day."""
    chance = random.Random(plates)
    jobs: list[dict[str, Any]] = []
    for number in range(plates):
        width, height = SIZES[number % len(SIZES)]
        kind = ("line", "line", "silhouette", "line", "drop-out")[number % 5]
        name = f"art-{number:02d}.{('svg', 'png', 'tif', 'svg', 'jpg')[number % 5]}"
        if number % 5 in (0, 3):
            (folder / name).write_text(drawing(width, height, chance))
        elif number % 5 == 1:
            page_of_type(width, height, chance).save(folder / name, dpi=(DPI, DPI))
        else:
            toned_subject(width, height, chance).save(folder / name, dpi=(300, 300), quality=92)
        plate = {
            "name": "Cut", "size": f"{width} x {height} in", "metal": ("zinc", "copper")[number % 2],
            "mounting": ("bevelled", "nailed", "unmounted")[number % 3], "screen": 120,
            "negatives": [{"kind": kind, "art": name}],
        }  # fmt: skip
        jobs.append({"number": str(number + 1), "plates": [plate]})
    path = folder / "orders.json"
    path.write_text(json.dumps({"title": "A day of art", "jobs": jobs}))
    return path


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--plates", type=int, default=40)
    parser.add_argument("--processes", type=int, default=2)
    chosen = parser.parse_args(arguments)
    house = a_house()
    with tempfile.TemporaryDirectory() as folder:
        orders = read_orders(make_day(Path(folder), chosen.plates))
        began = time.perf_counter()
        plan = make_plan(orders, house, rules_of(house), Search(), chosen.processes)
        planned = time.perf_counter()
        sheets = sheet_files(plan)
        drawn = time.perf_counter()
        result = prove(plan, None)
        proven = time.perf_counter()
    text = plan_text(plan)
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    print("plates flats  plan s  draw s proof s  clean  plan MiB  sheets MiB  largest sheet MiB  peak MiB of a process")
    print(
        f"{len(plan.plates):6} {len(plan.flats):5} {planned - began:7.1f} {drawn - planned:7.1f} {proven - drawn:7.1f} "
        f"{result.clean!s:>6} {len(text) / 2**20:9.1f} {sum(map(len, sheets.values())) / 2**20:11.1f} "
        f"{max(map(len, sheets.values())) / 2**20:18.2f} {peak / 1024:10.0f}"
    )
    travel, nearest = (sum(getattr(work, key) for work in plan.router) for key in ("travel", "travel_nearest"))
    print(
        f"router: {sum(work.minutes for work in plan.router):.0f} minutes, {sum(work.lifts for work in plan.router)} "
        f"lifts, travel {travel:.0f} in, {travel / max(nearest, 1e-9):.2f} of always going to the nearest path"
    )
    for check in result.checks:
        for violation in check.violations[:3]:
            print(f"VIOLATED {check.name}: {violation}")


if __name__ == "__main__":
    main()

"""Seconds and peak memory from file to zones for an 8 x 10 in line plate, beside SciPy's plain distance transform.

Run from the top of the source tree:

    python -m tests.artwork.benchmark_art           # and a day of 40 plates after it, see tests.benchmark_art_day
    python -m tests.artwork.benchmark_art 600       # one resolution, no day

Both pictures are drawn for it: *type*, lines of Hershey letters over the whole plate, and *drawing*, some thousand
curves, hatching and solids. Each is saved as a 1-bit TIFF at the resolution and ordered as the line negative of a
plate for the usual house. *Shapes* are the plate with all that is read from its art; *zones* are dead metal, what each
cutter reaches of it, what is left to hand tools, and whites. *Paths* are all else of the router's work: passes, their
order, stretches near fine detail.

Processor time is printed beside the clock's, for the ratio of the two does not hang on what else the machine does.
Each row is a process of its own, so that its peak memory, up to the zones, is its own; the yardstick, SciPy's
``distance_transform_edt`` of the same raster without anything else, is run in a process of its own beside it.
"""

from __future__ import annotations

import json
import math
import subprocess
import sys
import tempfile
import time
from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

WIDTH, HEIGHT = 8, 10


def type_page(per_inch: int) -> NDArray[np.uint8]:
    """Paragraphs in two columns, with room between them."""
    page = np.full((HEIGHT * per_inch, WIDTH * per_inch), 255, np.uint8)
    words = "Plates of copper, zinc and magnesium are etched, routed, bevelled and blocked"
    scale, thick = per_inch / 300 * 0.85, max(per_inch // 100, 1)
    for column in (0.5, 4.25):
        for line in range(44):
            if line % 11 < 9:
                at = (round(column * per_inch), round((0.7 + line * 0.2) * per_inch))
                text = words[line % 7 * 4 :][:24]
                cv2.putText(page, text, at, cv2.FONT_HERSHEY_COMPLEX_SMALL, scale, 0, thick, cv2.LINE_8)
    return page


def drawing(per_inch: int) -> NDArray[np.uint8]:
    """Curves, hatching and solids."""
    chance = np.random.default_rng(1)
    page = np.full((HEIGHT * per_inch, WIDTH * per_inch), 255, np.uint8)
    for _ in range(160):
        middle = (chance.uniform(0.7, 7.3, 1)[0] * per_inch, chance.uniform(0.7, 9.3, 1)[0] * per_inch)
        radii = (int(chance.uniform(0.05, 0.9) * per_inch), int(chance.uniform(0.05, 0.7) * per_inch))
        thick = -1 if chance.random() < 0.15 else max(round(chance.uniform(0.008, 0.04) * per_inch), 1)
        turn, end = chance.uniform(0, 180), chance.uniform(90, 360)
        cv2.ellipse(page, (int(middle[0]), int(middle[1])), radii, turn, 0, end, 0, thick)
    for _ in range(25):
        left, top, lean = chance.uniform(0.5, 6, 1)[0], chance.uniform(0.5, 8.5, 1)[0], chance.uniform(0, math.pi)
        for step in range(30):
            start = (int((left + step * 0.04) * per_inch), int(top * per_inch))
            across, down = math.cos(lean) * per_inch * 0.8, math.sin(lean) * per_inch * 0.8
            cv2.line(page, start, (int(start[0] + across), int(start[1] + down)), 0, max(per_inch // 120, 1))
    return page


PICTURES = {"type": type_page, "drawing": drawing}


def zones(path: Path) -> dict[str, float]:
    """From file to zones: what the table shows of one plate."""
    import shapely
    from shapely.geometry import MultiPolygon

    from planner.house import house_from
    from planner.orders import read_orders
    from planner.plates import plates_of
    from planner.routing import distances_for, router_work
    from planner.routing.zones import metal_of, shares_of

    house, nothing = house_from({}, "the usual house"), MultiPolygon()
    plate = {
        "name": "Cut", "metal": "zinc", "size": f"{WIDTH} x {HEIGHT} in", "mounting": "unmounted",
        "negatives": [{"kind": "line", "art": path.name}],
    }  # fmt: skip
    order = path.with_suffix(".json")
    order.write_text(json.dumps({"jobs": [{"number": "1", "plates": [plate]}]}))
    orders = read_orders(order)

    watch = [_now()]
    (made,) = plates_of(orders, house, distances_for(house))
    watch.append(_now())
    metal = metal_of(made, nothing, house.routing)
    shares = shares_of(metal, nothing, nothing, house.routing)
    watch.append(_now())
    peak = _peak()
    work = router_work(made, nothing, nothing, house)
    watch.append(_now())
    shapes, to_zones, after = (there - here for (_, here), (_, there) in pairwise(watch))
    return {
        "seconds": watch[2][0] - watch[0][0],
        "worked": shapes + to_zones,
        "shapes": shapes,
        "zones": to_zones,
        # The router's work makes the zones once more.
        "paths": after - to_zones,
        "peak": peak,
        "area": sum(share.zone.shape.area for share in shares),
        "corners": float(sum(shapely.get_num_coordinates(share.zone.shape) for share in shares)),
        "passes": float(sum(len(piece.paths) for piece in work.pieces)),
    }


def yardstick(path: Path) -> dict[str, float]:
    """SciPy's distance transform of the same raster; reading the file is not counted."""
    from scipy import ndimage

    light = np.asarray(Image.open(path))
    start, worked = time.perf_counter(), time.process_time()
    ndimage.distance_transform_edt(light)
    return {"seconds": time.perf_counter() - start, "worked": time.process_time() - worked, "peak": _peak()}


def _now() -> tuple[float, float]:
    """The clock's time and the processor's."""
    return time.perf_counter(), time.process_time()


def _peak() -> float:
    import resource

    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (2**30 if sys.platform == "darwin" else 2**20)


COLUMNS = (
    "art", "dots/in", "file to zones, s", "CPU, s", "of it shapes", "zones", "GiB", "SciPy, s", "CPU, s", "GiB",
    "ratio of CPU", "paths after, CPU s", "zones, sq in", "their corners", "passes",
)  # fmt: skip


def main(resolutions: list[int]) -> None:
    print(f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}")
    Image.MAX_IMAGE_PIXELS = None
    with tempfile.TemporaryDirectory() as folder:
        for name, draw in PICTURES.items():
            for per_inch in resolutions:
                path = Path(folder) / f"{name}{per_inch}.tif"
                picture = Image.fromarray(draw(per_inch)).convert("1")
                picture.save(path, compression="group4", dpi=(per_inch, per_inch))
                ours, theirs = _apart("zones", path), _apart("yardstick", path)
                print(
                    f"| {name} | {per_inch} | {ours['seconds']:.1f} | {ours['worked']:.1f} | {ours['shapes']:.1f} | "
                    f"{ours['zones']:.1f} | {ours['peak']:.2f} | "
                    f"{theirs['seconds']:.1f} | {theirs['worked']:.1f} | {theirs['peak']:.2f} | "
                    f"{ours['worked'] / theirs['worked']:.2f} | {ours['paths']:.1f} | {ours['area']:.2f} | "
                    f"{ours['corners']:.0f} | {ours['passes']:.0f} |",
                    flush=True,
                )


def _apart(what: str, path: Path) -> dict[str, float]:
    """Run one measurement in a process of its own."""
    command = [sys.executable, "-m", "tests.artwork.benchmark_art", what, str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return {key: float(value) for key, value in (line.split() for line in done.stdout.splitlines())}


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] in {"zones", "yardstick"}:
        Image.MAX_IMAGE_PIXELS = None
        for key, value in {"zones": zones, "yardstick": yardstick}[sys.argv[1]](Path(sys.argv[2])).items():
            print(key, value)
    elif len(sys.argv) > 1:
        main([int(text) for text in sys.argv[1:]])
    else:
        main([600, 1200])
        print(flush=True)
        subprocess.run([sys.executable, "-m", "tests.benchmark_art_day"], check=True)

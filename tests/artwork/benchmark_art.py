"""Seconds and peak memory from file to shapes for an 8 x 10 in line plate, beside SciPy's plain distance transform.

Run from the top of the source tree:

    python -m tests.artwork.benchmark_art
    python -m tests.artwork.benchmark_art 600       # one resolution

Both pictures are drawn for it: *type*, lines of Hershey letters over the whole plate, and *drawing*, some thousand
curves, hatching and solids. Each is saved as a 1-bit TIFF at the resolution, and read with the distances a router
needs: clearance 1/32 in, that plus the radii of cutters of 1/4, 1/8 and 1/16 in, and half the least white, 3/16 in.
Processor time is printed beside the clock's, for the ratio of the two does not hang on what else the machine does.
Each row is a process of its own, so that its peak memory is its own; the yardstick, SciPy's
``distance_transform_edt`` of the same raster without anything else, is run in a process of its own beside it.
"""

from __future__ import annotations

import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

WIDTH, HEIGHT = 8, 10
CLEARANCE = 1 / 32
DISTANCES = (CLEARANCE, 3 / 16, CLEARANCE + 1 / 8, CLEARANCE + 1 / 16, CLEARANCE + 1 / 32)


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


def shapes(path: Path) -> dict[str, float]:
    """From file to shapes: what the table shows of one reading."""
    import shapely

    from planner.artwork import Asked, read_art

    start, worked = time.perf_counter(), time.process_time()
    art = read_art(path, Asked(kind="line", size=(WIDTH, HEIGHT), distances=DISTANCES))
    seconds, worked = time.perf_counter() - start, time.process_time() - worked
    # Zones and paths of the router, made of these shapes, are timed here once they are called from one place.
    return {
        "seconds": seconds,
        "worked": worked,
        "peak": _peak(),
        "corners": float(sum(shapely.get_num_coordinates(growth) for growth in art.growths.values())),
        "image": float(shapely.get_num_coordinates(art.image)),
        "path": len(art.path) / 1024,
    }


def yardstick(path: Path) -> dict[str, float]:
    """SciPy's distance transform of the same raster; reading the file is not counted."""
    from scipy import ndimage

    light = np.asarray(Image.open(path))
    start, worked = time.perf_counter(), time.process_time()
    ndimage.distance_transform_edt(light)
    return {"seconds": time.perf_counter() - start, "worked": time.process_time() - worked, "peak": _peak()}


def _peak() -> float:
    import resource

    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (2**30 if sys.platform == "darwin" else 2**20)


def main(resolutions: list[int]) -> None:
    print(
        "| art | dots/in | s | CPU, s | GiB | SciPy, s | CPU, s | GiB | ratio of CPU | corners | of image | path, KiB |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|---|")
    Image.MAX_IMAGE_PIXELS = None
    with tempfile.TemporaryDirectory() as folder:
        for name, draw in PICTURES.items():
            for per_inch in resolutions:
                path = Path(folder) / f"{name}{per_inch}.tif"
                picture = Image.fromarray(draw(per_inch)).convert("1")
                picture.save(path, compression="group4", dpi=(per_inch, per_inch))
                ours, theirs = _apart("shapes", path), _apart("yardstick", path)
                print(
                    f"| {name} | {per_inch} | {ours['seconds']:.1f} | {ours['worked']:.1f} | {ours['peak']:.2f} | "
                    f"{theirs['seconds']:.1f} | {theirs['worked']:.1f} | {theirs['peak']:.2f} | "
                    f"{ours['worked'] / theirs['worked']:.2f} | {ours['corners']:.0f} | {ours['image']:.0f} | "
                    f"{ours['path']:.0f} |",
                    flush=True,
                )


def _apart(what: str, path: Path) -> dict[str, float]:
    """Run one measurement in a process of its own."""
    command = [sys.executable, "-m", "tests.artwork.benchmark_art", what, str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return {key: float(value) for key, value in (line.split() for line in done.stdout.splitlines())}


if __name__ == "__main__":
    if len(sys.argv) == 3 and sys.argv[1] in {"shapes", "yardstick"}:
        Image.MAX_IMAGE_PIXELS = None
        for key, value in {"shapes": shapes, "yardstick": yardstick}[sys.argv[1]](Path(sys.argv[2])).items():
            print(key, value)
    else:
        main([int(text) for text in sys.argv[1:]] or [600, 1200])

"""Our printing area of public-domain drawings beside that of an independent renderer.

Run from the top of the source tree, with Debian's packages openclipart-svg and librsvg2-bin installed:

    python -m tests.artwork.compare_openclipart              # 300 drawings
    python -m tests.artwork.compare_openclipart 40 --width 4 # fewer, smaller

The sample: all ``.svg`` files of the package that are no symbolic links, sorted by path, and of these, numbered from
0, the numbers floor(i * count / 300) for i = 0 ... 299. Each is read as line copy 8 in wide, as high as its own
proportion makes it (at most 10 in), with the house's tolerance. Beside it stands what rsvg-convert draws on white at
625 elements to the inch; grey by ITU-R BT.601, darker than one half prints. Ours is `Artwork.path`, not our raster:
rsvg-convert fills it at the same resolution, so that an outline in the right place gives the same elements, and one
that is off by a share of an element changes that share of those along it. Intersection over union counts elements;
two empty ones agree (1.0).

Grey drawings with a tone that runs through one half have an outline where two renderers round the same tone to
neighbouring levels of grey. So a second figure lets an element pass that rsvg-convert leaves within `ROUNDING` levels
of the threshold: at the edge of black on white that is a fortieth of an element, in a tone it may be a broad band.

A third figure says how much is left of the disagreement if elements are let pass that lie within the stated error
(`Artwork.error`) of the other's: what it lacks is no outline a little off, but something else drawn.

Counted apart, each with its reason: *refused* (our sentence is printed), and *not drawn* (rsvg-convert fails).
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from planner.artwork import ArtError, Artwork, Asked, read_art
from planner.artwork.files import opened_file
from planner.artwork.svg import opened

FOLDER = Path("/usr/share/openclipart/svg")
SAMPLE = 300
WIDTH, HIGHEST = 8.0, 10.0
ENOUGH = 0.99
ROUNDING = 3
"""Levels of 255: what two renderers may round a tone of several layers apart."""
THRESHOLD = 127.5
PER_INCH = 625
"""Elements to the inch of the comparison, those with which the house's tolerance has drawings read."""


@dataclass(frozen=True)
class Compared:
    path: Path
    overlap: float | None
    rounded: float | None
    """The same, elements within `ROUNDING` levels of the threshold counted as agreeing."""
    within: float | None
    """The same as the first, elements within the stated error of the other's counted as agreeing."""
    area: float
    seconds: float
    words: str


def absent() -> str:
    """Why nothing can be compared here; empty if it can."""
    if not FOLDER.is_dir():
        return f"Debian's package openclipart-svg is not installed ({FOLDER})"
    if shutil.which("rsvg-convert") is None:
        return "rsvg-convert of Debian's package librsvg2-bin is not installed"
    return ""


def sample(number: int) -> list[Path]:
    drawings = sorted(path for path in FOLDER.rglob("*.svg") if path.is_file() and not path.is_symlink())
    return [drawings[index * len(drawings) // number] for index in range(number)]


def compared(path: Path, width: float = WIDTH) -> Compared:
    start = time.perf_counter()
    try:
        across, up = opened(opened_file(path).data).measure.proportion
        size = (width, width * up / across)
        if size[1] > HIGHEST:
            size = (HIGHEST * across / up, HIGHEST)
        art = read_art(path, Asked(kind="line", size=size, copy_size=size))
    except ArtError as refusal:
        return Compared(path, None, None, None, 0.0, time.perf_counter() - start, f"refused: {refusal}")
    seconds = time.perf_counter() - start
    shape = (round(size[1] * PER_INCH), round(size[0] * PER_INCH))
    grey = _drawn([str(path)], b"", shape)
    if grey is None:
        return Compared(path, None, None, None, art.area, seconds, "not drawn by rsvg-convert")
    ours = filled(art, shape)
    if ours is None:
        return Compared(path, 0.0, 0.0, 0.0, art.area, seconds, "our path is not drawn by rsvg-convert")
    theirs = grey < THRESHOLD
    either = np.count_nonzero(ours | theirs)
    overlap = float(np.count_nonzero(ours & theirs) / either) if either else 1.0
    differ = np.count_nonzero((ours & (grey > THRESHOLD + ROUNDING)) | (~ours & (grey < THRESHOLD - ROUNDING)))
    rounded = 1.0 - float(differ / either) if either else 1.0
    apart = np.count_nonzero(ours & ~_near(theirs, art)) + np.count_nonzero(theirs & ~_near(ours, art))
    within = 1.0 - float(apart / either) if either else 1.0
    return Compared(path, overlap, rounded, within, art.area, seconds, "")


def _near(picture: NDArray[np.bool_], art: Artwork) -> NDArray[np.bool_]:
    """Elements whose middle is within the stated error of one that prints, which reaches half an element further."""
    reach = art.error * PER_INCH + 0.5
    steps = np.arange(-int(reach), int(reach) + 1)
    disc = (steps[:, None] ** 2 + steps[None, :] ** 2 <= reach**2).astype(np.uint8)
    return np.asarray(cv2.dilate(picture.astype(np.uint8), disc) > 0)


def filled(art: Artwork, shape: tuple[int, int]) -> NDArray[np.bool_] | None:
    """Fill the path with rsvg-convert as well, even-odd, at the resolution of the comparison."""
    width, height = (length / art.unit for length in art.size)
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" preserveAspectRatio="none">'
        f'<path fill-rule="evenodd" transform="matrix(1 0 0 -1 0 {height})" d="{art.path}"/></svg>'
    )
    grey = _drawn([], drawing.encode(), shape)
    return None if grey is None else np.asarray(grey < THRESHOLD)


def _drawn(arguments: list[str], drawing: bytes, shape: tuple[int, int]) -> NDArray[np.uint8] | None:
    size = ["-w", str(shape[1]), "-h", str(shape[0])]
    command = ["rsvg-convert", "--unlimited", "-b", "white", *size, *arguments]
    done = subprocess.run(command, input=drawing, capture_output=True, check=False)
    if done.returncode:
        return None
    picture = cv2.imdecode(np.frombuffer(done.stdout, dtype=np.uint8), cv2.IMREAD_GRAYSCALE)
    if picture is None:
        return None
    if picture.shape != shape:
        picture = np.asarray(cv2.resize(picture, shape[::-1], interpolation=cv2.INTER_AREA))
    return np.asarray(picture, np.uint8)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("number", type=int, nargs="?", default=SAMPLE)
    asked.add_argument("--width", type=float, default=WIDTH, help="inches")
    options = asked.parse_args()
    reason = absent()
    if reason:
        sys.exit(reason)
    results = []
    with ProcessPoolExecutor(max_workers=2) as pool:
        drawings = sample(options.number)
        for result in pool.map(compared, drawings, [options.width] * len(drawings)):
            results.append(result)
            if result.overlap is None or result.overlap < ENOUGH:
                name = result.path.relative_to(FOLDER)
                said = (
                    result.words
                    or f"{result.overlap:.4f}, rounded {result.rounded:.4f}, within the error {result.within:.4f}"
                )
                print(f"{name}: {said}; {result.area:.2f} sq in", flush=True)
    _table(results)


def _table(results: list[Compared]) -> None:
    drawn = [result for result in results if result.overlap is not None]
    refused = sum(result.words.startswith("refused") for result in results)
    plain = sum((result.overlap or 0.0) >= ENOUGH for result in drawn)
    rounded = sum((result.rounded or 0.0) >= ENOUGH for result in drawn)
    within = sum((result.within or 0.0) >= ENOUGH for result in drawn)
    shares = [f"{count} ({count / max(len(drawn), 1):.1%})" for count in (plain, rounded, within)]
    empty = sum(result.area == 0 for result in drawn)
    undrawn = len(results) - refused - len(drawn)
    print("| sampled | refused | not drawn | compared | at least 0.99 | but for rounding | within the error | empty |")
    print("|---|---|---|---|---|---|---|---|")
    print(f"| {len(results)} | {refused} | {undrawn} | {len(drawn)} | {' | '.join(shares)} | {empty} |")
    print(f"seconds of reading: {sum(result.seconds for result in results):.0f}")


if __name__ == "__main__":
    main()

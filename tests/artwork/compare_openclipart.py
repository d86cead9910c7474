"""Our printing area of public-domain drawings beside that of an independent renderer.

Run from the top of the source tree, with Debian's packages openclipart-svg and librsvg2-bin installed:

    python -m tests.artwork.compare_openclipart              # 300 drawings
    python -m tests.artwork.compare_openclipart 40           # fewer

The sample: all ``.svg`` files of the package that are no symbolic links, sorted by path, and of these, numbered from
0, the numbers floor(i * count / 300) for i = 0 ... 299. Each is read as line copy 4 in wide, as high as its own
proportion makes it (at most 12 in), with the house's tolerance. Beside it stands what rsvg-convert draws on white at
the resolution ours was read at; grey by ITU-R BT.601, darker than one half prints. Ours is `Artwork.path`, not our
raster: rsvg-convert fills it in the same way. Intersection over union counts elements; two empty ones agree (1.0).

Counted apart, each with its reason: *refused* (our sentence is printed), and *not drawn there* (rsvg-convert fails).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
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
WIDTH, HIGHEST = 4.0, 12.0
ENOUGH = 0.99


@dataclass(frozen=True)
class Compared:
    path: Path
    overlap: float | None
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
        return Compared(path, None, 0.0, time.perf_counter() - start, f"refused: {refusal}")
    seconds = time.perf_counter() - start
    shape = (round(size[1] * art.resolution), round(size[0] * art.resolution))
    theirs = _drawn([str(path)], b"", shape)
    if theirs is None:
        return Compared(path, None, art.area, seconds, "not drawn by rsvg-convert")
    ours = filled(art, shape)
    if ours is None:
        return Compared(path, 0.0, art.area, seconds, "our path is not drawn by rsvg-convert")
    either = np.count_nonzero(ours | theirs)
    overlap = float(np.count_nonzero(ours & theirs) / either) if either else 1.0
    return Compared(path, overlap, art.area, seconds, "")


def filled(art: Artwork, shape: tuple[int, int]) -> NDArray[np.bool_] | None:
    """Fill the path with rsvg-convert as well, even-odd, at the resolution the art was read at."""
    width, height = (length / art.unit for length in art.size)
    drawing = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" preserveAspectRatio="none">'
        f'<path fill-rule="evenodd" transform="matrix(1 0 0 -1 0 {height})" d="{art.path}"/></svg>'
    )
    return _drawn([], drawing.encode(), shape)


def _drawn(arguments: list[str], drawing: bytes, shape: tuple[int, int]) -> NDArray[np.bool_] | None:
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
    return np.asarray(picture < 127.5)


def main(number: int) -> None:
    reason = absent()
    if reason:
        sys.exit(reason)
    results = list(_all(number))
    drawn = [result for result in results if result.overlap is not None]
    enough = [result for result in drawn if result.overlap is not None and result.overlap >= ENOUGH]
    print("| sampled | refused | not drawn there | compared | overlap >= 0.99 | of those compared | nothing prints |")
    print("|---|---|---|---|---|---|---|")
    refused = sum(result.words.startswith("refused") for result in results)
    print(
        f"| {len(results)} | {refused} | {len(results) - refused - len(drawn)} | {len(drawn)} | {len(enough)} | "
        f"{len(enough) / max(len(drawn), 1):.1%} | {sum(result.area == 0 for result in drawn)} |"
    )
    print(f"seconds: {sum(result.seconds for result in results):.0f} in all")


def _all(number: int) -> Iterator[Compared]:
    for path in sample(number):
        result = compared(path)
        if result.words or result.overlap is None or result.overlap < ENOUGH:
            said = result.words or f"overlap {result.overlap:.4f}, {result.area:.2f} sq in"
            print(f"{path.relative_to(FOLDER)}: {said}", flush=True)
        yield result


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else SAMPLE)

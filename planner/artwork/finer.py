"""What does art of thin parts look like, drawn once more and finer, where there is anything to be seen?

Where much of what prints is outline, an error that a solid would not show changes the area by some per cent. Such
drawings are drawn again, as many times finer as it takes, and only where there is an outline: patches that are all
white or all black stay so. What was drawn comes strip after strip, so that memory stays that of the first drawing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

Part: TypeAlias = tuple[int, int, int, int]
"""Left, top, width and height, in elements of a drawing, rows counted from above."""

Drawer: TypeAlias = Callable[[int, Sequence[Part]], Iterator[NDArray[np.uint8]]]
"""Draws parts of a drawing so many times finer, each in grey."""

_EDGE: Final = 0.08
"""Elements by which a traced outline is off in the mean, measured on straight strokes at any angle, 2 to 12 elements
wide: half of it because coverage is drawn in steps, half because it does not run evenly across an outline."""

_SHARE: Final = 0.01
"""What that may cost, as a share of all that prints: strokes of sixteen elements in the mean are still drawn once."""

_FINEST: Final = 4
"""Times; enough for strokes of four elements in the mean, 1/150 in at the usual tolerance."""

_MOST: Final = 160_000_000
"""Elements drawn the second time: some seconds' work."""

_PATCH: Final = 128
"""Elements of the first drawing along the side of a patch, or a multiple where patches would be too many."""

_MOST_VISITS: Final = 4_000_000
"""Runs of patches times things drawn: each thing is looked at for each run."""

_BLANK, _SOLID = 254, 1
"""Grey of elements of which a finer drawing shows nothing more that prints, or that does not."""

_MARGIN: Final = 2
"""Elements of the first drawing around a patch that are blank or solid as well if it is not drawn again."""

_SMOOTH: Final = np.array([0.25, 0.5, 0.25])


@dataclass(frozen=True, slots=True)
class Strip:
    """Rows of the finer drawing from ``row`` on, as wide as all of it.

    ``runs`` are the columns that were drawn, the first of each and the one after its last; elsewhere the rows are as
    in the first drawing, blank or solid.
    """

    row: int
    grey: NDArray[np.uint8] = field(repr=False)
    runs: Sequence[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Finer:
    """A drawing to be drawn ``times`` finer, where patches of ``patch`` elements of the first are ``active``.

    ``first`` is the first drawing and ``outside`` says where nothing may print, None for nowhere.
    """

    first: NDArray[np.uint8] = field(repr=False)
    times: int
    patch: int
    active: NDArray[np.bool_]
    draw: Drawer
    outside: NDArray[np.bool_] | None = field(default=None, repr=False)

    def strips(self) -> Iterator[Strip]:
        """Draw, and give it from above.

        Raises:
            ArtError: it cannot be drawn so finely, or not in the time; then before the first strip.
        """
        side = self.patch * self.times
        height, width = (length * self.times for length in self.first.shape)
        runs = [_runs(row, side, width) for row in self.active]
        tops = range(0, height, side)
        parts = [
            (first, top, end - first, min(side, height - top))
            for top, own in zip(tops, runs, strict=True)
            for first, end in own
        ]
        raw = self._raw(runs, self.draw(self.times, parts))
        strip = next(raw)
        above = strip[0]
        for number, top in enumerate(tops):
            below = next(raw, strip[-1:])
            smooth = strip.copy()
            for first, end in runs[number]:
                # Smoothed, coverage runs evenly across an outline, and the steps in which it was drawn even out; a
                # straight outline of anything two elements thick stays where it is.
                rows = np.vstack((above[first:end], strip[:, first:end], below[0, first:end]))
                found = cv2.sepFilter2D(rows, -1, _SMOOTH, _SMOOTH, borderType=cv2.BORDER_REPLICATE)
                smooth[:, first:end] = found[1:-1]
            self._blank_outside(smooth, top, runs[number])
            yield Strip(top, smooth, runs[number])
            above, strip = strip[-1], below

    def _raw(
        self, runs: Sequence[Sequence[tuple[int, int]]], pictures: Iterator[NDArray[np.uint8]]
    ) -> Iterator[NDArray[np.uint8]]:
        """The strips as drawn, blank and solid where they were not."""
        side = self.patch * self.times
        height, width = (length * self.times for length in self.first.shape)
        for number, own in enumerate(runs):
            strip = np.full((min(side, height - number * side), width), 255, dtype=np.uint8)
            solid = (self.first[number * self.patch, :: self.patch] <= _SOLID) & ~self.active[number]
            for column in np.flatnonzero(solid).tolist():
                strip[:, column * side : (column + 1) * side] = 0
            for first, end in own:
                strip[:, first:end] = next(pictures)
            yield strip

    def _blank_outside(self, strip: NDArray[np.uint8], top: int, runs: Sequence[tuple[int, int]]) -> None:
        if self.outside is None:
            return
        times = self.times
        rows = self.outside[top // times : (top + len(strip)) // times]
        for first, end in runs:
            own = rows[:, first // times : end // times]
            if own.any():
                strip[:, first:end][own.repeat(times, axis=0).repeat(times, axis=1)] = 255


def finer_than(
    grey: NDArray[np.uint8],
    dark: NDArray[np.bool_],
    draw: Drawer,
    things: int | None,
    outside: NDArray[np.bool_] | None = None,
) -> Finer | None:
    """Say how finely a drawing must be drawn once more and where; None where once is enough or there is no room.

    ``grey`` and ``dark`` (what of it prints) are padded by one white element. ``things`` is how many things a drawing
    is made of that can be drawn part by part; None where all of it has to be drawn at once.
    """
    needed = thinness(dark)
    if needed <= 1:
        return None
    first = grey[1:-1, 1:-1]
    patch = _PATCH if things is not None else max(first.shape)
    active = _active(grey, patch)
    while things is not None and things * _count_runs(active) > _MOST_VISITS and patch < max(first.shape):
        patch *= 2
        active = _active(grey, patch)
    most = math.isqrt(_MOST // max(int(np.count_nonzero(active)) * min(patch**2, first.size), 1))
    times = min(math.ceil(needed), most, _FINEST)
    return Finer(first, times, patch, active, draw, outside) if times > 1 else None


def thinness(dark: NDArray[np.bool_]) -> float:
    """How many times finer it takes until the mean error is no more than a small share of what prints.

    Sides between dark and light elements go round an outline in steps: 4 / pi of its length, at any angle in the mean.
    """
    sides = np.count_nonzero(dark[:, 1:] != dark[:, :-1]) + np.count_nonzero(dark[1:] != dark[:-1])
    return float(sides * math.pi / 4 * _EDGE / (_SHARE * max(int(np.count_nonzero(dark)), 1)))


def _active(grey: NDArray[np.uint8], patch: int) -> NDArray[np.bool_]:
    """Patches that are neither all blank nor all solid, with a margin; ``grey`` is padded by one white element."""
    height, width = (length - 2 for length in grey.shape)
    active = np.zeros((-(-height // patch), -(-width // patch)), dtype=bool)
    for row, column in np.ndindex(active.shape):
        down, across = row * patch + 1, column * patch + 1
        seen = grey[
            max(down - _MARGIN, 0) : down + patch + _MARGIN, max(across - _MARGIN, 0) : across + patch + _MARGIN
        ]
        active[row, column] = seen.min() < _BLANK and seen.max() > _SOLID
    return active


def _count_runs(active: NDArray[np.bool_]) -> int:
    return int(np.count_nonzero(np.diff(active, axis=1, prepend=False) & active))


def _runs(active: NDArray[np.bool_], side: int, width: int) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(active, prepend=False, append=False)).reshape(-1, 2)
    return [(first * side, min(end * side, width)) for first, end in edges.tolist()]

"""What prints of a drawing: its outlines, the elements that hold any of it, and how much it covers?

Of a drawing made once more, finer, both the outlines and the cover are the finer one's; an element of the first drawing
holds some of what prints if any of the finer ones does, so that no distance measured to it gets longer.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from planner.artwork.finer import Finer, Strip
from planner.artwork.path import Tracing
from planner.artwork.raster import any_dark
from planner.artwork.records import ArtError


@dataclass(frozen=True, slots=True)
class Traced:
    """Outlines of a drawing ``times`` finer than the first; of the first the padded elements that hold any of it.

    ``elements`` is how many elements of the first drawing it covers.
    """

    tracing: Tracing
    times: int
    dark: NDArray[np.bool_] = field(repr=False)
    elements: float


def traced_once(grey: NDArray[np.uint8], level: float, dark: NDArray[np.bool_]) -> Traced:
    """Trace what is darker than ``level`` in a drawing padded by one white element; ``dark`` says what is."""
    tracing = Tracing(level)
    tracing.add(grey, 0)
    return Traced(tracing, 1, dark, int(np.count_nonzero(dark)))


def traced_finer(finer: Finer, level: float, dark: NDArray[np.bool_]) -> Traced | None:
    """Trace the drawing made once more; None where it cannot be made, in its time or memory."""
    try:
        return traced_strips(finer.strips(), finer.times, level, dark)
    except ArtError:
        return None


def traced_strips(strips: Iterable[Strip], times: int, level: float, dark: NDArray[np.bool_]) -> Traced:
    """Trace strips of a drawing ``times`` finer than the first, of which ``dark``, padded, says what prints."""
    tracing = Tracing(level)
    dark = dark.copy()
    inside = dark[1:-1, 1:-1]
    covered = int(np.count_nonzero(inside)) * times**2
    above = np.full((1, inside.shape[1] * times + 2), 255, dtype=np.uint8)
    before: Sequence[tuple[int, int]] = ()
    for strip in strips:
        block = np.vstack((above, np.pad(strip.grey, ((0, 0), (1, 1)), constant_values=255)))
        # What the strip above shows at its last row may end here, in columns not drawn again.
        for first, end in _merged([*before, *strip.runs]):
            tracing.add(block[:, first : end + 2], strip.row, first)
        for first, end in strip.runs:
            printing = strip.grey[:, first:end] < level
            part = inside[strip.row // times :, first // times : end // times][: len(printing) // times]
            covered += int(np.count_nonzero(printing)) - int(np.count_nonzero(part)) * times**2
            part[:] = any_dark(printing, times)
        above, before = block[-1:], strip.runs
    last = np.vstack((above, np.full_like(above, 255)))
    for first, end in _merged(before):
        tracing.add(last[:, first : end + 2], len(inside) * times, first)
    return Traced(tracing, times, dark, covered / times**2)


def _merged(runs: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Runs that touch or overlap as one."""
    merged: list[tuple[int, int]] = []
    for first, end in sorted(runs):
        if merged and first <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((first, end))
    return merged

"""How fine must art be read, and what is a read picture?

The outline of what prints errs by at most half the diagonal of an element (an element prints where its middle does),
by what simplifying takes off the traced outline, and by the rounding of its corners to whole units. Drawings are read
so finely that the three together stay within the tolerance. Drawings of thin parts are then drawn once more
(`planner.artwork.finer`). Bitmaps are read as they are: finer ones than needed are reduced by a whole factor, each
element the mean of those it replaces; coarser ones stay coarse and say so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.artwork.measures import LARGEST_MEMORY
from planner.artwork.records import ArtError, Asked

HALF_DIAGONAL: Final = math.sqrt(0.5)

FINENESS: Final = 1.25
"""Elements within the tolerance: 0.7072 / 1.25 of it go to the raster, the rest to tracing (`planner.artwork.path`)."""

_ELEMENTS_WITHIN: Final = 12
"""Elements within the smallest distance asked for; below it the bound on the distance field's error grows."""

_BYTES: Final = 6
"""Memory for each element of a raster while shapes are made of it: the picture, what prints, and sampled distances."""

_ASIDE: Final = 256 * 2**20
"""Bytes set aside for the program itself, the bands being worked on, and the shapes."""


@dataclass(frozen=True, slots=True)
class Raster:
    """Coverage in grey, 0 black to 255 white, the upper row first, as it lies on the plate.

    ``left`` and ``top`` are the place of the outer corner of the first element, in inches. ``bilevel`` says that there
    is nothing but black and white. ``error`` is how far, in inches, the outline may be from that of the file.
    """

    grey: NDArray[np.uint8] = field(repr=False)
    per_inch: float
    left: float
    top: float
    bilevel: bool
    error: float
    read_at: float
    """Elements to the inch of what was drawn or taken from the file, before any was divided further."""


def needed(asked: Asked) -> float:
    """Elements to the inch at reproduction size that keep the tolerance.

    Thin parts vanish where they cover too little of an element, the more so the farther the threshold is from the
    middle; the raster is made finer by as much.
    """
    return FINENESS * raggedness(asked.threshold) / asked.tolerance


def least(asked: Asked) -> float:
    """Elements to the inch below which distances could not be told well enough."""
    return _ELEMENTS_WITHIN / min((asked.closing, *asked.distances))


def raggedness(threshold: float) -> float:
    """How much farther than half a diagonal the outline of a thin part may err: 1 at a threshold of one half."""
    return 2 * max(threshold, 1 - threshold)


def any_dark(dark: NDArray[np.bool_], factor: int) -> NDArray[np.bool_]:
    """Reduce a picture: an element of the result is dark where any of the ``factor`` by ``factor`` is that it covers.

    What is missing to a whole factor at the lower and right side is light.
    """
    rows, columns = (-(-length // factor) for length in dark.shape)
    found = np.zeros((rows, columns), dtype=bool)
    for row in range(factor):
        for column in range(factor):
            part = dark[row::factor, column::factor]
            found[: part.shape[0], : part.shape[1]] |= part
    return found


def hold_memory(elements: float, opened: float, what: str) -> None:
    """See that a raster of so many elements, made of an opened file of so many bytes, stays within memory.

    Raises:
        ArtError: it would not; ``what`` begins the sentence, in words that go on from the file's name.
    """
    bytes_needed = elements * _BYTES + opened + _ASIDE
    if bytes_needed > LARGEST_MEMORY:
        raise ArtError(
            f"{what}, which would take {bytes_needed / 2**30:.1f} GiB to read, and no art may take more than "
            f"{LARGEST_MEMORY / 2**30:g}; save it with fewer dots to the inch, or divide the plate"
        )

"""How much of the art is of a tone so near the threshold that what prints there hangs on rounding?

Two programs that draw the same tone of several layers come out up to three levels of 255 apart. At the outline of a
solid such levels are a line less than an element wide; only elements whose neighbours are all of such a tone count.
"""

from __future__ import annotations

import math
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

ROUNDING: Final = 3
"""Levels of 255 (measured on drawings of the public domain, `tests/artwork/compare_openclipart.py`)."""

_BAND: Final = 1024
"""Rows at a time."""


def doubtful_elements(grey: NDArray[np.uint8], level: float) -> int:
    """Count the elements that lie, with all their neighbours, within `ROUNDING` levels of ``level``."""
    count = 0
    for start in range(0, grey.shape[0], _BAND):
        low, high = max(start - 1, 0), min(start + _BAND + 1, grey.shape[0])
        near = cv2.inRange(grey[low:high], math.ceil(level - ROUNDING), math.floor(level + ROUNDING))
        if near.any():
            eroded = cv2.erode(near, np.ones((3, 3), np.uint8), borderType=cv2.BORDER_REPLICATE)
            count += int(np.count_nonzero(eroded[start - low : start - low + _BAND]))
    return count

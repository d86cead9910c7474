"""How large is a page of a PDF, and what does it cover?

A point is 1/72 in. A font that the file does not carry would be replaced by whatever the machine has, and a plate of
the wrong letters would be made on another machine; such a page is refused.
"""

from __future__ import annotations

import json

import numpy as np
from numpy.typing import NDArray

from planner.artwork.children import rendered
from planner.artwork.framing import Window
from planner.artwork.measures import Measure
from planner.artwork.records import ArtError

_POINTS = 72.0


def measured(data: bytes, page: int | None) -> Measure:
    """Measure a page, the first one where none is named.

    Raises:
        ArtError: the PDF is broken, locked, has no such page, or lacks a font.
    """
    answer = json.loads(rendered({"what": "pdf measure", "page": page or 1}, data))
    if answer["missing"]:
        named = ", ".join(answer["missing"][:3])
        raise ArtError(
            f"sets type in a font that it does not carry ({named}); embed all fonts, or turn type into outlines"
        )
    size = (answer["width"] / _POINTS, answer["height"] / _POINTS)
    if not min(size) > 0:
        raise ArtError("has a page without width or height; save the PDF again")
    return Measure(size, size)


def coverage(
    data: bytes, page: int | None, measure: Measure, window: Window, elements: tuple[int, int], per_inch: float
) -> NDArray[np.uint8]:
    """Draw a window of the page in grey: so many elements across and down, so many to the inch of the plate."""
    across, down = elements
    whole = window.whole
    scale = [per_inch * whole[side] / (measure.proportion[side] * _POINTS) for side in (0, 1)]
    request: dict[str, object] = {
        "what": "pdf",
        "page": page or 1,
        "elements": elements,
        "scale": scale,
        "at": [window.left * whole[0] * per_inch, window.top * whole[1] * per_inch],
    }
    return np.frombuffer(rendered(request, data), dtype=np.uint8).reshape(down, across).copy()

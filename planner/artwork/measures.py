"""What does a file say about its own size, before anything of it is drawn?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LARGEST_MEMORY: Final = 2 * 2**30
"""Bytes; no single art file takes more."""

LONGEST_COPY: Final = 1200.0
"""Inches; copy larger than a hundred feet is a slip of units."""


PIXELS: Final = {
    "": 1.0,
    "px": 1.0,
    "in": 96.0,
    "cm": 96 / 2.54,
    "mm": 96 / 25.4,
    "q": 96 / 101.6,
    "pt": 96 / 72,
    "pc": 16.0,
}
"""CSS pixels to a unit (CSS Values and Units Module Level 3, section 6.2)."""


@dataclass(frozen=True, slots=True)
class Measure:
    """The size of a whole drawing, page or picture, as it stands upright.

    ``proportion`` is width and height in any one unit. ``inches`` is its physical size, None where the file has none;
    ``missing`` then says why, in words that go on from the file's name.
    """

    proportion: tuple[float, float]
    inches: tuple[float, float] | None
    missing: str = ""

"""What does a file say about its own size, before anything of it is drawn?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LARGEST_MEMORY: Final = 2 * 2**30
"""Bytes; no single art file takes more."""

LONGEST_COPY: Final = 1200.0
"""Inches; copy larger than a hundred feet is a slip of units."""


@dataclass(frozen=True, slots=True)
class Measure:
    """The size of a whole drawing, page or picture, as it stands upright.

    ``proportion`` is width and height in any one unit. ``inches`` is its physical size, None where the file has none;
    ``missing`` then says why, in words that go on from the file's name.
    """

    proportion: tuple[float, float]
    inches: tuple[float, float] | None
    missing: str = ""

"""Right-reading and wrong-reading: the one place where a layout is turned over.

The layout's frame has its origin at the lower left of the metal sheet as the stripper sees it, y up. A page has its
origin at the upper left, y down. The stripper's view flips y; the view of the metal flips x as well, so that it is the
mirror image, left for right, of what lies on the glass.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Box
from planner.sheets.svg import number, numbers


@dataclass(frozen=True, slots=True)
class View:
    """Where and how a sheet of metal lies on a page. ``left`` and ``top`` are the page's place of its upper left."""

    mirrored: bool
    left: float
    top: float
    width: float
    height: float

    @property
    def matrix(self) -> str:
        """The transform from the layout's frame to the page."""
        across = self.left + self.width if self.mirrored else self.left
        return f"{self._signs()} {numbers(across, self.top + self.height)})"

    @property
    def pattern_matrix(self) -> str:
        """What undoes the view's flips for a hatch, so that it looks the same on both sheets."""
        return f"{self._signs()} 0 0)"

    def swatch_matrix(self, x: float, y: float) -> str:
        """A transform like that of the work, but with its origin at this place of the page."""
        return f"{self._signs()} {numbers(x, y)})"

    def on_page(self, x: float, y: float) -> tuple[float, float]:
        """Give the page's place of a place of the layout."""
        return self.left + self.from_left(x), self.top + self.height - y

    def box_on_page(self, box: Box) -> Box:
        """Give a layout's rectangle as page coordinates: upper left corner and size."""
        x, y, width, height = box
        across = self.from_left(x + width) if self.mirrored else x
        return self.left + across, self.top + self.height - y - height, width, height

    def box_in_layout(self, box: Box) -> Box:
        """Give a page's rectangle in the layout's frame."""
        x, y, width, height = box
        across = x - self.left
        if self.mirrored:
            across = self.width - across - width
        return across, self.top + self.height - y - height, width, height

    def from_left(self, x: float) -> float:
        """Give the distance from the edge of the sheet that is on the left in this view."""
        return self.width - x if self.mirrored else x

    def _signs(self) -> str:
        return f"matrix({number(-1 if self.mirrored else 1)} 0 0 -1"

"""Right-reading and wrong-reading: the one place where a layout is turned over.

The layout's frame has its origin at the lower left of the metal sheet as the stripper sees it, y up. A page has its
origin at the upper left, y down. The stripper's view flips y; the view of the metal flips x as well, so that it is the
mirror image, left for right, of what lies on the glass. A single plate's frame has its origin at the lower left of the
plate, y up; its view may be larger than true size.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan import Box
from planner.sheets.svg import number, numbers


@dataclass(frozen=True, slots=True)
class View:
    """Where and how a sheet of metal, or one plate, lies on a page.

    ``left`` and ``top`` are the page's place of its upper left. ``width`` and ``height`` are those of the metal itself,
    ``corner`` the place of its lower left corner in the layout. ``scale`` is 1 at true size.
    """

    mirrored: bool
    left: float
    top: float
    width: float
    height: float
    scale: float = 1.0
    corner: tuple[float, float] = (0.0, 0.0)

    @property
    def page_width(self) -> float:
        """How wide the view is on the page."""
        return self.width * self.scale

    @property
    def page_height(self) -> float:
        """How high the view is on the page."""
        return self.height * self.scale

    @property
    def matrix(self) -> str:
        """The transform from the layout's frame to the page."""
        return f"{self._signs()} {numbers(*self.on_page(0, 0))})"

    @property
    def pattern_matrix(self) -> str:
        """What undoes the view's flips and its scale for a hatch, so that it looks the same on all sheets."""
        return f"{self._signs(1 / self.scale)} 0 0)"

    def swatch_matrix(self, x: float, y: float) -> str:
        """A transform like that of the work, but with its origin at this place of the page."""
        return f"{self._signs()} {numbers(x, y)})"

    def on_page(self, x: float, y: float) -> tuple[float, float]:
        """Give the page's place of a place of the layout."""
        up = self.height - (y - self.corner[1])
        return self.left + self.scale * self.from_left(x), self.top + self.scale * up

    def box_on_page(self, box: Box) -> Box:
        """Give a layout's rectangle as page coordinates: upper left corner and size."""
        x, y, width, height = box
        left, top = self.on_page(x + width if self.mirrored else x, y + height)
        return left, top, width * self.scale, height * self.scale

    def box_in_layout(self, box: Box) -> Box:
        """Give a page's rectangle in the layout's frame."""
        x, y, width, height = box
        across, down = (x - self.left) / self.scale, (y - self.top) / self.scale
        wide, high = width / self.scale, height / self.scale
        if self.mirrored:
            across = self.width - across - wide
        return self.corner[0] + across, self.corner[1] + self.height - down - high, wide, high

    def from_left(self, x: float) -> float:
        """Give the distance from the edge of the metal that is on the left in this view."""
        across = x - self.corner[0]
        return self.width - across if self.mirrored else across

    def _signs(self, scale: float | None = None) -> str:
        size = self.scale if scale is None else scale
        return f"matrix({number(-size if self.mirrored else size)} 0 0 {number(-size)}"

"""What of a flat lies under the labels of its sheets: which edges they keep off, what they had better leave open."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from planner.geometry import shape_of
from planner.plan import Box, FilmRecord, Placement, Shape
from planner.sheets.art import is_solid
from planner.sheets.canvas import Canvas
from planner.sheets.desk import Desk
from planner.sheets.ground import Ground

_AROUND: Final = (0.42, 0.42, 0.62, 0.2)
"""Inches to the left, above, to the right and below the metal where a label may stand that finds no room on it."""
_LIGHT: Final = 0.15
_EDGE: Final = 3.0
"""What a cell on a line counts for that a label had better not lie on, in cells."""


def ground_of(
    canvas: Canvas, desk: Desk, *, open_wanted: Iterable[Shape] = (), lines: Iterable[Shape] = (), films: bool = True
) -> Ground:
    """Give the ground of a flat's sheet.

    No label lies on the edge of an image, of what prints, of a tint or of a plate, nor on art that shows itself.
    ``open_wanted`` are areas and ``lines`` edges that labels had better leave open. Without ``films`` images are not
    shown.
    """
    view = canvas.view
    ground = Ground(_around(view.left, view.top, view.page_width, view.page_height))
    for placement in desk.flat.placements:
        ground.bar(view, placement.outline)
        if not films:
            continue
        ground.bar(view, placement.printing)
        ground.weigh(view, placement.printing, _LIGHT)
        for tint in placement.tints:
            ground.bar(view, tint.area)
        for film in placement.films:
            ground.bar(view, film.image, whole=is_kept(film, placement))
    for shape in open_wanted:
        ground.weigh(view, shape, 1.0, edges=_EDGE)
    for shape in lines:
        ground.weigh(view, shape, 0.0, edges=_EDGE)
    return ground


def is_kept(film: FilmRecord, placement: Placement) -> bool:
    """Say whether what a film shows is to be kept free of labels wholly, and not at its edges only."""
    if film.art is not None and film.use == "base":
        return is_solid(film)
    # The lettering of an overlay is why it is there; one that fills its film cannot be kept free.
    return film.use != "base" and shape_of(film.image).area < shape_of(placement.outline).area / 2


def _around(left: float, top: float, width: float, height: float) -> Box:
    west, north, east, south = _AROUND
    return left - west, top - north, width + west + east, height + north + south

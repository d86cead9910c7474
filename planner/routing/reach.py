"""Where may the middle of a cutter be, and what does the cutter sweep from there?

A cutter of radius r reaches the opening of its room by a disc of radius r (mathematical morphology; J. Serra, Image
Analysis and Mathematical Morphology, 1982, chapter II, from memory): its middle may be where the room is left after
shrinking by r, and it sweeps what lies within r of that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.geometry import area_of
from planner.growing import simplified

ARCS: Final = 64
"""Chords in a quarter turn; of what is swept round shapes with many corners a quarter of that."""

ROUNDING: Final = 2e-6
"""Inches that middles keep off their limit, so that paths rounded to a millionth of an inch stay within it."""

_MANY: Final = 2_000
"""Corners; shapes with more, from pictures, are treated in ways of their own."""

_MITRE: Final = 1.05
"""Times the radius that a middle keeps off a sharp corner at most, where lines are drawn on until they meet."""

_LEEWAY: Final = 1 / 2000
"""Of the radius; by how much the edge of a shape with many corners may move before what is swept from it is drawn."""


@dataclass(frozen=True, slots=True)
class Centres:
    """Where the middle of a cutter may be, and what it sweeps from there."""

    shape: MultiPolygon
    radius: float
    rim: float
    """Inches, a few hundred-thousandths at most: how much more than its radius the middle keeps off a straight wall."""

    @property
    def swept(self) -> BaseGeometry:
        """The opening of the room: what the cutter sweeps, and the rim that rounding keeps it from."""
        if shapely.get_num_coordinates(self.shape) <= _MANY:
            return self.shape.buffer(self.radius + self.rim, quad_segs=ARCS)
        return simplified(self.shape, self.radius * _LEEWAY).buffer(self.radius + self.rim, quad_segs=ARCS // 4)


def room_round(left: BaseGeometry, diameter: float, room: BaseGeometry) -> BaseGeometry:
    """Give as much of a room as matters to a cutter of this diameter in inches that is to take what is left."""
    coarse = diameter / 20
    near = simplified(left, coarse).buffer(diameter * 1.02 + 2 * coarse, quad_segs=4)
    return room.intersection(near)


def centres_of(room: BaseGeometry, radius: float) -> Centres:
    """Give the places where the middle of a cutter may be; never nearer to the room's edge than its radius in inches.

    Chords stand outside the true arcs, never inside. An edge with many corners turns little at each, so that straight
    lines drawn on until they meet do as well as arcs. Shrinking is slow where the distance is much longer than the
    edges of the shape: there a third of the way is gone first, by which most of them are gone too.
    """
    if shapely.get_num_coordinates(room) > _MANY:
        core = room.buffer(-radius / 3, join_style="mitre", mitre_limit=_MITRE)
        core = core.buffer(-(radius * 2 / 3 + ROUNDING), join_style="mitre", mitre_limit=_MITRE)
        return Centres(area_of(core), radius, ROUNDING)
    # A chord spans up to 1.5 of the nominal angle (see `planner.geometry.grown`).
    distance = radius / math.cos(1.5 * math.pi / (4 * ARCS)) + ROUNDING
    return Centres(area_of(room.buffer(-distance, quad_segs=ARCS)), radius, distance - radius)

"""Where is the cutter set down, and how far can it go on without being lifted?

It is set down where the limit of its middle is farthest, off the plate if the line goes there; a line beside metal
that is already cut away is come to from there. From the end of a line it goes straight on to the next one where that
stays within its limit and is quicker than to lift, travel and set down again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, STRtree

from planner.house import Routing
from planner.routing.contours import Chain, Points
from planner.routing.order import Place, Stop, short_way
from planner.routing.reach import ROUNDING, Centres

_SAMPLES = 48
"""Corners of a closed line that are looked at as places to set down."""

_CORNERS = 32
"""Corners to a stretch of the limit, so that the nearest one is found quickly."""


@dataclass(frozen=True, slots=True)
class Run:
    """A line that the cutter goes without being lifted."""

    points: Points
    may_turn: bool
    """Whether it may as well be run backwards."""
    loop: bool
    """Whether it is one closed line that may be begun anywhere."""

    @property
    def stop(self) -> Stop:
        """What ordering needs to know of it."""
        return Stop(_place(self.points[0]), _place(self.points[-1]), self.may_turn)

    @property
    def length(self) -> float:
        """In inches."""
        return float(np.hypot(*np.diff(self.points, axis=0).T).sum())

    def turned(self) -> Run:
        """The same line the other way."""
        return Run(self.points[::-1], self.may_turn, self.loop)


class Limit:
    """Where the middle of a cutter may be, ready for many questions."""

    def __init__(self, centres: Centres, routing: Routing) -> None:
        self._shape = centres.shape.buffer(ROUNDING / 2, quad_segs=1, join_style="mitre")
        shapely.prepare(self._shape)
        self._edges = STRtree(list(_stretches(centres)))
        saved = 1 / routing.feed - 1 / routing.travel
        self._longest = routing.lift_seconds / 60 / saved if saved > 0 else math.inf

    def lets_go(self, start: Points, end: Points) -> bool:
        """Whether to go straight on is allowed, and quicker than to lift."""
        if math.dist(start, end) > self._longest:
            return False
        return bool(self._shape.covers(LineString([start, end])))

    def most_open(self, ring: Points) -> int:
        """Give the corner of a closed line that is farthest from the limit, of a few that are looked at."""
        step = max(1, len(ring) // _SAMPLES)
        _, distances = self._edges.query_nearest(
            shapely.points(ring[:-1:step]), return_distance=True, all_matches=False
        )
        return int(np.argmax(np.round(distances, 6))) * step


def runs_of(chains: Iterable[Chain], limit: Limit) -> list[Run]:
    """Give the runs of one piece in working order."""
    single = [run for chain in chains for run in _single(chain, limit)]
    joined = _joined(_ordered(single), limit)
    # What is joined, and where loops now begin, may ask for another order.
    return _ordered(joined)


def _ordered(runs: Sequence[Run]) -> list[Run]:
    tour = short_way([run.stop for run in runs])
    return [runs[place].turned() if turned else runs[place] for place, turned in tour]


def _single(chain: Chain, limit: Limit) -> Iterator[Run]:
    """The runs of one chain by itself: mostly one."""
    if not chain.closed:
        yield Run(chain.lines[0], True, False)
        return
    first = chain.lines[0]
    if chain.lead is not None:
        lead = np.array([chain.lead])
        ring = _begun_at(first, lead[0])
        parts = [lead, ring] if limit.lets_go(lead[0], ring[0]) else [ring]
    else:
        parts = [_begun_with(first, limit.most_open(first))]
    for line in chain.lines[1:]:
        ring = _begun_at(line, parts[-1][-1])
        if limit.lets_go(parts[-1][-1], ring[0]):
            parts.append(ring)
        else:
            yield Run(np.concatenate(parts), False, False)
            parts = [ring]
    alone = len(chain.lines) == 1 and len(parts) == 1
    yield Run(np.concatenate(parts), alone, alone and chain.inner)


def _joined(order: Sequence[Run], limit: Limit) -> list[Run]:
    """Join runs that follow on each other without a lift; loops begin where the cutter comes from."""
    runs: list[Run] = []
    for run in order:
        following = run
        if runs and run.loop:
            following = Run(_begun_at(run.points, runs[-1].points[-1]), True, True)
        if runs and limit.lets_go(runs[-1].points[-1], following.points[0]):
            may_turn = runs[-1].may_turn and following.may_turn
            runs[-1] = Run(np.concatenate([runs[-1].points, following.points]), may_turn, False)
        else:
            runs.append(following)
    return runs


def _begun_with(ring: Points, corner: int) -> Points:
    """A closed line begun at one of its corners."""
    return np.concatenate([ring[corner:-1], ring[: corner + 1]])


def _begun_at(ring: Points, place: Points) -> Points:
    """A closed line begun where it is nearest to a place."""
    starts, along = ring[:-1], np.diff(ring, axis=0)
    squares = np.maximum((along**2).sum(axis=1), 1e-18)
    part = np.clip(((place - starts) * along).sum(axis=1) / squares, 0.0, 1.0)
    feet = starts + part[:, None] * along
    best = int(np.argmin(((feet - place) ** 2).sum(axis=1)))
    foot = feet[best : best + 1]
    return np.concatenate([foot, ring[best + 1 : -1], ring[: best + 1], foot])


def _place(point: Points) -> Place:
    return float(point[0]), float(point[1])


def _stretches(centres: Centres) -> Iterator[LineString]:
    for part in centres.shape.geoms:
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            for low in range(0, len(points) - 1, _CORNERS):
                yield LineString(points[low : low + _CORNERS + 1])

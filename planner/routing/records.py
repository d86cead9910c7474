"""What the router's room gives: zones and the whole work on one plate, in the plate's frame, in inches."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal, TypeAlias

from shapely import Point
from shapely.geometry import MultiPolygon

from planner.geometry import grown, union_of

Line: TypeAlias = tuple[tuple[float, float], ...]

DepthFor: TypeAlias = Literal["line", "halftone", "open"]


@dataclass(frozen=True, slots=True)
class Zone:
    """Dead metal that one cutter takes; ``cutter`` is its diameter, or None for what is left to hand tools."""

    cutter: float | None
    shape: MultiPolygon


@dataclass(frozen=True, slots=True)
class Piece:
    """One connected piece of a zone with its paths; the fields are those of `planner.plan.RouterZone`."""

    number: int
    cutter: float | None
    depth: float
    depth_for: DepthFor
    shape: MultiPolygon = field(repr=False)
    paths: tuple[Line, ...] = field(repr=False)
    length: float
    travel: float
    lifts: int
    minutes: float | None
    chips: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where the edge of a piece runs close to fine detail; see `planner.plan.StretchRecord`."""

    piece: int
    line: Line
    distance: float
    width: float


@dataclass(frozen=True, slots=True)
class Nails:
    """Where nails go through dead metal: middles, and the diameter of what stays round each."""

    at: tuple[tuple[float, float], ...]
    width: float

    @property
    def discs(self) -> MultiPolygon:
        """The metal that stays round the nails; never less than their discs."""
        return union_of(grown(Point(at), self.width / 2) for at in self.at)


NO_NAILS: Final = Nails((), 0.0)


@dataclass(frozen=True, slots=True)
class RouterWork:
    """The router's whole work on one plate."""

    zones: tuple[Zone, ...]
    pieces: tuple[Piece, ...]
    whites: MultiPolygon = field(repr=False)
    nails: Nails
    near: tuple[Stretch, ...]
    travel_nearest: float

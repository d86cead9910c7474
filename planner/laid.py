"""What lies where once everything is laid: the view of flats and of the day that house rules are handed.

It holds the plan's own records, so that it is the same for a day that was just planned and for one that a late job
enters. Shapes of records are in the flat's frame; `planner.geometry.shape_of` makes shapely geometries of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from shapely import Polygon

from planner.geometry import rectangle
from planner.plan import Flat, HeldPlate, JobRecord, Placement, PlateRecord, SheetRecord


@dataclass(frozen=True, slots=True)
class LaidPlate:
    """A plate in its place: its number on the flat's sheets, what it is, its job, and where it lies."""

    number: int
    record: PlateRecord
    job: JobRecord
    placement: Placement


@dataclass(frozen=True)
class LaidFlat:
    """A flat with its plates; inches."""

    record: Flat
    plates: tuple[LaidPlate, ...]
    of_day: Mapping[str, PlateRecord]
    """All plates of the day by id: also those on other flats and those on none."""

    @property
    def number(self) -> int:
        """Of the flat, from 1, in working order."""
        return self.record.number

    @property
    def sheet(self) -> SheetRecord:
        """The metal under it."""
        return self.record.sheet

    @property
    def width(self) -> float:
        """Of the whole sheet."""
        return self.record.sheet.width

    @property
    def height(self) -> float:
        """Of the whole sheet."""
        return self.record.sheet.height

    @cached_property
    def area(self) -> Polygon:
        """The whole sheet."""
        return rectangle(0, 0, self.width, self.height)

    @cached_property
    def usable(self) -> Polygon:
        """What lies inside the grip margin and on the glass."""
        return rectangle(*self.record.usable)


@dataclass(frozen=True, slots=True)
class LaidDay:
    """All flats of the day, all its plates by id, and what is on no flat."""

    flats: tuple[LaidFlat, ...]
    plates: Mapping[str, PlateRecord]
    held: tuple[HeldPlate, ...]


def laid_flat(flat: Flat, plates: Mapping[str, PlateRecord], jobs: Mapping[str, JobRecord]) -> LaidFlat:
    """Give the view of a flat; ``plates`` are all of the day by id, ``jobs`` by number."""
    laid = []
    for number, placement in enumerate(flat.placements, 1):
        record = plates[placement.plate]
        laid.append(LaidPlate(number, record, jobs[record.job], placement))
    return LaidFlat(flat, tuple(laid), plates)

"""What lies where once everything is laid: the view of flats and of the day that house rules are handed.

It holds the plan's own records, so that it is the same for a day that was just planned and for one that a late job
enters. Shapes of records are in the flat's frame; `planner.geometry.shape_of` makes shapely geometries of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from types import MappingProxyType

from shapely import MultiPolygon, Polygon
from shapely.affinity import affine_transform

from planner.geometry import rectangle, shape_of
from planner.paths import shape_of_path
from planner.plan import ArtRecord, FilmRecord, Flat, HeldPlate, JobRecord, Placement, PlateRecord, SheetRecord


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
    art: Mapping[str, ArtRecord]
    """All art of the day by id."""

    def printing(self, film: FilmRecord) -> MultiPolygon:
        """What prints of a film of this flat, exactly; of art, its ``image`` has narrow whites filled."""
        if film.art is None or film.art_transform is None:
            return shape_of(film.image)
        art = self.art[film.art]
        a, b, c, d, e, f = film.art_transform
        return affine_transform(_shape_of_art(art.path, art.unit), (a, c, b, d, e, f))

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
    """All flats of the day, all its plates by id, its jobs by number, and what is on no flat."""

    flats: tuple[LaidFlat, ...]
    plates: Mapping[str, PlateRecord]
    jobs: Mapping[str, JobRecord]
    held: tuple[HeldPlate, ...]


@dataclass(frozen=True)
class DayRecords:
    """The records that all flats of a day share: its plates, its jobs and its art."""

    plates: Sequence[PlateRecord]
    jobs: Sequence[JobRecord]
    art: Sequence[ArtRecord]

    def laid(self, flat: Flat) -> LaidFlat:
        """Give the view of a flat."""
        laid = []
        for number, placement in enumerate(flat.placements, 1):
            record = self.plates_by_id[placement.plate]
            laid.append(LaidPlate(number, record, self.jobs_by_number[record.job], placement))
        return LaidFlat(flat, tuple(laid), self.plates_by_id, self._art_by_id)

    @cached_property
    def plates_by_id(self) -> Mapping[str, PlateRecord]:
        """All plates of the day, also those on no flat."""
        return MappingProxyType({plate.id: plate for plate in self.plates})

    @cached_property
    def jobs_by_number(self) -> Mapping[str, JobRecord]:
        """All jobs of the day."""
        return MappingProxyType({job.number: job for job in self.jobs})

    @cached_property
    def _art_by_id(self) -> Mapping[str, ArtRecord]:
        return MappingProxyType({art.id: art for art in self.art})


@lru_cache(maxsize=64)
def _shape_of_art(path: str, unit: float) -> MultiPolygon:
    """Art is laid many times, and each rule asks for it anew."""
    return shape_of_path(path, unit)

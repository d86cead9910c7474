"""The art of a day as the plan carries it: each piece once, and which film of which plate is made from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.films import PlacedArt
from planner.plan import ArtRecord, CopyRecord
from planner.plates import OrderedPlate


@dataclass(frozen=True, slots=True)
class ArtOfTheDay:
    """Art records, the copies before the camera, and by plate the art of each of its films."""

    records: tuple[ArtRecord, ...]
    copies: tuple[CopyRecord, ...]
    by_plate: Mapping[str, Mapping[int, str]]
    """By plate's id and film's number, the id of the art."""


def art_of(plates: Sequence[OrderedPlate], first: int = 1) -> ArtOfTheDay:
    """Give the art of some plates; ids are counted from ``first``."""
    ids: dict[ArtRecord, str] = {}
    by_plate: dict[str, dict[int, str]] = {}
    alike: dict[tuple[str, str, int, str], list[OrderedPlate]] = {}
    percentages: dict[str, float] = {}
    for plate in plates:
        for film in plate.films:
            if film.art is None:
                continue
            art_id = ids.setdefault(_record(film.art), f"art-{first + len(ids)}")
            percentages[art_id] = film.art.artwork.percentage
            by_plate.setdefault(plate.id, {})[film.number] = art_id
            alike.setdefault((plate.job, plate.name, film.number, art_id), []).append(plate)
    copies = tuple(
        CopyRecord(plates=tuple(plate.id for plate in same), film=number, art=art_id, percentage=percentages[art_id])
        for (_, _, number, art_id), same in alike.items()
    )
    records = tuple(record.model_copy(update={"id": art_id}) for record, art_id in ids.items())
    return ArtOfTheDay(records, copies, by_plate)


def _record(placed: PlacedArt) -> ArtRecord:
    """The record of a piece of art, not yet named."""
    artwork, asked = placed.artwork, placed.asked
    return ArtRecord(
        id="", file=placed.file, page=asked.page, digest=artwork.digest, kind=asked.kind, threshold=asked.threshold,
        light_on_dark=asked.light_on_dark, mirrored=asked.mirrored, copy_size=artwork.copy_size, crop=artwork.crop,
        size=artwork.size, percentage=artwork.percentage, resolution=artwork.resolution, error=artwork.error,
        area=artwork.area, unit=artwork.unit, path=artwork.path,
    )  # fmt: skip

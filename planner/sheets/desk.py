"""What lies on the desk while one flat is drawn: its plates by number, their records, and the findings about them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from planner.lengths import amount_text, fraction_text, size_text
from planner.plan import (
    Box,
    CutPart,
    FilmRecord,
    FindingRecord,
    Flat,
    JobRecord,
    OffcutRecord,
    Placement,
    Plan,
    PlateRecord,
)
from planner.sheets.style import Look, zone_kind, zone_look
from planner.sheets.text import cut_at, cut_within, tied

LONGEST_NAME = 44
"""Signs of a job's number, a plate's name or the like that a sheet shows."""
SHORT_NAME = 14
"""Signs of a job's number that a small label shows."""
_SAME: Final = 1e-6
"""Inches; the boxes of one offcut differ by no more."""


@dataclass(frozen=True, slots=True)
class Noted:
    """A finding as it is marked on this flat: its number here, and that of the plate it is about."""

    number: int
    record: FindingRecord
    plate: int | None


@dataclass(frozen=True)
class Desk:
    """A plan, one of its flats, and what is looked up for it."""

    plan: Plan
    flat: Flat

    @cached_property
    def numbered(self) -> list[tuple[int, Placement, PlateRecord]]:
        """The flat's placements with their numbers, from 1, and the records of their plates."""
        records = {plate.id: plate for plate in self.plan.plates}
        return [
            (number, placement, records[placement.plate])
            for number, placement in enumerate(self.flat.placements, start=1)
        ]

    @cached_property
    def numbers(self) -> dict[str, int]:
        """The number of each plate on this flat."""
        return {placement.plate: number for number, placement, _ in self.numbered}

    @cached_property
    def jobs(self) -> dict[str, JobRecord]:
        """The plan's jobs by number."""
        return {job.number: job for job in self.plan.jobs}

    @cached_property
    def findings(self) -> list[Noted]:
        """The findings about this flat, about plates that lie on it, and about the day as a whole."""
        mine = [finding for finding in self.plan.findings if self._is_here(finding)]
        return [
            Noted(number, finding, self.numbers.get(finding.plate or ""))
            for number, finding in enumerate(mine, start=1)
        ]

    @property
    def free(self) -> bool:
        """Whether each plate is sawn out along its own line."""
        return self.flat.layout == "free"

    def box_of(self, placement: Placement) -> Box:
        """Give the box that says where a plate lies: its blank, or on a free flat that of the metal sawn out for it."""
        return placement.part if self.free else placement.blank

    @cached_property
    def cuts(self) -> list[CutPart]:
        """The parts that are cut in two, in the order of the cuts."""
        return sorted((part for part in self.flat.cut_tree if part.cut), key=lambda part: part.number or 0)

    @cached_property
    def offcuts(self) -> list[OffcutRecord]:
        """The offcuts of this flat that go back on the rack."""
        return [offcut for offcut in self.plan.offcuts if offcut.flat == self.flat.number]

    def offcut_name(self, box: Box) -> str:
        """Give the name of the offcut that is cut at this box; empty if the plan names none there."""
        near = (one for one in self.offcuts if max(abs(a - b) for a, b in zip(one.box, box, strict=True)) < _SAME)
        return next((cut_within(one.name, LONGEST_NAME) for one in near), "")

    @cached_property
    def art_places(self) -> dict[str, int]:
        """The place in the plan's list of each piece of art, by its id."""
        return {art.id: place for place, art in enumerate(self.plan.art)}

    @cached_property
    def patterns(self) -> list[str]:
        """The names of the tint patterns on this flat, each once, in the order in which they come."""
        return list(dict.fromkeys(tint.pattern for placement in self.flat.placements for tint in placement.tints))

    @cached_property
    def jobs_here(self) -> list[JobRecord]:
        """The jobs with plates on this flat, in the order of the plan."""
        mine = {record.job for _, _, record in self.numbered}
        return [job for job in self.plan.jobs if job.number in mine]

    def job_words(self, number: str, most: int = LONGEST_NAME) -> str:
        """Name a job by its number, with RUSH before it where it is one."""
        job = self.jobs.get(number)
        rush = "RUSH " if job is not None and job.rush else ""
        return rush + cut_within(number, most)

    def cutter_place(self, cutter: float | None) -> int | None:
        """Give a cutter's place in the list of the house; a diameter the list lacks comes after all of it."""
        if cutter is None:
            return None
        listed = self.plan.settings.cutters
        places = [place for place, diameter in enumerate(listed) if abs(diameter - cutter) < 1e-9]
        return places[0] if places else len(listed)

    def zone_looks(self, cutters: Iterable[float | None]) -> dict[str, Look]:
        """Give the looks of the zones of these cutters, in the order of the house's list; hand tools have their own."""
        places = {cutter: self.cutter_place(cutter) for cutter in cutters}
        listed = sorted((place, cutter) for cutter, place in places.items() if cutter is not None and place is not None)
        return {zone_kind(place): zone_look(place, cutter) for place, cutter in listed}

    def sheet_words(self) -> str:
        """Name the metal: what it is, how thick, how large, where from."""
        sheet = self.flat.sheet
        size = size_text(sheet.width, sheet.height)
        words = f"{cut_at(sheet.metal, 20)} {amount_text(sheet.gauge)}, {size}"
        # A name made up of metal and size would say it all again.
        name = " ".join(word for word in sheet.name.split() if not sheet.remnant or word.lower() != "remnant")
        if name not in (f"{sheet.metal} {size}", f"{sheet.metal} {size}".removesuffix(" in")):
            words += f", {cut_at(sheet.name, 40)}"
        return words + (" (remnant)" if sheet.remnant and "remnant" not in words.lower() else "")

    def _is_here(self, finding: FindingRecord) -> bool:
        if finding.flat is not None:
            return finding.flat == self.flat.number
        return finding.plate is None or finding.plate in self.numbers


def plate_words(record: PlateRecord) -> str:
    """Name a plate within its job: its name, which copy, which colour."""
    words = [cut_at(record.name, LONGEST_NAME)]
    if record.colour:
        words.append(cut_at(record.colour, 20))
    if record.copies > 1:
        words.append(f"copy {record.copy_number}/{record.copies}")
    return ", ".join(words)


def film_words(films: Sequence[FilmRecord], screen: int | None) -> list[str]:
    """Say of each film of a plate, in laying order, what it is, what it lies on, and how far it is from square."""
    if len(films) == 1:
        # "line" alone, after a size or a mounting, is taken for another word.
        only = one_film(films[0], screen)
        return [f"{only} negative" if only == "line" else only]
    return [f"film {film.number}: {one_film(film, screen)}" for film in films]


def one_film(film: FilmRecord, screen: int | None) -> str:
    """Say what one film is."""
    if film.use == "base":
        screened = f", screen {screen}" if screen and film.kind != "line" else ""
        words = cut_at(film.kind, 24) + screened
    else:
        words = film.use.upper() + (f" on film {film.on}" if film.on is not None else "")
    return words + (f", {askew_words(film.angle)}" if is_askew(film.angle) else "")


def is_askew(angle: float) -> bool:
    """Say whether an angle is no multiple of a quarter turn."""
    return abs(angle - round(angle / 90) * 90) > 1e-6


def askew_words(angle: float) -> str:
    """Say how far an angle is from the nearest quarter turn, and which way in the layout."""
    off = angle - round(angle / 90) * 90
    way = "anticlockwise" if off > 0 else "clockwise"
    return tied("askew " + f"{abs(off):.2f}".rstrip("0").rstrip(".") + "\u00b0") + f" {way}"


_HEAD: Final = {90: ("left", "right"), 180: ("down", "down"), 270: ("right", "left")}
"""Where the top of a plate points when it lies turned: in the stripper's view, and on the metal."""


def plate_size(placement: Placement, record: PlateRecord, mirrored: bool) -> str:
    """Give the size of the plate as ordered, and where its head lies in this view when it is turned."""
    size = tied(f"{fraction_text(record.width)} x") + " " + tied(f"{fraction_text(record.height)} in")
    return size + (f", {tied(f'head {_HEAD[placement.turned][mirrored]}')}" if placement.turned else "")


def corner_words(across: float, up: float) -> str:
    """Give a lower left corner as the stripper measures it."""
    return f"{tied(f'L {fraction_text(across)}')} {tied(f'B {fraction_text(up)}')}"

"""What lies on the router's bench: which work belongs to which plate, which plates share a page, what a page is called.

A plate's work is in the plate's own frame; the flat's frame is where its metal lies before it is cut apart.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from planner.plan import Box, Flat, Placement, Plan, PlateRecord, Ring, RouterRecord, Shape, Transform

_TURNS: Final[dict[int, tuple[float, float, float, float]]] = {
    0: (1, 0, 0, 1),
    90: (0, 1, -1, 0),
    180: (-1, 0, 0, -1),
    270: (0, -1, 1, 0),
}
"""a, b, c, d of a quarter turn anticlockwise: exact, never a rounded sine."""


@dataclass(frozen=True, slots=True)
class Job:
    """The router's work on one plate, or on several that are alike: the first of them, and where the others lie."""

    record: RouterRecord
    plate: PlateRecord
    flat: Flat
    placement: Placement
    number: int
    """Of the first plate on its flat."""
    others: tuple[tuple[int, int], ...]
    """Flat and number of each plate that is like it."""

    @property
    def stem(self) -> str:
        """What its files are called: nothing of what people wrote goes into a file name."""
        return f"flat-{self.flat.number:02d}-router-plate-{self.number}"

    @property
    def all_plates(self) -> tuple[tuple[int, int], ...]:
        """Flat and number of every plate that this page is for."""
        return ((self.flat.number, self.number), *self.others)


def router_jobs(plan: Plan) -> list[Job]:
    """Give the work there is on plates that lie on a flat, in the order of flats and plates; one job for each page."""
    places = {
        placement.plate: (flat, placement, number)
        for flat in plan.flats
        for number, placement in enumerate(flat.placements, start=1)
    }
    records = {plate.id: plate for plate in plan.plates}
    order = {flat.number: place for place, flat in enumerate(plan.flats)}
    jobs = []
    for record in plan.router:
        laid = [places[plate] for plate in record.plates if plate in places]
        if not laid or not record.zones:
            continue
        laid.sort(key=lambda one: (order[one[0].number], one[2]))
        flat, placement, number = laid[0]
        others = tuple((other.number, place) for other, _, place in laid[1:])
        jobs.append(Job(record, records[placement.plate], flat, placement, number, others))
    return sorted(jobs, key=lambda job: (order[job.flat.number], job.number))


def plates_words(plates: Iterable[tuple[int, int]], here: int | None = None) -> str:
    """Name plates by flat and number: ``plates 4, 5 on flat 2; plate 1 on flat 3``; no flat is named for ``here``."""
    by_flat: dict[int, list[int]] = {}
    for flat, number in plates:
        by_flat.setdefault(flat, []).append(number)
    words = []
    for flat, numbers in by_flat.items():
        where = "" if flat == here else f" on flat {flat}"
        words.append(f"plate{'s' if len(numbers) > 1 else ''} {runs_words(numbers)}{where}")
    return "; ".join(words)


def runs_words(numbers: Iterable[int]) -> str:
    """Write whole numbers in order, those that follow each other as a run: ``1, 4-7, 9``."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    # Two are no run.
    parts = [f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return ", ".join(parts)


def to_flat(plate: PlateRecord, placement: Placement) -> Transform:
    """Give the transform from a plate's frame to its flat's: its blank is turned, then put where it lies."""
    a, b, c, d = _TURNS[placement.turned]
    left, bottom, width, height = plate.blank
    corners = [(a * x + c * y, b * x + d * y) for x in (left, left + width) for y in (bottom, bottom + height)]
    x, y = (min(corner[axis] for corner in corners) for axis in (0, 1))
    return (a, b, c, d, placement.blank[0] - x, placement.blank[1] - y)


def to_plate(plate: PlateRecord, placement: Placement) -> Transform:
    """Give the transform from the flat's frame back to the plate's."""
    a, b, c, d, e, f = to_flat(plate, placement)
    # A turn is undone by its mirror image about the diagonal.
    return (a, c, b, d, -(a * e + b * f), -(c * e + d * f))


def put(transform: Transform, shape: Shape) -> Shape:
    """Bring a shape to another frame."""
    return tuple(tuple(put_line(transform, ring) for ring in polygon) for polygon in shape)


def put_line(transform: Transform, line: Ring) -> Ring:
    """Bring points to another frame."""
    a, b, c, d, e, f = transform
    return tuple((a * x + c * y + e, b * x + d * y + f) for x, y in line)


def around(*boxes: Box) -> Box:
    """Give the least box that holds all of these."""
    left, bottom = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, top = max(box[0] + box[2] for box in boxes), max(box[1] + box[3] for box in boxes)
    return left, bottom, right - left, top - bottom

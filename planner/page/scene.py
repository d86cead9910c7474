"""What is there to draw of one flat on the screen? Each shape once, in the flat's frame, for both views.

Art and router zones that several plates share are written once for the day and put in place by a transform.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeAlias

from planner.lengths import size_text
from planner.page.outlines import UNITS, box_of, boxes, lines, outline
from planner.plan import CutPart, FilmRecord, Flat, Placement, Plan, PlateRecord, RouterRecord, Transform
from planner.sheets.art_paths import drawn_path
from planner.sheets.bench import to_flat
from planner.sheets.looking import COVERED

Data: TypeAlias = dict[str, Any]


@dataclass(frozen=True)
class Scenes:
    """The drawings of a plan's flats, and what they share."""

    plan: Plan

    @cached_property
    def _plates(self) -> dict[str, tuple[int, PlateRecord]]:
        return {plate.id: (place, plate) for place, plate in enumerate(self.plan.plates)}

    @cached_property
    def _art(self) -> dict[str, int]:
        return {art.id: place for place, art in enumerate(self.plan.art)}

    @cached_property
    def _work(self) -> dict[str, int]:
        return {plate: place for place, work in enumerate(self.plan.router) for plate in work.plates}

    def art(self) -> list[Data]:
        """Give each piece of art: its path, and what one of its units is in inches."""
        drawn = (drawn_path(art.path, art.unit) for art in self.plan.art)
        return [{"path": path, "unit": unit} for path, unit in drawn]

    def work(self) -> list[Data]:
        """Give the zones of each of the router's records, in the plate's frame."""
        return [{"zones": self._router_zones(work), "nails": _points(work)} for work in self.plan.router]

    def flat(self, flat: Flat) -> Data:
        """Give all that is drawn of one flat."""
        sheet = flat.sheet
        whole = (0.0, 0.0, sheet.width, sheet.height)
        inside = (flat.grip, flat.grip, sheet.width - 2 * flat.grip, sheet.height - 2 * flat.grip)
        gripped = flat.grip > 0 and min(inside[2:]) > 0
        return {
            "number": flat.number,
            "metal": sheet.metal,
            "width": sheet.width,
            "height": sheet.height,
            "grip": boxes(whole, inside) if gripped else "",
            "usable": boxes(flat.usable),
            "spots": boxes(*flat.spots),
            "kerf": outline(flat.kerf_shape),
            "cuts": [_cut(part) for part in flat.cut_tree if part.cut],
            "offcuts": [{"name": one.name, "size": size_text(*one.box[2:]), "box": list(one.box)}
                        for one in self.plan.offcuts if one.flat == flat.number],
            "rests": [{"use": part.use, "path": boxes(part.box)} for part in flat.cut_tree
                      if part.use in ("offcut", "scrap")]
            + [{"use": rest.use, "path": outline(rest.shape)} for rest in flat.rest if rest.use != "grip"],
            "plates": [self._plate(flat, number, placed) for number, placed in enumerate(flat.placements, start=1)],
            "findings": self._findings(flat),
            "passes": [{"name": one.name, "sheet": one.sheet, "opens": outline(one.opens), "mask": outline(one.mask),
                        "frame": boxes(one.frame) if one.frame else ""} for one in flat.passes],
            "marks": [{"layer": mark.layer, "words": mark.words, "kind": mark.kind,
                       "path": outline(mark.area), "lines": lines(mark.lines),
                       "points": [list(line[0]) for line in mark.lines if mark.kind in ("cross", "text")]}
                      for mark in flat.marks],
        }  # fmt: skip

    def _plate(self, flat: Flat, number: int, placed: Placement) -> Data:
        place, record = self._plates[placed.plate]
        made = [film for film in placed.films if film.art is not None and film.art_transform is not None]
        plain = [film for film in placed.films if film not in made]
        work = self._work.get(placed.plate)
        zones = [] if work is not None else [[self._cutter(zone.cutter), outline(zone.shape)] for zone in placed.zones]
        return {
            "number": number,
            "plate": place,
            "box": box_of([placed.outline]) or list(placed.blank),
            "outline": outline(placed.outline),
            "metal": outline(placed.metal) if flat.layout == "free" else boxes(placed.blank),
            "printing": "" if made else outline(placed.printing),
            "flange": outline(placed.flange),
            "staying": outline(placed.staying, COVERED),
            "films": [{"use": film.use, "path": outline(film.film)} for film in placed.films],
            "images": [{"kind": _kind(film), "path": outline(film.image)} for film in plain],
            "art": [{"art": self._art[film.art or ""], "kind": _kind(film), "by": _rounded(film.art_transform)}
                    for film in made],
            "tints": [{"pattern": tint.pattern, "path": outline(tint.area)} for tint in placed.tints],
            "zones": zones,
            "work": None if work is None else {"work": work, "by": _rounded(to_flat(record, placed))},
        }  # fmt: skip

    def _router_zones(self, work: RouterRecord) -> list[list[Any]]:
        return [[self._cutter(zone.cutter), outline(zone.shape)] for zone in work.zones]

    def _cutter(self, cutter: float | None) -> int | None:
        """A cutter's place in the house's list; what it lacks comes after it, and hands have none."""
        if cutter is None:
            return None
        listed = self.plan.settings.cutters
        return next((place for place, known in enumerate(listed) if abs(known - cutter) < 1e-9), len(listed))

    def _findings(self, flat: Flat) -> list[Data]:
        outlines = {placed.plate: placed.outline for placed in flat.placements}
        found = []
        for place, finding in enumerate(self.plan.findings):
            if finding.flat != flat.number:
                continue
            # One that has no place of its own is about its whole plate, or about the whole flat.
            shape = finding.shape or outlines.get(finding.plate or "", ())
            box = box_of([shape]) or [0.0, 0.0, flat.sheet.width, flat.sheet.height]
            found.append({"finding": place, "path": outline(shape), "box": box})
        return found


def _kind(film: FilmRecord) -> str:
    return film.kind if film.use == "base" else film.use


def _rounded(transform: Transform | None) -> list[float]:
    return [round(value, 9) for value in transform or (1, 0, 0, 1, 0, 0)]


def _points(work: RouterRecord) -> list[list[int]]:
    return [[round(x * UNITS), round(y * UNITS)] for x, y in work.nails]


def _cut(part: CutPart) -> Data:
    """A cut as a line across the piece it divides, with its kerf."""
    x, y, width, height = part.box
    at = part.at or 0.0
    ends = [at, y, at, y + height] if part.cut == "vertical" else [x, at, x + width, at]
    return {"number": part.number, "ends": [round(value, 5) for value in ends], "kerf": part.kerf or 0}

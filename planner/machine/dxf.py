"""What does a machine-driven router get? One drawing of each plate in DXF: the plan's zones and paths, in layers.

A drawing is in inches and shows the plate, cut apart, as it lies on the machine: seen on the metal, wrong-reading. Its
origin is the lower left corner of the plate's rectangle as seen there, x to the right, y up. What is cut lies as deep
below nothing as it is cut below the printing face.
"""

from __future__ import annotations

import contextlib
import io
import re
from collections.abc import Iterable, Iterator
from typing import Final

from ezdxf import options  # type: ignore[attr-defined]  # exported, though not by name
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from planner.lengths import amount_text, exact_text
from planner.plan import Plan, Ring, RouterZone, Shape
from planner.sheets.bench import Job, plates_words, put, router_jobs, to_plate
from planner.sheets.text import cut_at

VERSION: Final = "R2010"
"""Of the file format: the oldest that holds layers, closed polylines with a height, and all of Unicode."""

_INCHES: Final = 1
"""The format's number for inches."""
_CLOSE: Final = 1e-9
_DIGITS: Final = 6
"""Of an inch; no machine goes finer, and a file is half as long."""
_NOTE: Final = 0.12
"""Inches; the height of the notes below the plate."""
_LONGEST: Final = 200
"""Signs of a note."""

_BLACK, _RED, _GREEN, _BLUE, _MAGENTA, _GREY = 7, 1, 3, 5, 6, 8
_CUTTERS: Final = (_BLUE, _GREEN, 4, 30, 140, 94)
"""The format's numbers of colours, for the layers of the cutters in turn."""


def dxf_files(plan: Plan) -> dict[str, str]:
    """Give the DXF text of each plate with work for the router, or of those that are alike, by its file's name.

    The same plan gives the same text. Files are to be written as UTF-8.
    """
    with _without_clock():
        return {f"{job.stem}.dxf": _text(_drawing(plan, job)) for job in router_jobs(plan)}


def cutter_layer(cutter: float | None) -> str:
    """Name the layers of a cutter: ``cutter-1-4``; of what no cutter reaches: ``hand-tools``."""
    if cutter is None:
        return "hand-tools"
    # A fraction where it is one; else all its digits, so that two cutters never share a layer.
    return "cutter-" + re.sub("[^0-9.]+", "-", exact_text(cutter).removesuffix(" in"))


def _drawing(plan: Plan, job: Job) -> Drawing:
    drawing = new(VERSION, units=_INCHES)
    drawing.header["$MEASUREMENT"] = 0
    notes = _notes(plan, job)
    for key, words in notes:
        drawing.header.custom_vars.append(key, words)
    space = drawing.modelspace()
    for name, colour in _layers(job):
        drawing.layers.add(name, color=colour)
    plate, record = job.plate, job.record
    across = plate.width
    left, bottom, width, height = plate.blank
    corners = ((left, bottom), (left + width, bottom), (left + width, bottom + height), (left, bottom + height))
    _rings(space, "metal", ((corners,),), across, 0.0)
    _rings(space, "outline", put(to_plate(plate, job.placement), job.placement.outline), across, 0.0)
    _rings(space, "printing", plate.printing, across, 0.0)
    for zone in record.zones:
        _zone(space, zone, across)
    for x, y in record.nails:
        place = (across - x, y)
        space.add_circle(place, record.nail_width / 2, dxfattribs={"layer": "nails"})
        space.add_point(place, dxfattribs={"layer": "nails"})
    for stretch in record.near:
        _lines(space, "near-image", (stretch.line,), across, 0.0)
    for row, (key, words) in enumerate(notes):
        text = space.add_text(f"{key}: {words}", height=_NOTE, dxfattribs={"layer": "notes"})
        text.set_placement((0.0, -0.5 - row * 2 * _NOTE), align=TextEntityAlignment.LEFT)
    return drawing


def _notes(plan: Plan, job: Job) -> list[tuple[str, str]]:
    record = job.record
    also = f"; also for {plates_words(job.others, job.flat.number)}" if job.others else ""
    paths = {zone.cutter: cutter_layer(zone.cutter) for zone in record.zones if zone.cutter is not None}
    cutters = ", ".join(f"{name} = {amount_text(cutter)}" for cutter, name in paths.items())
    told = [
        ("View", "WRONG-READING, seen on the metal: mirrored left for right"),
        ("Units", "inches; origin at the lower left corner of the plate as seen here; head of the plate up"),
        ("Height", "z of zones and paths is the depth below the printing face, negative; all else is at 0"),
        ("Plate", f"flat {job.flat.number}, plate {job.number}{also}: {job.plate.id}"),
        ("Metal", f"{job.flat.sheet.metal} {amount_text(job.flat.sheet.gauge)}"),
        ("Cutters", cutters or "none: hand tools only"),
        ("Paths", "lines of the cutter's middle in working order; each begins where the cutter is set down"),
        ("Advice", "a plan is advice: the person at the machine decides"),
        ("Plan", f"{plan.settings.house}; {plan.title}"),
    ]
    return [(key, cut_at(words, _LONGEST)) for key, words in told]


def _layers(job: Job) -> list[tuple[str, int]]:
    layers = [("metal", _GREY), ("outline", _BLACK), ("printing", _RED)]
    cutters = dict.fromkeys(zone.cutter for zone in job.record.zones)
    machine = [cutter for cutter in cutters if cutter is not None]
    for place, cutter in enumerate(machine):
        colour = _CUTTERS[place % len(_CUTTERS)]
        layers += [(f"{cutter_layer(cutter)}-zones", colour), (f"{cutter_layer(cutter)}-paths", colour)]
    if None in cutters:
        layers.append(("hand-tools-zones", _MAGENTA))
    return [*layers, ("nails", _BLACK), ("near-image", _RED), ("notes", _GREY)]


def _zone(space: Modelspace, zone: RouterZone, across: float) -> None:
    layer = cutter_layer(zone.cutter)
    _rings(space, f"{layer}-zones", zone.shape, across, -zone.depth)
    if zone.paths:
        _lines(space, f"{layer}-paths", zone.paths, across, -zone.depth)


def _rings(space: Modelspace, layer: str, shape: Shape, across: float, height: float) -> None:
    for polygon in shape:
        for ring in polygon:
            _polyline(space, layer, ring, across, height, closed=True)


def _lines(space: Modelspace, layer: str, lines: Iterable[Ring], across: float, height: float) -> None:
    for line in lines:
        if len(line) < 2:
            continue
        (x1, y1), (x2, y2) = line[0], line[-1]
        closed = len(line) > 2 and abs(x1 - x2) <= _CLOSE and abs(y1 - y2) <= _CLOSE
        _polyline(space, layer, line[:-1] if closed else line, across, height, closed=closed)


def _polyline(space: Modelspace, layer: str, points: Ring, across: float, height: float, *, closed: bool) -> None:
    mirrored = [(round(across - x, _DIGITS), round(y, _DIGITS)) for x, y in points]
    space.add_lwpolyline(mirrored, close=closed, dxfattribs={"layer": layer, "elevation": height})


def _text(drawing: Drawing) -> str:
    # The library names the classes of what a file holds in the order of a set; those named before stay where they are.
    for name in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(name)
    stream = io.StringIO(newline="\n")
    drawing.write(stream)
    return stream.getvalue()


@contextlib.contextmanager
def _without_clock() -> Iterator[None]:
    """Have the library write fixed dates and ids instead of today's and random ones."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before

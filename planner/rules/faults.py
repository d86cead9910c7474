"""What is wrong with a record that a rule returned? A phrase that goes on from "returned ..., which", or nothing.

Whatever a rule returns ends in the plan and on paper: figures must be finite, shapes valid and where they belong,
words short enough to print.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final, get_args, get_type_hints

from shapely import Point, box, prepare
from shapely.geometry.base import BaseGeometry

from planner.findings import SEVERITIES, Finding
from planner.plan import Person, SheetOf
from planner.rule_records import Charge, Margin, Mark, NailSpot, Pass, Sharing, StayingMetal, Step

_WIDEST: Final = 100.0
"""Inches; no margin is wider than any sheet."""

_LONGEST: Final = 600
"""Letters of a sentence that still fits on a sheet."""

_ROUNDING: Final = 1e-6
"""Inches that a shape may reach out of its bounds."""

_BARE: Final = 1e-6
"""Square inches of a sheet that a pass may neither open nor mask, and that it may do both to."""

_FARTHEST: Final = 2 * _WIDEST
"""Inches from the corner of plate or flat; nothing found there is farther off."""

_MOST: Final = 1e6
"""Of any quantity, amount or rate."""

_DRAWN_ON: Final = get_args(SheetOf)
"""The planner's own sheets."""

_UNITS: Final = get_args(get_type_hints(Finding)["unit"])

_SHAPES_OF_MARKS: Final = {
    "line": ("LineString", "LinearRing", "MultiLineString"),
    "area": ("Polygon", "MultiPolygon"),
    "cross": ("Point", "MultiPoint"),
    "text": ("Point", "MultiPoint"),
}


@dataclass(frozen=True)
class Bounds:
    """Where shapes must lie, and what ids and numbers there are to be named."""

    room: BaseGeometry | None = None
    words: str = ""
    """How a sentence calls the room."""
    plates: Collection[str] = ()
    films: Collection[tuple[str, int]] = ()
    flats: Collection[int] = ()
    is_day: bool = False
    """Whether the whole day is looked at, so that a shape needs a flat."""
    _wide: list[BaseGeometry] = field(default_factory=list)

    def outside(self, shape: BaseGeometry) -> bool:
        """Whether any of a shape lies outside the room by more than rounding."""
        if self.room is None:
            return False
        if not self._wide:
            self._wide.append(self.room.buffer(_ROUNDING, join_style="mitre"))
            prepare(self._wide[0])
        return not self._wide[0].covers(shape)


def fault_of(record: Any, bounds: Bounds, settings: Collection[str]) -> str:  # noqa: ANN401 - any record
    """Say what is wrong with a record; an empty text if nothing is. ``settings`` are the keys it may refer to."""
    for fault in _faults(record, bounds):
        return fault
    setting = getattr(record, "setting", "")
    if setting and setting not in settings:
        return f"names {setting!r} as its setting, which the rule does not have"
    return ""


def _faults(record: Any, bounds: Bounds) -> Iterator[str]:  # noqa: ANN401 - any record
    match record:
        case Margin():
            yield from _margin(record)
        case Sharing():
            yield from _kind(record.kind, ("apart", "together", "near"))
            yield from _texts(key=record.key, reason=record.reason)
            if record.kind == "apart" and "," in record.key:
                yield "has a comma in its key; a flat's keys are written one after the other with commas between"
        case StayingMetal():
            yield from _shape(record.shape, bounds)
            yield from _texts(reason=record.reason)
        case NailSpot():
            yield from _nail(record, bounds)
        case Finding():
            yield from _finding(record, bounds)
        case Charge():
            yield from _charge(record)
        case Pass():
            yield from _pass(record, bounds)
        case Mark():
            yield from _mark(record, bounds)
        case Step():
            yield from _kind(record.who, get_args(Person), "the unknown person")
            yield from _texts(words=record.words)
            yield from _plates(record.plates, bounds)


def _margin(margin: Margin) -> Iterator[str]:
    yield from _kind(margin.kind, ("shoulder", "flange", "trim"))
    for width in (margin.left, margin.right, margin.bottom, margin.top):
        if not _is_finite(width) or not 0 <= width <= _WIDEST:
            yield f"has a width that is no length from zero to {_WIDEST:g} in"
    yield from _texts(reason=margin.reason)


def _nail(nail: NailSpot, bounds: Bounds) -> Iterator[str]:
    if not all(_is_finite(value) for value in (nail.x, nail.y, nail.width)) or nail.width <= 0:
        yield "has a place or a width that is no length"
    elif bounds.outside(Point(nail.x, nail.y).buffer(nail.width / 2)):
        yield f"reaches outside {bounds.words}"
    yield from _texts(reason=nail.reason)


def _finding(finding: Finding, bounds: Bounds) -> Iterator[str]:
    if finding.severity not in SEVERITIES:
        yield f"needs one of the severities {', '.join(SEVERITIES)}"
    yield from _texts(code=finding.code, message=finding.message)
    yield from _perhaps("cure", finding.cure)
    if finding.amount is not None and not _is_finite(finding.amount):
        yield "has an amount that is not finite"
    yield from _kind(finding.unit, _UNITS, "the unknown unit")
    if finding.shape is not None:
        yield from _shape(finding.shape, Bounds())
        if not finding.shape.is_empty and max(map(abs, finding.shape.bounds)) > _FARTHEST:
            yield f"has a shape that reaches farther than {_FARTHEST:g} in"
        if bounds.is_day and finding.flat is None:
            yield "has a shape and names no flat that it lies on"
    if finding.plate is not None:
        yield from _named((finding.plate,), bounds)
    if finding.flat is not None and finding.flat not in bounds.flats:
        yield f"names flat {finding.flat!r}, which is not there"


def _charge(charge: Charge) -> Iterator[str]:
    yield from _kind(charge.unit, ("each", "sq in", "in", "minutes"), "the unknown unit")
    if not _is_finite(charge.quantity) or not 0 <= charge.quantity <= _MOST:
        yield f"has a quantity that is no number from zero to {_MOST:,.0f}"
    if not isinstance(charge.rate, Decimal) or not charge.rate.is_finite() or abs(charge.rate) > _MOST:
        yield f"has a rate that is no finite Decimal, {_MOST:,.0f} at most"
    yield from _texts(what=charge.what, reason=charge.reason)


def _pass(work: Pass, bounds: Bounds) -> Iterator[str]:
    yield from _kind(work.side, ("glass", "metal"), "the unknown side")
    yield from _texts(sheet=work.sheet, name=work.name, reason=work.reason)
    yield from _perhaps("notes", work.notes)
    for shape in (work.opens, work.mask):
        yield from _shape(shape, bounds)
    if not work.opens.area > 0:
        yield "opens nothing"
    if work.opens.intersection(work.mask).area > _BARE:
        yield "masks what it opens"
    if not work.mask.is_empty and bounds.room is not None:
        bare = bounds.room.difference(work.opens).difference(work.mask).area
        if bare > _BARE:
            yield f"neither opens nor masks {bare:.6f} sq in of the sheet"
    if work.frame is not None:
        if not _is_box(work.frame):
            yield "has a frame that is no box of x, y, width and height"
        x, y, width, height = work.frame
        if not box(x, y, x + width, y + height).buffer(_ROUNDING, join_style="mitre").covers(work.opens):
            yield "opens more than its frame holds"
    yield from _plates(work.plates, bounds)
    if not isinstance(work.films, (tuple, list)):
        yield "names its films otherwise than in a tuple"
        return
    for film in work.films:
        if film not in bounds.films:
            yield f"names film {film!r}, which is not on this flat"


def _is_box(values: object) -> bool:
    return (
        isinstance(values, tuple)
        and len(values) == 4
        and all(_is_finite(value) and abs(value) <= 10 * _WIDEST for value in values)
        and min(values[2:]) > 0
    )


def _mark(mark: Mark, bounds: Bounds) -> Iterator[str]:
    yield from _kind(mark.kind, tuple(_SHAPES_OF_MARKS))
    yield from _shape(mark.shape, bounds)
    if mark.shape.is_empty:
        yield "has nothing to draw"
    if mark.shape.geom_type not in _SHAPES_OF_MARKS[mark.kind]:
        yield f"is a {mark.kind} and needs a {' or '.join(_SHAPES_OF_MARKS[mark.kind])}, not a {mark.shape.geom_type}"
    yield from _texts(layer=mark.layer, words=mark.words)
    if not isinstance(mark.sheets, (tuple, list)) or not mark.sheets:
        yield f"needs a tuple of the sheets to be drawn on, like ({_DRAWN_ON[0]!r},)"
        return
    for sheet in mark.sheets:
        if sheet not in _DRAWN_ON:
            yield from _texts(sheet=sheet)
            # Another rule's pass may have a page of any name; what is nearly one of ours is a slip.
            near = difflib.get_close_matches(sheet, _DRAWN_ON, n=1, cutoff=0.75)
            if near:
                yield f"is to be drawn on {sheet!r}, which is no sheet; did you mean {near[0]!r}?"
    if mark.plate is not None:
        yield from _named((mark.plate,), bounds)


def _kind(kind: object, known: Collection[object], what: str = "the unknown kind") -> Iterator[str]:
    if kind not in known:
        yield f"has {what} {kind!r}; known are {', '.join(map(str, known))}"


def _texts(**texts: object) -> Iterator[str]:
    for name, text in texts.items():
        if not isinstance(text, str) or not text.strip() or len(text) > _LONGEST or not text.isprintable():
            yield f"needs a {name} in words, at most {_LONGEST} letters on one line"


def _perhaps(name: str, text: object) -> Iterator[str]:
    if text != "":
        yield from _texts(**{name: text})


def _plates(plates: object, bounds: Bounds) -> Iterator[str]:
    if isinstance(plates, (tuple, list)):
        yield from _named(plates, bounds)
    else:
        yield "names its plates otherwise than in a tuple"


def _named(plates: Collection[object], bounds: Bounds) -> Iterator[str]:
    for plate in plates:
        if plate not in bounds.plates:
            yield f"names plate {plate!r}, which is not there"


def _shape(shape: object, bounds: Bounds) -> Iterator[str]:
    if not isinstance(shape, BaseGeometry):
        yield "has no shapely shape"
    elif shape.is_empty:
        return
    elif not all(_is_finite(bound) for bound in shape.bounds) or not shape.is_valid:
        yield "has a shape that is not valid"
    elif bounds.outside(shape):
        yield f"has a shape that reaches outside {bounds.words}"


def _is_finite(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)

"""What a house rule may add to the planner: the whole interface, in one file.

A rule is a module with a function `flatwright_rule` that says what it is, and any of the other functions below, each
marked with `hookimpl`. A function takes those of the hook's arguments that it needs, by name. It is found through the
entry point group ``flatwright``, or in a file that the house names. A rule imports nothing of the planner but this
module; what it is handed is frozen, and what it returns is a list of the records below (an empty one for nothing).

Lengths are inches. The *plate's frame* has its origin at the lower left corner of the plate's bounding rectangle
without bleed, x right, y up, right-reading, before any turning. The *flat's frame* has its origin at the lower left
corner of the whole metal sheet as the stripper sees it. Shapes are shapely geometries.

Rules are called in the order of `Rule.order`, then of their names. What a rule returns is checked; one that fails,
returns what cannot be used or takes too long is named with the hook and the plate or flat, and stops the plan, unless
the house says that the plan may go on without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import pluggy
from shapely.geometry import MultiPolygon

from planner.films import Film
from planner.findings import Finding, Severity
from planner.forms import Form as Settings
from planner.forms import Gauge, Label, Length, Money, PositiveLength, Size
from planner.geometry import shape_of
from planner.laid import LaidDay, LaidFlat, LaidPlate
from planner.lengths import amount_text, length_text, size_text
from planner.orders import SIDES, SideName
from planner.plan import FilmRecord, PlateRecord
from planner.plates import OrderedPlate, TintArea
from planner.routing.records import RouterWork
from planner.rule_records import (
    INTERFACE,
    Charge,
    Margin,
    Mark,
    NailSpot,
    Pass,
    Rule,
    Sharing,
    StayingMetal,
    Step,
)

PROJECT: Final = "flatwright"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)

_NEVER = "a specification is never called"


@hookspec
def flatwright_rule() -> Rule:
    """Say what the rule is. Called once, when rules are loaded; every rule must have it.

    ```python
    @hookimpl
    def flatwright_rule():
        return Rule("wide-trim", "1.0", "magnesium gets a wider trim", interface=1)
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_margins(plate: OrderedPlate, settings: Settings) -> Sequence[Margin]:
    """Ask for metal round a plate, by side.

    Called once for each plate, before nesting. Where several rules ask for the same kind on the same side, the widest
    is taken; different kinds lie outside one another: shoulder, flange, trim.

    ```python
    @hookimpl
    def flatwright_margins(plate):
        if plate.metal != "magnesium":
            return []
        return [Margin.all_round("trim", 0.25, "magnesium is cut with room to spare")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_sharing(plate: OrderedPlate, settings: Settings) -> Sequence[Sharing]:
    """Say with which others a plate may, must or would like to share a flat.

    Called once for each plate, before nesting. Metal and gauge keep plates apart by themselves. Of ``apart`` every
    rule's keys must agree; ``together`` joins whatever a chain of rules joins; ``near`` only chooses among plans that
    cost the same. A rule that wants together what another wants apart stops the plan with a sentence naming both.

    ```python
    @hookimpl
    def flatwright_sharing(plate):
        deep = "deep etch" if "deep" in plate.notes else "common etch"
        return [Sharing("apart", deep, "it is etched deeper than the others")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_staying_metal(
    plate: OrderedPlate, dead: MultiPolygon, whites: MultiPolygon, staying: MultiPolygon, settings: Settings
) -> Sequence[StayingMetal | NailSpot]:
    """Name metal that must stay though it does not print, and the places of nails.

    Called once for each plate before its router zones are made. ``dead`` is the dead metal and ``whites`` the bare
    metal that is too narrow to need routing, both without ``staying``, which the rules called before have named; all
    in the plate's frame. What all rules name is joined; nails of one plate leave discs of one width, the widest asked.
    Shapes may not reach beyond the plate's face.

    ```python
    @hookimpl
    def flatwright_staying_metal(plate, dead):
        corner = dead.intersection(box(0, 0, 0.25, 0.25))
        return [StayingMetal(corner, "the job number is punched there")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_inspect_plate(plate: OrderedPlate, work: RouterWork, settings: Settings) -> Sequence[Finding]:
    """Look at a plate and say what is wrong with it.

    Called once for each plate, with the router's work on it. Shapes of findings are in the plate's frame. Every
    finding of every rule goes into the plan under the rule's name.

    ```python
    @hookimpl
    def flatwright_inspect_plate(plate):
        if plate.width <= 20:
            return []
        return [Finding("wide.proof", "warn", "it is wider than the proof press", "prove it in two halves")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_charges(plate: OrderedPlate, work: RouterWork, settings: Settings) -> Sequence[Charge]:
    """Say what is to be charged for a plate beside its metal.

    Called once for each plate. All charges of all rules go into the plan; the estimate adds them up.

    ```python
    @hookimpl
    def flatwright_charges(plate):
        if not plate.rush:
            return []
        return [Charge("rush", 1, "each", Decimal("2.50"), "the job goes before the others")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_passes(flat: LaidFlat, settings: Settings) -> Sequence[Pass]:
    """Add passes over a laid flat: exposures after the first, tint lays.

    Called once for each flat after nesting. Shapes are in the flat's frame and on its sheet. Passes follow one another
    in the order of the rules, and of each rule in the order returned. A sheet is drawn for each `Pass.sheet`.

    ```python
    @hookimpl
    def flatwright_passes(flat):
        rings = unary_union([shape_of(laid.placement.flange) for laid in flat.plates])
        covered = flat.area.difference(rings)
        return [Pass("deep bite", "deep bite of flanges", "metal", rings, covered, "flanges are bitten deeper")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_marks(flat: LaidFlat, settings: Settings) -> Sequence[Mark]:
    """Add marks and layers to a laid flat's sheets.

    Called once for each flat after nesting. Shapes are in the flat's frame and on its sheet; every sheet mirrors them
    as it mirrors the rest. Marks of all rules are drawn; those of the same layer form one.

    ```python
    @hookimpl
    def flatwright_marks(flat):
        middle = Point(flat.width / 2, flat.height / 2)
        return [Mark("cross", middle, "Middle", "middle of the sheet", ("stripper", "metal"))]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_steps(flat: LaidFlat, settings: Settings) -> Sequence[Step]:
    """Say what somebody has to do with a laid flat, in sentences for the job sheets.

    Called once for each flat after nesting. Steps of one person stand on his sheet in the order of the rules.

    ```python
    @hookimpl
    def flatwright_steps(flat):
        rush = [laid.record.id for laid in flat.plates if laid.job.rush]
        return [Step("router", "Rout the rush plates first.", tuple(rush))] if rush else []
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_inspect_flat(flat: LaidFlat, settings: Settings) -> Sequence[Finding]:
    """Look at a laid flat and say what is wrong with it.

    Called once for each flat after nesting. Shapes of findings are in the flat's frame; `Finding.plate` may name one
    of its plates by its id.

    ```python
    @hookimpl
    def flatwright_inspect_flat(flat):
        if len(flat.plates) <= 60:
            return []
        return [Finding("crowded.flat", "note", f"{len(flat.plates)} plates are many for one flat")]
    ```
    """
    raise AssertionError(_NEVER)


@hookspec
def flatwright_inspect_day(day: LaidDay, settings: Settings) -> Sequence[Finding]:
    """Look at the whole day, laid, and say what is wrong with it.

    Called once, after everything is laid. `Finding.plate` and `Finding.flat` may name what it is about; a shape needs
    a flat, and is in its frame.

    ```python
    @hookimpl
    def flatwright_inspect_day(day):
        if len(day.flats) <= 12:
            return []
        return [Finding("long.day", "warn", f"{len(day.flats)} flats are more than a day's etching")]
    ```
    """
    raise AssertionError(_NEVER)


__all__ = [
    "INTERFACE",
    "SIDES",
    "Charge",
    "Film",
    "FilmRecord",
    "Finding",
    "Gauge",
    "Label",
    "LaidDay",
    "LaidFlat",
    "LaidPlate",
    "Length",
    "Margin",
    "Mark",
    "Money",
    "NailSpot",
    "OrderedPlate",
    "Pass",
    "PlateRecord",
    "PositiveLength",
    "RouterWork",
    "Rule",
    "Settings",
    "Severity",
    "Sharing",
    "SideName",
    "Size",
    "StayingMetal",
    "Step",
    "TintArea",
    "amount_text",
    "hookimpl",
    "hookspec",
    "length_text",
    "shape_of",
    "size_text",
]

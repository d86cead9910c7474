"""What a house rule may add to the planner: the whole interface, in one file.

A rule is a module with a function `flatwright_rule` that says what it is, and any of the other functions below, each
marked with `hookimpl`. It is found through the entry point group ``flatwright``. A rule imports nothing of the planner
but this module; what it is handed is frozen. Lengths are inches, shapes are in the plate's own frame: origin at the
lower left corner of the plate's bounding rectangle without bleed, x right, y up, right-reading, before any turning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import pluggy
from shapely.geometry.base import BaseGeometry

from planner.films import Film
from planner.findings import Finding, Severity
from planner.forms import Form as Settings
from planner.forms import Length, PositiveLength
from planner.lengths import amount_text, length_text, size_text
from planner.orders import SIDES, SideName
from planner.plates import OrderedPlate, TintArea

PROJECT: Final = "flatwright"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@dataclass(frozen=True, slots=True)
class Rule:
    """What a rule is: its name, its version, one line about it, and the settings a house may give it.

    ``settings`` is a pydantic model built on `Settings`; every field needs a default and a description. The house
    writes it under ``[rules.<name>]``.
    """

    name: str
    version: str
    description: str
    settings: type[Settings] = Settings


@dataclass(frozen=True, slots=True)
class Margin:
    """Metal asked for round a plate, in inches a side, with the reason in words.

    From the plate outwards lie its shoulder, its flange, and the trim that is cut away.
    """

    kind: Literal["shoulder", "flange", "trim"]
    left: float
    right: float
    bottom: float
    top: float
    reason: str

    @classmethod
    def all_round(cls, kind: Literal["shoulder", "flange", "trim"], width: float, reason: str) -> Margin:
        """Ask for the same width on all four sides."""
        return cls(kind, width, width, width, width, reason)


@dataclass(frozen=True, slots=True)
class StayingMetal:
    """Metal of a plate that the router must leave though it does not print."""

    shape: BaseGeometry
    reason: str


@hookspec
def flatwright_rule() -> Rule:
    """Say what the rule is. Called once, when rules are loaded; every rule must have it."""
    raise AssertionError("a specification is never called")


@hookspec
def flatwright_margins(plate: OrderedPlate, settings: Settings) -> Sequence[Margin]:
    """Ask for metal round a plate.

    Called once for each plate before nesting. Return margins, or nothing for none. Where several rules ask for the
    same kind on the same side, the widest is taken; different kinds lie outside one another.
    """
    raise AssertionError("a specification is never called")


@hookspec
def flatwright_staying_metal(plate: OrderedPlate, settings: Settings) -> Sequence[StayingMetal]:
    """Name metal that must stay though it does not print, such as places for nails.

    Called once for each plate before its router zones are made. What all rules name is joined; shapes are cut to the
    plate.
    """
    raise AssertionError("a specification is never called")


@hookspec
def flatwright_inspect_plate(plate: OrderedPlate, settings: Settings) -> Sequence[Finding]:
    """Look at a plate and say what is wrong with it.

    Called once for each plate. Every finding of every rule goes into the plan under the rule's name.
    """
    raise AssertionError("a specification is never called")


__all__ = [
    "SIDES",
    "Film",
    "Finding",
    "Length",
    "Margin",
    "OrderedPlate",
    "PositiveLength",
    "Rule",
    "Settings",
    "Severity",
    "SideName",
    "StayingMetal",
    "TintArea",
    "amount_text",
    "hookimpl",
    "hookspec",
    "length_text",
    "size_text",
]

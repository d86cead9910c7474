"""A tag at the foot of every plate: metal that carries the job number until the plate is mounted.

In the shop of the example plates went to the wrong customer. Since then each leaves the shear with a tag of metal
at its foot, on which the job number is scratched; the finisher cuts it off last.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Annotated

from pydantic import Field
from shapely import Point, box

from planner.hookspecs import (
    Charge,
    Finding,
    LaidFlat,
    LaidPlate,
    Length,
    Margin,
    Mark,
    Money,
    OrderedPlate,
    PositiveLength,
    Rule,
    Settings,
    Step,
    hookimpl,
    length_text,
)


class TagSettings(Settings):
    """What the house may set under [rules.job-tag]."""

    height: Annotated[PositiveLength, Field(default=3 / 8, description="of the tag, below the plate")]
    least_width: Annotated[Length, Field(default=1.0, description="of a plate, for a job number to be scratched on it")]
    charge: Annotated[
        Money, Field(default=Decimal("0.10"), description="for scratching the number and cutting the tag off")
    ]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    about = "a tag at the foot of every plate carries the job number"
    return Rule("job-tag", "1.0", about, TagSettings, interface=1)


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: TagSettings) -> Sequence[Margin]:
    """Ask for the tag: trim at the foot."""
    if plate.width < settings.least_width:
        return []
    return [Margin("trim", 0.0, 0.0, settings.height, 0.0, "the tag with the job number", "height")]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: TagSettings) -> Sequence[Finding]:
    """Say which plates are too narrow for a tag."""
    if plate.width >= settings.least_width:
        return []
    return [
        Finding(
            "tag.none",
            "note",
            f"it is too narrow for a tag: {length_text(settings.least_width)} is the least",
            "put it into an envelope with the job number as soon as it is cut",
            amount=plate.width,
            unit="in",
        )
    ]


@hookimpl
def flatwright_charges(plate: OrderedPlate, settings: TagSettings) -> Sequence[Charge]:
    """Charge for every tag."""
    if plate.width < settings.least_width or not settings.charge:
        return []
    return [Charge("job tag", 1, "each", settings.charge, "somebody scratches and cuts it", "charge")]


@hookimpl
def flatwright_marks(flat: LaidFlat, settings: TagSettings) -> Sequence[Mark]:
    """Draw every tag on the metal sheet, with the number that goes on it."""
    marks = []
    for laid in _tagged(flat):
        tag = box(*_tag_of(laid, settings.height))
        marks.append(Mark("area", tag, "Job tags", "tag with the job number", ("metal",), laid.record.id))
        words = f"tag {laid.record.job}"
        marks.append(Mark("text", Point(tag.centroid), "Job tags", words, ("metal",), laid.record.id))
    return marks


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: TagSettings) -> Sequence[Step]:
    """Tell the shear hand to scratch, and the finisher to cut."""
    plates = tuple(laid.record.id for laid in _tagged(flat))
    if not plates:
        return []
    return [
        Step("shear hand", "Scratch the job number into the tag of each plate as it comes off.", plates),
        Step("finisher", "Cut the tag off last, when the plate is on its block.", plates),
    ]


def _tagged(flat: LaidFlat) -> list[LaidPlate]:
    return [laid for laid in flat.plates if any(asked.rule == "job-tag" for asked in laid.record.allowances)]


def _tag_of(laid: LaidPlate, height: float) -> tuple[float, float, float, float]:
    """Left, bottom, right, top of a tag on its flat: the strip along the side where the plate's foot lies."""
    x, y, width, depth = laid.placement.blank
    return {
        0: (x, y, x + width, y + height),
        90: (x + width - height, y, x + width, y + depth),
        180: (x, y + depth - height, x + width, y + depth),
        270: (x, y, x + height, y + depth),
    }[laid.placement.turned]

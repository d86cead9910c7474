"""Flush mounting: the plate is glued to its block, without a flange; on its flush sides the image runs to the edge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from planner.hookspecs import (
    SIDES,
    Finding,
    Length,
    Margin,
    OrderedPlate,
    Rule,
    Settings,
    SideName,
    amount_text,
    hookimpl,
)


class FlushSettings(Settings):
    """How the house mounts flush."""

    # Common practice: room for a finger on the sides that do not butt against anything.
    margin: Annotated[Length, Field(default=1 / 16, description="metal kept outside the sides that are not flush")]
    # Common practice: what a saw and a file leave of a true edge.
    tolerance: Annotated[Length, Field(default=1 / 64, description="how far an image may stop short of a flush side")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("flush-mount", "1.0", "no flange on flush plates; images run out to the flush sides", FlushSettings)


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: FlushSettings) -> Sequence[Margin]:
    """Keep the margin on the sides that are not flush."""
    if plate.mounting != "flush" or set(plate.flush) == set(SIDES):
        return []
    kept = {side: 0.0 if side in plate.flush else settings.margin for side in SIDES}
    return [
        Margin(
            "shoulder",
            kept["left"],
            kept["right"],
            kept["bottom"],
            kept["top"],
            "the margin of sides not flush",
            "margin",
        )
    ]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: FlushSettings) -> Sequence[Finding]:
    """Look for images that stop short of a flush side, and for bleeding plates that are not mounted flush."""
    if plate.mounting != "flush":
        return _bleeding_on_a_flange(plate)
    short = {side: _gap(plate, side) for side in plate.flush}
    return [
        Finding(
            "flush.image-short",
            "warn",
            f"the image stops {amount_text(gap)} short of the flush {side} side",
            f"run the image out to the edge, or trim the plate by {amount_text(gap)} there",
            amount=gap,
            unit="in",
            sided=True,
        )
        for side, gap in short.items()
        if gap > settings.tolerance
    ]


def _bleeding_on_a_flange(plate: OrderedPlate) -> list[Finding]:
    if not plate.bleed or plate.mounting != "bevelled":
        return []
    return [
        Finding(
            "flush.bleed",
            "note",
            f"it bleeds on the {', '.join(plate.bleed)} and carries a flange there",
            "check that the block may stand past the page edge, or mount it flush on those sides",
            sided=True,
        )
    ]


def _gap(plate: OrderedPlate, side: SideName) -> float:
    left, bottom, right, top = plate.face.bounds
    image = plate.printing.bounds
    if len(image) != 4 or plate.printing.is_empty:
        return max(right - left, top - bottom)
    return {"left": image[0] - left, "right": right - image[2],
            "bottom": image[1] - bottom, "top": top - image[3]}[side]  # fmt: skip

"""Square bevel: a flange all round a square-finished plate, through which it is nailed to its block."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from planner.hookspecs import (
    Finding,
    Length,
    Margin,
    OrderedPlate,
    PositiveLength,
    Rule,
    Settings,
    amount_text,
    hookimpl,
    length_text,
    size_text,
)


class BevelSettings(Settings):
    """How wide the house bevels."""

    # Wilkinson, Photo-engraving (c. 1890), p. 92, leaves about 3 mm for the nails; the trade rounds it to 1/8 in.
    flange: Annotated[PositiveLength, Field(default=1 / 8, description="width of the flange, on all four sides")]
    # Common practice.
    shoulder: Annotated[Length, Field(default=1 / 32, description="slope between the printing edge and the flange")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("square-bevel", "1.0", "a flange and a shoulder on all four sides of bevelled plates", BevelSettings)


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: BevelSettings) -> Sequence[Margin]:
    """Ask for shoulder and flange round bevelled rectangles; other shapes cannot be bevelled and get none."""
    if plate.mounting != "bevelled" or not plate.is_rectangle:
        return []
    return [
        Margin.all_round("shoulder", settings.shoulder, "the slope from the printing edge down to the flange"),
        Margin.all_round("flange", settings.flange, "the flange that nails go through"),
    ]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: BevelSettings) -> Sequence[Finding]:
    """Refuse a bevel on anything but four square edges, and a bevel that would be cut through an image."""
    if plate.mounting != "bevelled":
        return []
    if not plate.is_rectangle:
        return [
            Finding(
                "bevel.not-square",
                "stop",
                "a bevel needs four straight edges at right angles, and this plate is no rectangle",
                f"mount it flush, or square it up to {size_text(plate.width, plate.height)}",
                shape=plate.outline,
            )
        ]
    # The edge that is bevelled is the outer one; a mortise inside the plate is no bevel's business.
    beyond = [film for film in plate.films if not film.is_overlay and _over(plate, film.image.bounds) > 1e-6]
    return [
        Finding(
            "bevel.through-image",
            "stop",
            f"the bevel would be cut through {film.label}, which runs {amount_text(_over(plate, film.image.bounds))} "
            f"past the edge of the plate",
            f"move or trim the image, or make the plate at least {length_text(2 * _over(plate, film.image.bounds))} "
            "larger each way",
            amount=_over(plate, film.image.bounds),
            unit="in",
            shape=film.image.difference(plate.face.envelope),
        )
        for film in beyond
    ]


def _over(plate: OrderedPlate, bounds: tuple[float, float, float, float]) -> float:
    """Inches that an image runs past the face of the plate, on the worst side."""
    left, bottom, right, top = plate.face.bounds
    return max(left - bounds[0], bottom - bounds[1], bounds[2] - right, bounds[3] - top)

"""Screen bands: halftones of very different screens are etched to different depths and do not share a flat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field, field_validator

from planner.hookspecs import OrderedPlate, Rule, Settings, Sharing, hookimpl


class BandSettings(Settings):
    """Which screens the house etches alike."""

    # Common practice.
    bands: Annotated[
        tuple[Annotated[int, Field(ge=20, le=600, strict=True)], ...],
        Field(
            default=(100, 150),
            description="halftones share a flat within a band: screens up to the first, up to the second, above",
        ),
    ]

    @field_validator("bands")
    @classmethod
    def _rise(cls, bands: tuple[int, ...]) -> tuple[int, ...]:
        if list(bands) != sorted(set(bands)):
            raise ValueError("must rise from band to band, like [100, 150]")
        return bands


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("screen-bands", "1.0", "halftones share a flat only with those etched alike", BandSettings)


@hookimpl
def flatwright_sharing(plate: OrderedPlate, settings: BandSettings) -> Sequence[Sharing]:
    """Keep line plates and each band of halftones apart."""
    return [Sharing("apart", band_of(plate.screen, settings.bands), _WHY, "bands")]


_WHY = "plates of other screens are etched to another depth, in another number of stages"


def band_of(screen: int | None, bands: Sequence[int]) -> str:
    """Name the band of a screen in lines to the inch; None is line work."""
    if screen is None:
        return "line"
    lowest = 0
    for limit in bands:
        if screen <= limit:
            return f"screens {lowest + 1} to {limit}" if lowest else f"screens to {limit}"
        lowest = limit
    return f"screens over {lowest}" if lowest else "screens"

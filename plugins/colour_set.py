"""Colour sets: the plates of one description lie on one flat, the same way up, so that they register."""

from __future__ import annotations

from collections.abc import Sequence

from planner.hookspecs import OrderedPlate, Rule, Sharing, hookimpl


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("colour-set", "1.0", "the plates of a colour set lie on one flat, the same way up")


@hookimpl
def flatwright_sharing(plate: OrderedPlate) -> Sequence[Sharing]:
    """Keep the printing colours of one copy together."""
    if plate.colour is None:
        return []
    key = f"{plate.job}/{plate.name}/{plate.copy_number}"
    return [
        Sharing("together", key, "its colours must fall on each other, and metal etched apart does not stretch alike")
    ]

"""Benday tints: areas with the same pattern are laid together."""

from __future__ import annotations

from collections.abc import Sequence

from planner.hookspecs import OrderedPlate, Rule, Sharing, hookimpl


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("benday", "1.0", "plates with one tint pattern like to lie on one flat")


@hookimpl
def flatwright_sharing(plate: OrderedPlate) -> Sequence[Sharing]:
    """Wish for the same pattern on the same flat."""
    patterns = sorted({tint.pattern for tint in plate.tints})
    return [Sharing("near", pattern, "one lay can serve several plates with the same pattern") for pattern in patterns]

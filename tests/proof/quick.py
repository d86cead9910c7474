"""The proof on a coarse raster, for tests that put the same small plan to it hundreds of times."""

from __future__ import annotations

from pathlib import Path

import planner.proof
from planner.plan import Plan
from planner.proof import Proof

ELEMENTS = 60_000


def prove(plan: Plan, folder: Path | None = None, elements: int = ELEMENTS) -> Proof:
    return planner.proof.prove(plan, folder, elements=elements)

"""What the shears can do: how long a cut, how narrow a strip they hold, how many changes of direction.

Each cut parts a slab in two. The shears must hold one of the two, so at least one side measures the least strip or
more across the cut; and a side narrower than that is finished, as it could not be held for the next cut.

A stage is one direction of cutting: all cuts of the sheet one way are stage one, the cuts across in the strips so made
stage two. Trimming a piece in its leaf is a cut like any other.
"""

from __future__ import annotations

from dataclasses import dataclass

from .slabs import Slab
from .slicing import VERTICAL


@dataclass(frozen=True, slots=True)
class Limits:
    """In grid units, not grown; None for no limit."""

    longest_cut: int | None
    least_strip: int | None
    stages: int | None

    def permit(self, slab: Slab, spacing: int) -> bool:
        """Whether a sheet may be cut up like this."""
        return self._permit(slab, spacing, 0)

    def _permit(self, slab: Slab, spacing: int, stage: int) -> bool:
        if not slab.cut:
            return True
        stage += 1
        if self.stages is not None and stage > self.stages:
            return False
        length = (slab.height if slab.cut == VERTICAL else slab.width) - spacing
        if self.longest_cut is not None and length > self.longest_cut:
            return False
        if self.least_strip is not None:
            widths = [part.extent(slab.cut) - spacing for part in slab.parts]
            if max(widths) < self.least_strip:
                return False
            if any(part.cut and wide < self.least_strip for part, wide in zip(slab.parts, widths, strict=True)):
                return False
        return all(self._permit(part, spacing, stage) for part in slab.parts)

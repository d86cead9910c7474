"""Which copies are shot with one focus? Those whose percentages lie within the house's tolerance of one another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.plan import CameraRecord, CopyRecord


def settings_for(copies: Iterable[CopyRecord], tolerance: float) -> tuple[CameraRecord, ...]:
    """Group copies into the fewest camera settings, the largest percentage first.

    The copies of one setting differ by no more than ``tolerance`` per cent of the smallest. Taking each group as far
    down from its largest copy as the tolerance goes makes the fewest groups (intervals on a line).
    """
    settings: list[list[CopyRecord]] = []
    for copy in sorted(copies, key=lambda copy: -copy.percentage):
        if settings and settings[-1][0].percentage <= copy.percentage * (1 + tolerance / 100) * (1 + 1e-12):
            settings[-1].append(copy)
        else:
            settings.append([copy])
    return tuple(_record(group) for group in settings)


def _record(group: Sequence[CopyRecord]) -> CameraRecord:
    largest, smallest = group[0].percentage, group[-1].percentage
    return CameraRecord(percentage=(largest + smallest) / 2, spread=largest - smallest, copies=tuple(group))

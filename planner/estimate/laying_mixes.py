"""Lay one material's plates on one mix of sheets, and say what it took; run in processes of their own.

This module imports the nesting only, so that a process is there quickly.
"""

from __future__ import annotations

import math
import signal
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from planner import nesting


@dataclass(frozen=True, slots=True)
class MixWork:
    """One material's plates and the sheets that they may be laid on."""

    pieces: Sequence[nesting.Piece]
    stocks: tuple[nesting.Stock, ...]
    options: nesting.Options


@dataclass(frozen=True, slots=True)
class LaidMix:
    """What a mix of sheets took."""

    used: tuple[tuple[str, int], ...]
    """How many sheets of each name."""
    left_out: tuple[str, ...]
    unfit: tuple[str, ...]
    """Those of them that none of these sheets holds, however many there are."""
    least: float
    """No plan of these plates on these sheets costs less; nothing is known (0) where plates are left out."""
    kept: int
    """Area of the leftovers that are worth keeping, in grid units squared."""
    interrupted: bool


def lay_mix(work: MixWork) -> LaidMix:
    """Lay the plates on the sheets of a mix."""
    solution = nesting.solve(work.pieces, work.stocks, work.options)
    left_out = tuple(left.piece for left in solution.left_out)
    return LaidMix(
        used=tuple(sorted(Counter(layout.stock for layout in solution.layouts).items())),
        left_out=left_out,
        unfit=tuple(left.piece for left in solution.left_out if left.reason != "out-of-stock"),
        least=0.0 if left_out else math.fsum(bound.cost for bound in solution.bounds),
        kept=sum(_kept(layout.root, work.options.keep) for layout in solution.layouts),
        interrupted=solution.stopped == "interrupted",
    )


def lay_mix_in_a_process(work: MixWork) -> LaidMix:
    """Do the same in a process that hears Ctrl-C only while it works: then it hands in the best so far."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        return lay_mix(work)
    finally:
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def _kept(root: nesting.Part, keep: tuple[int, int] | None) -> int:
    if keep is None:
        return 0
    short, long = sorted(keep)
    waiting, area = [root], 0
    while waiting:
        part = waiting.pop()
        if part.low is not None and part.high is not None:
            waiting += [part.low, part.high]
        elif part.piece is None and min(part.width, part.height) >= short and max(part.width, part.height) >= long:
            area += part.width * part.height
    return area

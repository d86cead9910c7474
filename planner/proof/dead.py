"""Do the zones hold the dead metal, all of it and nothing else, each cutter what it reaches?

All is counted out on a raster of the proof's own. Metal is dead where a disc as wide as the least white fits over it
without touching what prints, the air round the plate counting as white; less the clearance and metal that stays. A
cutter reaches what its disc sweeps while it keeps the clearance and stays off flange and staying metal; beyond the
plate's edge it is free. Every distance is taken on the side that favours the plan by as much as the raster blurs it,
by the error of the plate's art, and by the chords that stand for arcs; so what is found wrong is wrong.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

import numpy as np
from shapely import unary_union

from planner.plan import Settings
from planner.proof.raster import HALF, Grid, Mask, Squares, grid_over, squares_to, window
from planner.proof.report import Check, Tally
from planner.proof.shapes import LIMIT, TOLERANCE
from planner.proof.subjects import Subject

FINEST: Final = 1 / 600
"""Inches: the element for a plate made from art."""

FINE: Final = 1 / 100
"""Inches: the element for a plate whose shapes were given as numbers; its edges are measured as they are, as well."""

MOST: Final = 6_000_000
"""Elements for one plate; about 200 MiB are needed for them."""

DAY: Final = 24_000_000
"""Elements for all plates of a plan that differ."""

LEAST: Final = 10_000
"""Elements for one plate, however many there are."""

_COARSEST: Final = 1 / 10
"""Inches; an element as wide as that shows nothing."""

_SLIVER: Final = 1 / 128
"""Inches; what is nowhere as wide between two cutters' arcs is no work for a cutter or a hand tool."""

_MOST_MISSING: Final = 0.01
"""Part of the dead metal that zones may leave out."""

_CHORD: Final = 1 - math.cos(1.5 * math.pi / 64)
"""Part of a radius by which a chord may lie off its arc, at sixteen chords to a quarter turn, give or take half."""

_RIM: Final = 1 / 2000
"""Inches; a rim as thin as that may go to the one side or the other."""

_TINY: Final = 1e-5
"""Square inches."""


def check_dead(subjects: Iterable[Subject], settings: Settings, elements: int) -> Check:
    """Zones hold all dead metal and no other; each is its cutter's, and by hand goes what no cutter reaches."""
    tally = Tally("zones", "plates that differ")
    figures = (settings.clearance, settings.least_white, *settings.cutters)
    if not all(0 <= figure <= LIMIT for figure in figures):
        tally.wrong("The clearance, the least white or a cutter is no length, so that no zone can be examined.")
        return tally.done()
    chosen = tuple(subjects) if elements > 0 else ()
    for subject in chosen:
        tally.look()
        grid = grid_for(subject, settings, len(chosen), elements)
        if grid.step > _COARSEST:
            tally.wrong(f"{subject.where}: it is so large that its zones cannot be examined.")
        else:
            _Zones(subject, settings, grid, tally).check()
    return tally.done()


def grid_for(subject: Subject, settings: Settings, among: int, elements: int) -> Grid:
    """Lay a raster over a plate and as much air as a cutter or the least white needs."""
    laid = subject.laid
    cutters = [zone.record.cutter for zone in laid.zones if zone.record.cutter is not None]
    widest = max((settings.least_white, *settings.cutters, *(one for one in cutters if one <= LIMIT)))
    bounds = unary_union([shape.envelope for shape in (laid.outline, laid.flange, laid.printing)]).bounds
    most = min(max(elements // max(among, 1), LEAST), MOST)
    return grid_over(bounds, widest / 2 + 0.05, FINEST if subject.has_art else FINE, most)


class _Zones:
    """The zones of one plate under examination."""

    def __init__(self, subject: Subject, settings: Settings, grid: Grid, tally: Tally) -> None:
        self._subject, self._settings, self._grid, self._tally = subject, settings, grid, tally
        laid = subject.laid
        self._print: Squares = squares_to(grid.over(laid.printing))
        self._stays: Mask = grid.over(unary_union([laid.staying, subject.nails]))
        kept = self._stays | grid.over(laid.flange) if laid.zones else self._stays
        self._kept: Squares | None = squares_to(kept) if laid.zones and kept.any() else None
        self._slack = grid.blur + subject.error + _RIM

    def check(self) -> None:
        """Examine them."""
        laid, grid = self._subject.laid, self._grid
        by_cutter: dict[float | None, Mask] = {}
        for zone in laid.zones:
            mask = grid.under(zone.shape)
            cutter = zone.record.cutter
            by_cutter[cutter] = by_cutter[cutter] | mask if cutter in by_cutter else mask
        claimed = np.zeros((grid.rows, grid.columns), dtype=bool)
        for zone in laid.zones:
            claimed |= grid.over(zone.shape)
        self._check_missing(claimed)
        del claimed
        if by_cutter:
            self._check_claims(by_cutter)
        for cutter in sorted({one for one in by_cutter if one is not None and 0 < one <= LIMIT}):
            self._check_reach(cutter, by_cutter[cutter])
        for cutter in self._settings.cutters:
            self._check_left(cutter, by_cutter)

    def _check_missing(self, claimed: Mask) -> None:
        """Dead metal that is surely dead must be in some zone."""
        grid, settings = self._grid, self._settings
        white = settings.least_white / 2
        dead = grid.covered(self._subject.laid.outline) & ~self._stays
        dead &= grid.beyond(self._print, settings.clearance + self._slack)
        if not (dead & ~claimed).any():
            return
        core = grid.beyond(self._print, white * (1 + _CHORD) + self._slack)
        dead &= grid.within(squares_to(core), white)
        missing = dead & ~claimed
        where, area = self._subject.where, grid.area(missing)
        if (wide := self._wide(missing)) > _TINY:
            self._tally.wrong(
                f"{where}: {wide:.6g} sq in of dead metal are in no zone, and wider than {_SLIVER:.4g} in."
            )
        elif area > _MOST_MISSING * grid.area(dead) + _TINY:
            self._tally.wrong(
                f"{where}: its zones leave out {area:.6g} sq in of {grid.area(dead):.6g} sq in of dead metal."
            )

    def _check_claims(self, by_cutter: dict[float | None, Mask]) -> None:
        """No zone may hold metal within the clearance, or white too narrow to be dead."""
        grid, settings = self._grid, self._settings
        white = settings.least_white / 2
        core = grid.beyond(self._print, white * (1 - _CHORD) - self._slack - HALF * grid.step)
        dead = grid.within(squares_to(core), white * (1 + _CHORD) + HALF * grid.step)
        for cutter, mask in by_cutter.items():
            near = grid.area(mask & ~grid.beyond(self._print, settings.clearance - grid.blur - TOLERANCE))
            if near > _TINY:
                self._tally.wrong(
                    f"{self._of(cutter)} has {near:.6g} sq in within the clearance of {settings.clearance:.6g} in."
                )
            narrow = grid.area(mask & ~dead)
            if narrow > _TINY:
                self._tally.wrong(
                    f"{self._of(cutter)} has {narrow:.6g} sq in of white that is narrower than "
                    f"{settings.least_white:.6g} in."
                )

    def _check_reach(self, cutter: float, mask: Mask) -> None:
        """A cutter gets nothing that it cannot reach."""
        if not mask.any():
            return
        grid, radius = self._grid, cutter / 2
        rows, columns = window(mask, radius / grid.step + 2)
        less = -self._slack - HALF * grid.step
        room = self._room(rows, columns, radius * (1 - _CHORD) + less)
        out = mask[rows, columns] & ~grid.within(squares_to(room), radius + HALF * grid.step)
        area = grid.area(out)
        if area > _TINY:
            self._tally.wrong(f"{self._of(cutter)} has {area:.6g} sq in that this cutter does not reach.")

    def _check_left(self, cutter: float, by_cutter: dict[float | None, Mask]) -> None:
        """What a cutter reaches is not left to a smaller one or to hand tools."""
        grid, radius = self._grid, cutter / 2
        for other, mask in by_cutter.items():
            if (other is not None and other >= cutter - TOLERANCE) or not mask.any():
                continue
            rows, columns = window(mask, radius / grid.step + 2)
            room = self._room(rows, columns, radius * (1 + _CHORD) + self._slack)
            reached = mask[rows, columns] & grid.within(squares_to(room), radius)
            wide = self._wide(reached)
            if wide > _TINY:
                self._tally.wrong(f"{self._of(other)} has {wide:.6g} sq in that the {cutter:.6g} in cutter reaches.")

    def _room(self, rows: slice, columns: slice, distance: float) -> Mask:
        """Where the middle of a cutter may be that keeps this distance, and the clearance from what prints."""
        grid = self._grid
        room = grid.beyond(self._print[rows, columns], distance + self._settings.clearance)
        if self._kept is not None:
            room &= grid.beyond(self._kept[rows, columns], distance)
        return room

    def _wide(self, mask: Mask) -> float:
        """Square inches of the parts of a mask that are wider than a sliver, measured where they are."""
        if not mask.any():
            return 0.0
        grid = self._grid
        rows, columns = window(mask, 1)
        part = np.pad(mask[rows, columns], 1)
        depth = squares_to(~part)
        limit = 1 + (_SLIVER / 2 + self._subject.error) / grid.step
        deep = depth > limit**2
        if not deep.any():
            return 0.0
        return grid.area(part & grid.within(squares_to(deep), limit * grid.step))

    def _of(self, cutter: float | None) -> str:
        what = "what is left to hand tools" if cutter is None else f"the zone of the {cutter:.6g} in cutter"
        return f"{self._subject.where}: {what}"

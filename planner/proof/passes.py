"""Do the cutter's paths keep clear of all that stands, and do they clear the pieces that they are for?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import unary_union
from shapely.geometry.base import BaseGeometry

from planner.plan import RouterZone, Settings
from planner.proof.dead import grid_for
from planner.proof.frames import Points, carried
from planner.proof.raster import Grid, squares_to
from planner.proof.report import Tally
from planner.proof.shapes import LIMIT, TOLERANCE
from planner.proof.subjects import Subject

_MOST_UNSWEPT: Final = 0.02
"""Part of a piece that may be left between two passes: cusps at its corners."""

_CUSP: Final = 1 / 8
"""Square diameters of the cutter that may be left in any piece, however small it is: a cusp or two at its ends."""

_COARSEST: Final = 1 / 10
"""Inches; an element as wide as that shows nothing."""


def check_passes(
    subject: Subject,
    pieces: Sequence[BaseGeometry],
    settings: Settings,
    among: int,
    elements: int,
    tally: Tally,
) -> None:
    """Every path is off what prints by clearance and radius, off what stands by the radius; each piece is swept.

    ``pieces`` are the shapes of the record's zones in the flat's frame.
    """
    record, matrix = subject.record, subject.matrix
    if record is None or matrix is None or not 0 <= settings.clearance <= LIMIT:
        return
    by_cutter: dict[float, list[tuple[RouterZone, BaseGeometry, list[Points]]]] = {}
    for zone, piece in zip(record.zones, pieces, strict=True):
        if zone.cutter is None or not 0 < zone.cutter <= LIMIT:
            continue
        paths = [carried(path, matrix) for path in zone.paths if path]
        if any(not np.abs(path).max() <= LIMIT for path in paths):
            tally.wrong(f"{subject.where}: piece {zone.number} has a path that leads off the earth.")
        elif paths and not piece.is_empty:
            by_cutter.setdefault(zone.cutter, []).append((zone, piece, paths))
    if not by_cutter:
        return
    _check_clear(subject, by_cutter, settings, tally)
    if elements <= 0:
        return
    grid = grid_for(subject, settings, among, elements)
    if grid.step <= _COARSEST:
        for cutter, work in by_cutter.items():
            _check_swept(subject, grid, cutter, work, tally)


def _check_clear(
    subject: Subject,
    by_cutter: dict[float, list[tuple[RouterZone, BaseGeometry, list[Points]]]],
    settings: Settings,
    tally: Tally,
) -> None:
    laid = subject.laid
    standing = (
        ("what prints", laid.printing, settings.clearance),
        ("the flange", laid.flange, 0.0),
        ("staying metal", laid.staying, 0.0),
        ("a nail's place", subject.nails, 0.0),
    )
    for what, shape, distance in standing:
        if shape.is_empty:
            continue
        shapely.prepare(shape)
        for cutter, work in by_cutter.items():
            needed = distance + cutter / 2
            worst: list[tuple[float, int]] = []
            for zone, _, paths in work:
                lines = np.asarray([_line(path) for path in paths], dtype=object)
                near = lines[shapely.dwithin(shape, lines, max(needed - TOLERANCE, 0.0))]
                least = float(shapely.distance(shape, near).min()) if len(near) else needed
                if not least >= needed - TOLERANCE:
                    worst.append((least, zone.number))
            if worst:
                (least, number), more = min(worst), len(worst) - 1
                tally.wrong(
                    f"{subject.where}: on piece {number}{f' and {more} more' if more else ''} the {cutter:.6g} in "
                    f"cutter's middle comes within {least:.6g} in of {what}, not {needed:.6g} in."
                )


def _line(path: Points) -> BaseGeometry:
    return shapely.LineString(path) if len(path) > 1 else shapely.Point(path[0])


def _check_swept(
    subject: Subject,
    grid: Grid,
    cutter: float,
    work: Sequence[tuple[RouterZone, BaseGeometry, list[Points]]],
    tally: Tally,
) -> None:
    """What the raster's blur cannot excuse, and what no disc of the cutter covers on its way, is left standing."""
    bounds = unary_union([piece.envelope for _, piece, _ in work]).bounds
    reach = cutter + 2 * grid.step
    part, _, _ = grid.part((bounds[0] - reach, bounds[1] - reach, bounds[2] + reach, bounds[3] + reach))
    starts = [path[:-1] if len(path) > 1 else path for _, _, paths in work for path in paths]
    ends = [path[1:] if len(path) > 1 else path for _, _, paths in work for path in paths]
    left = part.beyond(squares_to(part.touched(np.concatenate(starts), np.concatenate(ends))), cutter / 2 + part.blur)
    for zone, piece, _ in work:
        little, rows, columns = part.part(piece.bounds)
        unswept = little.area(little.under(piece) & left[rows, columns])
        if unswept > _MOST_UNSWEPT * piece.area + _CUSP * cutter**2:
            tally.wrong(
                f"{subject.where}: the paths on piece {zone.number} leave {unswept:.6g} sq in of its "
                f"{piece.area:.6g} sq in standing."
            )

"""Do nails go where they may, and do the marks of near stretches and narrow whites lie where they say?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from planner.plan import RouterRecord, Settings
from planner.proof.frames import Matrix, carried
from planner.proof.report import Tally
from planner.proof.shapes import AREA_TOLERANCE, LIMIT, TOLERANCE, read_shape
from planner.proof.subjects import Subject

_ON_EDGE: Final = 1e-3
"""Inches; a line drawn along an edge may be that much simpler than the edge."""

_NEARER: Final = 1e-4
"""Inches; by so much narrow whites may come nearer to what prints than the clearance."""


def check_marks(subject: Subject, pieces: Sequence[BaseGeometry], settings: Settings, tally: Tally) -> None:
    """Check nails, near stretches and whites of the router's work; ``pieces`` are in the flat's frame."""
    if subject.record is None or subject.matrix is None:
        return
    _check_nails(subject, subject.record, subject.matrix, tally)
    _check_near(subject, subject.record, subject.matrix, pieces, settings, tally)
    _check_whites(subject, subject.record, subject.matrix, settings, tally)


def _check_nails(subject: Subject, record: RouterRecord, matrix: Matrix, tally: Tally) -> None:
    laid, width = subject.laid, record.nail_width
    if not record.nails:
        return
    if not 0 < width <= LIMIT:
        tally.wrong(f"{subject.where}: what stays round its nails is {width:.6g} in wide.")
        return
    nails = [shapely.Point(x, y) for x, y in carried(record.nails, matrix)]
    edge = laid.outline.boundary
    for number, nail in enumerate(nails, 1):
        where = f"{subject.where}: nail {number}"
        if not laid.outline.covers(nail) or not nail.distance(edge) >= width / 2 - TOLERANCE:
            tally.wrong(f"{where} is not wholly on the finished plate.")
        for what, shape in (
            ("what prints", laid.printing),
            ("the flange", laid.flange),
            ("a zone", laid.dead),
        ):
            if shape.is_empty or (distance := nail.distance(shape)) >= width / 2 - TOLERANCE:
                continue
            tally.wrong(f"{where} is {distance:.6g} in from {what}, and needs {width / 2:.6g} in.")
    for number, nail in enumerate(nails[1:], 2):
        nearest = min(nail.distance(other) for other in nails[: number - 1])
        if not nearest >= width - TOLERANCE:
            tally.wrong(f"{subject.where}: nail {number} is {nearest:.6g} in from another.")


def _check_near(
    subject: Subject,
    record: RouterRecord,
    matrix: Matrix,
    pieces: Sequence[BaseGeometry],
    settings: Settings,
    tally: Tally,
) -> None:
    by_number = {zone.number: piece for zone, piece in zip(record.zones, pieces, strict=True)}
    for number, stretch in enumerate(record.near, 1):
        where = f"{subject.where}: near stretch {number}"
        piece = by_number.get(stretch.zone)
        points = carried(stretch.line, matrix)
        if piece is None or piece.is_empty:
            tally.wrong(f"{where} names piece {stretch.zone}, which is not there.")
            continue
        if len(points) < 2 or not np.abs(points).max() <= LIMIT:
            tally.wrong(f"{where} is no line.")
            continue
        line = shapely.LineString(points)
        if not abs(line.length - stretch.length) <= TOLERANCE * len(points):
            tally.wrong(f"{where} is {line.length:.6g} in long, not {stretch.length:.6g} in.")
        halfway = (points[1:] + points[:-1]) / 2
        off = float(shapely.distance(piece.boundary, shapely.points(np.concatenate((points, halfway)))).max())
        if not off <= _ON_EDGE:
            tally.wrong(f"{where} runs {off:.6g} in off the edge of piece {stretch.zone}.")
        if not stretch.width > 0:
            tally.wrong(f"{where} is near a detail {stretch.width:.6g} in wide.")
        # Fine detail of art is known to the art's error, as its edge is.
        if not stretch.distance >= settings.clearance - subject.error - _ON_EDGE:
            tally.wrong(f"{where} is {stretch.distance:.6g} in from what prints, within the clearance.")
        nearest = line.distance(subject.laid.printing) if not subject.laid.printing.is_empty else float("inf")
        if not nearest <= stretch.distance + subject.error + 2 * _ON_EDGE:
            tally.wrong(
                f"{where} is said to be {stretch.distance:.6g} in from what prints, and is {nearest:.6g} in from it."
            )


def _check_whites(subject: Subject, record: RouterRecord, matrix: Matrix, settings: Settings, tally: Tally) -> None:
    where = f"{subject.where}: its narrow whites"
    silent = Tally("", "")
    whites = read_shape(record.whites, where, silent)
    for sentence in silent.sentences:
        tally.wrong(sentence)
    if not abs(whites.area - record.whites_area) <= AREA_TOLERANCE:
        tally.wrong(f"{where} are said to have {record.whites_area:.6f} sq in, their shape has {whites.area:.6f}.")
    if whites.is_empty:
        return
    laid = subject.laid
    whites = affinity.affine_transform(whites, matrix)
    for what, area in (
        ("in zones", whites.intersection(laid.dead).area),
        ("off the finished plate", whites.difference(laid.outline).area),
        ("on staying metal", whites.intersection(laid.staying).area),
    ):
        if not area <= AREA_TOLERANCE:
            tally.wrong(f"{where} have {area:.6g} sq in {what}.")
    # No cutter goes there, so that their edge need not be kept to a millionth.
    shapely.prepare(laid.printing)
    reach = max(min(settings.clearance, LIMIT) - _NEARER, 0.0)
    if shapely.dwithin(laid.printing, whites, reach):
        nearest = whites.distance(laid.printing)
        if not nearest >= settings.clearance - _NEARER:
            tally.wrong(f"{where} come within {nearest:.6g} in of what prints, not {settings.clearance:.6g} in.")

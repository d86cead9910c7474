"""Does every overlay that falls short of its illustration have a finding that stops the work?"""

from __future__ import annotations

from collections.abc import Iterable

from shapely import affinity

from planner.plan import Plan
from planner.proof.report import Check, Tally
from planner.proof.shapes import LaidFilm, LaidFlat

_PLAIN_TO_SEE = 1e-4
"""Inches; an overlay that is short by less is a matter of rounding."""


def check_coverage(plan: Plan, flats: Iterable[LaidFlat]) -> Check:
    """Measure every overlay again, along its own edges, and look for the finding where it is short."""
    tally = Tally("coverage", "overlays")
    stopped = {
        finding.plate
        for finding in plan.findings
        if finding.severity == "stop" and finding.code == "coverage.short"
    }  # fmt: skip
    for laid in flats:
        for plate in laid.plates:
            films = {film.record.number: film for film in plate.films}
            for overlay in plate.films:
                if overlay.record.use == "base":
                    continue
                tally.look()
                under = films.get(overlay.record.on or 0)
                if under is None:
                    tally.wrong(
                        f"{plate.where}: film {overlay.record.number} is an overlay on a film that is not there."
                    )
                    continue
                short = _short(overlay, under, plan.settings.register_tolerance)
                if short > _PLAIN_TO_SEE and plate.placement.plate not in stopped:
                    tally.wrong(
                        f"{plate.where}: film {overlay.record.number} leaves its illustration bare by {short:.4f} in, "
                        "and no finding stops the work."
                    )
    return tally.done()


def _short(overlay: LaidFilm, under: LaidFilm, tolerance: float) -> float:
    """How far the illustration reaches beyond the film less the tolerance, on the worst side, in inches."""
    if overlay.film.is_empty or under.image.is_empty:
        return 0.0
    film, image = (
        affinity.rotate(shape, -overlay.record.angle, origin=(0, 0)).bounds for shape in (overlay.film, under.image)
    )
    return tolerance + max(film[0] - image[0], film[1] - image[1], image[2] - film[2], image[3] - film[3])

"""Does every overlay cover the whole illustration it lies on, with something to spare for register?

A surprint's film that falls short lets the second exposure fog the halftone solid; a reverse's shows its own edge.
Either way the outline of the overlay ends up in the metal, so the whole illustration must be covered, not only the
lettering (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.checks.laying import remake_words, shift_words, shortfall, squaring_words
from planner.films import Film
from planner.findings import Finding
from planner.geometry import area_of
from planner.lengths import amount_text
from planner.plates import OrderedPlate


def check_coverage(plate: OrderedPlate, register_tolerance: float) -> Iterator[Finding]:
    """Find each overlay whose film, shrunk by the register tolerance, leaves part of its illustration bare."""
    for overlay in plate.films:
        if overlay.is_overlay:
            illustration = plate.illustration_under(overlay)
            short = shortfall(overlay, illustration, register_tolerance)
            if short:
                yield _finding(overlay, illustration, short, register_tolerance)


def _finding(overlay: Film, illustration: Film, short: dict[str, float], tolerance: float) -> Finding:
    bare = area_of(illustration.image.difference(overlay.film.buffer(-tolerance, join_style="mitre")))
    where = ", ".join(f"{amount_text(amount)} on the {side}" for side, amount in short.items())
    spare = f", with {amount_text(tolerance)} kept for register" if tolerance else ""
    return Finding.over(
        bare,
        "coverage.short",
        "stop",
        f"{overlay.label} leaves {bare.area:.3f} sq in of {illustration.label} bare: it is short {where}{spare}",
        _cure(overlay, illustration, tolerance),
        sided=True,
    )


def _cure(overlay: Film, illustration: Film, tolerance: float) -> str:
    """Squaring up comes first where the overlay is out of square: it has to be done in any case."""
    if overlay.angle != illustration.angle:
        squared = squaring_words(overlay, illustration, tolerance)
        if squared is not None:
            return squared
    shift = shift_words(overlay, illustration, overlay.angle, tolerance)
    return f"shift the film {shift}" if shift else remake_words(illustration, tolerance)

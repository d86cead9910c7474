from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.checks.coverage import check_coverage, shift_to_cover, smallest_film
from planner.findings import Finding
from planner.geometry import moved, spun
from planner.plates import OrderedPlate

from ..days import a_plate

TOLERANCE = 1 / 32


def overlaid(film: str, **keys: Any) -> OrderedPlate:
    """A 3 x 4 in halftone with one surprint over it."""
    overlay = {"kind": "line", "use": "surprint", "name": "title", "film": film, **keys}
    return a_plate(size="3 x 4 in", screen=120, negatives=[{"kind": "square", "name": "picture"}, overlay])


def found(plate: OrderedPlate, tolerance: float = TOLERANCE) -> list[Finding]:
    return list(check_coverage(plate, tolerance))


def test_a_film_with_the_tolerance_to_spare_on_every_side_covers() -> None:
    assert not found(overlaid("3 1/16 x 4 1/16 in"))


def test_a_film_that_only_just_covers_has_nothing_to_spare() -> None:
    (finding,) = found(overlaid("3 x 4 in"))
    assert finding.severity == "stop"
    assert finding.amount == pytest.approx(12 - (3 - 1 / 16) * (4 - 1 / 16))
    assert finding.cure == "remake the film, at least 3 1/16 x 4 1/16 in"
    assert not found(overlaid("3 x 4 in"), tolerance=0)


def test_it_is_not_enough_to_cover_the_lettering() -> None:
    assert found(overlaid("3 x 1 in", at="0, 1 in", size="2 x 1/2 in"))


def test_a_shift_is_told_when_one_cures() -> None:
    (finding,) = found(overlaid("3 1/4 x 4 1/4 in", at="-1/4, 0 in"))
    assert "1/32 in on the right, 1/32 in on the bottom" in finding.message
    assert finding.cure == "shift the film 1/32 in to the right and 1/32 in down"


def test_squaring_up_is_told_when_it_cures() -> None:
    (finding,) = found(overlaid("3 1/8 x 4 1/8 in", angle=2))
    assert finding.cure.startswith("square it up by turning it 2 degrees clockwise about its centre")


def test_the_smallest_film_is_told_when_nothing_else_cures() -> None:
    (finding,) = found(overlaid("3 1/4 x 3 3/4 in", at="0, 0 in"))
    assert finding.cure == "remake the film, at least 3 1/16 x 4 1/16 in"


def test_a_film_smaller_than_the_tolerance_leaves_everything_bare() -> None:
    (finding,) = found(overlaid("1/32 x 1/32 in"))
    assert finding.amount == pytest.approx(12)


def test_a_silhouette_is_covered_by_less_film_than_its_rectangle_turned() -> None:
    disc = {
        "kind": "silhouette",
        "name": "ball",
        "outline": {"unit": "in", "path": "M0 1A1 1 0 0 1 2 1A1 1 0 0 1 0 1Z"},
    }
    overlay = {"kind": "line", "use": "reverse", "film": "2 1/8 x 2 1/8 in", "film_at": None, "angle": 0}
    del overlay["film_at"]
    plate = a_plate(size="3 x 3 in", screen=120, negatives=[disc, overlay])
    assert not found(plate)


def test_each_overlay_is_asked_for_itself() -> None:
    overlays = [{"kind": "line", "use": use, "film": "2 x 2 in"} for use in ("surprint", "reverse")]
    plate = a_plate(size="3 x 4 in", screen=120, negatives=[{"kind": "square"}, *overlays])
    assert len(found(plate)) == 2


@given(
    width=st.floats(2, 5), height=st.floats(3, 6), x=st.floats(-1, 1), y=st.floats(-1, 1),
    angle=st.sampled_from([0.0, 1.5, -3.0, 20.0]),
)  # fmt: skip
def test_a_told_shift_cures_and_where_none_is_told_none_does(
    width: float, height: float, x: float, y: float, angle: float
) -> None:
    plate = overlaid(f"{width:.6f} x {height:.6f} in", at=f"{x:.6f}, {y:.6f} in", angle=angle)
    picture, overlay = plate.films
    shift = shift_to_cover(overlay, picture, angle, TOLERANCE)
    sure = overlay.film.buffer(-TOLERANCE, join_style="mitre")
    if shift is not None:
        assert picture.image.difference(moved(sure, *shift)).area < 1e-6
    else:
        # However it is shifted, the sure field is too short along one of its own edges.
        straight = spun(picture.image, -angle, (0, 0)).bounds
        field = spun(sure, -angle, (0, 0)).bounds
        assume(not sure.is_empty)
        assert straight[2] - straight[0] > field[2] - field[0] or straight[3] - straight[1] > field[3] - field[1]


@given(tolerance=st.floats(0, 0.25))
def test_the_smallest_film_covers_and_a_sixteenth_less_does_not(tolerance: float) -> None:
    picture = overlaid("3 x 4 in").films[0]
    width, height = smallest_film(picture, tolerance)
    assert width >= 3 + 2 * tolerance - 1e-6
    assert width - 1 / 16 < 3 + 2 * tolerance
    assert height >= 4 + 2 * tolerance - 1e-6

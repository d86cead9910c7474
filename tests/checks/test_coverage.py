from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.checks.coverage import check_coverage
from planner.checks.laying import shift_to_cover, smallest_film
from planner.checks.squareness import check_squareness
from planner.findings import Finding
from planner.geometry import moved, spun
from planner.lengths import parse_length
from planner.plates import OrderedPlate

from ..days import a_plate

TOLERANCE = 1 / 32
REMADE = "remake the film, at least 3 1/16 x 4 1/16 in, to be laid square to the illustration and centred on it"


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
    assert finding.cure == REMADE
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
    assert finding.cure == REMADE


def test_a_film_smaller_than_the_tolerance_leaves_everything_bare() -> None:
    (finding,) = found(overlaid("1/32 x 1/32 in"))
    assert finding.amount == pytest.approx(12)


def test_a_silhouette_is_covered_by_less_film_than_its_rectangle_turned() -> None:
    disc = {
        "kind": "silhouette",
        "name": "ball",
        "outline": {"unit": "in", "path": "M0 1A1 1 0 0 1 2 1A1 1 0 0 1 0 1Z"},
    }
    overlay = {"kind": "line", "use": "reverse", "film": "2 1/8 x 2 1/8 in"}
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


WAYS = {"to the right": (1, 0), "to the left": (-1, 0), "up": (0, 1), "down": (0, -1)}


def told_shift(cure: str) -> tuple[float, float]:
    """The shift that a cure's words tell, read as a person would read them."""
    x = y = 0.0
    for words in cure.removeprefix("shift the film ").split(" and "):
        (way,) = [way for way in WAYS if words.endswith(way)]
        amount = parse_length(words.removesuffix(way).strip())
        x, y = x + WAYS[way][0] * amount, y + WAYS[way][1] * amount
    return x, y


@given(
    spare=st.tuples(st.floats(0, 0.2), st.floats(0, 0.2)), x=st.floats(-1, 1), y=st.floats(-1, 1),
    units=st.sampled_from(["in", "mm"]),
)  # fmt: skip
def test_a_shift_cures_when_it_is_done_as_it_is_worded(
    spare: tuple[float, float], x: float, y: float, units: str
) -> None:
    part = 64 if units == "in" else 5
    scale = 1 if units == "in" else 25.4
    size = [
        math.ceil((side + 2 * TOLERANCE + more) * scale * part) / part for side, more in zip((3, 4), spare, strict=True)
    ]
    at = [round(value * scale * part) / part for value in (x, y)]
    film = f"{size[0]} x {size[1]} {units}"
    for finding in found(overlaid(film, at=f"{at[0]}, {at[1]} {units}")):
        assert finding.cure.startswith("shift the film ")
        across, up = told_shift(finding.cure)
        moved_film = overlaid(film, at=f"{at[0] / scale + across:.9f}, {at[1] / scale + up:.9f} in")
        assert not found(moved_film)


@pytest.mark.parametrize("spot", ["25 mm, 24 mm", "1 in, 1 in", "1/3 in, 12p3"])
def test_the_smallest_film_where_it_is_told_to_lie_covers_wherever_that_is(spot: str) -> None:
    """Sizes that meet exactly must not fail by the last digit of a float."""
    picture = {"kind": "square", "name": "picture", "size": "4 x 3 in", "at": spot}
    overlay = {"kind": "line", "use": "surprint", "film": "4 1/16 x 3 1/16 in"}
    assert not found(a_plate(size="9 x 9 in", screen=120, negatives=[picture, overlay]))


def test_a_told_squaring_names_the_shift_that_must_follow() -> None:
    picture = {"kind": "square", "name": "picture", "size": "1.5 x 1.7 in", "at": "8.92, 2.57 in"}
    overlay = {"kind": "line", "use": "surprint", "film": "11 x 2 in", "at": "0.3, 2 in", "angle": 2}
    plate = a_plate(size="12 x 6 in", screen=120, negatives=[picture, overlay])
    (finding,) = check_squareness(plate, TOLERANCE)
    assert finding.cure.startswith("square it up by turning it 2 degrees clockwise about its centre, then shift it ")
    film = plate.films[1]
    squared = spun(film.film, -2, (film.film.centroid.x, film.film.centroid.y))
    shift = told_shift(finding.cure.split("then shift it ")[1])
    sure = moved(squared, *shift).buffer(-TOLERANCE, join_style="mitre")
    assert plate.films[0].image.difference(sure).area < 1e-6

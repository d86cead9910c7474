"""What an overlay leaves bare, and the cure that is named for it, against pictures in dots.

The dots are set by scikit-image (0.24 or later): `skimage.draw.polygon` for films and illustrations alike. The tool
works with exact polygons; the two share no code.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from planner.checks import check_plate
from planner.checks.laying import shift_to_cover, smallest_film
from planner.findings import Finding
from planner.house import House
from planner.plates import OrderedPlate

from .rasters import Corner, Dots, Grid, from_corner, horse, turned_rectangle
from .shop import house_with, plate_from

PLATE = (5.0, 4.0)
PER_INCH = 300
GRID = Grid(0.0, 0.0, *PLATE, PER_INCH)
AT = (0.75, 0.75)

PICTURES: dict[str, list[Corner]] = {
    "rectangle": [(0.0, 0.0), (3.5, 0.0), (3.5, 2.5), (0.0, 2.5)],
    "horse": from_corner([horse()])[0],
}


def ordered(picture: str, overlay: dict[str, Any], house: House) -> OrderedPlate:
    corners = [f"{x} in, {y} in" for x, y in PICTURES[picture]]
    place = f"{AT[0]}, {AT[1]} in"
    return plate_from(
        {
            "size": f"{PLATE[0]} x {PLATE[1]} in",
            "screen": 120,
            "negatives": [
                {"name": "picture", "kind": "silhouette", "outline": {"points": corners}, "at": place},
                {"name": "title", "kind": "line", "use": "surprint", **overlay},
            ],
        },
        house,
    )


def house_keeping(tolerance: float) -> House:
    return house_with(film={"register_tolerance": f"{tolerance} in"})


def short(plate: OrderedPlate, house: House) -> list[Finding]:
    return [finding for finding in check_plate(plate, house) if finding.code == "coverage.short"]


def drawn(corners: list[Corner]) -> Dots:
    return GRID.filled([corners])


@cache
def picture_dots(picture: str) -> Dots:
    return drawn([(x + AT[0], y + AT[1]) for x, y in PICTURES[picture]])


def sure_film(at: Corner, size: tuple[float, float], degrees: float, tolerance: float) -> list[Corner]:
    """The film less the tolerance, turned about the corner of the whole film."""
    turn = np.exp(1j * np.radians(degrees))
    inner = complex(*at) + turn * complex(tolerance, tolerance)
    return turned_rectangle((inner.real, inner.imag), (size[0] - 2 * tolerance, size[1] - 2 * tolerance), degrees)


def count_bare(picture: str, at: Corner, size: tuple[float, float], degrees: float, tolerance: float) -> int:
    """Turn the dots of the picture back to the film's own edges and count those beyond the sure field."""
    rows, columns = np.nonzero(picture_dots(picture))
    places = (columns + 0.5) / PER_INCH + 1j * (rows + 0.5) / PER_INCH
    along = (places - complex(*at)) * np.exp(-1j * np.radians(degrees))
    inside = (abs(along.real - size[0] / 2) <= size[0] / 2 - tolerance) & (
        abs(along.imag - size[1] / 2) <= size[1] / 2 - tolerance
    )
    return int(np.count_nonzero(~inside))


@pytest.mark.parametrize("tolerance", [0.0, 1 / 32])
@pytest.mark.parametrize(
    ("picture", "at", "size", "degrees"),
    [
        ("rectangle", (0.75, 0.5), (3.5, 3.0), 4.0),
        ("rectangle", (1.0, 1.0), (3.0, 2.0), -12.5),
        ("horse", (0.875, 1.0), (2.5, 2.0), 7.5),
        ("horse", (0.5, 1.5), (3.25, 1.25), -3.0),
        ("horse", (1.5, 0.5), (1.75, 1.75), 30.0),
    ],
)
def test_bare_area_of_a_turned_short_film(
    picture: str, at: Corner, size: tuple[float, float], degrees: float, tolerance: float
) -> None:
    """Bare is what prints of the illustration outside the film less the tolerance for register.

    Sources: dots of `skimage.draw.polygon`; for the horse, scikit-image's sample picture `skimage.data.horse`.
    """
    house = house_keeping(tolerance)
    film = {"film": f"{size[0]} x {size[1]} in", "at": f"{at[0]}, {at[1]} in", "angle": degrees}
    (finding,) = short(ordered(picture, film, house), house)
    bare = picture_dots(picture) & ~drawn(sure_film(at, size, degrees, tolerance))
    # Dots at an edge err either way; a tenth of a dot along the edges is far more than is left of it.
    assert finding.amount == pytest.approx(GRID.area(bare), abs=0.1 * 20 / PER_INCH)
    assert finding.amount > 0.2
    assert finding.shape is not None
    parts = [[*part.exterior.coords][:-1] for part in finding.shape.geoms]
    wrong = np.count_nonzero(GRID.filled(parts) ^ bare)
    assert wrong < 0.01 * np.count_nonzero(bare), "the bare place itself is where the dots say"


def test_film_that_covers_with_the_tolerance_to_spare_is_not_blamed() -> None:
    """The dots of the horse lie wholly inside the film less 1/32 in: no finding. Source: `skimage.data.horse`."""
    at, size, degrees, tolerance = (0.55, 0.5), (3.5, 3.0), 2.0, 1 / 32
    assert count_bare("horse", at, size, degrees, tolerance) == 0
    house = house_keeping(tolerance)
    film = {"film": f"{size[0]} x {size[1]} in", "at": f"{at[0]}, {at[1]} in", "angle": degrees}
    assert not short(ordered("horse", film, house), house)


@pytest.mark.parametrize("degrees", [0.0, 6.0])
@pytest.mark.parametrize("away", [(-0.4, 0.3), (0.3, -0.7), (0.75, 0.0)])
def test_shift_that_cures_is_enough_and_no_longer_than_needed(degrees: float, away: Corner) -> None:
    """Shifted as told the film covers every dot of the horse; shifted 1/20 in less far it does not.

    Source: scikit-image's sample picture `skimage.data.horse`, its dots set by `skimage.draw.polygon`.
    """
    tolerance = 1 / 32
    house = house_keeping(tolerance)
    size, at = (3.6, 3.2), (0.6 + away[0], 0.45 + away[1])
    film = {"film": f"{size[0]} x {size[1]} in", "at": f"{at[0]}, {at[1]} in", "angle": degrees}
    plate = ordered("horse", film, house)
    picture, overlay = plate.films
    shift = shift_to_cover(overlay, picture, degrees, tolerance)
    assert shift is not None

    def bare(part: float) -> int:
        there = (at[0] + part * shift[0], at[1] + part * shift[1])
        return count_bare("horse", there, size, degrees, tolerance)

    assert bare(0.0) > 0
    assert bare(1.0) <= 3, "a dot or two may lie on the very edge"
    length = float(np.hypot(*shift))
    assert bare(1 - 0.05 / length) > 20


def test_squaring_up_cures_what_no_shift_can() -> None:
    """A film that is too narrow when turned, but large enough when square to its illustration.

    Source: `skimage.data.horse`; the squared film is drawn with `skimage.draw.polygon`.
    """
    tolerance, degrees = 1 / 32, 10.0
    house = house_keeping(tolerance)
    width = max(x for x, _ in PICTURES["horse"])
    height = max(y for _, y in PICTURES["horse"])
    size, at = (width + 0.125, height + 0.125), AT
    film = {"film": f"{size[0]} x {size[1]} in", "at": f"{at[0]}, {at[1]} in", "angle": degrees}
    plate = ordered("horse", film, house)
    picture, overlay = plate.films
    (finding,) = short(plate, house)
    assert finding.cure.startswith("square it up by turning it 10 degrees clockwise")
    assert shift_to_cover(overlay, picture, degrees, tolerance) is None
    shift = shift_to_cover(overlay, picture, 0.0, tolerance)
    assert shift is not None
    # About its centre: the middle of the four turned corners stays where it is.
    turned = np.asarray(turned_rectangle(at, size, degrees))
    centre = turned.mean(axis=0)
    corner = (centre[0] - size[0] / 2 + shift[0], centre[1] - size[1] / 2 + shift[1])
    assert count_bare("horse", corner, size, 0.0, tolerance) <= 3
    squared = {**film, "at": f"{corner[0]:.9f}, {corner[1]:.9f} in", "angle": 0}
    assert not short(ordered("horse", squared, house), house), "the tool accepts its own cure"
    # No shift alone: dragged over a tenth of an inch each way the turned film always leaves dots bare.
    for across in np.linspace(-0.1, 0.1, 5):
        for up in np.linspace(-0.1, 0.1, 5):
            there = (at[0] + shift[0] + across, at[1] + shift[1] + up)
            assert count_bare("horse", there, size, degrees, tolerance) > 0


def test_film_to_be_remade_is_as_small_as_it_may_be() -> None:
    """The remade film covers the extent of the horse's dots with the tolerance, and a sixteenth less would not.

    Source: `skimage.data.horse`; extent of the dots counted along rows and columns.
    """
    tolerance = 1 / 32
    house = house_keeping(tolerance)
    plate = ordered("horse", {"film": "2 x 1 in", "at": "1, 1 in"}, house)
    (finding,) = short(plate, house)
    size = smallest_film(plate.films[0], tolerance)
    rows, columns = np.nonzero(picture_dots("horse"))
    for side, dots in zip(size, (columns, rows), strict=True):
        needed = (dots.max() - dots.min() + 1) / PER_INCH + 2 * tolerance
        assert side * 16 == round(side * 16)
        assert -1 / PER_INCH <= side - needed < 1 / 16 + 1 / PER_INCH
    assert finding.cure.startswith("remake the film")

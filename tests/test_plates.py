from __future__ import annotations

import pytest

from planner.house import House
from planner.orders import orders_from
from planner.plates import plates_of

from .days import a_day, a_house, a_plate


@pytest.fixture
def house() -> House:
    return a_house()


def test_copies_and_colours_are_single_plates_with_names_of_their_own(house: House) -> None:
    day = a_day({"size": "3 x 4 in", "quantity": 2, "colours": ["red", "black"]}, {"size": "1 x 1 in"})
    ids = [plate.id for plate in plates_of(orders_from(day, ""), house)]
    assert ids == ["7/P1/red/1", "7/P1/red/2", "7/P1/black/1", "7/P1/black/2", "7/P2"]


def test_a_plate_without_negatives_prints_all_over() -> None:
    plate = a_plate(size="3 x 4 in")
    assert plate.printing.area == pytest.approx(12)
    assert plate.films[0].kind == "line"
    assert a_plate(size="3 x 4 in", screen=120).films[0].kind == "square"


def test_mounting_left_out_is_bevelled_for_rectangles_and_nailed_for_the_rest() -> None:
    assert a_plate(size="3 x 4 in").mounting == "bevelled"
    assert a_plate(outline={"points": ["0, 0 in", "4, 0 in", "0, 3 in"]}).mounting == "nailed"


def test_bleed_pushes_the_face_out_and_fills_the_corner() -> None:
    plate = a_plate(size="3 x 4 in", bleed={"left": "1/8 in", "top": "1/4 in"})
    assert plate.face.bounds == (-0.125, 0, 3, 4.25)
    assert plate.face.area == pytest.approx(3.125 * 4.25)
    assert (plate.width, plate.height) == (3, 4)


def test_bleed_named_by_side_takes_the_houses_amount() -> None:
    plate = a_plate(a_house(bleed="3/16 in"), size="3 x 4 in", bleed=["right"])
    assert plate.bleed == {"right": 0.1875}


def test_a_notched_plate_bleeds_from_its_straight_edges_only() -> None:
    notched = {"points": ["0, 0 in", "4, 0 in", "4, 1 in", "2, 1 in", "2, 3 in", "0, 3 in"]}
    plate = a_plate(outline=notched, bleed={"top": "1/8 in"})
    assert plate.face.area == pytest.approx(4 + 4 + 2 * 0.125)


def test_film_is_its_image_and_the_safe_edge_unless_given() -> None:
    plate = a_plate(a_house(film={"safe_edge": "1/4 in"}), size="3 x 4 in")
    assert plate.films[0].film.bounds == (-0.25, -0.25, 3.25, 4.25)
    assert not plate.films[0].given


def test_film_is_centred_on_its_image_unless_placed() -> None:
    negative = {"kind": "line", "size": "1 x 1 in", "at": "1, 1 in", "film": "2 x 1 1/2 in"}
    assert a_plate(size="3 x 4 in", negatives=[negative]).films[0].film.bounds == (0.5, 0.75, 2.5, 2.25)
    placed = {**negative, "film_at": "3/4, 3/4 in"}
    assert a_plate(size="3 x 4 in", negatives=[placed]).films[0].film.bounds == (0.75, 0.75, 2.75, 2.25)


def test_image_and_film_turn_together_about_the_images_corner() -> None:
    negative = {"kind": "line", "size": "2 x 1 in", "at": "1, 1 in", "angle": 45}
    film = a_plate(size="6 x 6 in", negatives=[negative]).films[0]
    assert film.image.bounds == pytest.approx((1 - 0.5**0.5, 1, 1 + 2 * 0.5**0.5, 1 + 3 * 0.5**0.5))
    assert film.film.contains(film.image)


def test_an_overlay_is_placed_by_its_film_and_lies_on_its_illustration() -> None:
    negatives = [
        {"kind": "line", "use": "surprint", "film": "3 x 4 in", "at": "0, 0 in"},
        {"kind": "square", "name": "picture"},
    ]
    plate = a_plate(size="3 x 4 in", screen=120, negatives=negatives)
    overlay = plate.films[0]
    assert overlay.film.bounds == (0, 0, 3, 4)
    assert plate.illustration_under(overlay).name == "picture"
    assert plate.printing.area == pytest.approx(12)


def test_an_image_without_a_place_is_centred_on_the_plate() -> None:
    plate = a_plate(size="3 x 4 in", negatives=[{"kind": "line", "size": "1 x 1 in"}])
    assert plate.films[0].image.bounds == (1, 1.5, 2, 2.5)


def test_tints_print_and_only_on_the_plate() -> None:
    plate = a_plate(
        size="3 x 4 in",
        negatives=[{"kind": "line", "size": "1 x 1 in", "at": "0, 0 in"}],
        tints=[{"pattern": "7", "size": "2 x 2 in", "at": "2, 3 in"}],
    )
    assert plate.printing.area == pytest.approx(1 + 1)

from __future__ import annotations

import pytest

from planner.blanks import GRID, Blank, blanks_for

from .days import a_house, a_plate, rules_of

NO_FILM = {"film": {"safe_edge": "0 in"}}


def test_a_bevelled_plate_needs_shoulder_flange_and_trim_each_with_its_author() -> None:
    house = a_house(**NO_FILM)
    blank = _only(blanks_for([a_plate(house, size="3 x 4 in")], rules_of(house), house))
    margin = 1 / 32 + 1 / 8 + 1 / 16
    assert blank.box == pytest.approx((-margin, -margin, 3 + 2 * margin, 4 + 2 * margin))
    assert [(asked.kind, asked.rule) for asked in blank.allowances] == [
        ("shoulder", "square-bevel"), ("flange", "square-bevel"), ("trim", "house"),
    ]  # fmt: skip
    assert blank.flange.area == pytest.approx((3 + 5 / 16) * (4 + 5 / 16) - 12)


def test_without_the_bevel_rule_there_is_no_flange() -> None:
    house = a_house(**NO_FILM, rules={"square-bevel": {"enabled": False}})
    blank = _only(blanks_for([a_plate(house, size="3 x 4 in")], rules_of(house), house))
    assert blank.flange.is_empty
    assert [asked.kind for asked in blank.allowances] == ["trim"]


def test_films_larger_than_the_metal_ask_for_room_of_their_own() -> None:
    house = a_house(film={"safe_edge": "1/2 in"})
    blank = _only(blanks_for([a_plate(house, size="3 x 4 in")], rules_of(house), house))
    assert blank.box == (-0.5, -0.5, 4, 5)
    assert blank.allowances[-1].kind == "film"
    assert blank.allowances[-1].left == pytest.approx(0.5 - 7 / 32)


def test_blanks_are_rounded_up_to_the_grid_of_the_nesting() -> None:
    house = a_house(**NO_FILM, cutting={"trim": "0 in"})
    blank = _only(blanks_for([a_plate(house, size="100 x 100 mm", mounting="unmounted")], rules_of(house), house))
    width, height = blank.grid_size
    assert blank.box[2] == width / GRID
    assert 0 <= width / GRID - 100 / 25.4 < 1 / GRID
    assert width == height


def test_a_length_on_the_grid_is_not_rounded_up_by_float_noise() -> None:
    house = a_house(film={"safe_edge": "0 in"}, cutting={"trim": "0.1 in"})
    plate = a_plate(house, size="2.8 x 0.8 in", mounting="unmounted")
    assert blanks_for([plate], rules_of(house), house)[plate.id].grid_size == (3 * GRID, GRID)


def _only(blanks: dict[str, Blank]) -> Blank:
    (blank,) = blanks.values()
    return blank

"""Squareness, bleed, films, tints, nailing and placing: each question with a plate that passes and one that fails."""

from __future__ import annotations

from typing import Any

import pytest

from planner.checks import check_plate
from planner.checks.placing import check_placing
from planner.checks.sets import check_sets
from planner.plan import Flat

from ..days import a_day, a_house, a_plate, planned


def codes(house: Any = None, **plate: Any) -> list[tuple[str, str]]:
    house = house or a_house()
    return [(finding.code, finding.severity) for finding in check_plate(a_plate(house, **plate), house)]


def picture(**keys: Any) -> dict[str, Any]:
    return {"kind": "square", "name": "picture", **keys}


def test_a_plain_plate_has_no_findings() -> None:
    assert codes(size="3 x 4 in") == []
    assert codes(size="3 x 4 in", screen=120) == []


def test_an_overlay_out_of_square_stops_when_it_drifts_past_the_tolerance() -> None:
    def overlay(angle: float) -> dict[str, Any]:
        return {"kind": "line", "use": "surprint", "film": "4 x 5 in", "angle": angle, "at": "-1/2, -1/2 in"}

    assert codes(size="3 x 4 in", screen=120, negatives=[picture(), overlay(1)]) == [("square.overlay", "stop")]
    assert codes(size="3 x 4 in", screen=120, negatives=[picture(), overlay(0.1)]) == [("square.overlay", "warn")]


def test_an_overlay_parallel_to_a_turned_illustration_is_square() -> None:
    turned = picture(size="2 x 2 in", at="1/2, 1/2 in", angle=2)
    overlay = {"kind": "line", "use": "surprint", "film": "2 1/2 x 2 1/2 in", "at": "0.27, 0.25 in", "angle": 2}
    assert codes(size="3 x 4 in", screen=120, negatives=[turned, overlay]) == [("square.picture", "stop")]


@pytest.mark.parametrize(("size", "at", "expected"), [
    ("3 1/8 x 4 in", "-1/8, 0 in", []),
    ("3 x 4 in", "0, 0 in", [("bleed.short", "stop")]),
    ("3 1/16 x 4 in", "-1/16, 0 in", [("bleed.short", "stop")]),
])  # fmt: skip
def test_the_picture_must_run_past_the_trim_on_a_side_that_bleeds(size: str, at: str, expected: list[Any]) -> None:
    negatives = [{"kind": "line", "size": size, "at": at}]
    assert codes(size="3 x 4 in", bleed=["left"], mounting="unmounted", negatives=negatives) == expected


def test_an_image_off_the_plate_is_found_unless_the_bevel_speaks_for_it() -> None:
    over = [{"kind": "line", "size": "3 x 4 in", "at": "1, 0 in"}]
    assert codes(size="3 x 4 in", mounting="unmounted", negatives=over) == [("image.cut-off", "stop")]
    assert codes(size="3 x 4 in", negatives=over) == []


def test_an_image_over_a_mortise_is_cut_away() -> None:
    frame = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["1, 1 in", "3, 1 in", "3, 3 in", "1, 3 in"]],
    }
    over = [{"kind": "line", "size": "2 x 2 in", "at": "1/2, 1/2 in"}]
    for mounting in ("bevelled", "unmounted"):
        assert codes(outline=frame, mounting=mounting, negatives=over) == [("image.cut-off", "stop")]


def test_a_plate_on_which_nothing_prints_is_found() -> None:
    far = [{"kind": "line", "size": "1 x 1 in", "at": "9, 9 in"}]
    assert ("image.none", "stop") in codes(size="3 x 4 in", mounting="unmounted", negatives=far)


def test_images_of_the_base_may_not_lie_over_one_another() -> None:
    two = [{"kind": "line", "size": "2 x 2 in", "at": "0, 0 in"}, {"kind": "line", "size": "2 x 2 in", "at": "1, 1 in"}]
    assert codes(size="3 x 4 in", negatives=two) == [("film.images-overlap", "stop")]


def test_a_given_film_may_not_lie_over_a_neighbours_image() -> None:
    first = {"kind": "line", "size": "1 x 1 in", "at": "0, 0 in", "film": "2 1/2 x 1 1/4 in"}
    second = {"kind": "line", "size": "1 x 1 in", "at": "1 1/4, 0 in"}
    assert codes(size="3 x 4 in", negatives=[first, second]) == [("film.over-image", "stop")]


def test_given_skins_that_overlap_between_images_want_a_seam() -> None:
    films = [
        {"kind": "line", "size": "1 x 1 in", "at": f"{x}, 0 in", "film": "1 1/4 x 1 1/4 in"} for x in ("0", "1 3/16")
    ]
    assert codes(size="3 x 4 in", negatives=films) == [("film.skins-overlap", "warn")]


def test_films_that_the_stripper_cuts_himself_need_no_finding() -> None:
    films = [{"kind": "line", "size": "1 x 1 in", "at": f"{x}, 0 in"} for x in ("0", "1 1/16")]
    assert codes(size="3 x 4 in", negatives=films) == []


def test_a_film_smaller_than_its_image_is_found() -> None:
    small = {"kind": "line", "size": "2 x 2 in", "at": "0, 0 in", "film": "1 x 3 in"}
    assert codes(size="3 x 4 in", negatives=[small]) == [("film.short", "stop")]


def test_tints_off_the_plate_and_across_one_another_are_found() -> None:
    line = [{"kind": "line", "size": "1 x 1 in", "at": "0, 0 in"}]
    off = [{"pattern": "7", "size": "2 x 2 in", "at": "2, 3 in"}]
    assert codes(size="3 x 4 in", negatives=line, tints=off) == [("tint.off-plate", "warn")]
    crossing = [{"pattern": p, "size": "1 x 1 in", "at": "1, 2 in"} for p in ("7", "8")]
    assert codes(size="3 x 4 in", negatives=line, tints=crossing) == [("tint.overlap", "warn")]


def test_a_nailed_plate_needs_room_for_a_nail() -> None:
    assert codes(size="3 x 4 in", mounting="nailed") == [("nail.no-room", "stop")]
    small = [{"kind": "line", "size": "2 x 3 in", "at": "1/2, 1/2 in"}]
    assert codes(size="3 x 4 in", mounting="nailed", negatives=small) == []


def test_a_flat_is_asked_about_glass_and_grip() -> None:
    (flat,) = planned(a_day({"size": "3 x 4 in"})).flats
    assert list(check_placing(flat)) == []
    narrow = Flat.model_validate({**flat.model_dump(), "grip": 5.0, "usable": (5.0, 5.0, 8.0, 14.0)})
    assert {finding.code for _, finding in check_placing(narrow)} == {"film.off-glass", "image.in-grip"}


def test_a_colour_set_apart_or_turned_is_found() -> None:
    colours = ["yellow", "red", "blue", "black"]
    house = a_house(sheets=[{"metal": "zinc", "size": "9 x 9 in"}])
    apart = planned(a_day({"size": "3 1/2 x 6 in", "colours": colours, "may_turn": False}), house)
    assert [found.code for found in apart.findings] == ["colour.apart"]
    together = planned(a_day({"size": "3 x 3 in", "colours": colours, "may_turn": False}), house)
    assert together.findings == ()
    (flat,) = together.flats
    turned = [
        placement.model_copy(update={"turned": 90}) if placement.plate.endswith("red") else placement
        for placement in flat.placements
    ]
    found = list(check_sets([flat.model_copy(update={"placements": tuple(turned)})], together.plates))
    assert [finding.code for _, finding in found] == ["colour.turned"]

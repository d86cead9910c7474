"""Squareness, bleed, films, tints and placing: each question with a plate that passes and one that fails."""

from __future__ import annotations

from typing import Any

import pytest
from shapely.geometry import MultiPolygon

from planner.checks import check_plate, check_work
from planner.checks.placing import check_placing
from planner.checks.sets import check_sets
from planner.plan import Flat
from planner.routing import router_work

from ..days import a_day, a_house, a_plate, planned


def codes(house: Any = None, **plate: Any) -> list[tuple[str, str]]:
    house = house or a_house()
    ordered = a_plate(house, **plate)
    work = router_work(ordered, MultiPolygon(), MultiPolygon(), house)
    found = [*check_plate(ordered, house), *check_work(ordered, work, house)]
    return [(finding.code, finding.severity) for finding in found]


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
    assert codes(size="3 x 4 in", screen=120, negatives=[turned, overlay]) == [("square.picture", "warn")]


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


def test_an_image_over_a_mortise_wants_a_look() -> None:
    frame = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["1, 1 in", "3, 1 in", "3, 3 in", "1, 3 in"]],
    }
    over = [{"kind": "line", "size": "2 x 2 in", "at": "1/2, 1/2 in"}]
    for mounting in ("bevelled", "unmounted"):
        assert codes(outline=frame, mounting=mounting, negatives=over) == [("image.over-hole", "warn")]


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


def test_a_flat_is_asked_about_glass_and_grip() -> None:
    (flat,) = planned(a_day({"size": "3 x 4 in"})).flats
    assert list(check_placing(flat)) == []
    narrow = Flat.model_validate({**flat.model_dump(), "grip": 5.0, "usable": (5.0, 5.0, 8.0, 14.0)})
    assert {finding.code for _, finding in check_placing(narrow)} == {"film.off-glass", "image.in-grip"}


def test_a_colour_set_apart_or_turned_is_found() -> None:
    colours = ["yellow", "red", "blue", "black"]
    house = a_house(sheets=[{"metal": "zinc", "size": "9 x 9 in"}])
    apart = planned(a_day({"size": "3 1/2 x 6 in", "colours": colours, "may_turn": False}), house)
    assert [found.code for found in apart.findings] == ["together.apart"]
    together = planned(a_day({"size": "3 x 3 in", "colours": colours, "may_turn": False}), house)
    assert together.findings == ()
    (flat,) = together.flats
    turned = [
        placement.model_copy(update={"turned": 90}) if placement.plate.endswith("red") else placement
        for placement in flat.placements
    ]
    found = list(check_sets([flat.model_copy(update={"placements": tuple(turned)})], together.plates))
    assert [finding.code for _, finding in found] == ["together.turned"]


def overlay(use: str, **keys: Any) -> dict[str, Any]:
    return {"kind": "line", "use": use, "name": use, **keys}


def test_the_lettering_of_an_overlay_is_looked_at_like_any_image() -> None:
    plate = {"size": "6 x 6 in", "screen": 120, "mounting": "unmounted"}
    under = picture(size="4 x 4 in", at="1, 1 in")
    good = overlay("surprint", size="1 x 1 in", at="2, 2 in", film="4 1/2 x 4 1/2 in", film_at="3/4, 3/4 in")
    assert codes(**plate, negatives=[under, good]) == []
    off = {**good, "at": "5 1/2, 2 in", "film": "9 x 9 in", "film_at": "-1, -1 in"}
    assert codes(**plate, negatives=[under, off]) == [("image.cut-off", "stop"), ("overlay.beside", "warn")]
    beyond_its_film = {**good, "size": "4 x 4 in", "at": "1, 1 in", "film": "4 1/2 x 4 1/2 in", "film_at": "1, 1 in"}
    assert ("film.short", "stop") not in codes(**plate, negatives=[under, beyond_its_film])
    assert ("film.short", "stop") in codes(
        **plate, negatives=[under, {**good, "film": "1/2 x 1/2 in", "film_at": "2, 2 in"}]
    )


def test_a_surprint_with_an_image_prints_and_one_known_by_its_film_does_not() -> None:
    under = picture(size="2 x 2 in", at="2, 2 in")
    keys = {"size": "6 x 6 in", "screen": 120, "mounting": "flush"}
    lettering = overlay("surprint", size="4 x 4 in", at="1, 1 in", film="4 x 4 in")
    assert a_plate(**keys, negatives=[under, lettering]).printing.area == pytest.approx(16)
    bare_film = overlay("surprint", film="75 x 97 mm", at="1 in, 20 mm")
    assert a_plate(**keys, negatives=[under, bare_film]).printing.area == pytest.approx(4)


def test_a_reverse_may_not_lie_over_a_neighbour_but_a_surprint_is_masked() -> None:
    pictures = [picture(size="2 x 2 in", at="0, 0 in"), {"kind": "line", "size": "2 x 2 in", "at": "2 1/2, 0 in"}]
    wide = {"film": "4 x 3 in", "at": "-1/2, -1/2 in"}
    plate = {"size": "6 x 6 in", "screen": 120, "mounting": "unmounted"}
    assert codes(**plate, negatives=[*pictures, overlay("reverse", **wide)]) == [("film.over-image", "stop")]
    assert codes(**plate, negatives=[*pictures, overlay("surprint", **wide)]) == []


def test_bleed_is_looked_at_wherever_something_touches_the_trim() -> None:
    plate = {"size": "4 x 6 in", "mounting": "unmounted", "bleed": ["left"]}
    big = {"kind": "line", "size": "4 x 5 in", "at": "0, 0 in"}
    logo = {"kind": "line", "size": "1 x 1/2 in", "at": "-1/8, 5 1/4 in"}
    assert codes(**plate, negatives=[big, logo]) == [("bleed.short", "stop")]
    assert codes(**plate, negatives=[{**big, "size": "4 1/8 x 5 in", "at": "-1/8, 0 in"}, logo]) == []


def test_a_tint_may_be_what_bleeds_and_more_bleed_than_needed_harms_nobody() -> None:
    plate = {"size": "4 x 6 in", "mounting": "unmounted", "bleed": ["left"]}
    inside = {"kind": "line", "size": "1 x 1 in", "at": "1, 1 in"}
    assert codes(**plate, negatives=[inside], tints=[{"pattern": "7"}]) == []
    further = {"kind": "line", "size": "4 1/2 x 6 in", "at": "-1/2, 0 in"}
    assert codes(**plate, negatives=[further]) == []


def test_a_side_without_a_straight_edge_cannot_bleed() -> None:
    disc = {"unit": "in", "path": "M0 1A1 1 0 0 1 2 1A1 1 0 0 1 0 1Z"}
    assert codes(outline=disc, mounting="unmounted", bleed=["left"]) == [("bleed.no-edge", "stop")]


def test_a_turned_plate_says_which_of_its_sides_is_where_on_the_flat() -> None:
    negatives = [picture(size="3 x 4 in", at="1/2, 1/2 in"),
                 overlay("surprint", film="3 1/4 x 4 1/4 in", at="1/8, 3/8 in")]  # fmt: skip
    house = a_house(sheets=[{"metal": "zinc", "size": "13 x 6 in"}])
    plan = planned(a_day({"size": "4 x 10 in", "screen": 120, "negatives": negatives}), house)
    (finding,) = plan.findings
    assert finding.cure.startswith("shift the film 5/32 in to the right (sides are said as the plate reads;")
    straight = planned(a_day({"size": "4 x 4 7/8 in", "screen": 120, "negatives": negatives, "may_turn": False}), house)
    assert straight.findings[0].cure == "shift the film 5/32 in to the right"

"""What the stripper lays by: the corner of every film in the list, ticks at the same places, seams."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from defusedxml.ElementTree import fromstring

from planner.geometry import plain, rectangle, shape_of
from planner.lengths import fraction_text
from planner.plan import Plan
from planner.sheets.stripper import stripper_sheet

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize("number", [1, 2])
def test_the_corner_of_every_film_is_listed_from_two_edges(plan: Plan, files: dict[str, str], number: int) -> None:
    root = fromstring(files[f"flat-0{number}-stripper.svg"])
    listed = [element.text or "" for element in root.iter(f"{SVG}text") if element.get("data-list") == "plates"]
    wanted = []
    for placement in plan.flats[number - 1].placements:
        for film in placement.films:
            x, y, *_ = shape_of(film.film).bounds
            wanted.append((fraction_text(x), fraction_text(y)))
    found = list(pairwise(listed))
    at = -1
    for pair in wanted:
        at = next(place for place, words in enumerate(found) if place > at and words == pair)


def test_ticks_stand_where_the_films_begin_and_in_the_middle(plan: Plan, files: dict[str, str]) -> None:
    flat = plan.flats[0]
    root = fromstring(files["flat-01-stripper.svg"])
    ticks = next(path for path in root.iter(f"{SVG}path") if path.get("data-kind") == "tick")
    lines = [[float(value) for value in re.findall(r"-?[0-9.]+", part)] for part in ticks.get("d", "").split("M")[1:]]
    across = {round(x1, 4) for x1, _, x2, _ in lines if x1 == x2}
    films = [film for placement in flat.placements for film in placement.films]
    assert across == {round(shape_of(film.film).bounds[0], 4) for film in films}
    middles = next(path for path in root.iter(f"{SVG}path") if path.get("data-kind") == "centre")
    assert f"M{flat.sheet.width / 2:g} " in middles.get("d", "")


def test_seams_are_drawn_under_the_plates_and_in_the_legend(plan: Plan, files: dict[str, str]) -> None:
    assert 'data-kind="seam"' not in files["flat-01-stripper.svg"]
    seam = plain(rectangle(1.0, 1.0, 0.25, 5.0))
    flats = (plan.flats[0].model_copy(update={"seams": seam}), *plan.flats[1:])
    text = stripper_sheet(plan.model_copy(update={"flats": flats}), flats[0])
    assert text.index('id="layer-seams"') < text.index('id="layer-plates"')
    assert "seam: opaque it" in text

"""The cuts as the shear hand sees them, and the findings where they belong."""

from __future__ import annotations

import pytest
from defusedxml.ElementTree import fromstring

from planner.lengths import fraction_text
from planner.plan import Plan
from planner.sheets.folder import sheet_files

SVG = "{http://www.w3.org/2000/svg}"


def _texts(text: str, key: str, value: str) -> list[str]:
    return [
        element.text or "" for element in fromstring(text).iter(f"{SVG}text") if element.get(f"data-{key}") == value
    ]


def test_cuts_are_listed_in_order_with_distances_as_seen_on_the_metal(plan: Plan, files: dict[str, str]) -> None:
    for flat in plan.flats:
        words = _texts(files[f"flat-0{flat.number}-shear.svg"], "list", "cuts")
        wanted = []
        for part in sorted((part for part in flat.cut_tree if part.cut), key=lambda part: part.number or 0):
            assert part.at is not None
            assert part.kerf is not None
            x, y, width, _ = part.box
            upright = part.cut == "vertical"
            # To the near side of the kerf: what a gauge or a fence is set to.
            whole = (flat.sheet.width - part.at if upright else part.at) - part.kerf / 2
            own = (x + width - part.at if upright else part.at - y) - part.kerf / 2
            wanted += ["V" if upright else "H", fraction_text(own), fraction_text(whole)]
        found = [word for place, word in enumerate(word for word in words if word) if place % 4 != 3]
        assert found == wanted


def test_the_gauge_gives_the_piece_that_comes_off(plan: Plan, files: dict[str, str]) -> None:
    flat = plan.flats[0]
    assert flat.kerf > 0
    words = [word for word in _texts(files["flat-01-shear.svg"], "list", "cuts") if word]
    cuts = sorted((part for part in flat.cut_tree if part.cut), key=lambda part: part.number or 0)
    for place, part in enumerate(cuts):
        # What lies low in the layout lies low on the metal, but what lies to the right there lies to the left here.
        first = part.high if part.cut == "vertical" else part.low
        assert first is not None
        assert words[4 * place + 1] == fraction_text(flat.cut_tree[first].box[2 if part.cut == "vertical" else 3])


@pytest.mark.parametrize("sheet", ["metal", "shear"])
def test_each_cut_is_drawn_and_numbered_once(plan: Plan, files: dict[str, str], sheet: str) -> None:
    for flat in plan.flats:
        root = fromstring(files[f"flat-0{flat.number}-{sheet}.svg"])
        numbers = [element.get("data-cut") for element in root.iter(f"{SVG}g") if element.get("data-cut")]
        assert numbers == [str(number) for number in range(1, flat.cuts + 1)]
        marked = [element.text for element in root.iter(f"{SVG}text") if element.get("data-cut-number") is not None]
        assert marked == numbers
        kerfs = [path for path in root.iter(f"{SVG}path") if path.get("data-kind") == "kerf"]
        assert bool(kerfs) == (flat.kerf > 0)


def test_offcuts_carry_their_size(files: dict[str, str]) -> None:
    words = " ".join(_texts(files["flat-01-metal.svg"], "label", "offcut"))
    assert "OFFCUT" in words
    assert " x " in words


def test_findings_are_marked_and_listed(files: dict[str, str]) -> None:
    for kind in ("stripper", "metal"):
        text = files[f"flat-01-{kind}.svg"]
        root = fromstring(text)
        marked = {element.text for element in root.iter(f"{SVG}text") if element.get("data-finding")}
        assert marked == {"1", "2", "3"}
        listed = " ".join(_texts(text, "list", "findings"))
        assert "STOP, plate 2: The surprint does not cover" in listed
        assert "Remake the overlay" in listed
        assert "finding" not in files[f"flat-02-{kind}.svg"].split("layer-frame")[1].split("list-use")[0]


def test_overlays_and_angles_are_named(files: dict[str, str]) -> None:
    words = " ".join(_texts(files["flat-01-stripper.svg"], "label", "plate"))
    assert "SURPRINT on film 1, askew 1.5\u00b0" in words
    assert "REVERSE on film 1" in words
    assert "head\u00a0left" in words or "head left" in words
    metal = " ".join(_texts(files["flat-01-metal.svg"], "label", "plate"))
    assert "head\u00a0right" in metal or "head right" in metal


def test_films_of_a_plate_with_several_are_tagged_in_laying_order(plan: Plan, files: dict[str, str]) -> None:
    assert any(len(placement.films) > 1 for placement in plan.flats[0].placements)
    tags = _texts(files["flat-01-stripper.svg"], "tag", "film-2")
    assert any(tag.startswith("film 2: SURPRINT") for tag in tags)
    assert any(tag.startswith("film 2: REVERSE") for tag in tags)


def test_the_glass_is_shown_where_it_is_smaller_than_the_metal(plan: Plan) -> None:
    flat = plan.flats[1]
    smaller = flat.model_copy(update={"usable": (0.5, 0.5, 10.0, 9.0)})
    files = sheet_files(plan.model_copy(update={"flats": (smaller,)}))
    for text in (files["flat-02-stripper.svg"], files["flat-02-metal.svg"]):
        assert 'data-kind="usable"' in text
        assert "usable area ends here" in text


def test_a_flat_without_cuts_margin_or_films_can_be_drawn(plan: Plan) -> None:
    flat = plan.flats[1]
    bare = flat.placements[0].model_copy(update={"films": (), "zones": (), "flange": (), "printing": ()})
    whole = (0.0, 0.0, flat.sheet.width, flat.sheet.height)
    empty = flat.model_copy(
        update={"placements": (bare,), "cut_tree": (), "cuts": 0, "grip": 0.0, "usable": whole, "kerf": 0.0}
    )
    for text in sheet_files(plan.model_copy(update={"flats": (empty,), "findings": ()})).values():
        assert fromstring(text).get("role") == "img"

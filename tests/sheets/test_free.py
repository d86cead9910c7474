"""Free flats: each plate's line and kerf, which plates come first, and no boxes that would lie over each other."""

from __future__ import annotations

import re
from collections.abc import Callable
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring
from shapely import Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from planner.geometry import moved, plain, shape_of
from planner.lengths import fraction_text
from planner.plan import Plan, RestRecord
from planner.sheets.folder import sheet_files

SVG = "{http://www.w3.org/2000/svg}"
KERF, TRIM = 0.0625, 0.0625
Maker = Callable[..., Plan]

RING = box(0, 0, 6, 6) - box(1, 1, 5, 5)
LINK = box(0, 0, 3, 3) - box(0.75, 0.75, 2.25, 2.25)
BRACKET = Polygon([(0, 0), (4, 0), (4, 1.5), (1.5, 1.5), (1.5, 4), (0, 4)])
PLACES = {"ring": (0.6, 0.6), "link": (2.1, 2.1), "seal": (3.1, 3.1), "bracket": (7.2, 0.6)}


@pytest.fixture(scope="module")
def free(build: Maker, art: Callable[..., object]) -> Plan:
    """A ring, a smaller ring in its mortise, a seal in that one's, and a bracket; with a scratch in the glass."""
    arts = [
        art("J1", "ring", (6, 6), "line", box(0.2, 0.2, 0.8, 5.8), outline=RING, mounting="flush"),
        art("J1", "link", (3, 3), "line", box(0.2, 0.2, 0.5, 2.8), outline=LINK,
            mounting="flush"),
        art("J2", "seal", (1, 1), "line", box(0.2, 0.2, 0.8, 0.8), mounting="flush"),
        art("J2", "bracket", (4, 4), "line", box(0.2, 0.2, 1.2, 3.8), outline=BRACKET, mounting="flush"),
    ]  # fmt: skip
    plan = build([(8.0, arts)], (20, 16), KERF)
    flat = plan.flats[0]
    sheet, usable = box(0, 0, 20, 16), box(0.5, 0.5, 19.5, 15.5)
    placements = []
    for placement in flat.placements:
        across, up = PLACES[placement.plate.split("/")[1]]
        left, bottom, *_ = shape_of(placement.outline).bounds

        def here(shape: object, off: tuple[float, float] = (across - left, up - bottom)) -> object:
            return plain(moved(shape_of(shape), *off))  # type: ignore[arg-type]

        outline = shape_of(here(placement.outline))  # type: ignore[arg-type]
        metal = outline.buffer(TRIM, join_style="mitre")
        near_x, near_y, far_x, far_y = metal.bounds
        film = placement.films[0]
        placements.append(
            placement.model_copy(
                update={
                    "metal": plain(metal), "part": (near_x, near_y, far_x - near_x, far_y - near_y),
                    "blank": (across - 0.2, up - 0.2, *placement.blank[2:]),
                    "films": (film.model_copy(update={"film": here(film.film), "image": here(film.image)}),),
                    "zones": tuple(zone.model_copy(update={"shape": here(zone.shape)}) for zone in placement.zones),
                    **{key: here(getattr(placement, key)) for key in ("outline", "printing", "flange", "staying")},
                }
            )
        )  # fmt: skip
    metals = unary_union([shape_of(placement.metal) for placement in placements])
    kerf = metals.buffer(KERF) - metals
    offcut = box(11.5, 0.5, 19.5, 15.5)
    rest: list[tuple[str, BaseGeometry]] = [
        ("grip", sheet - usable - kerf), ("offcut", offcut), ("scrap", usable - metals - kerf - offcut)
    ]  # fmt: skip
    changed = flat.model_copy(
        update={
            "layout": "free", "placements": tuple(placements), "cut_tree": (), "cuts": 0, "kerf_shape": plain(kerf),
            "rest": tuple(RestRecord(use=use, shape=plain(shape)) for use, shape in rest),  # type: ignore[arg-type]
            "spots": ((8.0, 9.0, 1.5, 0.25), (3.0, 8.0, 0.05, 0.05)),
        }
    )  # fmt: skip
    return plan.model_copy(update={"flats": (changed,)})


@pytest.fixture(scope="module")
def drawn(free: Plan) -> dict[str, str]:
    return {name.split("-")[-1].removesuffix(".svg"): text for name, text in sheet_files(free).items()}


def paths(text: str, kind: str) -> list[Element]:
    return [path for path in fromstring(text).iter(f"{SVG}path") if path.get("data-kind") == kind]


def words(text: str, key: str, value: str) -> str:
    found = [one.text or "" for one in fromstring(text).iter(f"{SVG}text") if one.get(f"data-{key}") == value]
    return " ".join(found)


def test_the_saw_s_lines_and_kerf_are_drawn_instead_of_cuts(free: Plan, drawn: dict[str, str]) -> None:
    text = drawn["metal"]
    assert {path.get("data-plate") for path in paths(text, "saw")} == {
        place.plate for place in free.flats[0].placements
    }
    assert len(paths(text, "kerf")) == 1
    assert paths(text, "cut") == []
    legend = words(text, "list", "legend")
    assert "sawn out along this line, kerf 1/16 in" in legend
    assert "offcut" in legend
    assert "scrap" in legend
    assert "CUTS IN ORDER" not in text
    assert "OFFCUT" in words(text, "label", "offcut")
    assert "scrap" in words(text, "tag", "scrap")


def test_plates_in_mortises_come_first_and_inner_cuts_need_a_hole(drawn: dict[str, str]) -> None:
    said = words(drawn["metal"], "list", "sawing")
    assert "FIRST: plate 3 in the mortise of plate 2; plate 2 in the mortise of plate 1." in said
    assert "entry hole: drill it inside the mortise (plates 1, 2)" in said
    assert "no order of straight cuts" in said
    assert "1/16 in wide" in said
    assert "sawing" not in drawn["stripper"]


def test_a_flat_without_mortises_speaks_of_none(free: Plan) -> None:
    flat = free.flats[0]
    lone = flat.model_copy(update={"placements": flat.placements[-1:]})
    said = words(sheet_files(free.model_copy(update={"flats": (lone,)}))["flat-01-metal.svg"], "list", "sawing")
    assert "Saw each plate out" in said
    assert "FIRST" not in said
    assert "entry hole" not in said


def test_the_stripper_sees_metal_and_no_blanks(free: Plan, drawn: dict[str, str]) -> None:
    for kind in ("stripper", "metal"):
        assert paths(drawn[kind], "blank") == []
    assert len(paths(drawn["stripper"], "metal")) == len(free.flats[0].placements)
    assert "cut it to fit" in words(drawn["stripper"], "list", "use")
    # Places are those of the film, which reaches over the neighbour and is cut to fit: 7.2 less what it has round it.
    left, *_ = shape_of(free.flats[0].placements[3].films[0].film).bounds
    assert fraction_text(left) == "7 3/32"
    assert "7 3/32" in words(drawn["stripper"], "list", "plates")


def test_labels_lie_on_the_metal_of_their_own_plate(free: Plan, drawn: dict[str, str]) -> None:
    metals = {str(place): shape_of(one.metal) for place, one in enumerate(free.flats[0].placements, start=1)}
    root = fromstring(drawn["stripper"])
    work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work").get("transform", "")
    _, _, _, _, across, down = (float(value) for value in re.findall(r"-?[0-9.]+", work))
    grounds = [
        path for path in root.iter(f"{SVG}path") if path.get("data-part") == "ground" and path.get("data-number")
    ]
    assert len(grounds) == len(metals)
    for path in grounds:
        x, y, right, bottom, _ = (float(value) for value in re.findall(r"-?[0-9.]+", path.get("d", "")))
        label = box(x - across, down - bottom, right - across, down - y)
        assert metals[path.get("data-number", "")].buffer(1e-4).contains(label)


def test_spots_are_drawn_and_named_on_both_layouts(
    free: Plan, plan: Plan, drawn: dict[str, str], files: dict[str, str]
) -> None:
    straight = plan.flats[1].model_copy(update={"spots": ((8.0, 8.0, 0.5, 0.5),)})
    spotted = sheet_files(plan.model_copy(update={"flats": (straight,)}))
    laid = [text for name, text in spotted.items() if name.startswith("flat-")]
    assert len(laid) == 3
    for text in (drawn["stripper"], drawn["metal"], *laid):
        assert len(paths(text, "spot")) == 1
        assert "spot: scratch in the glass, keep clear" in words(text, "list", "legend")
    for name, text in files.items():
        assert ("scratch in the glass" in text) == (name == "key.svg")


def test_a_free_flat_is_drawn_the_same_every_time(free: Plan, drawn: dict[str, str]) -> None:
    assert list(sheet_files(free).values()) == list(drawn.values())

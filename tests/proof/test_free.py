"""A free flat is proven by the shapes of its metal; each way of spoiling one shows in its check."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from pydantic import ValidationError
from shapely import Polygon, box

from planner.plan import Plan

from .quick import prove
from .tiny_free import free_tables, free_tampered, written

Tables = dict[str, Any]


def flat(tables: Tables) -> Tables:
    return tables["flats"][0]


def placed(tables: Tables, name: str) -> Tables:
    return next(placement for placement in flat(tables)["placements"] if placement["plate"] == f"2042/{name}")


def rest(tables: Tables, use: str) -> Tables:
    return next(rest for rest in flat(tables)["rest"] if rest["use"] == use)


def move(tables: Tables, name: str, across: float, up: float = 0.0) -> None:
    """Move a plate with all that is its own, but not the kerf round it."""
    plate = placed(tables, name)
    for key in ("blank", "part"):
        plate[key] = [plate[key][0] + across, plate[key][1] + up, *plate[key][2:]]
    for table, key in (
        *((plate, key) for key in ("metal", "outline", "printing")),
        *((film, key) for film in plate["films"] for key in ("film", "image")),
    ):
        table[key] = [[[[x + across, y + up] for x, y in ring] for ring in rings] for rings in table[key]]


def change_kerf(tables: Tables, change: Callable[[Any], Any]) -> None:
    rings = flat(tables)["kerf_shape"]
    shape = Polygon(rings[0][0], rings[0][1:])
    for other in rings[1:]:
        shape |= Polygon(other[0], other[1:])
    flat(tables)["kerf_shape"] = written(change(shape))


def divide(tables: Tables) -> None:
    """An island of the offcut is said to belong to the small plate, and all figures follow."""
    placed(tables, "seal")["metal"] += written(box(13, 1, 14, 2))
    placed(tables, "seal")["part"] = [2.5, 1.0, 11.5, 3.625]


TAMPERINGS: list[tuple[str, str, Callable[[Tables], object]]] = [
    ("no metal", "shapes", lambda t: placed(t, "seal").update(metal=[])),
    ("metal that crosses itself", "shapes", lambda t: placed(t, "seal").update(
        metal=[[[[2.5, 2.5], [4.625, 4.625], [4.625, 2.5], [2.5, 4.625]]]])),
    ("no kerf", "shapes", lambda t: flat(t).update(kerf_shape=[])),
    ("a rest without a shape", "shapes", lambda t: rest(t, "scrap").update(shape=[])),
    ("a spot of no size", "shapes", lambda t: flat(t).update(spots=[[1.0, 1.0, 0.0, 0.0]])),
    ("metal off the usable area", "sheet", lambda t: move(t, "ring", -0.01)),
    ("metal off the glass", "sheet", lambda t: flat(t).update(usable=[0.5, 0.5, 10.0, 15.0])),
    ("an image off its metal", "sheet", lambda t: placed(t, "bracket")["films"][0].update(
        image=written(box(7.3125, 0.8125, 8.8125, 4.3125) | box(10, 3.5, 11, 4.5)))),
    ("printing off its metal", "sheet", lambda t: placed(t, "bracket").update(printing=written(box(10, 3.5, 11, 4.5)))),
    ("a plate against the mortise", "overlap", lambda t: move(t, "seal", 0.3)),
    ("a plate over the mortise's edge", "overlap", lambda t: move(t, "seal", 0.5)),
    ("plates too near", "overlap", lambda t: move(t, "bracket", -0.26)),
    ("a wider gap asked for", "overlap", lambda t: flat(t).update(gap=0.38)),
    ("metal on a spot", "spots", lambda t: flat(t).update(spots=[[1.0, 1.0, 0.25, 0.25]])),
    ("metal on a hair", "spots", lambda t: flat(t).update(spots=[[1.0, 1.0, 0.002, 0.0005]])),
    ("cuts from edge to edge", "cuts", lambda t: flat(t)["cut_tree"].append(
        {"box": [0.0, 0.0, 20.0, 16.0], "use": "scrap"})),
    ("cuts counted", "cuts", lambda t: flat(t).update(cuts=1)),
    ("shorn along curves", "cuts", lambda t: flat(t).update(how_cut="shear")),
    ("another box of metal", "cuts", lambda t: placed(t, "ring")["part"].__setitem__(2, 6.0)),
    ("a wider kerf", "cuts", lambda t: flat(t).update(kerf=0.07)),
    ("a narrower kerf", "cuts", lambda t: flat(t).update(kerf=0.06)),
    ("a kerf below nothing", "cuts", lambda t: flat(t).update(kerf=-0.0625)),
    ("a kerf without end", "cuts", lambda t: flat(t).update(kerf=1e300)),
    ("the kerf not all round", "cuts", lambda t: change_kerf(t, lambda kerf: kerf - box(5.5, 6.5, 5.6, 7))),
    ("no kerf in the mortise", "cuts", lambda t: change_kerf(t, lambda kerf: kerf - box(1.5, 1.5, 5.5, 5.5))),
    ("kerf where nothing is sawn", "cuts", lambda t: change_kerf(t, lambda kerf: kerf | box(9, 12, 9.1, 13))),
    ("kerf off the sheet", "cuts", lambda t: change_kerf(t, lambda kerf: kerf | box(-1, 1, -0.9, 2))),
    ("kerf on a plate", "cuts", lambda t: change_kerf(t, lambda kerf: kerf | box(1, 1, 2, 1.1))),
    ("scrap on a plate", "cuts", lambda t: rest(t, "scrap")["shape"].extend(written(box(1, 1, 2, 2)))),
    ("scrap off the sheet", "cuts", lambda t: rest(t, "scrap")["shape"].extend(written(box(20, 1, 21, 2)))),
    ("scrap in the offcut", "cuts", lambda t: rest(t, "offcut").update(shape=written(box(11.9, 0.5, 19.5, 15.5)))),
    ("grip in the usable area", "cuts", lambda t: rest(t, "scrap").update(use="grip")),
    ("scrap called an offcut", "cuts", lambda t: rest(t, "scrap").update(use="offcut")),
    ("an offcut too small", "cuts", lambda t: t["settings"].update(least_offcut=[8.0, 8.0])),
    ("a ragged offcut", "cuts", lambda t: rest(t, "offcut").update(
        shape=written(box(12, 0.5, 19.5, 15.5) - box(12, 0.5, 12.5, 1)))),
    ("an offcut lost", "ledger", lambda t: flat(t)["rest"].remove(rest(t, "offcut"))),
    ("an offcut called scrap", "ledger", lambda t: rest(t, "offcut").update(use="scrap")),
    ("trim in the ledger", "ledger", lambda t: t["ledger"]["jobs"][0]["areas"].update(trim=3.8)),
    ("kerf in the ledger", "ledger", lambda t: t["ledger"]["total"].update(kerf=4.0)),
    ("a plate beyond its metal", "transform", lambda t: placed(t, "seal").update(
        metal=written(box(2.5, 2.5, 4.5, 4.625)))),
    ("a flange beyond its metal", "transform", lambda t: placed(t, "seal").update(
        flange=written(box(2.4, 2.5625, 2.5625, 4.5625)))),
    ("metal short of its trim", "transform", lambda t: placed(t, "seal").update(
        metal=written(box(2.5625, 2.5625, 4.5625, 4.5625)))),
    ("metal in two pieces", "transform", divide),
    ("an outline moved", "transform", lambda t: placed(t, "seal").update(outline=written(box(2.57, 2.57, 4.57, 4.57)))),
    ("a straight flat with metal sawn out", "cuts", lambda t: flat(t).update(layout="straight")),
]  # fmt: skip


def test_the_sound_free_plan_is_proven_clean() -> None:
    proof = prove(free_tampered())
    assert proof.violations == ()
    assert {check.name for check in proof.checks if check.count == 0} == {
        "sharing",
        "passes",
        "work",
        "art",
        "camera",
        "coverage",
        "views",
    }


@pytest.mark.parametrize(("name", "change"), [pytest.param(name, change, id=what) for what, name, change in TAMPERINGS])
def test_a_tampering_with_a_free_plan_shows_in_its_check(name: str, change: Callable[[Tables], object]) -> None:
    check = next(check for check in prove(free_tampered(change)).checks if check.name == name)
    assert check.violations
    assert all(sentence.endswith(".") and "\n" not in sentence for sentence in check.violations)


def test_a_blank_and_a_film_may_stick_out_over_other_plates() -> None:
    def change(tables: Tables) -> None:
        """The small plate's film is wider by an inch on each side, and its blank with it."""
        record, plate = next(one for one in tables["plates"] if one["name"] == "seal"), placed(tables, "seal")
        record["blank"] = [-3.0, -3.0, 8.0, 8.0]
        plate["blank"] = [-0.4375, -0.4375, 8.0, 8.0]
        plate["films"][0].update(size=[8.0, 8.0], film=written(box(-0.4375, -0.4375, 7.5625, 7.5625)))

    assert prove(free_tampered(change)).violations == ()


def test_touching_metal_and_touching_spots_are_nothing_wrong() -> None:
    # A spot in the mortise that reaches from the one metal to the other.
    clean = prove(free_tampered(lambda t: flat(t).update(spots=[[2.125, 3.0, 0.375, 0.5]])))
    assert clean.violations == ()


def numbers(table: Any, path: tuple[Any, ...] = ()) -> Any:
    for key, value in table.items() if isinstance(table, dict) else enumerate(table):
        if isinstance(value, dict | list):
            yield from numbers(value, (*path, key))
        elif isinstance(value, float):
            yield *path, key


def test_no_number_of_plates_or_rest_can_be_changed_by_a_little() -> None:
    tables = free_tables()
    # The arcs of the kerf may be drawn a little otherwise; all that is straight is held by its neighbours.
    paths = [("flats", 0, "placements", *path) for path in numbers(flat(tables)["placements"])]
    paths += [("flats", 0, "rest", 1, *path) for path in numbers(flat(tables)["rest"][1])]
    text = json.dumps(tables)
    unnoticed = []
    for path in paths:
        changed = json.loads(text)
        table = changed
        for step in path[:-1]:
            table = table[step]
        table[path[-1]] += 0.0011
        try:
            if prove(Plan.model_validate(changed, strict=False)).clean:
                unnoticed.append(path)
        except ValidationError:
            continue
    assert unnoticed == []

"""Each way of spoiling a plan shows in the check that is there for it; and a sound plan shows nowhere."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import planner.proof
from planner.proof import Check

from .quick import prove
from .test_tampering_work import ALL
from .tiny import area, as_plan, of_a, of_b, ring, tampered, tiny_plan, tiny_tables

Tables = dict[str, Any]

NAMES = (
    "shapes", "sheet", "overlap", "spots", "cuts", "nothing lost", "sharing", "passes", "rack", "ledger", "router",
    "zones", "work", "art", "camera", "transform", "coverage", "views",
)  # fmt: skip


def flat(tables: Tables) -> Tables:
    return tables["flats"][0]


def placement(tables: Tables, place: int = 0) -> Tables:
    return flat(tables)["placements"][place]


def part(tables: Tables, place: int) -> Tables:
    return flat(tables)["cut_tree"][place]


def added(tables: Tables, what: str) -> Tables:
    return flat(tables)[what][0]


def pair(tables: Tables, one: str, other: str) -> None:
    for plate, name in zip(tables["plates"], (one, other), strict=True):
        plate["together"] = name
        plate["sharing"].append({"kind": "together", "key": "pair", "rule": "sets", "reason": "they register"})


def put(table: Tables | list[Any], key: Any, value: Any) -> None:
    table[key] = value


def shift(shape: list[Any], across: float, up: float = 0.0) -> None:
    for polygon in shape:
        for corners in polygon:
            corners[:] = [[x + across, y + up] for x, y in corners]


def move_all(tables: Tables, place: int, across: float) -> None:
    moved = placement(tables, place)
    moved["blank"][0] += across
    films = [film[key] for film in moved["films"] for key in ("film", "image")]
    for shape in (
        *(moved[key] for key in ("outline", "printing", "flange", "staying")), *films,
        *(zone["shape"] for zone in moved["zones"]), *(tint["area"] for tint in moved["tints"]),
    ):  # fmt: skip
        shift(shape, across)


def hold(tables: Tables, code: str) -> None:
    plate = {**tables["plates"][1], "id": "2041/C"}
    tables["plates"].append(plate)
    tables["jobs"][0]["plates"] = 3
    tables["held"].append({"plate": "2041/C", "code": "out-of-stock", "reason": "no more zinc"})
    tables["findings"].append(
        {
            "code": code, "severity": "stop", "rule": "nesting", "plate": "2041/C", "flat": None,
            "message": "", "cure": "", "amount": None, "unit": "", "shape": [],
        }
    )  # fmt: skip


def overlay(tables: Tables, on: int | None, short: bool = False) -> None:
    film = {**placement(tables)["films"][0], "number": 3, "use": "surprint", "on": on, "art": None}
    del film["art_transform"]
    if short:
        film |= {"size": [2.0, 2.0], "film": area(of_a(-0.25, 1.25, 1.75, 3.25))}
    placement(tables)["films"].append(film)
    tables["plates"][0]["films"] = 3


TAMPERINGS: list[tuple[str, str, Callable[[Tables], object]]] = [
    ("a plate of another group", "sharing", lambda t: put(t["plates"][1]["sharing"][0], "key", "screens to 100")),
    ("a plate that a rule says nothing of", "sharing", lambda t: t["plates"][1]["sharing"].clear()),
    ("a set that nobody asked for", "sharing", lambda t: put(t["plates"][0], "together", "pair")),
    ("a set of two names", "sharing", lambda t: pair(t, "one", "other")),
    ("a set that lies two ways", "sharing", lambda t: pair(t, "pair", "pair")),
    ("seams off the sheet", "passes", lambda t: put(t["flats"][0], "seams", area((-0.5, 1, 0.2, 2)))),
    ("seams over an image", "passes", lambda t: put(t["flats"][0], "seams", area((0, 0, 8, 8)))),
    ("a pass off the sheet", "passes", lambda t: shift(added(t, "passes")["mask"], 0.1)),
    ("a pass that opens what it covers", "passes", lambda t: put(added(t, "passes"), "opens", area((5.2, 1, 7, 2.2)))),
    ("a pass that leaves metal bare", "passes", lambda t: put(added(t, "passes"), "opens", area((5.2, 1, 7, 1.9)))),
    ("a frame beside its pass", "passes", lambda t: put(added(t, "passes")["frame"], 0, 6.0)),
    ("a frame of no size", "passes", lambda t: put(added(t, "passes")["frame"], 2, 0.0)),
    ("a pass for a strange plate", "passes", lambda t: put(added(t, "passes"), "plates", ["2041/Z"])),
    ("a pass with a strange film", "passes", lambda t: put(added(t, "passes"), "films", [["2041/A", 3]])),
    ("a mark off the sheet", "passes", lambda t: put(added(t, "marks"), "lines", [[[21.0, 10.0]]])),
    ("a mark of nothing", "passes", lambda t: put(added(t, "marks"), "lines", [])),
    ("a mark of a strange plate", "passes", lambda t: put(added(t, "marks"), "plate", "2041/Z")),
    ("a step for a strange plate", "passes", lambda t: put(added(t, "steps"), "plates", ["2041/Z"])),
    ("a ring of two points", "shapes", lambda t: put(placement(t), "outline", [[[[0.5, 0.5], [1.0, 1.0]]]])),
    ("a polygon without rings", "shapes", lambda t: put(placement(t), "printing", [[]])),
    ("no plates on a flat", "nothing lost", lambda t: flat(t)["placements"].clear()),
    ("a sheet that is not cut", "cuts", lambda t: put(flat(t), "cut_tree", [part(t, 10)])),
    ("no outline", "shapes", lambda t: put(placement(t), "outline", [])),
    ("a bow-tie", "shapes", lambda t: placement(t)["outline"][0][0].reverse() or placement(t)["outline"][0][0].insert(
        0, placement(t)["outline"][0][0].pop(1))),
    ("a spike", "shapes", lambda t: placement(t, 1)["outline"][0][0].insert(2, [40.0, 0.5])
     or placement(t, 1)["outline"][0][0].insert(3, placement(t, 1)["outline"][0][0][1])),
    ("a line for an area", "shapes", lambda t: put(placement(t), "printing", [[[[1.0, 1.0], [2.0, 2.0], [3.0, 3.0]]]])),
    ("no outline at all", "shapes", lambda t: [put(laid, "outline", []) for laid in flat(t)["placements"]]),
    ("a hole outside", "shapes", lambda t: placement(t)["outline"][0].append(ring(9.0, 9.0, 10.0, 10.0))),
    ("a shape twice", "shapes", lambda t: put(placement(t), "outline", placement(t)["outline"] * 2)),
    ("a point beyond the world", "shapes", lambda t: put(placement(t)["outline"][0][0], 0, [1e300, -1e300])),
    ("a sheet of no width", "shapes", lambda t: put(flat(t)["sheet"], "width", 0.0)),
    ("a blank turned inside out", "shapes", lambda t: put(placement(t)["blank"], 2, -4.5)),
    ("the sheet smaller", "sheet", lambda t: put(flat(t)["sheet"], "width", 8.0)),
    ("a plate off the sheet", "sheet", lambda t: move_all(t, 0, -0.6)),
    ("a zone off the sheet", "sheet", lambda t: shift(placement(t)["zones"][0]["shape"], 0.0, -2.0)),
    ("a base film off the sheet", "sheet", lambda t: shift(placement(t)["films"][0]["film"], -0.6)),
    ("a blank off the usable area", "sheet", lambda t: put(flat(t), "usable", [0.5, 0.5, 7.0, 15.0])),
    ("usable metal in the grip", "sheet", lambda t: put(flat(t), "usable", [0.4, 0.5, 19.0, 15.0])),
    ("an image in the grip", "sheet", lambda t: shift(placement(t)["films"][0]["image"], -0.6)),
    ("printing in the grip", "sheet", lambda t: shift(placement(t)["printing"], -0.6)),
    ("no grip at all", "sheet", lambda t: put(flat(t), "grip", -0.5)),
    ("blanks too near", "overlap", lambda t: move_all(t, 1, -0.01)),
    ("blanks over each other", "overlap", lambda t: move_all(t, 1, -1.0)),
    ("a wider gap asked for", "overlap", lambda t: put(flat(t), "gap", 0.13)),
    ("a kerf wider than the gap", "overlap", lambda t: put(flat(t), "kerf", 0.2)),
    ("outlines over each other", "overlap", lambda t: shift(placement(t, 1)["outline"], -1.0)),
    ("a blank on a spot", "spots", lambda t: put(flat(t), "spots", [[4.9, 3.0, 0.2, 0.1], [2.0, 3.3, 0.5, 0.25]])),
    ("a hair under a blank", "spots", lambda t: put(flat(t), "spots", [[2.0, 2.0, 0.002, 0.0005]])),
    ("no cuts", "cuts", lambda t: put(flat(t), "cut_tree", [])),
    ("metal sawn out of a straight flat", "cuts", lambda t: put(placement(t), "metal", area((0.5, 0.5, 4.5, 3.5)))),
    ("the tree starts elsewhere", "cuts", lambda t: put(part(t, 0), "box", [0.0, 0.0, 20.0, 15.0])),
    ("the sheet larger", "cuts", lambda t: put(flat(t)["sheet"], "width", 21.0)),
    ("a cut moved", "cuts", lambda t: put(part(t, 9), "at", 5.07)),
    ("a cut not edge to edge", "cuts", lambda t: put(part(t, 14), "box", [8.34375, 0.6, 11.15625, 3.43125])),
    ("a cut across", "cuts", lambda t: put(part(t, 9), "cut", "horizontal")),
    ("a cut beside the part", "cuts", lambda t: put(part(t, 9), "at", 30.0)),
    ("a cut without a place", "cuts", lambda t: put(part(t, 9), "at", None)),
    ("cut order broken", "cuts", lambda t: put(part(t, 12), "number", 8) or put(part(t, 13), "number", 7)),
    ("a cut number twice", "cuts", lambda t: put(part(t, 12), "number", 8)),
    ("cuts miscounted", "cuts", lambda t: put(flat(t), "cuts", 9)),
    ("a wider kerf", "cuts", lambda t: put(part(t, 9), "kerf", 0.1)),
    ("a kerf below nothing", "cuts", lambda t: put(flat(t), "kerf", -0.0625)),
    ("a circle of parts", "cuts", lambda t: put(part(t, 13), "low", 9)),
    ("a part from two cuts", "cuts", lambda t: put(part(t, 13), "low", 14)),
    ("a part that is not there", "cuts", lambda t: put(part(t, 13), "high", 99)),
    ("a part that no cut leads to", "cuts", lambda t: flat(t)["cut_tree"].append(
        {"box": [1.0, 1.0, 1.0, 1.0], "use": "scrap"})),
    ("a leaf without use", "cuts", lambda t: put(part(t, 14), "use", None)),
    ("a leaf with a cut's number", "cuts", lambda t: put(part(t, 14), "number", 9)),
    ("a cut part with a use", "cuts", lambda t: put(part(t, 9), "use", "scrap")),
    ("scrap that names a plate", "cuts", lambda t: put(part(t, 14), "plate", "2041/A")),
    ("a plate's metal without a plate", "cuts", lambda t: put(part(t, 11), "plate", None)),
    ("metal of a strange plate", "cuts", lambda t: put(part(t, 11), "plate", "2041/Z")),
    ("two metals for a plate", "cuts", lambda t: put(part(t, 15), "plate", "2041/A")),
    ("another part than was cut", "cuts", lambda t: put(placement(t)["part"], 3, 3.5)),
    ("an offcut called scrap", "cuts", lambda t: put(part(t, 10), "use", "scrap")),
    ("scrap called an offcut", "cuts", lambda t: put(part(t, 14), "use", "offcut")),
    ("scrap called grip", "cuts", lambda t: put(part(t, 14), "use", "grip")),
    ("a cut through a blank", "cuts", lambda t: put(part(t, 7), "at", 3.9)),
    ("a blank beyond its part", "cuts", lambda t: put(placement(t)["blank"], 0, 0.6)),
    ("an offcut without a name", "rack", lambda t: put(t, "offcuts", [{**t["offcuts"][0], "flat": 2}])),
    ("an offcut named twice", "rack", lambda t: t["offcuts"].append(t["offcuts"][0])),
    ("an offcut in another place", "rack", lambda t: put(t["offcuts"][0]["box"], 0, 1.0)),
    ("an offcut after another cut", "rack", lambda t: put(t["offcuts"][0], "after_cut", 6)),
    ("a piece of the rack that nothing lies on", "rack", lambda t: put(t, "rack", {"day": "tiny", "taken": ["b-1a"]})),
    ("a plate lost", "nothing lost", lambda t: flat(t)["placements"].pop()),
    ("a plate forgotten", "nothing lost", lambda t: t["plates"].pop()),
    ("a plate twice on a flat", "nothing lost", lambda t: flat(t)["placements"].append(placement(t))),
    ("a plate twice in the list", "nothing lost", lambda t: t["plates"].append(t["plates"][0])),
    ("a flat twice", "nothing lost", lambda t: t["flats"].append(flat(t))),
    ("a plate laid and held", "nothing lost", lambda t: t["held"].append(
        {"plate": "2041/A", "code": "too-large", "reason": ""})),
    ("a strange plate laid", "nothing lost", lambda t: put(placement(t), "plate", "2041/Z")),
    ("a strange plate held", "nothing lost", lambda t: t["held"].append(
        {"plate": "2041/Z", "code": "too-large", "reason": ""})),
    ("a held plate that nothing stops", "nothing lost", lambda t: hold(t, "bleed.short")),
    ("the job's count", "nothing lost", lambda t: put(t["jobs"][0], "plates", 3)),
    ("a job lost", "nothing lost", lambda t: t["jobs"].clear()),
    ("a job twice", "nothing lost", lambda t: t["jobs"].append(t["jobs"][0])),
    ("turned although it may not be", "nothing lost", lambda t: put(placement(t), "turned", 180)),
    ("a blank shrunk", "nothing lost", lambda t: put(placement(t)["blank"], 2, 4.4)),
    ("a blank not turned", "nothing lost", lambda t: put(placement(t, 1), "turned", 0)),
    ("wrong metal", "nothing lost", lambda t: put(flat(t)["sheet"], "metal", "copper")),
    ("wrong gauge", "nothing lost", lambda t: put(flat(t)["sheet"], "gauge", 0.049)),
    ("a flat not to be shared", "nothing lost", lambda t: put(t["plates"][1], "share_key", "zinc, 0.064 in, 133")),
    ("a printing area in the ledger", "ledger", lambda t: put(t["ledger"]["flats"][0]["areas"], "printing", 12.7)),
    ("two areas swapped", "ledger", lambda t: t["ledger"]["total"].update(grip=216.71875, offcut=30.625)),
    ("a job's area", "ledger", lambda t: put(t["ledger"]["jobs"][0]["areas"], "trim", 3.1)),
    ("a job charged with scrap", "ledger", lambda t: put(t["ledger"]["jobs"][0]["areas"], "scrap", 1.0)),
    ("an account of no job", "ledger", lambda t: put(t["ledger"]["jobs"][0], "job", "2042")),
    ("a job's account twice", "ledger", lambda t: t["ledger"]["jobs"].append(t["ledger"]["jobs"][0])),
    ("no account of a job", "ledger", lambda t: t["ledger"]["jobs"].clear()),
    ("no account of a flat", "ledger", lambda t: t["ledger"]["flats"].clear()),
    ("an account of no flat", "ledger", lambda t: put(t["ledger"]["flats"][0], "flat", 2)),
    ("a flat's account twice", "ledger", lambda t: t["ledger"]["flats"].append(t["ledger"]["flats"][0])),
    ("the sheet's area", "ledger", lambda t: put(t["ledger"]["flats"][0], "sheet_area", 321.0)),
    ("a zone's area", "ledger", lambda t: put(placement(t)["zones"][0], "area", 2.9)),
    ("a zone twice", "ledger", lambda t: placement(t)["zones"].append(placement(t)["zones"][0])),
    ("a zone left out", "ledger", lambda t: placement(t)["zones"].clear()),
    ("scrap hidden as grip", "ledger", lambda t: put(part(t, 16), "use", "grip")),
    ("a zone too near the image", "router", lambda t: put(
        placement(t)["zones"][0], "shape", area(of_a(1.52, 0.0, 2.46875, 3.0)))),
    ("a zone over the image", "router", lambda t: put(
        placement(t)["zones"][0], "shape", area(of_a(1.0, 0.0, 2.46875, 3.0)))),
    ("a zone over the flange", "router", lambda t: put(
        placement(t)["zones"][0], "shape", area(of_a(1.53125, -0.1, 2.46875, 3.0)))),
    ("a zone over a nail spot", "router", lambda t: put(
        placement(t, 1)["zones"][0], "shape", area(of_b(1.03125, 0.0, 2.0, 3.0)))),
    ("a wider clearance asked for", "router", lambda t: put(t["settings"], "clearance", 0.04)),
    ("a cutter that is not there", "router", lambda t: put(placement(t)["zones"][0], "cutter", 0.3)),
    ("an image that does not print", "router", lambda t: placement(t)["printing"].pop()),
    ("printing without an image", "router", lambda t: placement(t)["films"].pop()),
    ("a plate moved", "transform", lambda t: move_all(t, 0, 0.01) or put(placement(t)["blank"], 0, 0.5)),
    ("a plate moved back", "transform", lambda t: put(placement(t, 1)["blank"], 0, 5.1)),
    ("an outline shrunk", "transform", lambda t: put(placement(t), "outline", area(of_a(0.0, 0.0, 3.9, 3.0)))),
    ("an outline grown", "transform", lambda t: put(placement(t), "outline", area(of_a(0.0, 0.0, 4.1, 3.0)))),
    ("more bleed than asked for", "transform", lambda t: put(
        placement(t, 1), "outline", area(of_b(-0.15, 0.0, 2.0, 3.0)))),
    ("turned the other way round", "transform", lambda t: put(placement(t, 1), "turned", 270)),
    ("an ordered plate changed", "transform", lambda t: put(t["plates"][0], "width", 4.5)),
    ("an ordered outline notched", "transform", lambda t: put(
        t["plates"][0], "outline", [[[[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [2.0, 2.5], [0.0, 3.0]]]])),
    ("a blank short of its margins", "transform", lambda t: put(t["plates"][0]["allowances"][0], "left", 0.5)),
    ("a flange beyond the blank", "transform", lambda t: put(
        placement(t), "flange", [[ring(*of_a(-0.3, -0.125, 4.125, 3.125)), ring(*of_a(0.0, 0.0, 4.0, 3.0))]])),
    ("a flange on the plate", "transform", lambda t: put(
        placement(t), "flange", [[ring(*of_a(-0.125, -0.125, 4.125, 3.125)), ring(*of_a(0.1, 0.0, 4.0, 3.0))]])),
    ("the image mirrored on its plate", "transform", lambda t: put(
        placement(t, 1), "printing", area(of_b(1.4, 0.25, 1.75, 2.75), of_b(1.0, 0.25, 1.3, 2.75)))),
    ("a film dropped", "transform", lambda t: put(t["plates"][0], "films", 3)),
    ("a flange left away", "transform", lambda t: put(placement(t), "flange", [])),
    ("allowances denied", "transform", lambda t: put(t["plates"][0], "allowances", [])),
    ("a bound above the answer", "nothing lost", lambda t: put(t["bounds"][0], "proven_least", 2)),
    ("a bound of other flats", "nothing lost", lambda t: put(t["bounds"][0], "flats", 2)),
    ("a cost proven above what was spent", "nothing lost", lambda t: put(t["bounds"][0], "least_cost", 10)),
    ("no bound", "nothing lost", lambda t: t["bounds"].clear()),
    ("a short overlay without a finding", "coverage", lambda t: overlay(t, 1, short=True)),
    ("an overlay on a film that is gone", "coverage", lambda t: overlay(t, 9)),
    ("printing off the plate", "transform", lambda t: put(
        placement(t), "printing", area(of_a(0.25, 0.25, 1.5, 2.75), of_a(2.5, 0.25, 4.1, 2.75)))),
    ("a film of another size", "transform", lambda t: put(placement(t)["films"][0], "size", [2.0, 3.6])),
    ("a film at another angle", "transform", lambda t: put(placement(t)["films"][0], "angle", 1.0)),
    ("a film with a corner cut", "transform", lambda t: put(placement(t)["films"][0]["film"][0][0], 2, [2.4, 4.0])),
    ("a film with five corners", "transform", lambda t: placement(t)["films"][0]["film"][0][0].append([0.4, 2.0])),
    ("two films with one number", "transform", lambda t: put(placement(t)["films"][1], "number", 1)),
    ("a film lost", "transform", lambda t: placement(t)["films"].pop(0)),
    ("a base film on another", "transform", lambda t: put(placement(t)["films"][1], "on", 1)),
    ("an overlay of nothing", "transform", lambda t: overlay(t, None)),
    ("an overlay of itself", "transform", lambda t: overlay(t, 3)),
]  # fmt: skip


def check_of(name: str, checks: tuple[Check, ...]) -> Check:
    return next(check for check in checks if check.name == name)


def test_the_sound_plan_is_proven_clean() -> None:
    proof = prove(tiny_plan())
    assert proof.violations == ()
    assert proof.clean
    assert tuple(check.name for check in proof.checks) == NAMES
    assert {check.name for check in proof.checks if check.count == 0} == {"spots", "coverage", "views"}


def test_an_overlay_and_a_held_plate_are_nothing_wrong() -> None:
    def change(tables: Tables) -> None:
        overlay(tables, 1)
        hold(tables, "held.out-of-stock")

    assert prove(tampered(change)).violations == ()


def test_a_spot_may_touch_a_blank() -> None:
    assert prove(tampered(lambda t: put(flat(t), "spots", [[1.0, 4.0, 2.0, 1.0]]))).violations == ()


def test_a_hole_that_rounding_made_touch_its_outer_ring_is_nothing_wrong() -> None:
    def change(tables: Tables) -> None:
        zone = placement(tables)["zones"][0]
        left, bottom, _, top = of_a(1.53125, 0.0, 2.46875, 3.0)
        zone["shape"][0].append([[left, bottom + 1.0], [left + 1e-9, top - 1.0], [left, top - 0.5]])

    assert prove(tampered(change)).violations == ()


@pytest.mark.parametrize(("name", "change"), [pytest.param(name, change, id=what) for what, name, change in TAMPERINGS])
def test_a_tampering_shows_in_its_check(name: str, change: Callable[[Tables], object]) -> None:
    proof = prove(tampered(change))
    check = check_of(name, proof.checks)
    assert check.violations
    assert not check.clean
    assert not proof.clean
    assert all(sentence.endswith(".") and "\n" not in sentence for sentence in check.violations)


def test_every_check_of_the_record_has_a_tampering() -> None:
    names = {name for _, name, _ in TAMPERINGS} | {name for _, name, *_ in ALL}
    assert names | {"views"} == set(NAMES)


def test_a_violation_names_flat_plate_and_amount() -> None:
    plan = tampered(lambda t: put(placement(t)["zones"][0], "shape", area(of_a(1.52, 0.0, 2.46875, 3.0))))
    check = check_of("router", prove(plan).checks)
    assert check.violations == ("flat 1, plate 2041/A: zone 1 comes within 0.02 in of what prints, not 0.03125 in.",)


def test_findings_of_strange_plates_and_flats_are_named() -> None:
    def change(tables: Tables) -> None:
        hold(tables, "held.out-of-stock")
        tables["findings"].append({**tables["findings"][0], "plate": "2041/Z", "flat": 7})

    sentences = " ".join(check_of("nothing lost", prove(tampered(change)).checks).violations)
    assert "plate 2041/Z" in sentences
    assert "flat 7" in sentences


def test_a_plan_without_flats_proves_what_it_can() -> None:
    tables = tiny_tables()
    nothing = dict.fromkeys(tables["ledger"]["total"], 0.0)
    tables.update(art=[], camera=[], router=[], offcuts=[])
    tables.update(jobs=[], plates=[], flats=[], bounds=[], ledger={"flats": [], "jobs": [], "total": nothing})
    assert prove(as_plan(tables)).violations == ()


def test_a_shear_that_loses_no_metal_may_cut_along_a_blank() -> None:
    tables = tiny_tables()
    flat(tables).update(
        kerf=0.0, gap=0.0, grip=0.0, usable=[0.0, 0.0, 5.0, 3.5], cuts=1, placements=[placement(tables)],
        cut_tree=[
            {"box": [0.0, 0.0, 5.0, 3.5], "cut": "vertical", "at": 4.5, "kerf": 0.0, "number": 1, "low": 1, "high": 2},
            {"box": [0.0, 0.0, 4.5, 3.5], "use": "plate", "plate": "2041/A"},
            {"box": [4.5, 0.0, 0.5, 3.5], "use": "scrap"},
        ],
    )  # fmt: skip
    assert not check_of("cuts", prove(as_plan(tables)).checks).clean
    flat(tables)["sheet"].update(width=5.0, height=3.5)
    placement(tables).update(blank=[0.0, 0.0, 4.5, 3.5], part=[0.0, 0.0, 4.5, 3.5])
    assert check_of("cuts", prove(as_plan(tables)).checks).violations == ()


def test_the_proof_imports_nothing_of_what_it_checks() -> None:
    allowed = ("planner.plan", "planner.geometry", "planner.proof")
    for file in Path(planner.proof.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or "."] if isinstance(node, ast.ImportFrom) else []
            ours = [name for name in names if name.startswith((".", "planner", "flatwright"))]
            assert all(name.startswith(allowed) for name in ours), (file.name, ours)

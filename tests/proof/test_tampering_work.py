"""Each way of spoiling zones, the router's work, art or the camera's settings shows in the check for it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from planner.proof import Check

from .quick import prove
from .tiny import DEAD, area, as_plan, frame, of_a, of_b, tampered, tiny_plan, tiny_tables

Tables = dict[str, Any]

FINE = 1_000_000
"""Elements with which the tiny plan's two plates are looked at finely enough for what is tampered with here."""


def placement(tables: Tables, place: int = 0) -> Tables:
    return tables["flats"][0]["placements"][place]


def work(tables: Tables, place: int = 0) -> Tables:
    return tables["router"][place]


def piece(tables: Tables, place: int = 0) -> Tables:
    return work(tables, place)["zones"][0]


def rezone(tables: Tables, left: float, right: float, bottom: float = 0.0, top: float = 3.0) -> None:
    """A's zone is another rectangle, in its work as well, and the ledger follows."""
    square_inches = (right - left) * (top - bottom)
    more = square_inches - 2.8125
    placement(tables)["zones"][0].update(shape=area(of_a(left, bottom, right, top)), area=square_inches)
    piece(tables).update(shape=area((left, bottom, right, top)), area=square_inches)
    accounts = [*tables["ledger"]["flats"], *tables["ledger"]["jobs"]]
    for areas in (*(account["areas"] for account in accounts), tables["ledger"]["total"]):
        areas["routed"] += more
        areas["printing"] -= more


def left_to(tables: Tables, place: int, cutter: float | None) -> None:
    placement(tables, place)["zones"][0]["cutter"] = cutter
    piece(tables, place)["cutter"] = cutter


def image_of(tables: Tables, shape: list[Any]) -> None:
    """A's left image, and with it what prints."""
    placement(tables)["films"][0]["image"] = shape
    placement(tables)["printing"][0] = shape[0]


def move_path(tables: Tables, across: float) -> None:
    piece(tables)["paths"][0] = [[x + across, y] for x, y in piece(tables)["paths"][0]]


def shorten(tables: Tables, points: int) -> None:
    """Leave out the last passes; the length follows."""
    piece(tables)["paths"][0] = piece(tables)["paths"][0][:points]
    length = 3.0 * (points // 2) + 0.171875 * (points // 2 - 1)
    piece(tables)["length"] = work(tables)["length"] = length


def second_plate(tables: Tables, place: int) -> None:
    work(tables, place)["plates"].append(work(tables, 1 - place)["plates"].pop())


ZONES: list[tuple[str, str, str, Callable[[Tables], object]]] = [
    ("a zone left out", "zones", "are in no zone", lambda t: placement(t)["zones"].clear()),
    ("half a zone", "zones", "are in no zone", lambda t: rezone(t, 2.0, 2.46875)),
    ("a rim left out", "zones", "are in no zone", lambda t: rezone(t, 1.58, 2.46875)),
    ("a zone moved a little", "router", "of what prints", lambda t: rezone(t, 1.53625, 2.47375)),
    ("a zone moved the other way", "router", "of what prints", lambda t: rezone(t, 1.52625, 2.46375)),
    ("a zone moved off the plate", "router", "off the finished plate", lambda t: rezone(
        t, 1.53125, 2.46875, 0.005, 3.005)),
    ("a zone in the clearance", "zones", "within the clearance", lambda t: rezone(t, 1.505, 2.46875)),
    ("a wider clearance", "zones", "within the clearance", lambda t: t["settings"].update(clearance=0.06)),
    ("a wider least white", "zones", "narrower than 0.375 in", lambda t: t["settings"].update(least_white=0.375)),
    ("by hand what a cutter reaches", "zones", "that the 0.25 in cutter reaches", lambda t: left_to(t, 0, None)),
    ("a smaller cutter in the house", "zones", "that the 0.125 in cutter reaches", lambda t: t["settings"].update(
        cutters=[0.25, 0.125])),
    ("a small cutter for a wide zone", "zones", "that the 0.25 in cutter reaches", lambda t: left_to(t, 0, 0.125)),
    ("a cutter where none goes in", "zones", "this cutter does not reach", lambda t: left_to(t, 1, 0.25)),
    ("a nail's spot given up", "zones", "are in no zone", lambda t: placement(t, 1).update(staying=[])),
    ("a cutter as wide as a house", "zones", "so large that", lambda t: left_to(t, 1, 1e4)),
    ("a clearance without end", "zones", "is no length", lambda t: t["settings"].update(clearance=1e300)),
]  # fmt: skip

WORK: list[tuple[str, str, str, Callable[[Tables], object]]] = [
    ("no router's work", "work", "no router's work on it", lambda t: t["router"].pop(0)),
    ("work twice", "work", "more than once", lambda t: t["router"].append(t["router"][0])),
    ("work on no plate", "work", "is on no plate", lambda t: work(t).update(plates=[])),
    ("work on a strange plate", "work", "but the plate is not", lambda t: work(t)["plates"].append("2041/Z")),
    ("work of another plate", "work", "unlike it", lambda t: second_plate(t, 0)),
    ("pieces misnumbered", "work", "not numbered", lambda t: piece(t).update(number=2)),
    ("a piece's area", "work", "is said to have", lambda t: piece(t).update(area=2.9)),
    ("a piece in two", "work", "2 pieces", lambda t: piece(t).update(
        shape=area((1.53125, 0.0, 2.46875, 1.0), (1.53125, 1.1, 2.46875, 3.0)))),
    ("a piece that is no shape", "work", "needs three", lambda t: piece(t).update(shape=[[[[0.0, 0.0], [1.0, 1.0]]]])),
    ("a piece moved", "work", "differ by", lambda t: piece(t).update(shape=area((1.53625, 0.0, 2.47375, 3.0)))),
    ("a turned plate's piece moved", "work", "differ by", lambda t: piece(t, 1).update(
        shape=frame(*DEAD, (1.3, 1.41, 1.4, 1.61)))),
    ("a piece for another cutter", "work", "differ by", lambda t: piece(t, 1).update(cutter=0.25)),
    ("a cutter that is not there", "work", "does not have", lambda t: piece(t).update(cutter=0.3)),
    ("a piece without a path", "work", "has no path", lambda t: piece(t).update(paths=[])),
    ("a path's length", "work", "in long, not", lambda t: piece(t).update(length=15.0)),
    ("the whole length", "work", "the length of", lambda t: work(t).update(length=15.0)),
    ("the whole time", "work", "the minutes of", lambda t: work(t).update(minutes=0.5)),
    ("the whole weight", "work", "the weight of chips", lambda t: work(t).update(chips=0.5)),
    ("the lifts", "work", "the number of lifts", lambda t: work(t).update(lifts=3)),
    ("a piece's lifts", "work", "is set down 2 times", lambda t: piece(t).update(lifts=2)),
    ("travel to nowhere", "work", "travel 0 in lifted", lambda t: [piece(t).update(travel=1.0), work(t).update(
        travel=1.0)]),
    ("nearest travel", "work", "nearest path next", lambda t: work(t).update(travel_nearest=-1.0)),
    ("no time", "work", "takes the router some time", lambda t: piece(t).update(minutes=None)),
    ("time by hand", "work", "is left to hand tools, yet", lambda t: piece(t, 1).update(minutes=1.0)),
    ("chips", "work", "lb of chips", lambda t: piece(t).update(chips=1.0)),
    ("too deep", "work", "in metal of 0.064 in", lambda t: piece(t).update(depth=0.064)),
    ("two depths for one thing", "work", "others are", lambda t: piece(t, 1).update(depth_for="open")),
    ("a path through the clearance", "work", "middle comes within", lambda t: move_path(t, -0.002)),
    ("a path through the other clearance", "work", "middle comes within", lambda t: move_path(t, 0.002)),
    ("a path over the flange", "work", "of the flange", lambda t: piece(t)["paths"].append([[-0.2, 1.0], [-0.2, 2.0]])),
    ("a path over staying metal", "work", "of staying metal", lambda t: [
        left_to(t, 1, 0.25), piece(t, 1).update(paths=[[[1.35, 1.0], [1.35, 1.39]]])]),
    ("a path that leads nowhere", "work", "off the earth", lambda t: piece(t)["paths"][0].append([1e300, 0.0])),
    ("a pass left out", "work", "in standing", lambda t: shorten(t, 8)),
    ("half the passes left out", "work", "in standing", lambda t: shorten(t, 4)),
    ("a nail on the image", "work", "from what prints", lambda t: work(t, 1).update(nails=[[0.3, 1.5]])),
    ("a nail in a zone", "work", "from a zone", lambda t: work(t, 1).update(nails=[[1.35, 1.0]])),
    ("a nail off the plate", "work", "not wholly on", lambda t: work(t, 1).update(nails=[[2.5, 1.5]])),
    ("a nail in the flange", "work", "from the flange", lambda t: work(t).update(nails=[[-0.05, 1.5]])),
    ("two nails in one place", "work", "from another", lambda t: work(t, 1).update(nails=[[1.35, 1.5], [1.35, 1.52]])),
    ("a nail wider than its spot", "work", "from a zone", lambda t: work(t, 1).update(nail_width=0.11)),
    ("a nail of no width", "work", "stays round its nails", lambda t: work(t, 1).update(nail_width=0.0)),
    ("a stretch off the edge", "work", "off the edge", lambda t: work(t)["near"][0].update(
        line=[[1.55, 1.0], [1.55, 2.0]])),
    ("a stretch of no piece", "work", "names piece 2", lambda t: work(t)["near"][0].update(zone=2)),
    ("a stretch's length", "work", "in long, not 1.1", lambda t: work(t)["near"][0].update(length=1.1)),
    ("a stretch of one point", "work", "is no line", lambda t: work(t)["near"][0].update(line=[[1.53125, 1.0]])),
    ("a stretch too near", "work", "within the clearance", lambda t: work(t)["near"][0].update(distance=0.02)),
    ("a detail of no width", "work", "near a detail", lambda t: work(t)["near"][0].update(width=0.0)),
    ("whites of no shape", "work", "are said to have", lambda t: work(t).update(whites_area=0.1)),
    ("whites in a zone", "work", "sq in in zones", lambda t: work(t).update(
        whites=area((2.0, 1.0, 2.1, 1.1)), whites_area=0.01)),
    ("whites on what prints", "work", "whites come within", lambda t: work(t).update(
        whites=area((1.0, 1.0, 1.1, 1.1)), whites_area=0.01)),
    ("whites off the plate", "work", "off the finished plate", lambda t: work(t).update(
        whites=area((2.0, -0.2, 2.1, -0.1)), whites_area=0.01)),
]  # fmt: skip

LEFT_IMAGE = (0.015625, 0.015625, 1.5, 2.984375)

ART: list[tuple[str, str, str, Callable[[Tables], object]]] = [
    ("art that is not there", "art", "which the plan does not have", lambda t: t["art"].clear()),
    ("art twice", "art", "more than once", lambda t: t["art"].append(t["art"][0])),
    ("art without a place", "art", "does not say where", lambda t: placement(t)["films"][0].update(art_transform=None)),
    ("a place without art", "art", "names none", lambda t: placement(t)["films"][0].update(art=None)),
    ("art dropped from the image", "art", "lacks", lambda t: image_of(t, area(of_a(0.015625, 0.015625, 1.5, 2.9)))),
    ("a hole in the image", "art", "lacks", lambda t: image_of(
        t, frame(*of_a(*LEFT_IMAGE), of_a(0.5, 0.5, 0.6, 0.6)))),
    ("the image of more than the art", "art", "farther than the clearance", lambda t: image_of(
        t, area(of_a(0.015625, 0.015625, 1.6, 2.984375)))),
    ("art moved", "art", "lacks", lambda t: placement(t)["films"][0]["art_transform"].__setitem__(4, 0.78)),
    ("art mirrored", "art", "mirrored", lambda t: placement(t)["films"][0]["art_transform"].__setitem__(0, -1.0)),
    ("art scaled", "art", "scaled", lambda t: placement(t)["films"][0].update(
        art_transform=[1.01, 0.0, 0.0, 1.01, 0.765625, 0.765625])),
    ("art turned", "art", "degrees off it", lambda t: placement(t)["films"][0].update(
        art_transform=[0.0, 1.0, -1.0, 0.0, 2.265625, 0.765625])),
    ("art off its film", "art", "lie off it", lambda t: t["art"][0].update(size=[2.0, 4.0], percentage=67.4)),
    ("the art's area", "art", "is said to print", lambda t: t["art"][0].update(area=4.5)),
    ("the art's unit", "art", "is said to print", lambda t: t["art"][0].update(unit=0.001)),
    ("another percentage", "art", "per cent", lambda t: t["art"][0].update(percentage=50.5)),
    ("another crop", "art", "per cent", lambda t: t["art"][0].update(crop=[0.0, 0.0, 0.0, 0.0])),
    ("a crop of less than nothing", "art", "less than nothing", lambda t: t["art"][0].update(
        crop=[-0.01, 0.04125, 0.0625, 0.0])),
    ("a copy of no size", "art", "of copy become", lambda t: t["art"][0].update(copy_size=[0.0, 6.0])),
    ("no error", "art", "an error of", lambda t: t["art"][0].update(error=0.0)),
    ("a path with a curve", "art", "neither M, l, z", lambda t: t["art"][0].update(path="M0 0c1 1 2 2 3 3z")),
    ("a path that is open", "art", "not closed", lambda t: t["art"][0].update(path="M0 0l1 0 0 1")),
    ("a path from the middle", "art", "does not begin with M", lambda t: t["art"][0].update(path="l1 0M0 0l1 1z")),
    ("half a point", "art", "without two numbers", lambda t: t["art"][0].update(path="M0 0l1 0 0z")),
    ("a path of no number", "art", "where a number should be", lambda t: t["art"][0].update(path="M0 0l1 2- 3 4 5z")),
    ("a path beyond numbers", "art", "beyond", lambda t: t["art"][0].update(path="M0 0l1 99999999999 5 5z")),
    ("a unit without end", "art", "off the earth", lambda t: t["art"][0].update(unit=1e300)),
]  # fmt: skip


def copies(tables: Tables) -> list[Any]:
    return tables["camera"][0]["copies"]


CAMERA: list[tuple[str, str, str, Callable[[Tables], object]]] = [
    ("a copy missing", "camera", "no camera setting has it", lambda t: t["camera"].clear()),
    ("a setting without copies", "camera", "has no copies", lambda t: copies(t).clear()),
    ("a copy twice", "camera", "more than once", lambda t: copies(t).append(copies(t)[0])),
    ("a copy of no plate", "camera", "is for no plate", lambda t: copies(t)[0].update(plates=[])),
    ("a copy of a strange plate", "camera", "no such film", lambda t: copies(t)[0]["plates"].append("2041/Z")),
    ("another film", "camera", "is not made from", lambda t: copies(t)[0].update(film=2)),
    ("strange art", "camera", "does not have this art", lambda t: copies(t)[0].update(art="art-2")),
    ("a copy's percentage", "camera", "is to be shot at", lambda t: copies(t)[0].update(percentage=50.1)),
    ("the setting's percentage", "camera", "the middle of its copies", lambda t: t["camera"][0].update(percentage=51)),
    ("the spread", "camera", "per cent apart", lambda t: t["camera"][0].update(spread=0.1)),
]  # fmt: skip

ALL = [*ZONES, *WORK, *ART, *CAMERA]


def check_of(name: str, checks: tuple[Check, ...]) -> Check:
    return next(check for check in checks if check.name == name)


@pytest.mark.parametrize(("name", "says", "change"), [pytest.param(*rest, id=what) for what, *rest in ALL])
def test_a_tampering_shows_in_its_check(name: str, says: str, change: Callable[[Tables], object]) -> None:
    check = check_of(name, prove(tampered(change), elements=FINE).checks)
    assert any(says in sentence for sentence in check.violations), check.violations
    assert all(sentence.endswith(".") and "\n" not in sentence for sentence in check.violations)


def test_the_sound_plan_is_clean_at_every_resolution() -> None:
    for elements in (0, 1_000, 30_000, 300_000, 3_000_000):
        assert prove(tiny_plan(), elements=elements).violations == ()


def test_without_a_raster_no_zone_is_looked_at() -> None:
    assert check_of("zones", prove(tiny_plan(), elements=0).checks).count == 0


def test_plates_that_are_alike_are_looked_at_once() -> None:
    def change(tables: Tables) -> None:
        tables["flats"].append({**tables["flats"][0], "number": 2})

    assert check_of("zones", prove(tampered(change)).checks).count == 2


def test_a_corner_that_no_round_cutter_reaches_belongs_to_hand_tools() -> None:
    """A is all round in its flange; its zone's corners are sharp, and are the cutter's only by mistake."""
    tables = tiny_tables()
    tables["flats"][0]["placements"][0]["flange"] = frame(*of_a(-0.125, -0.125, 4.125, 3.125), of_a(0.0, 0.0, 4.0, 3.0))
    zones = check_of("zones", prove(as_plan(tables), elements=FINE).checks)
    corners = 4 * 0.125**2 * (1 - math.pi / 4)
    (sentence,) = zones.violations
    assert "the zone of the 0.25 in cutter has" in sentence
    said = float(sentence.split(" has ")[1].split(" sq in")[0])
    # What the raster's blur may excuse is not held against the plan.
    assert 0.2 * corners < said < corners


def test_a_zone_of_a_turned_plate_is_looked_at_where_it_lies() -> None:
    def change(tables: Tables) -> None:
        """The whole window is cleared, as far as the clearance goes, and the spot with it."""
        placement(tables, 1)["zones"][0].update(shape=area(of_b(*DEAD)), area=0.46015625)

    assert not check_of("router", prove(tampered(change)).checks).clean

"""What a sheet says first, and what must not be mistaken: urgency, plate numbers, ticks, cut numbers, frames."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from itertools import combinations, pairwise
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring
from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from planner.geometry import plain
from planner.plan import Flat, PassRecord, Plan
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Columns, Row
from planner.sheets.cuts import mark_cuts
from planner.sheets.desk import Desk
from planner.sheets.frame import Heading, draw_frame
from planner.sheets.ground import Ground
from planner.sheets.label import Label, numbered
from planner.sheets.labels import Places, fitted
from planner.sheets.metal import metal_sheet
from planner.sheets.passes import pass_sheets
from planner.sheets.router_lists import inches_text
from planner.sheets.rules import rulers
from planner.sheets.shear import shear_sheet
from planner.sheets.stripper import stripper_sheet
from planner.sheets.svg import Drawing
from planner.sheets.text import width_of
from planner.sheets.views import View
from tests.sheets.conftest import Art, make_flat, make_plan

SVG = "{http://www.w3.org/2000/svg}"


def _numbers(text: str | None) -> list[float]:
    return [float(value) for value in re.findall(r"-?[0-9.]+", text or "")]


def _said(root: Element, key: str, value: str) -> list[str]:
    return [one.text or "" for one in root.iter(f"{SVG}text") if one.get(f"data-{key}") == value]


def _grounds(root: Element) -> Iterator[BaseGeometry]:
    for path in root.iter(f"{SVG}path"):
        if path.get("data-part") == "ground":
            x, y, right, low, _ = _numbers(path.get("d"))
            yield box(x, y, right, low)


def _filled(text: Element) -> BaseGeometry:
    """The box that a text fills, taken wide; of figures only, that have nothing below the base line."""
    x, y, size = (float(text.get(key, "")) for key in ("x", "y", "font-size"))
    width = width_of(text.text or "", size, text.get("font-weight") == "bold")
    if text.get("transform"):
        return box(x - 0.72 * size, y - width, x, y)
    left = x - width * {"middle": 0.5, "end": 1.0}.get(text.get("text-anchor", ""), 0.0)
    return box(left, y - 0.72 * size, left + width, y)


def _small_plates(count: int) -> list[tuple[float, list[Art]]]:
    """Rows of plates from a quarter of an inch on, each cut off below what is left of its row."""
    sizes = [(0.5, 0.5), (0.3, 0.4), (0.5, 0.75), (1.25, 0.5), (0.25, 0.25)]
    arts = []
    for number in range(count):
        width, height = sizes[number % len(sizes)]
        arts.append(Art(f"J{number}", "n" * (number % 80), (width, height), "line", box(0, 0, width, height)))
    return [(2.2, arts[first : first + 15]) for first in range(0, count, 15)]


@pytest.fixture(scope="module")
def crowded() -> Plan:
    return make_plan(make_flat(1, "zinc", (30, 40), 0.0, _small_plates(75)))


@pytest.fixture(scope="module")
def drawn(crowded: Plan) -> dict[str, Element]:
    """The sheets of the crowded flat."""
    flat = crowded.flats[0]
    texts = {
        "stripper": stripper_sheet(crowded, flat),
        "metal": metal_sheet(crowded, flat, ("finisher",)),
        "shear": shear_sheet(crowded, flat),
    }
    assert all(len(text) < 2_000_000 for text in texts.values())
    return {kind: fromstring(text) for kind, text in texts.items()}


def test_no_two_numbers_of_cuts_meet_on_a_crowded_shear_sheet(crowded: Plan, drawn: dict[str, Element]) -> None:
    root = drawn["shear"]
    circles = {}
    for path in root.iter(f"{SVG}path"):
        if number := path.get("data-cut-number"):
            left, y, radius, *_ = _numbers(path.get("d"))
            circles[number] = Point(left + radius, y).buffer(radius)
    assert set(circles) == {str(number) for number in range(1, crowded.flats[0].cuts + 1)}
    assert len(circles) > 75
    for (one, here), (other, there) in combinations(circles.items(), 2):
        assert here.intersection(there).area < 1e-6, (one, other)


def test_a_cut_without_room_for_its_number_has_it_beside_with_a_pointer(crowded: Plan) -> None:
    desk = Desk(crowded, crowded.flats[0])
    view = View(True, 1.0, 1.0, 30.0, 40.0, 0.5)
    canvas = Canvas("shear", view, "", "", {})
    taken = next(part for part in desk.cuts if part.number == 40)
    x, y, width, height = view.box_on_page(taken.box)
    places = Places([(x, y, width, height)])
    mark_cuts(canvas, desk, canvas.upright("cut-numbers", ""), places, Ground((0.0, 0.0, 20.0, 25.0)))
    canvas.drawing.size(20, 25)
    root = fromstring(canvas.drawing.markup())
    where = next(one for one in root.iter(f"{SVG}text") if one.get("data-cut-number") == "40")
    assert not box(x, y, x + width, y + height).contains(Point(float(where.get("x", "")), float(where.get("y", ""))))


@pytest.mark.parametrize("kind", ["stripper", "metal", "shear"])
def test_no_two_labels_meet_on_crowded_sheets(drawn: dict[str, Element], kind: str) -> None:
    grounds = list(_grounds(drawn[kind]))
    assert len(grounds) >= 75
    for one, other in combinations(grounds, 2):
        assert one.intersection(other).area < 1e-9


def test_every_plate_of_a_crowded_shear_sheet_shows_its_number_in_a_frame(drawn: dict[str, Element]) -> None:
    root = drawn["shear"]
    framed = {path.get("data-number") for path in root.iter(f"{SVG}path") if path.get("data-part") == "frame"}
    assert framed == {str(number) for number in range(1, 76)}


def test_a_plate_number_stands_apart_from_the_job_after_it(files: dict[str, str]) -> None:
    root = fromstring(files["flat-01-stripper.svg"])
    told = _said(root, "label", "plate")
    assert "J1042" in told
    assert not any(re.match(r"[0-9]+.*J[0-9]{4}", words) for words in told)
    for path in root.iter(f"{SVG}path"):
        if path.get("data-part") == "frame":
            x, y, right, low, _ = _numbers(path.get("d"))
            mine = [one for one in root.iter(f"{SVG}text") if one.get("data-number") == path.get("data-number")]
            (number,) = [one for one in mine if one.text == path.get("data-number")]
            for other in mine:
                if other is not number and not other.get("transform"):
                    assert not box(x, y, right, low).intersects(_filled(other))


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("words", ["", "RUSH 4104"])
def test_a_frame_holds_its_number_and_lies_on_its_label(upright: bool, words: str) -> None:
    wide = max(width_of(numbered(17, words), 0.18, True), width_of("17", 0.18, True)) + 0.07
    label = Label(
        ((numbered(17, words), True), *([("Frame", False)] if words else [])), 0.18, upright,
        (1.0, 1.0, 0.6, wide) if upright else (1.0, 1.0, wide, 0.6), "17",
    )  # fmt: skip
    drawing = Drawing("", "")
    label.draw(drawing, {})
    drawing.size(5, 5)
    root = fromstring(drawing.markup())
    ground, frame = (_numbers(path.get("d")) for path in root.iter(f"{SVG}path"))
    here = box(*frame[:4])
    assert box(*ground[:4]).buffer(1e-6).contains(here)
    number = next(one for one in root.iter(f"{SVG}text") if one.text == "17")
    assert here.contains(Point(float(number.get("x", "")), float(number.get("y", ""))))
    rest = [one.text for one in root.iter(f"{SVG}text") if one is not number]
    assert rest == ([words, "Frame"] if words else [])


def test_a_wanted_place_is_found_in_a_room_of_any_size() -> None:
    for room in ((0.0, 0.0, 3.0, 3.0), (0.0, 0.0, 40.0, 30.0)):
        label = fitted(room, [[("7", True)]], Places(), toward=(0.37, 0.41), large=True)
        assert label is not None
        x, y, width, height = label.box
        assert (x + width / 2, y + height / 2) == pytest.approx((0.37, 0.41), abs=0.02)


def test_no_label_hides_a_tick_or_a_register_cross(plan: Plan) -> None:
    crosses = [(12.0, 35.6), (1.0, 12.0), (6.0, 18.0)]
    mark = {
        "rule": "double-print", "layer": "Register", "kind": "cross", "words": "register cross", "plate": None,
        "lines": tuple((at,) for at in crosses), "area": (), "sheets": ("stripper",),
    }  # fmt: skip
    flat = plan.flats[0].model_validate(plan.flats[0].model_dump() | {"marks": (mark,)})
    root = fromstring(stripper_sheet(plan.model_copy(update={"flats": (flat, *plan.flats[1:])}), flat))
    work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work")
    a, _, _, d, across, down = _numbers(work.get("transform"))
    ticks = next(path for path in root.iter(f"{SVG}path") if path.get("data-kind") == "tick")
    lines = [_numbers(part) for part in (ticks.get("d") or "").split("M")[1:]]
    lines += [[x - 0.125, y, x + 0.125, y] for x, y in crosses]
    grounds = list(_grounds(root))
    assert len(lines) > 20
    for x1, y1, x2, y2 in lines:
        line = LineString([(a * x1 + across, d * y1 + down), (a * x2 + across, d * y2 + down)])
        assert not any(ground.intersects(line) for ground in grounds)


@pytest.mark.parametrize(("width", "height"), [(24.0, 36.0), (20.0, 24.0), (14.0, 20.0), (2.0, 2.0)])
def test_no_tick_goes_through_a_figure_of_the_rulers(width: float, height: float) -> None:
    art = Art("J1", "n", (0.5, 0.5), "line", box(0, 0, 0.5, 0.5))
    plan = make_plan(make_flat(1, "zinc", (width, height), 0.0, [(0.9, [art])]))
    root = fromstring(stripper_sheet(plan, plan.flats[0]))
    work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work")
    a, _, _, d, across, down = _numbers(work.get("transform"))
    ruled = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "rulers")
    figures = [_filled(text) for text in ruled.iter(f"{SVG}text")]
    assert len(figures) == round(width) + round(height) + 2
    for path in root.iter(f"{SVG}path"):
        if path.get("data-kind") == "centre":
            for part in (path.get("d") or "").split("M")[1:]:
                x1, y1, x2, y2 = _numbers(part)
                line = LineString([(a * x1 + across, d * y1 + down), (a * x2 + across, d * y2 + down)])
                assert not any(line.intersects(figure) for figure in figures)


@pytest.mark.parametrize("height", [0.5 * step for step in range(1, 30)])
def test_the_words_of_the_check_rule_keep_off_the_letters_of_the_corners(height: float) -> None:
    canvas = Canvas("sample", View(False, 1.35, 2.55, 2.0, height), "", "", {})
    draw_frame(canvas, Heading("NAME", "here", (("what", True), ("", False), ("whose", False))), [])
    root = fromstring(canvas.drawing.markup())
    texts = list(root.iter(f"{SVG}text"))
    rule = next(_filled(text) for text in texts if (text.text or "").startswith("check rule"))
    letters = [_filled(text) for text in texts if text.text in ("A", "B", "C", "D")]
    assert len(letters) == 4
    assert not any(rule.intersects(letter) for letter in letters)
    # A line without words leaves no gap: the next one takes its place.
    lines = [float(one.get("y", "")) for one in texts if one.get("data-part") == "title"]
    assert lines == [1.24, 1.52]


def test_what_must_be_cured_first_stands_in_the_title_and_on_top_of_the_lists(
    plan: Plan, files: dict[str, str]
) -> None:
    for kind in ("stripper", "metal"):
        text = files[f"flat-01-{kind}.svg"]
        root = fromstring(text)
        assert any(words.startswith("STOP: finding 1 ") for words in _said(root, "part", "title"))
        blocks = re.findall(r'id="list-([a-z-]+)"', text)
        assert blocks[:2] == ["use", "findings"]
        assert blocks.index("legend") > blocks.index("plates")
    assert not any("STOP" in words for words in _said(fromstring(files["flat-02-stripper.svg"]), "part", "title"))


def test_every_flat_sheet_says_at_what_size_it_is_drawn(files: dict[str, str]) -> None:
    for name, text in files.items():
        if name.startswith("flat-"):
            (said, *_) = _said(fromstring(text), "part", "title")
            assert said.endswith("HALF SIZE" if name == "flat-01-shear.svg" else "TRUE SIZE")


def test_the_kind_of_a_single_film_is_not_taken_for_another_word(files: dict[str, str]) -> None:
    root = fromstring(files["flat-02-stripper.svg"])
    listed = " ".join(_said(root, "list", "plates"))
    assert listed.count("; line negative") == 3
    assert not any(words == "line" for words in _said(root, "label", "plate"))


def test_a_surprint_is_listed_as_not_for_this_exposure(files: dict[str, str]) -> None:
    listed = " ".join(_said(fromstring(files["flat-01-stripper.svg"]), "list", "plates"))
    assert listed.count("NOT NOW: for the second exposure") == 1
    assert "REVERSE on film 1, NOT NOW" not in listed


def test_a_size_is_never_broken_within_a_number(drawn: dict[str, Element]) -> None:
    for words in _said(drawn["shear"], "label", "plate"):
        assert words.isdigit() or words.endswith(" in")
        assert words.count(" x ") == (0 if words.isdigit() else 1)


def test_plates_in_a_rush_stand_out_in_the_list_of_the_finisher(files: dict[str, str]) -> None:
    root = fromstring(files["mounting.svg"])
    rows = [one for one in root.iter(f"{SVG}text") if (one.get("data-list") or "").startswith("mounting-")]
    rush = [one for one in rows if (one.text or "").startswith("RUSH ")]
    assert [one.text for one in rush] == ["RUSH J1050 Harbour, night"]
    assert all(one.get("font-weight") == "bold" for one in rush)


def test_a_list_is_not_begun_with_a_row_or_two_at_the_foot_of_a_column() -> None:
    canvas = Canvas("sample", View(False, 0.0, 0.0, 1.0, 1.0), "", "", {})
    columns = Columns(canvas, canvas.upright("list", "List"), 0.0, 0.0, 6.0)
    long = "PLATES: 1234, FILMS: 1234, AND WHATEVER ELSE THERE IS TO SAY OF THEM"
    columns.add(Block("first", "FIRST", [Row(("word",))] * 16))
    columns.add(Block("second", long, [Row(("word",))] * 40))
    canvas.drawing.size(20, 10)
    headings = [one.text for one in fromstring(canvas.drawing.markup()).iter(f"{SVG}text") if one.text != "word"]
    assert columns.count == 3
    assert headings[0] == "FIRST"
    # It begins at the top of the second column, and goes on in the third, which says so however long its heading is.
    assert [heading is not None and heading.endswith(" (continued)") for heading in headings] == [False, False, True]
    assert all(width_of(heading or "", 0.19, True) <= columns.width for heading in headings)


def _leader(path: Element) -> LineString:
    x1, y1, x2, y2 = _numbers(path.get("d"))
    return LineString([(x1, y1), (x2, y2)])


def test_no_number_hides_a_leader_and_no_leader_crosses_a_number_or_another(routed_files: dict[str, str]) -> None:
    seen = 0
    for name, text in routed_files.items():
        if "router-plate" not in name:
            continue
        root = fromstring(text)
        grounds = list(_grounds(root))
        leaders = [_leader(path) for path in root.iter(f"{SVG}path") if path.get("data-leader")]
        for leader in leaders:
            # It starts at the edge of its own number.
            assert sum(ground.intersection(leader).length > 0.011 for ground in grounds) == 0
        assert not any(one.crosses(other) for one, other in combinations(leaders, 2))
        seen += len(leaders)
    assert seen > 5


def _pass(name: str, opens: BaseGeometry, plates: tuple[str, ...], frame: BaseGeometry | None = None) -> PassRecord:
    given = {
        "rule": "benday", "sheet": "tint lays", "side": "metal", "name": name, "reason": "tints", "notes": "",
        "plates": plates, "opens": plain(opens), "mask": (), "films": (),
        "frame": None if frame is None else
        (*frame.bounds[:2], frame.bounds[2] - frame.bounds[0], frame.bounds[3] - frame.bounds[1]),
    }  # fmt: skip
    return PassRecord.model_validate(given)


def _with_passes(build: Callable[..., Plan], art: Callable[..., Art]) -> tuple[Plan, Flat]:
    square = box(0, 0, 4, 4)
    plan = build([(5.0, [art("J1", "a", (4, 4), "line", square), art("J2", "b", (4, 4), "line", square)])])
    flat = plan.flats[0]
    x, y, *_ = flat.placements[0].blank
    first = _pass("lines", box(x + 1, y + 1, x + 3, y + 3), (flat.placements[0].plate,), box(x, y, x + 7, y + 5))
    narrow = _pass("dots", box(x + 1, y + 3.4, x + 3, y + 3.55), (flat.placements[0].plate,), box(x, y, x + 5, y + 5))
    flat = flat.model_copy(update={"passes": (first, narrow)})
    return plan.model_copy(update={"flats": (flat,)}), flat


def test_every_pass_and_every_frame_is_named_so_that_it_can_be_read_standing(
    build: Callable[..., Plan], art: Callable[..., Art]
) -> None:
    plan, flat = _with_passes(build, art)
    (sheet,) = pass_sheets(plan, flat)
    root = fromstring(sheet)
    told = {
        one.text: float(one.get("font-size", ""))
        for one in root.iter(f"{SVG}text")
        if one.get("data-tag") or one.get("data-frame")
    }
    assert set(told) == {"pass 1", "pass 2", "frame 1", "frame 2"}
    assert min(told.values()) >= 0.11
    assert told["pass 1"] > 0.2
    # The second area is too narrow for words of that size: a line leads to it.
    assert any(path.get("data-led") == "2" for path in root.iter(f"{SVG}path"))
    for one, other in combinations(list(_grounds(root)), 2):
        assert one.intersection(other).area < 1e-9


def test_short_ways_are_said_to_a_tenth_and_never_as_none() -> None:
    assert [inches_text(length) for length in (0.0, 0.01, 0.42, 9.94, 9.96, 118.4)] == [
        "0.0", "<\u00a00.1", "0.4", "9.9", "10", "118",
    ]  # fmt: skip


def test_rulers_count_upwards_from_nothing() -> None:
    drawing = Drawing("", "")
    rulers(drawing, View(False, 1.0, 1.0, 5.0, 4.0))
    drawing.size(8, 8)
    figures = [int(one.text or "") for one in fromstring(drawing.markup()).iter(f"{SVG}text")]
    assert figures == [*range(6), *range(5)]
    assert all(later - one in (1, -5) for one, later in pairwise(figures))

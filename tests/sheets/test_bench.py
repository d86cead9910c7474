"""What the people at the bench look for: whose job, how soon, which cutter, which plate; and sheets of a fair size."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from itertools import pairwise

import pytest
from defusedxml.ElementTree import fromstring
from shapely import box
from shapely.geometry.base import BaseGeometry

from planner.geometry import grown, shape_of
from planner.plan import Plan, Shape
from planner.sheets.folder import sheet_files
from planner.sheets.ground import Ground
from planner.sheets.labels import Places, fitted, in_one_line
from planner.sheets.metal import metal_sheet
from planner.sheets.stripper import stripper_sheet
from planner.sheets.views import View
from planner.sheets.work import seen_path

SVG = "{http://www.w3.org/2000/svg}"
Maker = Callable[..., Plan]
DISC = grown(box(1.49, 1.49, 1.51, 1.51), 1)


def _texts(text: str, key: str, value: str) -> str:
    found = [element for element in fromstring(text).iter(f"{SVG}text") if element.get(f"data-{key}") == value]
    return " | ".join(element.text or "" for element in found)


def test_jobs_say_for_whom_until_when_and_what_is_in_a_rush(plan: Plan) -> None:
    job = plan.jobs[0]
    told = {"customer": "Osier Ferry", "due": datetime(2026, 11, 30, 11), "rush": True, "notes": "boy is waiting"}
    jobs = (job.model_copy(update=told), *plan.jobs[1:])
    flat = next(
        flat for flat in plan.flats if any(place.plate.startswith(f"{job.number}/") for place in flat.placements)
    )
    day = plan.model_copy(update={"jobs": jobs})
    for text in (stripper_sheet(day, flat), metal_sheet(day, flat, ("shear hand",))):
        listed = _texts(text, "list", "jobs").replace(" | ", " ")
        assert f"RUSH {job.number} Osier Ferry; due 2026-11-30 11:00; boy is waiting" in listed
        assert "first plates due 2026-11-30 11:00" in _texts(text, "part", "title")
        assert "RUSH" in _texts(text, "part", "title")
        assert f"RUSH {job.number}" in _texts(text, "label", "plate")


def test_notes_of_a_plate_are_listed(plan: Plan) -> None:
    plates = (plan.plates[0].model_copy(update={"notes": "deep etch"}), *plan.plates[1:])
    day = plan.model_copy(update={"plates": plates})
    for flat in day.flats:
        for text in (stripper_sheet(day, flat), metal_sheet(day, flat, ("shear hand",))):
            assert ("deep etch" in _texts(text, "list", "plates")) == (flat.number == 1)


def test_long_job_numbers_that_differ_at_their_ends_are_told_apart(build: Maker, art: Callable[..., object]) -> None:
    jobs = ["9" * 79 + "1", "9" * 79 + "2"]
    laid = [art(job, "n", (2, 2), "line", box(0, 0, 2, 2)) for job in jobs]
    files = sheet_files(build([(3.0, laid)]))
    for text in (files["flat-01-stripper.svg"], files["flat-01-metal.svg"]):
        for where in (("label", "plate"), ("list", "plates"), ("list", "jobs")):
            found = _texts(text, *where)
            assert "99991" in found
            assert "99992" in found


def test_a_cutter_is_named_within_its_zone_and_no_label_lies_on_an_image_edge(
    build: Maker, art: Callable[..., object]
) -> None:
    plan = build([(4.0, [art("J1", "disc", (3, 3), "line", DISC, mounting="nailed")])])
    root = fromstring(metal_sheet(plan, plan.flats[0], ("shear hand",)))
    numbers = [float(value) for value in re.findall(r"-?[0-9.]+", _work(root))]
    placement = plan.flats[0].placements[0]
    zone = shape_of(placement.zones[0].shape)
    grounds = {
        key: _in_layout(path.get("d", ""), numbers)
        for path in root.iter(f"{SVG}path")
        if path.get("data-part") == "ground" and (key := path.get("data-tag") or path.get("data-label"))
    }
    assert zone.contains(grounds["A"])
    assert grounds["plate"].intersection(shape_of(placement.printing).boundary).length == 0


def _work(root: object) -> str:
    groups = root.iter(f"{SVG}g")  # type: ignore[attr-defined]
    return next(group.get("transform") for group in groups if group.get("id") == "work")


def _in_layout(path: str, matrix: list[float]) -> BaseGeometry:
    x, y, right, bottom, _ = (float(value) for value in re.findall(r"-?[0-9.]+", path))
    a, _, _, d, across, down = matrix
    xs, ys = sorted(((x - across) / a, (right - across) / a)), sorted(((y - down) / d, (bottom - down) / d))
    return box(xs[0], ys[0], xs[1], ys[1])


def test_a_long_thin_plate_is_labelled_along_its_length() -> None:
    tiers = [[("1 3002", True), ("Rule border, copy 1/14", False), ("1/2 x 20 in", False)], [("1", True)]]
    room = (0.0, 0.0, 0.9, 20.5)
    label = fitted(room, in_one_line(room, tiers), Places())
    assert label is not None
    assert label.upright
    assert [text for text, _ in label.lines] == ["1 3002, Rule border, copy 1/14, 1/2 x 20 in"]
    for other in ((0.0, 0.0, 4.0, 5.0), (0.0, 0.0, 2.5, 16.5)):
        assert in_one_line(other, tiers) == tiers


@pytest.mark.parametrize("radius", [0.1, 1.0, 6.0])
def test_areas_to_look_at_are_drawn_near_enough_with_few_corners(radius: float) -> None:
    ring = [(x, y) for x, y in box(8, 8, 8.001, 8.001).buffer(radius, quad_segs=400).exterior.coords[:-1]]
    shape: Shape = ((tuple(ring),),)
    values = [float(value) for value in re.findall(r"-?[0-9.]+", seen_path(shape))]
    drawn = shape_of(((tuple(zip(values[::2], values[1::2], strict=True)),),))
    assert len(values) / 2 < len(ring) / 5
    assert drawn.hausdorff_distance(shape_of(shape)) < 0.001
    assert seen_path(shape) == seen_path(shape)


def test_nothing_is_said_on_each_path_that_is_said_once_for_all(files: dict[str, str]) -> None:
    for text in files.values():
        assert text.count("fill-rule") == 1
        assert text.count("font-family") == 1
        assert 'stroke="none"' not in text


def test_hatches_have_tiles_that_viewers_do_not_leave_out(files: dict[str, str]) -> None:
    for text in files.values():
        for pattern in fromstring(text).iter(f"{SVG}pattern"):
            assert float(pattern.get("width", "0")) * float(pattern.get("height", "0")) > 0.003


def test_headings_end_within_their_column(files: dict[str, str]) -> None:
    from planner.sheets.columns import WIDTH
    from planner.sheets.style import HEADING_TEXT
    from planner.sheets.text import width_of

    for text in (text for name, text in files.items() if name.startswith("flat-")):
        root = fromstring(text)
        headings = [element for element in root.iter(f"{SVG}text") if element.get("font-size") == str(HEADING_TEXT)]
        assert headings
        assert all(width_of(element.text or "", HEADING_TEXT, True) <= WIDTH for element in headings)


def test_a_cure_stands_in_the_column_of_its_finding(plan: Plan) -> None:
    finding = plan.findings[0]
    many = tuple(finding.model_copy(update={"cure": f"cure {place}"}) for place in range(60))
    root = fromstring(stripper_sheet(plan.model_copy(update={"findings": many}), plan.flats[0]))
    texts = [element for element in root.iter(f"{SVG}text") if element.get("data-list") == "findings"]
    columns = {element.get("x") for element in texts}
    assert len(columns) > 1
    for before, element in pairwise(texts):
        if (element.text or "").startswith("Cure:"):
            assert element.get("x") == before.get("x")


def test_a_label_gets_shorter_rather_than_lie_on_edges() -> None:
    tiers = [[("a label that has a lot to say", True)], [("short", True)]]
    room = (0.0, 0.0, 4.0, 1.0)

    ground = Ground(room)
    # An edge in the middle: a label of half the room or more cannot but lie on it.
    ground.bar(View(False, 0.0, 0.0, 4.0, 1.0), ((((2.0, -1.0), (2.01, -1.0), (2.01, 2.0), (2.0, 2.0)),),))
    label = fitted(
        room, [[("a label that has a lot to say, and more", True)], tiers[1]], Places(), ground=ground, least=0.14
    )
    assert label is not None
    assert label.lines == (("short", True),)
    label = fitted(room, tiers, Places())
    assert label is not None
    assert label.lines[0][0].startswith("a label")

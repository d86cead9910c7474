"""Labels on crowded days: off every image's edge, off each other, on the page; with a line where there is no room."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from xml.etree.ElementTree import Element

import numpy as np
import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, box, union_all
from shapely.geometry.base import BaseGeometry

from planner.geometry import plain, shape_of, union_of
from planner.plan import Plan
from planner.sheets.ground import CELL, Ground, Region
from planner.sheets.labels import Places, fitted
from planner.sheets.leaders import led
from planner.sheets.metal import metal_sheet
from planner.sheets.stripper import stripper_sheet
from planner.sheets.svg import Drawing
from planner.sheets.views import View

SVG = "{http://www.w3.org/2000/svg}"
VIEW = View(False, 0.0, 0.0, 10.0, 10.0)


def _numbers(text: str) -> list[float]:
    return [float(value) for value in re.findall(r"-?[0-9.]+", text)]


def _grounds(text: str) -> Iterator[tuple[Element, BaseGeometry]]:
    for path in fromstring(text).iter(f"{SVG}path"):
        if path.get("data-part") == "ground":
            x, y, right, low, _ = _numbers(path.get("d", ""))
            yield path, box(x, y, right, low)


def _is_within(text: Element, left: float, top: float, right: float, low: float) -> bool:
    return left <= float(text.get("x", "")) <= right and top <= float(text.get("y", "")) <= low


def _edges_on_page(plan: Plan, text: str) -> BaseGeometry:
    """The edges of all images and plates of the first flat, as page inches."""
    work = next(group for group in fromstring(text).iter(f"{SVG}g") if group.get("id") == "work")
    a, _, _, d, across, down = _numbers(work.get("transform", ""))
    shapes = [
        shape_of(shape)
        for placement in plan.flats[0].placements
        for shape in (placement.outline, placement.printing, *(film.image for film in placement.films))
    ]
    lines = [
        Polygon([(a * x + across, d * y + down) for x, y in ring.coords]).boundary
        for shape in shapes for part in shape.geoms for ring in (part.exterior, *part.interiors)
    ]  # fmt: skip
    return union_all(lines)


Spec = list[tuple[float, list[tuple[float, str, float, bool, str]]]]
WORDS = ["n", "name of a plate", "W" * 300, '<script>"x"</script>', "\u05e9\u05dc" * 9]
ROWS = st.lists(
    st.tuples(
        st.sampled_from([0.4, 0.8, 1.5, 2.5]),
        st.lists(
            st.tuples(
                st.sampled_from([0.3, 0.7, 1.2, 2.0]),
                st.sampled_from(["line", "square", "drop-out"]),
                st.sampled_from([0.07, 0.15, 0.4]),
                st.booleans(),
                st.sampled_from(WORDS),
            ),
            min_size=1,
            max_size=5,
        ),
    ),
    min_size=1,
    max_size=3,
)
"""Rows of plates that lie close: their heights; each one's width, kind, step of its bars, whether solid, its name."""


def _day(build: Callable[..., Plan], art: Callable[..., object], rows: Spec) -> Plan:
    made = []
    for row, (height, plates) in enumerate(rows):
        laid = []
        for place, (width, kind, step, solid, words) in enumerate(plates):
            bars = union_of([box(x, 0.0, min(x + step / 2, width), height) for x in np.arange(0.0, width, step)])
            image = box(0, 0, width, height) if solid else bars
            laid.append(art(f"J{row}{place}", words, (width, height), kind, image))
        made.append((height + 0.5, laid))
    return build(made)


@settings(max_examples=8, deadline=None)
@given(rows=ROWS)
def test_no_label_lies_on_the_edge_of_an_image_or_on_another(
    build: Callable[..., Plan], art: Callable[..., object], rows: Spec
) -> None:
    plan = _day(build, art, rows)
    flat = plan.flats[0]
    for name, text in (("stripper", stripper_sheet(plan, flat)), ("metal", metal_sheet(plan, flat, ("shear hand",)))):
        root = fromstring(text)
        width, height = (float(root.get(side, "")[:-2]) for side in ("width", "height"))
        edges = _edges_on_page(plan, text)
        grounds = list(_grounds(text))
        assert grounds
        for place, (path, label) in enumerate(grounds):
            assert box(0, 0, width, height).contains(label)
            if path.get("data-label") == "plate" or path.get("data-tag"):
                assert not label.intersects(edges), (name, dict(path.items()))
            for _, other in grounds[place + 1 :]:
                assert label.intersection(other).area < 1e-9


@settings(max_examples=8, deadline=None)
@given(rows=ROWS)
def test_every_plate_is_named_on_the_drawing_or_by_a_line_to_it(
    build: Callable[..., Plan], art: Callable[..., object], rows: Spec
) -> None:
    plan = _day(build, art, rows)
    root = fromstring(stripper_sheet(plan, plan.flats[0]))
    texts = [element for element in root.iter(f"{SVG}text") if element.get("data-label") == "plate"]
    named = {element.get("data-number") for element in texts}
    assert named == {str(number) for number in range(1, len(plan.flats[0].placements) + 1)}
    for element in texts:
        led_by = [path for path in root.iter(f"{SVG}path") if path.get("data-led") == element.get("data-led")]
        assert element.get("data-led") is None or any(path.get("data-part") == "leader" for path in led_by)
    # Each plate's number is framed, once, with nothing else in the frame; and nothing else is framed.
    frames = {path.get("data-number"): path for path in root.iter(f"{SVG}path") if path.get("data-part") == "frame"}
    assert set(frames) == named
    for number, path in frames.items():
        x, y, right, low, _ = _numbers(path.get("d", ""))
        held = [one.text for one in texts if one.get("data-number") == number and _is_within(one, x, y, right, low)]
        assert held == [number]


@settings(deadline=None)
@given(st.lists(st.tuples(*[st.floats(0, 9)] * 4), min_size=1, max_size=6), st.tuples(*[st.floats(0, 8.9)] * 2))
def test_a_ground_is_open_where_nothing_is_barred_and_never_on_an_edge(
    boxes: list[tuple[float, float, float, float]], at: tuple[float, float]
) -> None:
    ground = Ground((0.0, 0.0, 10.0, 10.0))
    shapes = [box(x, y, x + width / 9 + 0.01, y + height / 9 + 0.01) for x, y, width, height in boxes]
    for shape in shapes:
        ground.bar(VIEW, plain(shape))
    label = (at[0], at[1], 1.0, 0.5)
    here = box(at[0], 10 - at[1] - 0.5, at[0] + 1.0, 10 - at[1])
    nearest = min(shape.boundary.distance(here) for shape in shapes)
    if ground.is_open(label):
        assert nearest > 0
    else:
        assert nearest < 5 * CELL


def test_what_is_barred_as_a_whole_is_barred_within() -> None:
    ground = Ground((0.0, 0.0, 10.0, 10.0))
    ground.bar(VIEW, plain(box(2, 2, 8, 8)))
    assert ground.is_open((4.0, 4.0, 1.0, 1.0))
    ground.bar(VIEW, plain(box(2, 2, 8, 8)), whole=True)
    assert not ground.is_open((4.0, 4.0, 1.0, 1.0))
    assert ground.is_open((0.2, 0.2, 1.0, 1.0))
    assert not ground.is_open((-0.5, 0.2, 1.0, 1.0))


def test_weights_are_shares_of_a_box() -> None:
    ground = Ground((0.0, 0.0, 10.0, 10.0))
    ground.weigh(VIEW, plain(box(0, 0, 5, 10)), 0.5)
    hidden = ground.hidden(np.array([(1.0, 1.0, 2.0, 2.0), (7.0, 1.0, 2.0, 2.0), (4.0, 1.0, 2.0, 2.0)]))
    # A box that lies wholly on it hides half; the grid counts cells, so that a little is over.
    assert hidden == pytest.approx([0.5, 0.0, 0.25], abs=0.03)


def test_a_region_holds_what_lies_within_and_no_more() -> None:
    ring = Region(VIEW, plain(box(1, 1, 9, 9) - box(4, 4, 6, 6)))
    boxes = np.array([(1.5, 1.5, 2.0, 2.0), (3.0, 3.0, 2.0, 2.0), (0.5, 2.0, 1.0, 1.0), (4.5, 4.5, 0.5, 0.5)])
    assert list(ring.holds(boxes)) == [True, False, False, False]


def test_a_label_goes_to_the_place_that_is_wanted_among_those_that_are_open() -> None:
    ground = Ground((0.0, 0.0, 10.0, 10.0))
    ground.bar(VIEW, plain(box(3, 3, 7, 7)), whole=True)
    label = fitted((0.0, 0.0, 10.0, 10.0), [[("name", True)]], Places(), ground=ground, toward=(5.0, 2.0))
    assert label is not None
    x, y, width, height = label.box
    assert y + height < 3
    assert x < 5 < x + width


def test_a_leader_goes_round_labels_and_ends_at_its_place() -> None:
    ground = Ground((0.0, 0.0, 10.0, 10.0))
    ground.bar(VIEW, plain(box(4, 4, 6, 6)), whole=True)
    places = Places([(3.0, 4.0, 0.9, 2.0)])
    drawing = Drawing("", "")
    assert led(drawing, (4.0, 4.0, 2.0, 2.0), (5.0, 5.0), [[("7", True)]], places, ground, {"led": "7"})
    drawing.size(10, 10)
    root = fromstring(drawing.markup())
    leader = next(path for path in root.iter(f"{SVG}path") if path.get("data-part") == "leader")
    x1, y1, x2, y2 = _numbers(leader.get("d", ""))
    assert (x2, y2) == (5.0, 5.0)
    assert not ground.is_open((4.5, 4.5, 0.1, 0.1))
    assert ground.is_open(places.taken[1])
    assert LineString([(x1, y1), (x2, y2)]).intersection(box(3.0, 4.0, 3.9, 6.0)).length == 0


def test_nothing_is_led_where_there_is_no_open_place() -> None:
    ground = Ground((0.0, 0.0, 3.0, 3.0))
    ground.bar(View(False, 0.0, 0.0, 3.0, 3.0), plain(box(0, 0, 3, 3)), whole=True)
    assert not led(Drawing("", ""), (1.0, 1.0, 1.0, 1.0), (1.5, 1.5), [[("7", True)]], Places(), ground, {})

"""Random polygons against the independent judge."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, union_all
from shapely.geometry.polygon import orient

from planner.nesting.saw import SawOptions, SawSheet, Shape, lay, lay_in_strip
from planner.nesting.saw_convex import convex_parts

from .judging import judge, judge_sheet

_materials = st.sampled_from(["", "copper"])


@st.composite
def polygons(draw: st.DrawFn) -> Polygon:
    """Stars of random rays round a centre, bent in or out, some with a hole like themselves."""
    number = draw(st.integers(3, 9))
    rays = draw(st.lists(st.floats(0.3, 3.0), min_size=number, max_size=number))
    start = draw(st.floats(0, 1))
    points = [
        (ray * math.cos(start + 2 * math.pi * at / number), ray * math.sin(start + 2 * math.pi * at / number))
        for at, ray in enumerate(rays)
    ]
    polygon = orient(Polygon(points))
    if draw(st.booleans()):
        hole = affinity.scale(polygon, 0.6, 0.6, origin=(0, 0))
        if polygon.buffer(-0.01).contains(hole):
            polygon = Polygon(polygon.exterior.coords, [hole.exterior.coords])
    return polygon


@st.composite
def shapes(draw: st.DrawFn) -> list[Shape]:
    found = []
    for index in range(draw(st.integers(0, 7))):
        polygon = draw(polygons())
        rings = tuple(
            tuple((float(x), float(y)) for x, y in ring.coords) for ring in [polygon.exterior, *polygon.interiors]
        )
        turns = tuple(draw(st.sets(st.sampled_from([0, 90, 180, 270]), min_size=1)))
        rank, group = draw(st.integers(0, 1)), draw(st.sampled_from(["", "other"]))
        found.append(Shape(f"shape {index}", rings, turns, draw(_materials), group, rank))
    return found


@settings(max_examples=25, deadline=None)
@given(
    shapes(),
    st.lists(
        st.tuples(st.floats(3, 9), st.floats(3, 9), st.sampled_from([None, 0, 1, 2]), st.floats(0, 3), _materials),
        max_size=3,
    ),
    st.sampled_from([0.0, 0.03, 0.25]),
    st.integers(0, 3),
)
def test_layouts_keep_every_promise(
    some: list[Shape],
    kinds: list[tuple[float, float, int | None, float, str]],
    spacing: float,
    seed: int,
) -> None:
    sheets = [SawSheet(f"sheet {index}", *kind) for index, kind in enumerate(kinds)]
    options = SawOptions(spacing=spacing, iterations=6, seed=seed)
    judge(some, sheets, options, lay(some, sheets, options))


@settings(max_examples=15, deadline=None)
@given(shapes(), st.sampled_from([0.0, 0.11]))
def test_strips_keep_every_promise(some: list[Shape], spacing: float) -> None:
    strip = lay_in_strip(some, 6.5, SawOptions(spacing=spacing, iterations=6, spyrrow=False))
    assert sorted(placement.name for placement in strip.placements) == sorted(shape.name for shape in some)
    judge_sheet({shape.name: shape for shape in some}, strip.placements, strip.length, 6.5, spacing)


@settings(max_examples=60, deadline=None)
@given(polygons())
def test_convex_parts_cover_the_polygon_and_hardly_more(polygon: Polygon) -> None:
    tolerance = 0.01
    parts = [Polygon(ring) for ring in convex_parts(polygon, tolerance)]
    for part in parts:
        assert part.convex_hull.area - part.area <= 1e-9
        assert polygon.buffer(tolerance).covers(part)
    # A hair all round, because two outlines that differ by rounding are beyond exact overlay.
    assert polygon.difference(union_all([part.buffer(1e-9) for part in parts])).area <= 1e-9

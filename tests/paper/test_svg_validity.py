"""Are the sheets SVG? Held against the element and attribute lists of SVG 1.1 (Second Edition, W3C 2011, appendices M
and N, from memory; those parts that drawings of ours could use), with SVG 2's data-* and role, and Inkscape's layers.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from xml.etree import ElementTree

import defusedxml.ElementTree
import pytest
import svgelements

from .days import SVG, sheets

XLINK = "{http://www.w3.org/1999/xlink}"
INKSCAPE = "{http://www.inkscape.org/namespaces/inkscape}"
CORE = {"id", "transform", "role"}
PAINTED = {
    "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-dasharray", "stroke-linecap",
    "stroke-linejoin", "stroke-opacity", "opacity", "clip-path", "clip-rule", "font-family", "font-size", "font-weight",
    "font-style", "text-anchor", "direction", "unicode-bidi", "visibility", "display", "color",
}  # fmt: skip
BOX = {"x", "y", "width", "height"}
KNOWN = {
    "svg": BOX | {"viewBox", "version", "baseProfile", "preserveAspectRatio"},
    "g": set(), "defs": set(), "title": set(), "desc": set(), "symbol": {"viewBox"},
    "path": {"d"}, "rect": BOX | {"rx", "ry"}, "circle": {"cx", "cy", "r"}, "ellipse": {"cx", "cy", "rx", "ry"},
    "line": {"x1", "y1", "x2", "y2"}, "polyline": {"points"}, "polygon": {"points"},
    "text": {"x", "y", "dx", "dy"}, "tspan": {"x", "y", "dx", "dy"},
    "use": BOX | {f"{XLINK}href", "href"},
    "clipPath": {"clipPathUnits"},
    "pattern": BOX | {"patternUnits", "patternContentUnits", "patternTransform", "viewBox"},
}  # fmt: skip


def every_sheet(check: Callable[[str], None]) -> Callable[[], None]:
    """A test of each sheet; the day is planned when the test runs, not when tests are looked for."""

    def test() -> None:
        for name in sheets():
            check(name)

    return test


def root_of(name: str) -> ElementTree.Element:
    return defusedxml.ElementTree.fromstring(sheets()[name])


def test_there_are_sheets_of_several_kinds() -> None:
    assert {"flat-01-stripper.svg", "flat-01-metal.svg", "flat-01-router.svg"} <= set(sheets())


@every_sheet
def test_no_element_and_no_attribute_is_unknown(name: str) -> None:
    for element in root_of(name).iter():
        assert element.tag.startswith(SVG), element.tag
        own = KNOWN[element.tag.removeprefix(SVG)] | CORE | PAINTED
        for key in element.keys():  # noqa: SIM118 - an element is no mapping
            assert key in own or re.fullmatch(r"data-[a-z-]+", key) or key.startswith(INKSCAPE), (element.tag, key)


@every_sheet
def test_ids_are_unique_names_and_all_references_resolve(name: str) -> None:
    root = root_of(name)
    ids = [element.get("id") for element in root.iter() if element.get("id") is not None]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", one or "") for one in ids)
    values = [(key, value) for element in root.iter() for key, value in element.items()]
    named = {found for _, value in values for found in re.findall(r"url\(#([^)]+)\)", value)}
    linked = [value for key, value in values if key in ("href", f"{XLINK}href")]
    assert all(value.startswith("#") for value in linked)
    assert named | {value[1:] for value in linked} <= set(ids)


@every_sheet
def test_a_second_parser_reads_the_same_page_and_paths(name: str) -> None:
    root = root_of(name)
    parsed = svgelements.SVG.parse(io.StringIO(sheets()[name]), reify=False, ppi=96)
    width, height = (float(root.get(side, "").removesuffix("in")) for side in ("width", "height"))
    assert (parsed.width, parsed.height) == pytest.approx((width * 96, height * 96))
    box = [float(part) for part in root.get("viewBox", "").split()]
    assert box == pytest.approx([0, 0, width, height])
    for element in root.iter(f"{SVG}path"):
        steps = list(svgelements.Path(element.get("d", "")))
        assert steps
        assert isinstance(steps[0], svgelements.Move)


@every_sheet
def test_layers_have_names_of_their_own(name: str) -> None:
    layers = [group for group in root_of(name).iter(f"{SVG}g") if group.get(f"{INKSCAPE}groupmode") == "layer"]
    labels = [group.get(f"{INKSCAPE}label", "") for group in layers]
    assert len(labels) >= 3
    assert all(labels)
    assert len(set(labels)) == len(labels)
    assert all(group.get("id") for group in layers)

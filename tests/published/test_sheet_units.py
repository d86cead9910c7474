"""True size: what the sheets draw, measured on pictures that resvg makes of them at 96 dots to the inch.

Sources: CSS Values and Units Module Level 3, W3C, section 6.2 "Absolute lengths": 1 in = 2.54 cm = 96 px; SVG 1.1
(Second Edition), W3C, 2011, chapter 7: width and height with units, together with viewBox, set the scale of a user
unit (sections from memory). Pictures by resvg (resvg_py 0.5 or later).
"""

from __future__ import annotations

import io
from functools import cache
from xml.etree import ElementTree

import numpy as np
import pytest
import resvg_py
from skimage import io as pictures

from planner.flats import Search
from planner.lengths import parse_length
from planner.plan import Plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.sheets.folder import sheet_files

from .shop import DEFAULTS, house_with, orders_for

DOTS = 96
PLATE = (4.25, 6.0)
METAL = (18.0, 24.0)


@cache
def planned() -> Plan:
    house = house_with(sheets=[{"metal": "copper", "size": "18 x 24 in"}])
    plate = {"name": "map", "size": "4 1/4 x 6 in", "metal": "copper", "screen": 120, "may_turn": False}
    return make_plan(orders_for(plate), house, load_rules(house, DEFAULTS), Search(iterations=0))


@cache
def sheets() -> dict[str, str]:
    return sheet_files(planned())


def sheet(kind: str) -> ElementTree.Element:
    (name,) = (name for name in sheets() if kind in name)
    return ElementTree.fromstring(sheets()[name])


def picture_of(root: ElementTree.Element) -> np.ndarray:
    markup = ElementTree.tostring(root, encoding="unicode")
    return pictures.imread(io.BytesIO(resvg_py.svg_to_bytes(svg_string=markup, dpi=DOTS, skip_system_fonts=True)))


@cache
def drawn(kind: str, what: str) -> tuple[float, float, float, float]:
    """Draw one line of a sheet and nothing else; give its left, top, right and bottom in inches, amid the stroke."""
    root = sheet(kind)
    thickness = 0.0
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag.endswith("}path") and child.get("data-kind") == what:
                thickness = float(child.get("stroke-width", "0"))
                child.set("fill", "none")
            elif child.tag.endswith(("}path", "}text", "}rect", "}line")):
                parent.remove(child)
    assert thickness > 0, f"the {kind} sheet draws the {what}"
    inked = picture_of(root)[..., 3] > 0
    rows, columns = np.nonzero(inked.any(axis=1))[0], np.nonzero(inked.any(axis=0))[0]
    half = thickness / 2
    return (
        columns[0] / DOTS + half, rows[0] / DOTS + half,
        (columns[-1] + 1) / DOTS - half, (rows[-1] + 1) / DOTS - half,
    )  # fmt: skip


@pytest.mark.parametrize("kind", ["stripper", "metal"])
def test_one_user_unit_is_one_inch(kind: str) -> None:
    """The root's width and height, read as lengths, are its viewBox's. Sources: CSS and SVG as above."""
    root = sheet(kind)
    left, top, width, height = (float(part) for part in root.attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    assert parse_length(root.attrib["width"]) == pytest.approx(width, abs=1e-9)
    assert parse_length(root.attrib["height"]) == pytest.approx(height, abs=1e-9)
    assert width > METAL[0]
    assert height > METAL[1]


@pytest.mark.parametrize("kind", ["stripper", "metal"])
def test_whole_page_is_as_many_dots_as_its_inches_make(kind: str) -> None:
    """96 dots to every inch of width and height. Sources: CSS as above; resvg."""
    root = sheet(kind)
    _, _, width, height = (float(part) for part in root.attrib["viewBox"].split())
    for parent in list(root.iter()):
        for child in list(parent):
            parent.remove(child)
    high, wide = picture_of(root).shape[:2]
    assert (wide, high) == (pytest.approx(width * DOTS, abs=1), pytest.approx(height * DOTS, abs=1))


@pytest.mark.parametrize("kind", ["stripper", "metal"])
@pytest.mark.parametrize(("what", "size"), [("sheet", METAL), ("outline", PLATE)])
def test_lines_are_drawn_true_size(kind: str, what: str, size: tuple[float, float]) -> None:
    """Metal of 18 x 24 in and a plate of 4 1/4 x 6 in, to a dot. Sources: CSS as above; resvg."""
    left, top, right, bottom = drawn(kind, what)
    assert (right - left, bottom - top) == pytest.approx(size, abs=2 / DOTS)


def test_metal_is_the_mirror_image_of_the_flat() -> None:
    """The plate lies as far from the right edge on the metal as from the left edge on the glass, and as high.

    Source: John L. Ridgway, The Preparation of Illustrations for Reports of the U.S. Geological Survey, Government
    Printing Office, 1920, pp. 73-76: films are reversed on the glass so that prints read right; the metal, printed
    from it by contact, reads wrong. Measured on pictures by resvg.
    """
    on_glass, on_metal = drawn("stripper", "outline"), drawn("metal", "outline")
    glass, metal = drawn("stripper", "sheet"), drawn("metal", "sheet")
    from_left = on_glass[0] - glass[0]
    assert metal[2] - on_metal[2] == pytest.approx(from_left, abs=2 / DOTS)
    assert glass[3] - on_glass[3] == pytest.approx(metal[3] - on_metal[3], abs=2 / DOTS)
    (placement,) = planned().flats[0].placements
    place_in_plan = min(x for x, _ in placement.outline[0][0])
    assert from_left == pytest.approx(place_in_plan, abs=2 / DOTS)

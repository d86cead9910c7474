"""An F on the glass is an F under it, and a mirrored F on the metal; everything else agrees by mirror as well."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import resvg_py
from defusedxml.ElementTree import fromstring
from numpy.typing import NDArray
from PIL import Image

from planner.plan import Flat, Plan
from planner.sheets.views import View

SVG = "{http://www.w3.org/2000/svg}"
DPI = 40
NUMBER = r"-?\d+(?:\.\d+)?"


def _matrix(root: ET.Element) -> tuple[float, ...]:
    work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work")
    return tuple(float(value) for value in re.findall(NUMBER, work.get("transform", "")))


def _raster(text: str, *, plates_only: bool) -> NDArray[np.uint8]:
    root = fromstring(text)
    keep = {"layer-plates"} if plates_only else {"layer-plates", "layer-images", "layer-films", "layer-blanks"}
    for parent in list(root.iter()):
        for child in list(parent):
            name = child.get("id", "")
            if name.startswith("layer-") and name not in keep:
                parent.remove(child)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=DPI, background="#ffffff")
    return np.asarray(Image.open(io.BytesIO(png)).convert("L"))


def _crop(text: str, box: tuple[float, ...], *, plates_only: bool) -> NDArray[np.bool_]:
    """Cut what lies in a box of the layout out of the raster, by the transform that the file itself has."""
    a, _, _, d, across, down = _matrix(fromstring(text))
    x, y, width, height = box
    xs, ys = sorted((a * x + across, a * (x + width) + across)), sorted((d * y + down, d * (y + height) + down))
    image = _raster(text, plates_only=plates_only)
    rows, columns = round(height * DPI), round(width * DPI)
    top, left = round(ys[0] * DPI), round(xs[0] * DPI)
    return image[top : top + rows, left : left + columns] < 245


def _placement_of(flat: Flat, words: str) -> tuple[int, tuple[float, ...]]:
    for number, placement in enumerate(flat.placements, start=1):
        if words in placement.plate:
            return number, placement.blank
    raise AssertionError(words)


@pytest.mark.parametrize(("number", "words"), [(1, "poster F"), (2, "Label F")])
def test_an_f_is_an_f_for_the_stripper_and_a_mirrored_f_on_the_metal(
    plan: Plan, files: dict[str, str], number: int, words: str
) -> None:
    _, box = _placement_of(plan.flats[number - 1], words)
    right = _crop(files[f"flat-0{number}-stripper.svg"], box, plates_only=True)
    wrong = _crop(files[f"flat-0{number}-metal.svg"], box, plates_only=True)
    assert right.shape == wrong.shape
    assert np.mean(right != np.fliplr(wrong)) < 0.02
    assert np.mean(right != wrong) > 0.1
    assert np.mean(right != np.flipud(right)) > 0.1
    # The arms of an F that reads right are on the right and its longer one on top.
    ink = right[12:-12, 12:-12]
    rows, columns = ink.shape
    stem, arms = ink[:, : columns // 3], ink[:, columns // 2 :]
    assert stem.sum() > arms.sum()
    assert arms[: rows // 2].sum() > 3 * arms[rows // 2 :].sum()


def test_the_full_sheets_show_the_same(plan: Plan, files: dict[str, str]) -> None:
    _, box = _placement_of(plan.flats[0], "poster F")
    right = _crop(files["flat-01-stripper.svg"], box, plates_only=False)
    wrong = _crop(files["flat-01-metal.svg"], box, plates_only=False)
    assert np.mean(right != np.fliplr(wrong)) < 0.06


@pytest.mark.parametrize("number", [1, 2])
def test_each_placement_stands_once_in_each_view_and_the_views_agree(
    plan: Plan, files: dict[str, str], number: int
) -> None:
    flat = plan.flats[number - 1]
    found = {}
    for kind in ("stripper", "metal"):
        root = fromstring(files[f"flat-0{number}-{kind}.svg"])
        groups = [group for group in root.iter(f"{SVG}g") if (group.get("id") or "").startswith("plate-")]
        assert [group.get("id") for group in groups] == [
            f"plate-{place}" for place in range(1, len(flat.placements) + 1)
        ]
        assert [group.get("data-plate") for group in groups] == [placement.plate for placement in flat.placements]
        found[kind] = [{path.get("data-kind"): path.get("d") for path in group.iter(f"{SVG}path")} for group in groups]
        assert all("outline" in paths and "printing" in paths for paths in found[kind])
        matrix = _matrix(root)
        assert matrix[:4] == ((1, 0, 0, -1) if kind == "stripper" else (-1, 0, 0, -1))
    assert found["stripper"] == found["metal"]


def test_outlines_are_where_the_plan_has_them(plan: Plan, files: dict[str, str]) -> None:
    root = fromstring(files["flat-01-metal.svg"])
    for number, placement in enumerate(plan.flats[0].placements, start=1):
        group = next(group for group in root.iter(f"{SVG}g") if group.get("id") == f"plate-{number}")
        path = next(path for path in group.iter(f"{SVG}path") if path.get("data-kind") == "outline")
        values = [float(value) for value in re.findall(NUMBER, path.get("d", ""))]
        wanted = [value for polygon in placement.outline for ring in polygon for point in ring for value in point]
        assert values == pytest.approx(wanted, abs=6e-6)


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_view_there_and_back(mirrored: bool) -> None:
    view = View(mirrored, 1, 2, 24, 36)
    assert view.box_in_layout(view.box_on_page((3, 4, 5, 6))) == pytest.approx((3, 4, 5, 6))
    assert view.on_page(0, 0) == ((25, 38) if mirrored else (1, 38))
    assert view.from_left(4) == (20 if mirrored else 4)

"""The shear sheet: one picture for each cut, with the gauge it is set to, and what becomes of both parts."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring

from planner.lengths import fraction_text, size_text
from planner.plan import Flat, OffcutRecord, Plan, StepRecord
from planner.sheets.additions import people_on_metal
from planner.sheets.desk import LONGEST_NAME, Desk
from planner.sheets.metal import metal_sheet
from planner.sheets.shear import shear_sheet
from planner.sheets.text import cut_within

SVG = "{http://www.w3.org/2000/svg}"


def _pictures(text: str) -> list[Element]:
    return [group for group in fromstring(text).iter(f"{SVG}g") if group.get("data-picture")]


def _words(group: Element) -> list[str]:
    return [element.text or "" for element in group.iter(f"{SVG}text")]


@pytest.mark.parametrize("number", [1, 2])
def test_every_cut_has_a_picture_with_its_gauge(plan: Plan, files: dict[str, str], number: int) -> None:
    flat = plan.flats[number - 1]
    pictures = _pictures(files[f"flat-0{number}-shear.svg"])
    cuts = sorted((part for part in flat.cut_tree if part.cut), key=lambda part: part.number or 0)
    assert [picture.get("data-picture") for picture in pictures] == [str(part.number) for part in cuts]
    for part, picture in zip(cuts, pictures, strict=True):
        upright = part.cut == "vertical"
        # The part that lies at the gauge: on the metal left and right are exchanged.
        near = part.high if upright else part.low
        assert near is not None
        gauge = fraction_text(flat.cut_tree[near].box[2 if upright else 3])
        words = _words(picture)
        assert words[:2] == [str(part.number), f"{'V' if upright else 'H'} {gauge}"]
        assert words[2] == "whole sheet" or re.fullmatch(r"from cut \d+", words[2])
        assert words[3] == size_text(*part.box[2:])


def test_the_parts_of_a_cut_are_told_as_what_they_become(plan: Plan, files: dict[str, str]) -> None:
    told: dict[str, set[str]] = {}
    for picture in _pictures(files["flat-01-shear.svg"]):
        for element in picture.iter(f"{SVG}text"):
            if element.get("data-becomes"):
                told.setdefault(picture.get("data-picture", ""), set()).add(element.get("data-becomes", ""))
    flat = plan.flats[0]
    tree = flat.cut_tree
    plates = {placement.plate: number for number, placement in enumerate(flat.placements, start=1)}
    assert len(told) > flat.cuts / 2
    for part in tree:
        if part.number is None:
            continue
        known = set()
        for place in (part.low, part.high):
            other = tree[place or 0]
            if other.number is not None:
                known.add(f"\u2192 {other.number}")
            elif other.plate is not None:
                known.add(f"plate {plates[other.plate]}")
            else:
                known.add("OFFCUT" if other.use == "offcut" else other.use or "")
        assert told.get(str(part.number), set()) <= known


def _share(picture: Element) -> tuple[float, float]:
    """How wide and high the shaded part is, as a share of its piece."""
    piece, near = list(picture.iter(f"{SVG}path"))[1:3]
    (x, y, right, low), (left, top, end, foot) = (
        [float(value) for value in re.findall(r"-?[0-9.]+", path.get("d", ""))[:4]] for path in (piece, near)
    )
    return (end - left) / (right - x), (foot - top) / (low - y)


def test_the_shaded_part_is_in_proportion(plan: Plan, files: dict[str, str]) -> None:
    flat = plan.flats[0]
    cuts = sorted((part for part in flat.cut_tree if part.cut), key=lambda part: part.number or 0)
    for part, picture in zip(cuts, _pictures(files["flat-01-shear.svg"]), strict=True):
        upright = part.cut == "vertical"
        near = flat.cut_tree[(part.high if upright else part.low) or 0].box
        wanted = (near[2] / part.box[2], 1.0) if upright else (1.0, near[3] / part.box[3])
        assert _share(picture) == pytest.approx(wanted, abs=1e-3)


def test_a_large_sheet_is_drawn_at_half_size_and_says_so(plan: Plan, files: dict[str, str]) -> None:
    def drawn(flat: Flat) -> float:
        root = fromstring(files[f"flat-0{flat.number}-shear.svg"])
        work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work")
        scale = -float(re.findall(r"-?[0-9.]+", work.get("transform", ""))[0])
        said = " ".join(element.text or "" for element in root.iter(f"{SVG}text") if element.get("data-list") == "use")
        assert ("at half size" in said) == (scale == 0.5)
        assert ("at true size" in said) == (scale == 1.0)
        return scale

    scales = {drawn(flat) for flat in plan.flats}
    assert scales <= {0.5, 1.0}
    assert 0.5 in scales


def test_the_shear_hand_reads_his_steps_there(plan: Plan) -> None:
    step = StepRecord(rule="r", who="shear hand", words="Keep strips dry.", plates=())
    flats = (plan.flats[0].model_copy(update={"steps": (step,)}), *plan.flats[1:])
    day = plan.model_copy(update={"flats": flats})
    assert "Keep strips dry." in shear_sheet(day, flats[0])
    assert "Keep strips dry." in metal_sheet(day, flats[0], people_on_metal(False, False))
    assert "Keep strips dry." not in shear_sheet(day, flats[1])


def _named(plan: Plan, name: str) -> tuple[Plan, OffcutRecord]:
    """The plan with one offcut of its first flat to be kept under a name."""
    tree = plan.flats[0].cut_tree
    place = next(place for place, part in enumerate(tree) if part.use == "offcut")
    cut = next(part.number for part in tree if place in (part.low, part.high))
    offcut = OffcutRecord(name=name, flat=1, box=tree[place].box, after_cut=cut)
    return plan.model_copy(update={"offcuts": (offcut,)}), offcut


@pytest.mark.parametrize("name", ["tuesday-1a", "<script>alert(1)</script>", "x" * 400])
def test_an_offcut_that_is_kept_is_named_where_it_lies_and_in_the_list(plan: Plan, name: str) -> None:
    day, offcut = _named(plan, name)
    told = cut_within(name, LONGEST_NAME)
    for text in (shear_sheet(day, day.flats[0]), metal_sheet(day, day.flats[0], people_on_metal(False, False))):
        root = fromstring(text)
        texts = list(root.iter(f"{SVG}text"))
        assert told in [one.text for one in texts if one.get("data-label") == "offcut"]
        listed = [one.text for one in texts if one.get("data-list") == "offcuts"]
        # A name that is too long for its column goes on below.
        assert "".join(one or "" for one in listed).endswith(
            f"{told}{size_text(*offcut.box[2:])}after cut {offcut.after_cut}"
        )


def test_only_the_offcut_at_its_place_on_its_flat_bears_a_name(plan: Plan) -> None:
    day, offcut = _named(plan, "tuesday-1a")
    x, y, width, height = offcut.box
    assert Desk(day, day.flats[0]).offcut_name(offcut.box) == "tuesday-1a"
    assert Desk(day, day.flats[0]).offcut_name((x, y, width - 1 / 64, height)) == ""
    assert Desk(day, day.flats[1]).offcut_name(offcut.box) == ""
    assert "OFFCUTS TO KEEP" not in shear_sheet(day, day.flats[1])


def test_the_cautions_are_those_of_the_shear(plan: Plan) -> None:
    texts = [
        " ".join(one.text or "" for one in fromstring(shear_sheet(plan, flat)).iter(f"{SVG}text")
                 if one.get("data-list") == "cautions")
        for flat in plan.flats
    ]  # fmt: skip
    for text in texts:
        assert "hold-downs in place" in text
        assert "spindle" not in text
    assert ["NEVER put water" in text for text in texts] == [flat.sheet.metal == "magnesium" for flat in plan.flats]

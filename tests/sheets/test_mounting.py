"""The mounting list: every plate once under its way of mounting, blocks, edges, and nail spots as the metal is seen."""

from __future__ import annotations

from defusedxml.ElementTree import fromstring

from planner.plan import Allowance, Plan
from planner.sheets.folder import sheet_files
from planner.sheets.mounting import mounting_sheet

SVG = "{http://www.w3.org/2000/svg}"


def _words(text: str, block: str) -> str:
    found = [one.text or "" for one in fromstring(text).iter(f"{SVG}text") if one.get("data-list") == block]
    return " ".join(found)


def _blocks(text: str) -> list[str]:
    groups = [group.get("id") or "" for group in fromstring(text).iter(f"{SVG}g")]
    return [name.removeprefix("list-") for name in groups if name.startswith("list-mounting-")]


def test_every_plate_is_listed_once_under_its_mounting(plan: Plan, files: dict[str, str]) -> None:
    text = files["mounting.svg"]
    mountings = dict.fromkeys(plate.mounting for plate in plan.plates)
    assert len(_blocks(text)) == len(mountings)
    told = " ".join(_words(text, block) for block in _blocks(text))
    for flat in plan.flats:
        for number in range(1, len(flat.placements) + 1):
            assert told.count(f"{flat.number}, {number} ") >= 1


def test_blocks_and_edges_are_told(plan: Plan) -> None:
    even = Allowance(kind="flange", left=0.125, right=0.125, bottom=0.125, top=0.125, rule="r", reason="")
    uneven = Allowance(kind="shoulder", left=0.0625, right=0.0, bottom=0.0, top=0.0, rule="r", reason="")
    trim = Allowance(kind="trim", left=0.3125, right=0.3125, bottom=0.3125, top=0.3125, rule="r", reason="")
    more = {"block": 0.854, "on_block": "pair", "allowances": (even, uneven, trim), "mounting": "flush"}
    first = plan.plates[0].model_copy(update=more)
    lone = plan.model_copy(
        update={"plates": (first, *(one.model_copy(update={"block": None}) for one in plan.plates[1:]))}
    )
    text = mounting_sheet(lone)
    told = " ".join(_words(text, block) for block in _blocks(text))
    assert "0.854 in, shared: pair" in told
    assert "flange 1/8 in; shoulder left 1/16 in, as it reads" in told
    assert "5/16" not in told
    assert told.count("none") >= len(plan.plates) - 1


def test_nail_spots_are_told_from_the_left_as_the_metal_is_seen(routed: Plan) -> None:
    record = next(one for one in routed.router if one.nails)
    x, y = 0.5, 0.25
    router = tuple(
        one.model_copy(update={"nails": ((x, y),)}) if one is record else one.model_copy(update={"nails": ()})
        for one in routed.router
    )
    text = mounting_sheet(routed.model_copy(update={"router": router}))
    plate = next(one for one in routed.plates if one.id == record.plates[0])
    from planner.lengths import fraction_text

    told = " ".join(_words(text, block) for block in _blocks(text))
    assert f"1 nail spot: L {fraction_text(plate.width - x)} B 1/4" in told
    assert "Nailing: eye protection" in _words(text, "cautions")


def test_a_day_without_flats_has_no_mounting_list(plan: Plan) -> None:
    assert set(sheet_files(plan.model_copy(update={"flats": ()}))) == {"key.svg"}

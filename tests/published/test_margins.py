"""Flange, gauge, bleed and fit against books of the trade."""

from __future__ import annotations

from typing import Any

import pytest

from planner.blanks import Blank, blanks_for
from planner.flats import Search
from planner.lengths import parse_length
from planner.planning import make_plan
from planner.rules import load_rules

from .shop import DEFAULTS, house_with, orders_for, plate_from

TIGHT: dict[str, Any] = {"film": {"safe_edge": "0 in"}, "cutting": {"trim": "0 in", "gap": "0 in"}}
"""Nothing asks for metal round a plate but the rules."""


def test_flange_is_as_wide_as_wilkinson_leaves_for_the_nails() -> None:
    """About 3 mm of metal round the image for nailing.

    Source: W. T. Wilkinson, Photo-engraving, Photo-etching and Photo-lithography, American edition, about 1890, p. 92.
    The trade's eighth of an inch lies within a hundredth of it.
    """
    house = house_with()
    plate = plate_from({"size": "4 x 5 in"}, house)
    blank = blanks_for([plate], load_rules(house, DEFAULTS), house)[plate.id]
    (flange,) = [allowance for allowance in blank.allowances if allowance.kind == "flange"]
    assert {flange.left, flange.right, flange.bottom, flange.top} == {flange.left}
    assert flange.left == pytest.approx(parse_length("3 mm"), abs=0.01)


def test_blank_grows_by_wilkinsons_flange_on_every_side() -> None:
    """A 4 x 5 in halftone with 3 mm all round for nails takes 4.236 x 5.236 in, to the next 1/1024 in.

    Source: Wilkinson, Photo-engraving, about 1890, p. 92, for the 3 mm.
    """
    house = house_with(**TIGHT, rules={"square-bevel": {"flange": "3 mm", "shoulder": "0 in"}})
    rules = load_rules(house, DEFAULTS)
    bevelled = _only(blanks_for([plate_from({"size": "4 x 5 in"}, house)], rules, house))
    bare = _only(blanks_for([plate_from({"size": "4 x 5 in", "mounting": "unmounted"}, house)], rules, house))
    assert bare.box == (0.0, 0.0, 4.0, 5.0)
    grown = 6 / 25.4
    assert bevelled.box[2] - 4 == pytest.approx(grown, abs=1 / 1024)
    assert bevelled.box[3] - 5 == pytest.approx(grown, abs=1 / 1024)
    assert min(bevelled.box[2] - 4, bevelled.box[3] - 5) >= grown - 1e-9
    assert bevelled.flange.area == pytest.approx((4 + grown) * (5 + grown) - 20, abs=1e-6)


def test_zinc_is_as_thick_as_gill_says() -> None:
    """About 1/16 in; sixteen gauge by the British standard wire gauge is 0.064 in.

    Sources: Emlyn M. Gill, "Half-tone, Line and Color Plates", in F. H. Hitchcock (ed.), The Building of a Book,
    1906, p. 164 ff.; GNU Units, definitions.units 3.22, "brwiregauge". Sixteen of the American wire gauge is thinner,
    0.005 x 92 ^ ((36 - 16) / 39) = 0.0508 in (ASTM B 258), and must not be what the house takes.
    """
    house = house_with()
    gauge = plate_from({"size": "4 x 5 in", "metal": "zinc"}, house).gauge
    assert gauge == pytest.approx(1 / 16, abs=0.003)
    assert gauge == pytest.approx(0.064, abs=1e-9)
    assert gauge - 0.005 * 92 ** (20 / 39) > 0.01
    assert {sheet.gauge for sheet in house.sheets if sheet.metal == "zinc"} == {gauge}


def test_letter_page_that_bleeds_on_four_sides() -> None:
    """8 1/2 x 11 in with an eighth beyond the trim on every side is 8 3/4 x 11 1/4 in. Source: common practice."""
    plate = plate_from({"size": "8 1/2 x 11 in", "bleed": "1/8 in", "mounting": "flush"})
    assert plate.face.bounds == (-0.125, -0.125, 8.625, 11.125)
    assert plate.face.area == pytest.approx(8.75 * 11.25, abs=1e-9)
    assert plate.printing.area == pytest.approx(8.75 * 11.25, abs=1e-9)
    named = plate_from(
        {"size": "8 1/2 x 11 in", "bleed": ["left", "right", "bottom", "top"], "mounting": "flush"},
    )
    assert named.face.equals(plate.face), "the house's own bleed is the eighth that is common"


BOOK_TRIM = {"top": "1/8 in", "right": "1/8 in", "bottom": "1/4 in"}


def test_book_page_bleeds_further_at_the_foot() -> None:
    """A page of 5 3/8 x 7 7/8 in trimmed 1/8 in at head and fore-edge and 1/4 in at the foot.

    Source: F. H. Hitchcock (ed.), The Building of a Book, 1906, on presswork and binding: the trims and the page.
    """
    house = house_with(**TIGHT)
    plate = plate_from({"size": "5 3/8 x 7 7/8 in", "bleed": BOOK_TRIM, "mounting": "unmounted"}, house)
    assert plate.face.bounds == (0.0, -0.25, 5.5, 8.0)
    assert plate.face.area == pytest.approx(5.5 * 8.25, abs=1e-9)
    blank = blanks_for([plate], load_rules(house, DEFAULTS), house)[plate.id]
    assert blank.box == (0.0, -0.25, 5.5, 8.25)


@pytest.mark.parametrize(("width", "flats"), [("44 in", 1), ("43 63/64 in", 2)])
def test_eight_leaves_across_need_forty_four_inches(width: str, flats: int) -> None:
    """Eight leaves of 5 3/8 in with 1/8 in to trim lie side by side on 44 in.

    Source: Hitchcock, The Building of a Book, 1906, the reckoning of a press sheet.
    """
    house = house_with(
        **TIGHT,
        glass={"size": "60 x 60 in", "grip": "0 in"},
        sheets=[{"metal": "copper", "size": f"{width} x 8 1/4 in"}],
    )
    page = {"name": "page", "size": "5 3/8 x 7 7/8 in", "metal": "copper", "quantity": 8, "may_turn": False}
    orders = orders_for({**page, "bleed": BOOK_TRIM, "mounting": "unmounted"})
    plan = make_plan(orders, house, load_rules(house, DEFAULTS), Search(iterations=20))
    assert not plan.held
    assert len(plan.flats) == flats
    if flats == 1:
        assert sorted(placement.blank[0] for placement in plan.flats[0].placements) == [5.5 * n for n in range(8)]


# What the usual house wants round a bevelled plate: 1/32 shoulder, 1/8 flange, 1/16 trim, and 1/4 in for the film's
# edge, which is the widest reach. So a plate takes half an inch more than its size, each way.
ROUND = 0.5


@pytest.mark.parametrize(
    ("kind", "width", "height"),
    [
        ("octavo plate", 4.375, 7.5),
        ("quarto plate", 6.0, 9.0),
        ("folio plate", 15.0, 17.5),
        ("quarto text figure", 6.0, 8.5),
        ("folio text figure", 13.8125, 17.875),
    ],
)
@pytest.mark.parametrize("lacking", [0.0, 1 / 64])
def test_page_limits_fit_a_sheet_with_their_allowances(kind: str, width: float, height: float, lacking: float) -> None:
    """The largest illustrations of the Survey's three page sizes, each on the smallest sheet that can hold it.

    Source: John L. Ridgway, The Preparation of Illustrations for Reports of the U.S. Geological Survey, Government
    Printing Office, 1920, pp. 11-12.
    """
    sheet = f"{width + ROUND + 1 - lacking} x {height + ROUND + 1} in"
    house = house_with(sheets=[{"metal": "copper", "size": sheet}])
    orders = orders_for({"name": kind, "size": f"{width} x {height} in", "metal": "copper", "screen": 120})
    plan = make_plan(orders, house, load_rules(house, DEFAULTS), Search(iterations=0))
    if lacking:
        assert not plan.flats
        assert [held.code for held in plan.held] == ["too-large"]
    else:
        assert not plan.held
        (placement,) = plan.flats[0].placements
        assert placement.blank == (0.5, 0.5, width + ROUND, height + ROUND)


def test_sixteen_octavo_plates_lie_on_a_large_sheet() -> None:
    """Sixteen plates of 4 3/8 x 7 1/2 in lie on 24 x 36 in in four rows, so one flat must do.

    Source: Ridgway, Preparation of Illustrations, 1920, p. 11, for the plate. By hand: inside half an inch of grip
    are 23 x 35 in; four blanks of 4 7/8 in and three gaps of 1/8 in take 19 7/8 in, four of 8 in take 32 3/8 in.
    """
    house = house_with(sheets=[{"metal": "copper", "size": "24 x 36 in"}])
    orders = orders_for({"name": "octavo", "size": "4 3/8 x 7 1/2 in", "metal": "copper", "quantity": 16})
    plan = make_plan(orders, house, load_rules(house, DEFAULTS), Search(iterations=50))
    assert not plan.held
    assert len(plan.flats) == 1
    assert len(plan.flats[0].placements) == 16


def _only(blanks: dict[str, Blank]) -> Blank:
    (blank,) = blanks.values()
    return blank

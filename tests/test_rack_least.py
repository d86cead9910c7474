"""The least size to keep, for each metal its own: in the plan, its ledger, its rack and its proof."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from planner import nesting
from planner.estimate.account import account_of
from planner.estimate.sums import by_flat
from planner.forms import InputError
from planner.house import house_from
from planner.house_text import house_text
from planner.offcuts import offcuts_of
from planner.plan import Plan
from planner.proof import prove
from planner.rules import load_rules

from .days import a_day, a_house, planned, rules_of

SHEETS = [{"metal": metal, "size": "12 x 12 in", "price": 9} for metal in ("copper", "zinc")]
PLATES = [{"name": metal, "size": "4 x 5 in", "metal": metal} for metal in ("copper", "zinc")]


def kept(plan: Plan) -> dict[str, int]:
    return {flat.sheet.metal: len(list(offcuts_of(flat))) for flat in plan.flats}


@pytest.mark.parametrize("cutting", [{}, {"how": "saw"}], ids=["shear", "saw"])
@pytest.mark.parametrize(
    ("flats", "metals"),
    [
        ({"least_offcut": "5 x 9 in"}, {"copper", "zinc"}),
        ({"least_offcut": "11 x 11 in", "least_of": {"copper": "9 x 5 in"}}, {"copper"}),
        ({"least_offcut": "5 x 9 in", "least_of": {"copper": "11 x 11 in"}}, {"zinc"}),
        ({"least_of": {"copper": "11 x 11 in", "zinc": "11 x 11 in"}}, set()),
    ],
)
def test_each_metal_keeps_what_is_large_enough_of_it(
    cutting: dict[str, str], flats: dict[str, Any], metals: set[str]
) -> None:
    house = a_house(sheets=SHEETS, flats=flats, cutting=cutting)
    plan = planned(a_day(*PLATES), house, iterations=5)
    assert {metal for metal, count in kept(plan).items() if count} == metals
    sums = by_flat(account_of(plan, house).lines)
    for flat in plan.flats:
        assert (sums[flat.number].areas["offcut"] > 0) == (flat.sheet.metal in metals)
    assert prove(plan).clean
    # The proof looks at each metal's own size, too.
    other = plan.settings.model_copy(update={"least_offcut": (1.0, 1.0), "least_offcut_of": {}})
    assert not prove(plan.model_copy(update={"settings": other})).clean


def test_the_house_file_says_it_and_reads_it_back() -> None:
    house = a_house(flats={"least_offcut": "5 x 9 in", "least_of": {"copper": "4 x 6 in"}})
    assert house.flats.least_offcut_of("copper") == (4.0, 6.0)
    assert house.flats.least_offcut_of("zinc") == house.flats.least_offcut_of("magnesium") == (5.0, 9.0)
    text = house_text(house, rules_of(house))
    assert "[flats.least_of]" in text
    again = house_from(tomllib.loads(text), "house.toml")
    assert again.flats == house.flats
    assert house_text(again, load_rules(again, "house.toml")) == text
    for wrong in ({"brass": "4 x 6 in"}, {"copper": "-4 x 6 in"}, {"copper": 4}):
        with pytest.raises(InputError, match="least_of"):
            a_house(flats={"least_of": wrong})


def test_the_search_makes_the_largest_piece_of_a_material_by_its_own_size() -> None:
    pieces = [nesting.Piece(f"p{number}", 40 + 7 * number, 30, True, "copper 0.064") for number in range(5)]
    stocks = (nesting.Stock("s", 200, 150, None, 1.0, "copper 0.064"),)
    same = nesting.solve(pieces, stocks, nesting.Options(iterations=30, keep=(50, 60)))
    own = nesting.solve(
        pieces, stocks, nesting.Options(iterations=30, keep=(300, 300), keep_of=(("copper 0.064", (50, 60)),))
    )
    assert own.layouts == same.layouts

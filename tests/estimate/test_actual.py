"""After the work: every cause by hand, and the causes add up to the difference."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.estimate.account import account_of
from planner.estimate.actual import CAUSES, actual_from, outcome_of, with_own_sign
from planner.estimate.sums import by_plate, sum_of
from planner.estimate.telling_actual import outcome_lines, outcome_table
from planner.forms import InputError
from planner.house import House
from planner.plan import Plan

from ..days import a_house, planned

D = Decimal

HOUSE = a_house(
    sheets=[
        {"name": "large", "metal": "zinc", "size": "18 x 24 in", "price": "11.80"},
        {"name": "thick", "metal": "zinc", "size": "18 x 24 in", "gauge": "0.153 in", "price": 24},
    ],
    prices={"flat": 2, "scrap": {"zinc": "0.30"}, "chips": {"zinc": "0.20"}},
)
PLAN = planned(
    {"jobs": [{"number": "7", "plates": [{"name": "Map", "quantity": 2, "size": "8 x 10 in", "metal": "zinc"}]}]}, HOUSE
)


def outcome(plan: Plan = PLAN, house: House = HOUSE, **tables: Any) -> Any:
    return outcome_of(plan, house, actual_from(tables, "actual.toml"), "actual.toml")


def changes(found: Any) -> dict[str, Decimal]:
    return {cause: found.of(cause) for cause in CAUSES if found.of(cause)}


def test_what_goes_as_planned_makes_no_difference() -> None:
    found = outcome(sheets=[{"name": "large", "count": 1}])
    total = sum_of(account_of(PLAN, HOUSE).lines)
    offcuts = sum((line.cost for line in found.account.lines if line.item == "offcut"), D(0))
    assert found.planned == found.actual == total.net - offcuts
    assert found.differences == ()


def test_each_cause_by_hand() -> None:
    """Three sheets instead of one: one spoiled before it was made up, one for a plate made again, and none beyond."""
    found = outcome(
        sheets=[{"name": "large", "count": 3}],
        spoiled=[{"sheet": "large", "cause": "bent in the rack", "made_up": False}],
        remade=[{"plate": "7/Map/1", "cause": "nicked", "sheet": "large"}],
    )
    assert changes(found) == {"spoiled sheets": D("11.80"), "plates made again": D("13.80")}
    more = outcome(sheets=[{"name": "large", "count": 3}, {"name": "thick", "count": 1}])
    assert changes(more) == {"more or fewer sheets": 2 * D("13.80") + 26}
    fewer = outcome(sheets=[{"name": "large", "count": 0}])
    assert changes(fewer) == {"more or fewer sheets": D("-13.80")}
    again = outcome(remade=[{"plate": "7/Map/2", "cause": "nicked"}])
    assert changes(again) == {"plates made again": by_plate(again.account.lines)["7/Map/2"].cost}
    dearer = outcome(sheets=[{"name": "large", "count": 2, "price": 13}])
    assert changes(dearer) == {"more or fewer sheets": D("13.80") + 2 * D("1.20")}


def test_spoiled_sheets_of_a_kind_that_is_not_counted_came_on_top() -> None:
    found = outcome(spoiled=[{"sheet": "large", "count": 2, "cause": "pitted"}])
    (sheet,) = found.sheets
    assert (sheet.planned, sheet.used, sheet.spoiled) == (1, 3, 2)
    assert changes(found) == {"spoiled sheets": 2 * D("13.80")}


def test_weights_sold() -> None:
    total = sum_of(account_of(PLAN, HOUSE).lines)
    found = outcome(
        sold=[{"metal": "zinc", "pounds": 10}, {"metal": "zinc", "kind": "chips", "pounds": 1, "paid": "0.15"}]
    )
    assert changes(found) == {"weights sold": total.credit - 3 - D("0.15")}
    assert f"zinc scrap: 10 lb sold, {total.scrap} lb planned" in "\n".join(outcome_lines(found))


@settings(max_examples=30, deadline=None)
@given(
    st.integers(4, 9), st.integers(0, 2), st.integers(0, 2), st.booleans(), st.decimals(0, 50, places=2),
    st.sampled_from([None, "0.55"]),
)  # fmt: skip
def test_causes_add_up_to_the_difference(
    used: int, spoiled: int, again: int, offcut: bool, pounds: Decimal, paid: str | None
) -> None:
    found = outcome(
        sheets=[{"name": "large", "count": used}],
        spoiled=[{"sheet": "large", "count": spoiled, "cause": "pitted"}],
        remade=[
            {"plate": "7/Map/1", "cause": "nicked", "sheet": "large", "sheets": again},
            *([{"plate": "7/Map/2", "cause": "nicked"}] if offcut else []),
        ],
        sold=[{"metal": "zinc", "pounds": str(pounds), **({"paid": paid} if paid else {})}],
    )
    table = outcome_table(found)
    assert D(table["difference"]) == sum(D(one["money"]) for one in table["differences"])
    assert D(table["difference"]) == sum(D(money) for money in table["causes"].values())
    # Another way to the same: every sheet but the planned one costs 13.80, and scrap brought what it brought.
    scrap = sum((line.credit for line in found.account.lines if line.scrap), D(0))
    brought = D(paid) if paid else (pounds * D("0.30")).quantize(D("0.01"), "ROUND_HALF_UP")
    own = by_plate(found.account.lines)["7/Map/2"].cost or D(0)
    assert found.actual == found.planned + (used - 1) * D("13.80") + (own if offcut else 0) + scrap - brought


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        ({}, "says nothing; name the sheets that were used"),
        ({"sheets": [{"name": "large", "count": -1}]}, 'entry 1 of [[sheets]], key "count": must be 0 or more, not -1'),
        (
            {"sheets": [{"name": "lage", "count": 1}]},
            '"lage" is no sheet of the plan or the house; did you mean "large"?',
        ),
        ({"sheets": [{"name": "xyz", "count": 1}]}, "is no sheet of the plan or the house; give its price"),
        ({"sheets": [{"name": "large", "count": 1}] * 2}, 'counts "large" twice'),
        ({"sold": [{"metal": "zinc", "pounds": 1}] * 2}, "weighs zinc scrap twice; add it up"),
        ({"sold": [{"metal": "zink", "pounds": 1}]}, 'did you mean "zinc"?'),
        ({"sold": [{"metal": "zinc", "pounds": -1}]}, "-1 is no weight in pounds; write a number from 0 to 10000"),
        (
            {"remade": [{"plate": "7/Mop/1", "cause": "x"}]},
            '"7/Mop/1" is no plate of the plan; did you mean "7/Map/1"?',
        ),
        ({"spoiled": [{"sheet": "large"}]}, 'entry 1 of [[spoiled]], key "cause": is missing'),
        (
            {"sheets": [{"name": "large", "count": 1}], "spoiled": [{"sheet": "large", "count": 2, "cause": "x"}]},
            "2 were spoiled or cut for plates made again, but only 1 were used",
        ),
    ],
)
def test_a_wrong_file_is_refused_with_one_sentence(tables: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError) as refusal:
        outcome(**tables)
    (line,) = str(refusal.value).splitlines()
    assert line.startswith("actual.toml: ")
    assert says in line


def test_amounts_are_in_the_houses_currency() -> None:
    plain = with_own_sign({"sheets": [{"name": "x", "count": 1, "price": "$ 3"}]}, "$", "actual.toml")
    assert plain["sheets"][0]["price"] == "3"
    for tables in ({"currency": "EUR"}, {"sold": [{"metal": "zinc", "pounds": 1, "paid": "3 EUR"}]}):
        with pytest.raises(InputError, match=r"EUR, and the house counts in \$"):
            with_own_sign(tables, "$", "actual.toml")


def test_a_held_plate_cannot_be_made_again() -> None:
    plates = [
        {"name": "Big", "size": "40 x 40 in", "metal": "zinc"},
        {"name": "Map", "size": "3 x 3 in", "metal": "zinc"},
    ]
    plan = planned({"jobs": [{"number": "7", "plates": plates}]}, HOUSE)
    with pytest.raises(InputError, match='"7/Big" is on no flat of the plan'):
        outcome(plan, remade=[{"plate": "7/Big", "cause": "x"}])


def test_a_sheet_without_a_price_is_counted_only() -> None:
    shop = a_house(sheets=[{"name": "large", "metal": "zinc", "size": "18 x 24 in"}])
    day = {"jobs": [{"number": "7", "plates": [{"name": "A", "size": "3 x 3 in", "metal": "zinc"}]}]}
    found = outcome(planned(day, shop), shop, sheets=[{"name": "large", "count": 3}])
    assert (found.planned, found.actual) == (0, 0)
    assert "Not priced, so counted but in no money: large." in found.notes
    assert "2 more of large: no difference in money" in "\n".join(outcome_lines(found))

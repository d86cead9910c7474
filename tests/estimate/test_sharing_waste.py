"""Whose waste it is: small flats worked by hand, sums to the cent, and the promise of never more than alone."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.estimate.account import account_of
from planner.estimate.sharing_waste import FlatShare, JobShare, all_shares, never_more_than_alone, shares_of
from planner.forms import InputError
from planner.house import House
from planner.plan import Plan
from planner.prices import METHODS

from ..days import a_house, planned

D = Decimal


def house(**sharing: Any) -> House:
    """A shop without margins: a plate's blank is the plate, and a sheet is 10 x 10 in at 10.00."""
    return a_house(
        sheets=[{"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 10}],
        glass={"grip": "0 in"}, cutting={"gap": "0 in", "trim": "0 in"}, film={"safe_edge": "0 in"},
        flats={"least_offcut": "10 x 10 in"}, prices={"sharing": sharing},
    )  # fmt: skip


def day(*sizes: str) -> dict[str, Any]:
    return {"jobs": [
        {"number": str(job), "plates": [{"name": "A", "size": size, "metal": "zinc", "mounting": "unmounted"}]}
        for job, size in enumerate(sizes, 1)
    ]}  # fmt: skip


def shared(plan: Plan, shop: House) -> dict[str, FlatShare]:
    found = all_shares(account_of(plan, shop), plan, shop, METHODS)
    return {method: flats[0] for method, flats in found.items()}


def bills(share: FlatShare) -> list[Decimal]:
    return [one.bill for one in sorted(share.jobs, key=lambda one: one.job)]


def test_two_jobs_on_one_sheet_by_hand() -> None:
    """6 x 10 and 2 x 10 in: their metal is 6.00 and 2.00, and 2.00 are wasted.

    By area 3 : 1, so 1.50 and 0.50. Alone each takes a whole sheet: it would waste 4.00 and 8.00, so 1 : 2, that is
    0.67 and 1.33. By arrival: the first pays 10.00, the second nothing more: 5.00 each, on average.
    """
    plan = planned(day("6 x 10 in", "2 x 10 in"), house())
    found = shared(plan, house())
    assert bills(found["area"]) == [D("7.50"), D("2.50")]
    assert bills(found["alone"]) == [D("6.67"), D("3.33")]
    assert bills(found["marginal"]) == [D("5.00"), D("5.00")]
    assert [one.alone for one in found["alone"].jobs] == [D(10), D(10)]
    assert {share.bill for share in found.values()} == {D(10)}


def test_a_cheaper_sheet_of_its_own_counts() -> None:
    """With a 2 x 10 in sheet at 3.00 in the shop the small job alone costs 3.00: orders give (10+7)/2 and (0+3)/2."""
    sheets = [
        {"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 10},
        {"name": "strip", "metal": "zinc", "size": "2 x 10 in", "price": 3},
    ]
    plan = planned(day("6 x 10 in", "2 x 10 in"), house())
    shop = house().model_copy(update={"sheets": a_house(sheets=sheets, glass={"grip": "0 in"}).sheets})
    found = shared(plan, shop)
    assert bills(found["marginal"]) == [D("8.50"), D("1.50")]
    assert sorted(one.alone or 0 for one in found["marginal"].jobs) == [D(3), D(10)]


def test_three_jobs_by_hand() -> None:
    """5 x 10, 5 x 5 and 5 x 5 in fill the sheet: nothing is wasted, and by arrival the first of three pays it all."""
    plan = planned(day("5 x 10 in", "5 x 5 in", "5 x 5 in"), house())
    found = shared(plan, house())
    assert bills(found["area"]) == bills(found["alone"]) == [D("5.00"), D("2.50"), D("2.50")]
    assert bills(found["marginal"]) == [D("3.34"), D("3.33"), D("3.33")]
    assert [one.waste for one in found["marginal"].jobs if one.job == "1"] == [D("-1.66")]


def test_offcuts_that_go_back_are_the_houses_or_the_jobs() -> None:
    """A 6 x 10 in plate leaves 4 x 10 in. Kept, it is worth 4.00 to the house; else the job pays the whole sheet."""
    tables = {"least_offcut": "4 x 10 in"}
    for offcuts, bill, kept in (("house", D(6), D(4)), ("jobs", D(10), D(0))):
        shop = house(offcuts=offcuts)
        shop = shop.model_copy(update={"flats": a_house(flats=tables).flats})
        found = shared(planned(day("6 x 10 in"), shop), shop)
        for share in found.values():
            assert (share.bill, share.kept) == (bill, kept)


def test_a_cap_gives_the_rest_to_those_with_room() -> None:
    """Bills 8, 5, 2, alone 6, 6, 6: two beyond; room 1 and 4, so 0.40 and 1.60."""
    shares = [JobShare(str(job), D(bill), D(0), D(6)) for job, bill in enumerate((8, 5, 2))]
    capped, says = never_more_than_alone(shares)
    assert [one.bill for one in capped] == [D(6), D("5.40"), D("3.60")]
    assert [one.capped for one in capped] == [True, False, False]
    assert says == ""


def test_a_cap_that_cannot_hold_is_said_and_changes_nothing() -> None:
    shares = [JobShare(str(job), D(4), D(1), D(alone)) for job, alone in enumerate((3, 4))]
    same, says = never_more_than_alone(shares)
    assert same == shares
    assert "cannot hold: the flat takes 10 of its jobs, and on sheets of their own they would pay 7 together" in says
    with pytest.raises(ValueError, match="not known"):
        never_more_than_alone([JobShare("1", D(1), D(0), None)])


@given(st.lists(st.tuples(st.integers(0, 5000), st.integers(-500, 500), st.integers(0, 6000)), min_size=1, max_size=9))
def test_capped_shares_keep_their_sum_and_their_limits(rows: list[tuple[int, int, int]]) -> None:
    shares = [
        JobShare(str(job), D(own) / 100, D(waste) / 100, D(alone) / 100) for job, (own, waste, alone) in enumerate(rows)
    ]
    capped, says = never_more_than_alone(shares)
    assert sum(one.bill for one in capped) == sum(one.bill for one in shares)
    if says:
        assert capped == shares
        assert sum(one.bill for one in shares) > sum(one.alone or 0 for one in shares)
    else:
        assert all(one.alone is not None and one.bill <= one.alone for one in capped)


def test_the_house_can_ask_for_the_cap() -> None:
    """By area the 9 x 5 in job would pay 9/10 of a flat that waits half empty; alone it fits a strip at 4.60."""
    sheets = [
        {"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 10},
        {"name": "strip", "metal": "zinc", "size": "9 x 5 in", "price": "4.60"},
    ]
    plan = planned(day("9 x 5 in", "1 x 5 in"), house())
    strips = a_house(sheets=sheets, glass={"grip": "0 in"}).sheets
    free = shares_of(account_of(plan, house()), plan, house().model_copy(update={"sheets": strips}), "area")
    assert bills(free[0]) == [D("9.00"), D("1.00")]
    shop = house(never_more_than_alone=True).model_copy(update={"sheets": strips})
    (share,) = shares_of(account_of(plan, shop), plan, shop, "area")
    assert share.says.startswith("that no job pays more than alone cannot hold")
    # With the square alone in the shop each would take a whole one: it holds, and nothing changes.
    (share,) = shares_of(account_of(plan, house()), plan, house(never_more_than_alone=True), "area")
    assert (share.says, bills(share)) == ("", [D("9.00"), D("1.00")])


def test_nine_jobs_are_sampled_and_still_add_up() -> None:
    """Whoever comes first takes the sheet; everybody does so equally often, so that nothing is left to luck."""
    shop = house(method="marginal", orders=10)
    plan = planned(day(*["3 x 3 in"] * 9), shop)
    (share,) = shares_of(account_of(plan, shop), plan, shop, "marginal")
    assert (share.orders, share.error) == (36, 0)
    assert bills(share) == [D("1.12"), *[D("1.11")] * 8]


def test_scrap_that_the_flat_brings_is_given_out_with_its_waste() -> None:
    shop = house().model_copy(update={"prices": a_house(prices={"scrap": {"zinc": "0.50"}}).prices})
    plan = planned(day("6 x 10 in", "2 x 10 in"), shop)
    found = shared(plan, shop)
    # 20 sq in of 0.064 in zinc weigh 0.330 lb (handbook: 2.375 lb a square foot): 0.16 or 0.17 with rounding up: 0.17.
    assert {share.bill for share in found.values()} == {D("9.83")}


def test_prices_of_another_currency_never_get_this_far() -> None:
    with pytest.raises(InputError, match="is in EUR, and the house counts in"):
        a_house(prices={"scrap": {"zinc": "0.50 EUR"}})


def test_the_number_of_processes_changes_nothing() -> None:
    """Eighteen strips of which six go on a sheet: three flats with so many jobs that processes are started."""
    shop = house()
    plan = planned(day(*["10 x 1 5/8 in"] * 18), shop)
    account = account_of(plan, shop)
    assert [len(flat.placements) for flat in plan.flats] == [6, 6, 6]
    looks: list[tuple[int, int]] = []
    one = all_shares(account, plan, shop, METHODS, 1, lambda done, every: looks.append((done, every)))
    assert all_shares(account, plan, shop, METHODS, 2) == one
    # Every set of the six jobs of three flats, handed out eight at a time.
    assert looks[-1] == (3 * 63, 3 * 63)
    assert [done for done, _ in looks[:9]] == [8, 16, 24, 32, 40, 48, 56, 63, 71]

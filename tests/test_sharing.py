"""What rules say of sharing a flat, taken together: keys, sets, wishes, and what cannot be had at once."""

from __future__ import annotations

import pytest

from planner.forms import InputError
from planner.house import house_from
from planner.orders import orders_from
from planner.plan import Plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.testing import a_day, findings_of, planned

from .rules_written import written

TOGETHER = """
@hookimpl
def flatwright_sharing(plate):
    return [Sharing("together", "pair", "they are printed side by side")]
"""
APART = """
@hookimpl
def flatwright_sharing(plate):
    return [Sharing("apart", "etch of " + plate.name, "each is etched alone")]
"""


def flats(plan: Plan) -> list[set[str]]:
    return [{placement.plate for placement in flat.placements} for flat in plan.flats]


def test_plates_with_different_keys_lie_apart() -> None:
    plan = planned(a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in"}), written(APART))
    assert flats(plan) == [{"7/P1"}, {"7/P2"}]
    assert [plate.share_key for plate in plan.plates] == [
        "zinc, 0.064 in, etch of P1, line", "zinc, 0.064 in, etch of P2, line",
    ]  # fmt: skip


def test_a_plate_without_a_key_keeps_off_those_that_have_one() -> None:
    some = APART.replace("return [", 'return [] if plate.name == "P1" else [')
    assert flats(planned(a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in"}), written(some))) == [{"7/P1"}, {"7/P2"}]


def test_a_set_lies_on_one_flat_the_same_way_up_although_that_costs_metal() -> None:
    house = {"sheets": [{"metal": "zinc", "size": "9 x 9 in"}], "glass": {"grip": "0 in"}, "cutting": {"trim": "0 in"}}
    plate = {"size": "5 x 2 in", "mounting": "unmounted"}
    plan = planned(a_day(*[plate] * 3), written(TOGETHER), house=house)
    assert flats(plan) == [{"7/P1", "7/P2", "7/P3"}]
    assert len({placement.turned for placement in plan.flats[0].placements}) == 1
    assert {plate.together for plate in plan.plates} == {"pair"}


def test_a_set_that_no_sheet_holds_is_divided_and_that_is_said_with_the_rule() -> None:
    house = {"sheets": [{"metal": "zinc", "size": "7 x 7 in"}]}
    plan = planned(a_day({"size": "4 x 4 in"}, {"size": "4 x 4 in"}), written(TOGETHER), house=house)
    assert len(plan.flats) == 2
    (found,) = findings_of(plan, code="together.apart")
    assert "the rule stranger wants it on one (they are printed side by side)" in found.message


def test_chains_of_two_rules_join_into_one_set() -> None:
    body = """
    @hookimpl
    def flatwright_sharing(plate):
        keys = {"P1": ["a"], "P2": ["a", "b"], "P3": ["b"], "P4": ["c"]}[plate.name]
        return [Sharing("together", key, "chained") for key in keys]
    """
    plan = planned(a_day(*[{"size": "2 x 2 in"}] * 4), written(body))
    assert [plate.together for plate in plan.plates] == ["a", "a", "a", ""]


def test_one_key_of_two_rules_makes_two_sets() -> None:
    body = """
    @hookimpl
    def flatwright_sharing(plate):
        return [Sharing("together", "pair", "x")] if plate.name in ("P1", "P2") else []
    """
    colours = {"size": "2 x 2 in", "name": "pair", "colours": ["red", "blue"]}
    day = a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in"}, colours)
    plan = planned(day, written(body))
    assert len({plate.together for plate in plan.plates}) == 2


def test_a_wish_is_kept_where_it_costs_nothing() -> None:
    body = """
    @hookimpl
    def flatwright_sharing(plate):
        return [Sharing("near", "odd" if plate.name in ("P1", "P3") else "even", "they look alike")]
    """
    house = {"sheets": [{"metal": "zinc", "size": "8 x 5 in"}], "glass": {"grip": "0 in"}}
    plan = planned(a_day(*[{"size": "3 x 4 in", "mounting": "unmounted"}] * 4), written(body), house=house)
    assert sorted(map(sorted, flats(plan))) == [["7/P1", "7/P3"], ["7/P2", "7/P4"]]


def test_the_order_of_keys_keeps_nothing_apart_and_one_that_differs_of_two_does() -> None:
    body = """
    @hookimpl
    def flatwright_sharing(plate):
        keys = {"P1": "xy", "P2": "yx", "P3": "xz"}[plate.name]
        return [Sharing("apart", key, "they are etched otherwise") for key in keys]
    """
    plan = planned(a_day(*[{"size": "2 x 2 in"}] * 3), written(body))
    assert sorted(map(sorted, flats(plan))) == [["7/P1", "7/P2"], ["7/P3"]]


def test_the_rule_that_joins_and_the_key_that_parts_are_named() -> None:
    # The first rule joins nothing; of two keys that keep apart the second is the same.
    none = written(
        "@hookimpl\ndef flatwright_sharing(plate):\n    return [Sharing('together', plate.name, 'alone')]\n", "a-lone"
    )
    join = written(
        "@hookimpl\ndef flatwright_sharing(plate):\n    return [Sharing('together', 'all', 'one set')]\n", "joiner"
    )
    part = written(
        "@hookimpl\ndef flatwright_sharing(plate):\n"
        "    return [Sharing('apart', plate.name, 'by name'), Sharing('apart', 'same', 'by nothing')]\n",
        "parter",
    )
    house = house_from({}, "house.toml")
    rules = load_rules(house, "house.toml", found=(), modules=(none, join, part))
    with pytest.raises(InputError) as refusal:
        make_plan(orders_from(a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in"}), "o.toml"), house, rules)
    assert "the rule joiner wants them on one flat (one set), and the rule parter keeps them apart (by name)" in str(
        refusal.value
    )


def test_two_rules_that_contradict_each_other_are_both_named_in_a_sentence() -> None:
    both = written(TOGETHER + APART.replace("flatwright_sharing", "unused").replace("@hookimpl\n", ""))
    apart = written(APART, name="loner")
    house = house_from({}, "house.toml")
    rules = load_rules(house, "house.toml", found=(), modules=(both, apart))
    with pytest.raises(InputError) as refusal:
        make_plan(orders_from(a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in"}), "o.toml"), house, rules)
    assert refusal.value.lines == [
        "house rules: plates 7/P1 and 7/P2: the rule stranger wants them on one flat (they are printed side by side), "
        "and the rule loner keeps them apart (each is etched alone); switch one of the two rules off for this day, or "
        "order the plates so that both can be had"
    ]


def test_plates_of_two_metals_cannot_be_wanted_together() -> None:
    with pytest.raises(InputError, match=r"one is of zinc, 0.064 in and the other of copper, 0.064 in"):
        planned(a_day({"size": "2 x 2 in"}, {"size": "2 x 2 in", "metal": "copper"}), written(TOGETHER))


def test_two_rules_may_not_call_two_groups_the_same() -> None:
    body = APART.replace('"etch of " + plate.name', '"line"')
    with pytest.raises(InputError, match=r'the rules screen-bands and stranger both keep plates apart as "line"'):
        planned(a_day({"size": "2 x 2 in"}), written(body))

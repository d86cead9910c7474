"""What to buy: the cheapest mix by hand and by trying all, packs, what is proven, and what happens on a bad file."""

from __future__ import annotations

import itertools
import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.cli import main
from planner.estimate.choices import choices_of, sizes_from
from planner.estimate.comparing import Comparison, Look, compare
from planner.estimate.laying_mixes import LaidMix
from planner.estimate.mixes import MixSearch
from planner.estimate.telling_compare import compare_lines, compare_page, compare_table, totals
from planner.flats import Search
from planner.forms import InputError
from planner.house import House
from planner.orders import orders_from
from planner.sheets.comparison import comparison_sheet

from ..days import a_day, a_house, rules_of

D = Decimal
LARGE = {"name": "large", "metal": "zinc", "size": "18 x 24 in", "price": 13}
BARE: dict[str, Any] = {
    "glass": {"grip": "0 in"}, "cutting": {"gap": "0 in", "trim": "0 in"}, "film": {"safe_edge": "0 in"},
    "rules": {name: {"enabled": False} for name in ("square-bevel", "nail-spots")},
}  # fmt: skip


def plate(size: str, **keys: Any) -> dict[str, Any]:
    return {"size": size, "metal": "zinc", "mounting": "unmounted", **keys}


def compared(plates: list[dict[str, Any]], house: House, **options: Any) -> Comparison:
    options.setdefault("search", Search(iterations=60))
    return compare(orders_from(a_day(*plates), "orders.toml"), house, rules_of(house), **options)


def used(found: Comparison) -> list[tuple[tuple[str, int], ...]]:
    return [offer.used for offer in found.materials[0].offers]


def test_the_cheapest_mix_worked_by_hand() -> None:
    """Three plates of 10 x 10 in. Large sheets (18 x 24) hold two each: two for 26. Bought squares of 10 x 10 cost 5:
    three for 15, one large and one square 18. Bought strips of 10 x 30 hold all three for 14."""
    house = a_house(**BARE, sheets=[LARGE], buyable=[
        {"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 5, "lead": 2},
        {"name": "strip", "metal": "zinc", "size": "10 x 30 in", "price": 14, "lead": 9},
    ])  # fmt: skip
    found = compared([plate("10 x 10 in", quantity=3)], house)
    (zinc,) = found.materials
    assert (zinc.best.used, zinc.best.cost, zinc.best.flats, zinc.best.lead) == ((("strip", 1),), D(14), 1, 9)
    assert zinc.best.waste == 0
    assert zinc.proven
    assert zinc.without_buying is not None
    assert (zinc.without_buying.cost, zinc.without_buying.waste) == (
        D(26),
        2 * 18 * 24 - 300 - zinc.without_buying.kept,
    )
    assert totals(found) == (D(14), D(26))
    near = compared([plate("10 x 10 in", quantity=3)], house, within=8)
    assert near.materials[0].best.used == (("square", 3),)
    assert near.materials[0].best.cost == D(15)


def test_whole_packs_are_paid() -> None:
    house = a_house(**BARE, sheets=[LARGE], buyable=[
        {"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 5, "pack": 4},
    ])  # fmt: skip
    one = compared([plate("10 x 10 in")], house).materials[0]
    assert (one.best.used, one.best.cost, one.best.paid) == ((("large", 1),), D(13), D(0))
    assert {offer.used: offer.cost for offer in one.offers}[("square", 1),] == D(20)
    assert one.proven
    many = compared([plate("10 x 10 in", quantity=4)], house).materials[0]
    assert (many.best.used, many.best.cost, many.best.paid) == ((("square", 4),), D(20), D(20))


def test_making_up_counts_for_every_flat() -> None:
    house = a_house(**BARE, prices={"flat": 6}, sheets=[LARGE], buyable=[
        {"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 5},
    ])  # fmt: skip
    found = compared([plate("10 x 10 in", quantity=2)], house).materials[0]
    assert (found.best.used, found.best.cost) == ((("large", 1),), D(19))


def test_sheets_run_out_and_what_holds_all_comes_first() -> None:
    house = a_house(**BARE, sheets=[{**LARGE, "count": 1}], buyable=[
        {"name": "dear", "metal": "zinc", "size": "18 x 24 in", "price": 50},
    ])  # fmt: skip
    found = compared([plate("18 x 24 in", quantity=2)], house)
    offers = found.materials[0].offers
    assert [(offer.used, offer.left_out) for offer in offers] == [
        ((("large", 1), ("dear", 1)), 0), ((("dear", 2),), 0), ((("large", 1),), 1),
    ]  # fmt: skip
    assert totals(found) == (D(63), None)


def test_plates_that_nothing_holds_are_named_and_stand_in_nobodys_way() -> None:
    house = a_house(**BARE, sheets=[LARGE])
    found = compared([plate("3 x 4 in"), plate("40 x 40 in", name="Wall"), plate("3 x 3 in", metal="copper")], house)
    assert found.materials[0].held == ("7/Wall",)
    assert found.materials[0].best.left_out == 0
    assert len(found.missing) == 1
    assert any("None of these sheets holds 7/Wall" in line for line in compare_lines(found))
    with pytest.raises(InputError, match="none of its plates fits a sheet on hand or to be bought"):
        compared([plate("40 x 40 in")], house)


def test_metal_without_a_price_is_compared_by_its_square_inches() -> None:
    house = a_house(**BARE, sheets=[{"metal": "zinc", "size": "18 x 24 in"}, {"metal": "zinc", "size": "10 x 12 in"}])
    found = compared([plate("9 x 9 in")], house)
    assert found.materials[0].best.cost is None
    assert found.materials[0].best.metal == 120
    assert compare_table(found)["cost"] is None
    assert any("120 sq in" in line for line in compare_lines(found))


def test_the_same_answer_from_one_process_and_from_two() -> None:
    plates = [plate(f"{3 + number % 5} x {4 + number % 3} in", quantity=2) for number in range(6)]
    house = a_house(**BARE, sheets=[LARGE], buyable=[
        {"metal": "zinc", "size": size, "price": price} for size, price in (("12 x 14 in", 6), ("20 x 22 in", 12.5))
    ])  # fmt: skip
    looks: list[Look] = []
    one = compared(plates, house, told=looks.append)
    assert looks[-1].done == looks[-1].known == sum(material.laid for material in one.materials)
    assert compared(plates, house, processes=2) == one


def test_an_interrupt_gives_what_is_known_or_nothing() -> None:
    plates = [plate("7 x 9 in", quantity=3), plate("5 x 6 in", quantity=4)]
    house = a_house(**BARE, sheets=[LARGE], buyable=[
        {"metal": "zinc", "size": f"{side} x 14 in", "price": side / 2} for side in (10, 11, 12)
    ])  # fmt: skip

    def after(number: int) -> Any:
        def told(look: Look) -> None:
            if look.done == number:
                raise KeyboardInterrupt

        return told

    found = compared(plates, house, told=after(3))
    assert found.interrupted
    assert found.materials[0].laid == 3
    assert any(line.startswith("Interrupted: this is the best") for line in compare_lines(found))
    assert any("3 of 15 mixes were laid before the interruption." in line for line in compare_lines(found))
    with pytest.raises(KeyboardInterrupt):
        compared([*plates, plate("3 x 4 in", metal="copper")], a_house(sheets=[LARGE, {**LARGE, "name": "c", "metal":
                 "copper"}]), told=after(1))  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data(), choices=st.integers(1, 4), pieces=st.integers(1, 4), exact=st.booleans(), every=st.booleans())
def test_no_mix_is_missed_and_what_is_proven_is_true(
    data: st.DataObject, choices: int, pieces: int, exact: bool, every: bool
) -> None:
    """The search against trying all mixes, with a laying that is worked out here: so many squares to a sheet."""
    holds = [data.draw(st.integers(1, 4)) for _ in range(choices)]
    buyable = [
        {"name": f"s{place}", "metal": "zinc", "size": f"{10 * many} x 10 in", "pack": data.draw(st.integers(1, 3)),
         "price": data.draw(st.integers(1, 30))}
        for place, many in enumerate(holds)
    ]  # fmt: skip
    house = a_house(**BARE, sheets=[], buyable=buyable)
    (own,) = choices_of(house, (), None, "house.toml").values()
    search = MixSearch(own, {f"p{number}": 10_240**2 for number in range(pieces)}, every)

    def counts(mix: frozenset[int]) -> dict[int, int]:
        """The linear optimum, which does not know of packs."""
        plans = itertools.product(*(range(math.ceil(pieces / holds[place]) + 1) for place in sorted(mix)))
        fit = [plan for plan in plans if sum(n * holds[p] for n, p in zip(plan, sorted(mix), strict=True)) >= pieces]
        best = min(
            fit, key=lambda plan: sum(n * float(own[p].price or 0) for n, p in zip(plan, sorted(mix), strict=True))
        )
        return dict(zip(sorted(mix), best, strict=True))

    def laid(mix: frozenset[int]) -> LaidMix:
        found = counts(mix)
        least = sum(count * float(own[place].price or 0) for place, count in found.items()) if exact else 0.0
        sheets = tuple((own[place].name, count) for place, count in found.items() if count)
        return LaidMix(sheets, (), (), least, 0, False)

    while search.batch:
        search.take({mix: laid(mix) for mix in search.batch})
    everything = [
        frozenset(mix) for size in range(1, choices + 1) for mix in itertools.combinations(range(choices), size)
    ]
    costs = {mix: sum(own[place].cost(count) for place, count in counts(mix).items()) for mix in everything}
    assert search.exhaustive or search.is_proven()
    assert search.best.merit == (0, min(costs.values()))
    if search.is_proven():
        # Whatever is bought, packs and all, and not only what the laying above would choose.
        cheapest = min(
            sum(own[place].cost(count) for place, count in enumerate(plan))
            for plan in itertools.product(range(pieces + 1), repeat=choices)
            if sum(count * many for count, many in zip(plan, holds, strict=True)) >= pieces
        )
        assert search.best.merit[1] <= cheapest


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(1, 30)), max_size=3),
    st.lists(st.tuples(st.integers(1, 3), st.integers(0, 12)), min_size=1, max_size=3),
    st.integers(1, 7),
    st.booleans(),
)
def test_the_rack_beside_every_mix_against_trying_all(
    offers: list[tuple[int, int]], rack: list[tuple[int, int]], pieces: int, exact: bool
) -> None:
    """Squares again, so many to a sheet: each piece of the rack once or not at all, with any number of the others."""
    buyable = [{"name": f"s{place}", "metal": "zinc", "size": f"{10 * many} x 10 in", "price": price}
               for place, (many, price) in enumerate(offers)]  # fmt: skip
    sheets = [{"name": f"r{place}", "metal": "zinc", "size": f"{10 * many} x 10 in", "price": price, "count": 1}
              for place, (many, price) in enumerate(rack)]  # fmt: skip
    house = a_house(**BARE, sheets=sheets, buyable=buyable)
    (every,) = choices_of(house, (), None, "house.toml", [str(sheet["name"]) for sheet in sheets]).values()
    own, on_rack = [one for one in every if not one.from_rack], [one for one in every if one.from_rack]
    assert len(on_rack) == len(rack)
    areas = {f"p{number}": 10_240**2 for number in range(pieces)}
    search = MixSearch(own, areas, True, on_rack)

    def cheapest(mix: frozenset[int]) -> tuple[int, int, LaidMix]:
        """Left out, cost, and how, by trying all."""
        found = []
        for counts in itertools.product(*(range(pieces + 1 if place in mix else 1) for place in range(len(own)))):
            for taken in itertools.product(range(2), repeat=len(rack)):
                used = [(choice, count) for choice, count in zip((*own, *on_rack), (*counts, *taken), strict=True)
                        if count]  # fmt: skip
                left = max(0, pieces - sum(round(choice.width / 10) * count for choice, count in used))
                found.append((left, sum(choice.cost(count) for choice, count in used), used))
        left, cost, used = min(found, key=lambda one: one[:2])
        out = tuple(f"p{number}" for number in range(left))
        sheets = tuple((choice.name, count) for choice, count in used)
        return left, cost, LaidMix(sheets, out, (), cost / 100 if exact and not left else 0.0, 0, False)

    while search.batch:
        search.take({mix: cheapest(mix)[2] for mix in search.batch})
    left, cost, _ = cheapest(search.whole)
    assert search.best.merit == (left * 10_240**2, cost)
    assert not (search.is_proven() and left)


def test_a_piece_of_the_rack_goes_with_any_mix_and_alone() -> None:
    """Three squares of 10 x 10 in. The piece holds one for 1, large sheets two each for 13, squares cost 5."""
    house = a_house(**BARE, sheets=[LARGE, {"name": "monday-1a", "metal": "zinc", "size": "10 x 10 in", "price": 1,
                                            "count": 1, "remnant": True}])  # fmt: skip
    sizes = sizes_from({"sheets": [{"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 5}]}, house, "s")
    (zinc,) = compared([plate("10 x 10 in", quantity=3)], house, sizes=sizes, on_rack={"monday-1a"}).materials
    assert (zinc.best.used, zinc.best.cost) == ((("square", 2), ("monday-1a", 1)), D(11))
    assert zinc.without_buying is not None
    assert (zinc.without_buying.used, zinc.without_buying.cost) == ((("large", 1), ("monday-1a", 1)), D(14))
    assert zinc.mixes == 3
    found = compared([plate("10 x 10 in")], house, sizes=sizes, on_rack={"monday-1a"})
    assert found.materials[0].best.used == (("monday-1a", 1),)
    assert "1 piece of the rack may be used in every mix, for what a plan would count them." in compare_lines(found)
    alone = a_house(**BARE, sheets=house.sheets[1:])
    (only,) = compared([plate("10 x 10 in", quantity=2)], alone, on_rack={"monday-1a"}).materials
    assert (only.best.left_out, only.mixes, only.proven) == (1, 1, False)


HOUSE = '[[sheets]]\nname = "large"\nmetal = "zinc"\nsize = "18 x 24 in"\nprice = 11.8\n'
ORDER = 'title = "Monday"\n[[jobs]]\nnumber = 1\n[[jobs.plates]]\nname = "M"\nmetal = "zinc"\nsize = "7 x 9 in"\n'
SIZES = '[[sheets]]\nname = "<b>&\u202eodd"\nmetal = "zinc"\nsize = "12 x 14 in"\nprice = 4.5\nlead = 1\n'


def run(folder: Path, *words: str, sizes: str = SIZES, house: str = HOUSE) -> Result:
    for name, text in (("house.toml", house), ("orders.toml", ORDER), ("sizes.toml", sizes)):
        (folder / name).write_text(text)
    named = [str(folder / name) for name in ("orders.toml", "house.toml", "sizes.toml")]
    return CliRunner().invoke(main, ["compare", named[0], "--house", named[1], "--sizes", named[2], *words])


def test_the_command_prints_and_draws(tmp_path: Path) -> None:
    sizes = SIZES.replace("\u202e", "")
    result = run(tmp_path, "--out", str(tmp_path / "out"), sizes=sizes)
    assert result.exit_code == 0, result.output
    assert "Cheapest: 1 x <b>&odd for $ 4.50. It is proven that straight cuts cannot do it for less." in result.output
    assert "Buying nothing costs $ 11.80, $ 7.30 more." in result.output
    table = json.loads((tmp_path / "out" / "comparison.json").read_text())
    assert table == json.loads(run(tmp_path, "--json", sizes=sizes).output)
    assert (table["cost"], table["cost_without_buying"], table["lead"]) == ("4.5", "11.8", 1)
    page = (tmp_path / "out" / "comparison.svg").read_text()
    assert "WHAT TO BUY" in page
    assert "&lt;b&gt;&amp;odd" in page


@pytest.mark.parametrize(
    ("sizes", "sentence"),
    [
        (SIZES.replace("4.5", '"12 EUR"'), 'key "price": "12 EUR" is in EUR, and this file counts in $'),
        (SIZES, "may hold no slash and no control characters"),
        (SIZES.replace("<b>&\u202eodd", "large"), 'sheet "large": bears the name of another'),
        (SIZES.replace("price = 4.5\n", "").replace("\u202e", ""), 'sheet 1 of [[sheets]], key "price": is missing'),
        (SIZES.replace("lead = 1", "lead = -1").replace("\u202e", ""), 'key "lead": must be 0 or more'),
        ("", 'key "sheets": is missing'),
    ],
)
def test_a_bad_file_of_sizes_gets_a_sentence(sizes: str, sentence: str, tmp_path: Path) -> None:
    result = run(tmp_path, sizes=sizes)
    assert result.exit_code == 2
    assert sentence in result.stderr


def test_sheets_without_a_price_are_not_weighed_against_those_with_one(tmp_path: Path) -> None:
    result = run(tmp_path, sizes=SIZES.replace("\u202e", ""), house=HOUSE.replace("price = 11.8\n", ""))
    assert result.exit_code == 2
    assert "the house's zinc sheets have no price, so that no sheet to buy can be weighed against them" in result.stderr


def test_a_long_page_holds_every_word() -> None:
    sizes = sizes_from(
        {"sheets": [{"metal": "zinc", "size": f"{side} x {side} in", "price": side, "name": "W" * 75 + str(side)}
                    for side in range(10, 17)]}, a_house(), "sizes.toml",
    )  # fmt: skip
    found = compared([plate("7 x 9 in", quantity=3)], a_house(**BARE, sheets=[LARGE]), sizes=sizes)
    drawn = comparison_sheet(compare_page(found))
    assert all(f"{place}." in drawn for place in range(1, 8))
    assert len(used(found)) == len(set(used(found)))

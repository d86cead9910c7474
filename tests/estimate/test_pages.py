"""The pages: what stands on them, on the page, with figures at the right."""

from __future__ import annotations

import re
from typing import Any

from defusedxml.ElementTree import fromstring
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.estimate.account import account_of
from planner.estimate.actual import actual_from, outcome_of
from planner.estimate.pages import account_page, outcome_page, quotation_page
from planner.estimate.paging import drawn_pages
from planner.estimate.quoting import quote_of
from planner.estimate.sharing_waste import all_shares
from planner.estimate.sums import sum_of
from planner.estimate.telling import Told
from planner.orders import orders_from
from planner.sheets.estimate import Page, Table, estimate_sheet
from planner.sheets.text import width_of

from ..days import a_house, planned, rules_of

SVG = "{http://www.w3.org/2000/svg}"
HOUSE = a_house(
    name="Cinder Row Plate Works",
    sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": "11.80"}],
    prices={"flat": 2, "line": {"rate": "0.12"}, "halftone": {"rate": "0.24", "minimum": 3}},
)
DAY: dict[str, Any] = {
    "title": "A Thursday",
    "jobs": [
        {"number": "41", "customer": "Thistle & Daughter",
         "plates": [{"name": "Map", "size": "4 x 5 in", "metal": "zinc"}]},
        {"number": "42", "customer": "A customer whose name goes on " * 2 + "and on",
         "plates": [{"name": "A plate with a long name", "size": "3 x 3 in", "metal": "zinc", "screen": 65}]},
    ],
}  # fmt: skip


def texts(markup: str) -> list[Any]:
    return list(fromstring(markup).iter(f"{SVG}text"))


def words(markup: str) -> str:
    return "\n".join(one.text or "" for one in texts(markup))


def check_page(markup: str) -> None:
    """Everything lies on the page, and figures of one table's column end at one line."""
    root = fromstring(markup)
    width, height = (float(root.get(side, "0in")[:-2]) for side in ("width", "height"))
    ends: dict[str, set[str]] = {}
    for one in texts(markup):
        x, y, size = (float(one.get(key, "0")) for key in ("x", "y", "font-size"))
        long = width_of(one.text or "", size, one.get("font-weight") == "bold")
        left = x - long if one.get("text-anchor") == "end" else x
        assert left >= 0.29, one.text
        assert left + long <= width - 0.29, one.text
        assert 0 < y < height, one.text
        if re.fullmatch(r"-?[\d,]+\.\d+", one.text or ""):
            assert one.get("text-anchor") == "end"
            ends.setdefault(one.get("data-list", ""), set()).add(one.get("x", ""))
    assert all(len(found) <= 14 for found in ends.values())


def test_the_account_as_a_page() -> None:
    plan = planned(DAY, HOUSE)
    account = account_of(plan, HOUSE)
    markup = estimate_sheet(account_page(Told(account, "area", all_shares(account, plan, HOUSE, ["area", "marginal"]))))
    check_page(markup)
    said = words(markup)
    for part in ("METAL ACCOUNT", "Cinder Row Plate Works", "A Thursday", "WHAT EACH JOB PAYS, BY METHOD",
                 "Thistle & Daughter", "41/Map", f"{sum_of(account.lines).net:,.2f}", "13.80"):  # fmt: skip
        assert part in said, part


def test_a_quotation_has_the_shops_name_and_nothing_of_its_metal() -> None:
    quote = quote_of(orders_from(DAY, "day.toml"), HOUSE, rules_of(HOUSE))
    pages = [estimate_sheet(quotation_page(quote, job)) for job in quote.jobs]
    for markup in pages:
        check_page(markup)
        assert fromstring(markup).get("width") == "8.5in"
        assert fromstring(markup).get("height") == "11in"
        assert "Cinder Row Plate Works" in words(markup)
        assert "11.80" not in words(markup)
    # 4 x 5 in with a flange and a shoulder of 5/32 in all round is 4 5/16 x 5 5/16 in: 22.91 sq in at 0.12.
    assert "For Thistle & Daughter" in words(pages[0])
    assert words(pages[0]).count("2.75") == 3
    assert "3.00" in words(pages[1])
    assert "holds for 30 days" in words(pages[1])


def test_the_difference_as_a_page() -> None:
    plan = planned(DAY, HOUSE)
    cut = actual_from({"spoiled": [{"sheet": "zinc 18 x 24 in", "cause": "pitted"}]}, "actual.toml")
    markup = estimate_sheet(outcome_page(outcome_of(plan, HOUSE, cut)))
    check_page(markup)
    for part in ("AFTER THE WORK", "pitted", "spoiled sheets, all", "13.80"):
        assert part in words(markup), part


def test_a_long_table_makes_the_page_longer_and_rude_words_break() -> None:
    rows = tuple((f"W{'ider' * 60}", "x" * 300, "1,234.56") for _ in range(25))
    table = Table("t", "A heading " * 40, ("what", "more", "money"), rows, words=2, sums=frozenset({24}))
    page = Page("NAME", "place", (("one", True), ("two", False), ("three", False)), (table,), ("A sentence. " * 60,))
    markup = estimate_sheet(page)
    check_page(markup)
    assert float(fromstring(markup).get("height", "0in")[:-2]) > 12
    assert estimate_sheet(page) == markup


def test_a_day_without_flats_has_a_page() -> None:
    plan = planned({"jobs": [{"number": "1", "plates": [{"name": "A", "size": "40 x 40 in", "metal": "zinc"}]}]}, HOUSE)
    account = account_of(plan, HOUSE)
    assert plan.flats == ()
    markup = estimate_sheet(account_page(Told(account, "area", {"area": ()})))
    assert "On no flat, and in no figure: 1/A." in words(markup)


def long_page(rows: int, sums: frozenset[int], height: float = 8.5, name: str = "row") -> Page:
    table = Table("t", "ROWS", ("what", "money"), tuple((f"{name} {row}", "1.00") for row in range(rows)), sums=sums)
    small = Table("s", "BEFORE", ("what", "money"), (("little", "1.00"),))
    lines = (("one", True), ("two", False), ("Cinder Row", False))
    return Page("ACCOUNT", "the day", lines, (small, table), ("Said at the end. " * 20,) * 6, height=height)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 90), st.sampled_from([8.5, 11.0]), st.sampled_from(["row", "a row with a name " * 9]))
def test_a_long_account_is_given_out_to_pages_that_fit_their_paper(rows: int, height: float, name: str) -> None:
    drawn = drawn_pages(long_page(rows, frozenset({rows - 1}), height, name), "account")
    assert list(drawn) == ["account.svg", *(f"account-{number}.svg" for number in range(2, len(drawn) + 1))]
    found: list[str] = []
    for number, markup in enumerate(drawn.values(), 1):
        check_page(markup)
        assert fromstring(markup).get("height") == f"{height:g}in"
        said = texts(markup)
        assert (f"page {number} of {len(drawn)}" in words(markup)) == (len(drawn) > 1)
        # Tables say on every page what they are, and a sum has a row above it.
        headings = words(markup).count("ROWS") + words(markup).count("BEFORE")
        assert headings == words(markup).count("what") >= min(1, words(markup).count("1.00"))
        last = [one.text or "" for one in said if re.match(rf"{name[:3]}.* \d+$", one.text or "")]
        assert rows < 2 or last != [f"{name} {rows - 1}"]
        found += [one.text or "" for one in said if one.get("data-list") in ("t", "s", "sentences")]
    every = " ".join(found)
    assert [place for place in range(rows) if f" {place} 1.00" not in every] == []
    assert every.count("1.00") == rows + 1
    assert every.count("Said at the end.") == 120


def test_a_row_that_is_longer_than_its_paper_has_a_page_to_itself() -> None:
    drawn = drawn_pages(long_page(3, frozenset(), height=4.0), "account")
    heights = [float((fromstring(markup).get("height") or "")[:-2]) for markup in drawn.values()]
    assert min(heights) >= 4.0
    assert sum(words(markup).count("1.00") for markup in drawn.values()) == 4


def test_every_page_of_an_account_explains_its_columns_and_names_the_currency() -> None:
    day = {**DAY, "jobs": [{**DAY["jobs"][0], "number": str(number)} for number in range(30)]}
    house = a_house(**{**HOUSE.model_dump(include={"name"}), "prices": {"currency": "EUR"}},
                    sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": "11.80"}])  # fmt: skip
    plan = planned(day, house, iterations=0)
    account = account_of(plan, house)
    drawn = drawn_pages(account_page(Told(account, "area", all_shares(account, plan, house, ["area", "alone"]))), "a")
    assert len(drawn) > 2
    heads = {
        "THE SHEETS": "cost, EUR",
        "THE JOBS": "pays, EUR",
        "WHAT EACH JOB PAYS": "alone, EUR",
        "THE PLATES": "credit, EUR",
    }
    seen = set()
    for markup in drawn.values():
        check_page(markup)
        headings = {one.text for one in texts(markup) if one.get("font-weight") == "bold"}
        explained = " ".join(one.text or "" for one in texts(markup) if one.get("data-list") == "sentences")
        for name, column in heads.items():
            here = any((text or "").startswith(name) for text in headings)
            assert (f"{name}: " in explained) == here
            assert not here or column in words(markup)
            seen |= {name} if here else set()
    assert seen == set(heads)

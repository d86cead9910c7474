"""The example's own folder in a real browser: a round through it as somebody who opens it for the first time."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.page.assembly import PAGE, page_text
from planner.plan import Plan
from planner.writing import write_folder
from tests.page.conftest import INK, Looked, faults_of, text_of


@pytest.fixture(scope="module")
def example_folder(monday: Plan, monday_sheets: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder as the command writes it; planned and drawn where the tests of the pages' examples are."""
    place = tmp_path_factory.mktemp("example") / "out"
    write_folder(place, {**monday_sheets, PAGE: page_text(monday, monday_sheets)})
    return place


def test_a_round_through_the_examples_folder(
    looked: Looked, example_folder: Path, monday: Plan, monday_sheets: dict[str, str]
) -> None:
    looked.open(example_folder)
    page = looked.page
    assert page.title() == monday.title
    assert page.locator(".flat-cards a").count() == len(monday.flats)
    assert faults_of(page) == []

    # Each finding leads to its place: a flat, or the plates that are held.
    assert page.locator("[id^=told-]").count() == len(monday.findings) > 2
    for place, finding in enumerate(monday.findings, 1):
        page.locator(f"#told-{place} a").click()
        if finding.flat is None:
            looked.focused(finding.plate or "")
            continue
        page.wait_for_selector("#flat-view:not([hidden])")
        looked.settled()
        assert page.inner_text("#flat-heading") == f"Flat {finding.flat}"
        assert finding.message in page.inner_text("#card")
        assert finding.message in page.inner_text("#said")
        page.go_back()
        page.wait_for_selector("#day-view:not([hidden])")
        looked.focused(f"Show finding {place} on flat {finding.flat}")

    # The flat with the most on it: flipped by a key, its art switched off and on.
    flat = max(monday.flats, key=lambda one: len(one.placements))
    page.click(f".flat-cards a[href='#flat-{flat.number}']")
    page.wait_for_selector("#flat-view:not([hidden])")
    looked.settled()
    assert page.locator("#spots button").count() == len(flat.placements)
    right = page.evaluate(INK)
    page.keyboard.press("v")
    looked.settled()
    assert "WRONG-READING" in page.inner_text("#reads")
    metal = page.evaluate(INK)
    assert metal != right
    page.click("#layers-button")
    page.uncheck("[data-layer=art]")
    looked.settled()
    assert page.evaluate(INK) != metal
    page.check("[data-layer=art]")
    looked.settled()
    assert page.evaluate(INK) == metal
    assert faults_of(page) == []

    wanted = next(plate for plate in monday.plates if plate.job == "4105")
    page.fill("#search", f"lamplight {wanted.name}")
    page.press("#search", "Enter")
    page.wait_for_function(
        "(name) => document.querySelector('#card-heading').textContent.includes(name)", arg=wanted.name
    )
    looked.settled()
    number = int(page.inner_text("#flat-heading").removeprefix("Flat "))

    page.keyboard.press("Escape")
    page.keyboard.press("Control+p")
    boxes, names = page.locator("#print-dialog input"), list(monday_sheets)
    own = {name for name in names if name.startswith(f"flat-{number:02d}-")}
    assert {name for place, name in enumerate(names) if boxes.nth(place).is_checked()} == own | {
        name for name in names if not name.startswith("flat-")
    }
    # Chromium takes a second for each large sheet; three tell what all would.
    page.click("#print-dialog >> text=None")
    mine = [name for name in names if name in (f"flat-{number:02d}-stripper.svg", "camera.svg", "mounting.svg")]
    for name in mine:
        boxes.nth(names.index(name)).check()
    page.click("#print-now")
    page.wait_for_selector("html.sheets", state="attached")
    pages = text_of(page.pdf(format="A4", prefer_css_page_size=True))
    assert len(pages) == 1 + len(mine) == 4
    for told, name in zip(pages[1:], mine, strict=True):
        assert f"true size is in the file {name}" in told
        assert len(told) > 300, f"{name} itself is on its page"

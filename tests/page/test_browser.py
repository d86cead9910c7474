"""The page in a real browser: by mouse and keyboard, on screen and on paper, with friendly words and hostile ones."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from planner.page.assembly import PAGE, page_text
from planner.plan import Plan
from planner.sheets.folder import sheet_files
from planner.writing import write_folder
from tests.page.conftest import HOSTILE, INK, Looked, a_hostile_plan, faults_of, text_of

DARK_LEFT = """() => {
  const paper = [...document.querySelectorAll('#papers canvas')].find((one) => !one.hidden);
  const copy = Object.assign(document.createElement('canvas'), { width: paper.width, height: paper.height });
  const pen = copy.getContext('2d', { willReadFrequently: true });
  pen.drawImage(paper, 0, 0);
  const { data } = pen.getImageData(0, 0, paper.width, paper.height);
  let [sum, dark] = [0, 0];
  for (let place = 0; place < data.length; place += 4) {
    if (data[place + 3] > 200 && data[place] < 120) { dark += 1; sum += (place / 4) % paper.width / paper.width; }
  }
  return sum / dark;
}"""
"""How far from the left the dark of the drawing is, from 0 to 1."""


def flat_of(plan: Plan, plate: str) -> tuple[int, int]:
    return next(
        (flat.number, number)
        for flat in plan.flats
        for number, placed in enumerate(flat.placements, 1)
        if placed.plate == plate
    )


def test_the_day_is_told(looked: Looked, folder: Path, page_day: Plan) -> None:
    looked.open(folder)
    page = looked.page
    assert page.title() == "A day to look at"
    assert page.locator(".flat-cards a").count() == len(page_day.flats)
    assert page.locator(".flat-cards img").evaluate_all("all => all.every((one) => one.naturalWidth > 0)")
    assert "501/Barn" in page.locator("#day-view").inner_text()
    assert page.locator("#day-view .finding").count() == len(page_day.findings) + len(page_day.held)


def test_the_view_flips_with_one_key_and_mirrors_what_is_drawn(looked: Looked, folder: Path, page_day: Plan) -> None:
    flat, _ = flat_of(page_day, "501/Heron")
    looked.open(folder, f"#flat-{flat}/stripper")
    page = looked.page
    for layer in ("metal", "films", "labels"):
        page.locator(f"[data-layer={layer}]").evaluate("one => one.click()")
    looked.settled()
    before = page.evaluate(DARK_LEFT)
    page.locator("#stage").press("v")
    assert page.get_attribute("#metal-button", "aria-pressed") == "true"
    assert "WRONG-READING" in page.inner_text("#reads")
    for layer in ("metal", "zones", "flange", "staying", "nails"):
        switch = page.locator(f"[data-layer={layer}]")
        if switch.count():
            switch.evaluate("one => one.click()")
    looked.settled()
    after = page.evaluate(DARK_LEFT)
    assert abs(before - 0.5) > 0.01
    assert after == pytest.approx(1 - before, abs=0.01)


def test_layers_switch_on_and_off(looked: Looked, folder: Path, page_day: Plan) -> None:
    flat, _ = flat_of(page_day, "501/Heron")
    looked.open(folder, f"#flat-{flat}")
    page = looked.page
    page.click("#layers-button")
    before = page.evaluate(INK)
    page.uncheck("[data-layer=art]")
    looked.settled()
    assert page.evaluate(INK) != before
    page.check("[data-layer=art]")
    looked.settled()
    assert page.evaluate(INK) == before


def test_zoom_and_pan_by_keys_wheel_and_drag(looked: Looked, folder: Path) -> None:
    looked.open(folder, "#flat-1")
    page = looked.page
    box = page.locator("#stage").bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    size = "() => document.querySelector('#spots button').getBoundingClientRect().width"
    place = "() => document.querySelector('#spots button').getBoundingClientRect().x"
    fitted = page.evaluate(size)
    page.locator("#stage").press("+")
    looked.settled()
    assert page.evaluate(size) == pytest.approx(1.5 * fitted, abs=2)
    page.mouse.move(*middle)
    page.mouse.wheel(0, -400)
    looked.settled()
    closer = page.evaluate(size)
    assert closer > 2 * fitted
    before = page.evaluate(place)
    page.mouse.down()
    page.mouse.move(middle[0] + 60, middle[1], steps=4)
    page.mouse.up()
    looked.settled()
    assert page.evaluate(place) == pytest.approx(before + 60, abs=1)
    page.locator("#stage").press("ArrowLeft")
    looked.settled()
    assert page.evaluate(place) == pytest.approx(before + 140, abs=1)
    page.locator("#stage").press("0")
    looked.settled()
    assert page.evaluate(size) == pytest.approx(fitted, abs=1)


def test_a_plate_under_the_pointer_and_one_that_is_tapped_say_what_they_are(
    looked: Looked, folder: Path, page_day: Plan
) -> None:
    flat, number = flat_of(page_day, "501/Heron")
    looked.open(folder, f"#flat-{flat}")
    page = looked.page
    box = page.locator(f"#spots button[data-number='{number}']").bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.wait_for_selector("#hint:not([hidden])")
    hint = page.inner_text("#hint")
    for words in ("Heron", "501", "Brook & Fell", "4 x 5 in", "router", "flange", "rule square-bevel"):
        assert words in hint, words
    page.mouse.down()
    page.mouse.up()
    page.wait_for_function(f"() => location.hash === '#flat-{flat}/plate-{number}'")
    card = page.inner_text("#card")
    record = next(plate for plate in page_day.plates if plate.id == "501/Heron")
    for words in ("Heron", "RUSH 501", "4 x 5 in", "minutes", *(asked.reason for asked in record.allowances)):
        assert words in card, words
    assert "Heron" in page.inner_text("#said")


def test_a_finding_leads_to_its_place(looked: Looked, folder: Path, page_day: Plan) -> None:
    place, finding = next((place, one) for place, one in enumerate(page_day.findings, 1) if one.flat and one.plate)
    looked.open(folder)
    page = looked.page
    page.click(f"#day-view a[href='#finding-{place}']")
    looked.settled()
    assert page.inner_text("#flat-heading") == f"Flat {finding.flat}"
    _, number = flat_of(page_day, finding.plate or "")
    box = page.locator(f"#spots button[data-number='{number}']").bounding_box()
    stage = page.locator("#stage").bounding_box()
    assert abs(box["x"] + box["width"] / 2 - stage["x"] - stage["width"] / 2) < box["width"]
    assert finding.message in page.inner_text("#card")
    assert finding.message in page.inner_text("#said")


def test_search_finds_by_job_plate_and_customer(looked: Looked, folder: Path) -> None:
    looked.open(folder)
    page = looked.page
    for typed, count in (
        ("otter", 2),
        ("cote dor", 0),
        ("cote d'or", 2),
        ("501 heron", 1),
        ("barn", 1),
        ("nothing", 0),
    ):
        page.fill("#search", typed)
        assert page.locator("#search-found a").count() == count, typed
    page.fill("#search", "mill")
    page.press("#search", "Enter")
    looked.settled()
    assert "Mill" in page.inner_text("#card-heading")
    page.fill("#search", "barn")
    page.press("#search", "Enter")
    looked.focused("501/Barn")


def test_everything_by_keyboard(looked: Looked, folder: Path, page_day: Plan) -> None:
    looked.open(folder, "#flat-1")
    page = looked.page
    assert page.evaluate("document.activeElement.id") == "flat-heading"
    page.keyboard.press("n")
    assert page.evaluate("document.activeElement.dataset.number") == "1"
    many = len(page_day.flats[0].placements)
    page.keyboard.press("p")
    assert page.evaluate("document.activeElement.dataset.number") == str(many)
    page.keyboard.press("Escape")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "search"
    page.keyboard.press("Escape")
    page.locator("#stage").press("?")
    assert page.locator("#keys-dialog").is_visible()
    page.keyboard.press("Escape")
    page.locator("#stage").press("d")
    page.wait_for_selector("#day-view:not([hidden])")


def test_printing_gives_each_sheet_a_page(looked: Looked, folder: Path, page_files: dict[str, str]) -> None:
    looked.open(folder)
    page = looked.page
    page.keyboard.press("Control+p")
    assert page.locator("#print-dialog").is_visible()
    page.click("#print-now")
    page.wait_for_selector("html.sheets", state="attached")
    pages = text_of(page.pdf(format="A4", prefer_css_page_size=True))
    assert len(pages) == 1 + len(page_files)
    assert f"{len(page_files)} sheets" in pages[0]
    titles = [
        re.sub(r"\s+", " ", found[1])
        for text in page_files.values()
        if (found := re.search(r"<title>(.*?)</title>", text))
    ]
    for told, title, name in zip(pages[1:], titles, page_files, strict=True):
        assert told.startswith(title), name
        assert f"true size is in the file {name}" in told
        assert len(told) > len(title) + 150, "the sheet itself is on the page"


def test_only_the_chosen_sheets_are_printed(looked: Looked, folder: Path, page_files: dict[str, str]) -> None:
    looked.open(folder, "#flat-2")
    page = looked.page
    page.click("#print-button")
    assert page.locator("#print-dialog input").count() == len(page_files)
    mine = [name for name in page_files if name.startswith("flat-02-") or not name.startswith("flat-")]
    assert page.locator("#print-dialog input:checked").count() == len(mine)
    page.click("#print-dialog >> text=None")
    page.click("#print-now")
    assert "Choose at least one" in page.inner_text("#print-dialog")
    page.check("#print-dialog label:has-text('Flat 2') >> nth=0")
    page.click("#print-now")
    page.wait_for_selector("html.sheets", state="attached")
    assert page.locator("#printed figure").count() == 1


def test_printing_without_being_asked_gives_the_day_and_says_how_to_print_sheets(looked: Looked, folder: Path) -> None:
    looked.open(folder, "#flat-1")
    pages = text_of(looked.page.pdf(format="A4"))
    assert "press Print on the page itself" in pages[0]
    assert "501/Barn" in " ".join(pages)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_that_axe_knows_is_wrong(looked: Looked, folder: Path, scheme: Any) -> None:
    page = looked.page
    page.emulate_media(color_scheme=scheme)
    # In the dark other colours are what differs.
    for where in ("", "#flat-1/plate-1", "#flat-1/metal")[: 3 if scheme == "light" else 2]:
        looked.open(folder, where)
        if "metal" in where:
            page.click("#layers-button")
        assert faults_of(page) == [], where


@pytest.mark.parametrize("size", [(768, 1024), (390, 844)])
def test_on_small_screens_nothing_runs_off_the_side(looked: Looked, folder: Path, size: tuple[int, int]) -> None:
    page = looked.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    for where in ("", "#flat-1/plate-1"):
        looked.open(folder, where)
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], where
        small = page.evaluate(
            "[...document.querySelectorAll('button, nav a, .list a')].filter((one) => !one.closest('.spots, dialog') "
            "&& one.offsetParent && one.getBoundingClientRect().height < 44).map((one) => one.outerHTML)"
        )
        assert small == []


@pytest.mark.parametrize("size", [(1024, 768), (1440, 900), (1920, 1080)])
def test_a_flat_fills_the_screen_and_only_what_stands_beside_it_scrolls(
    looked: Looked, folder: Path, size: tuple[int, int]
) -> None:
    page = looked.page
    page.set_viewport_size({"width": size[0], "height": size[1]})
    looked.open(folder, "#flat-1")
    assert page.evaluate("[document.documentElement.scrollHeight, document.body.scrollHeight]") == [size[1], size[1]]
    boxes = {name: page.locator(name).bounding_box() for name in ("#stage", ".side", ".head", "#card")}
    assert all(box["y"] + box["height"] <= size[1] for name, box in boxes.items() if name != "#card")
    assert boxes["#stage"]["height"] > 0.7 * size[1]
    assert boxes["#stage"]["x"] + boxes["#stage"]["width"] <= boxes[".side"]["x"]
    # All of the head stands in one row.
    rows = page.locator(".head > *").evaluate_all("all => all.map((one) => one.getBoundingClientRect().bottom)")
    assert max(rows) - min(rows) < 20
    # Whoever read on below sees the card of a plate that is chosen on the drawing.
    page.evaluate("document.querySelector('.side').scrollTo(0, 10000)")
    assert page.locator("#card").bounding_box()["y"] < boxes["#card"]["y"]
    page.keyboard.press("n")
    assert page.locator("#card").bounding_box()["y"] == pytest.approx(boxes["#card"]["y"], abs=1)


def test_the_day_is_at_hand_however_many_flats_there_are(looked: Looked, folder: Path) -> None:
    page = looked.page
    looked.open(folder, "#flat-2")
    page.evaluate("""() => {
      const list = document.querySelector('#flats ul');
      for (let turn = 0; turn < 40; turn++) list.append(list.lastElementChild.cloneNode(true));
      list.scrollLeft = list.scrollWidth;
    }""")
    day, row = page.locator("#flats a").first.bounding_box(), page.locator("#flats").bounding_box()
    assert row["x"] <= day["x"] < row["x"] + 10
    page.mouse.click(day["x"] + 5, day["y"] + 20)
    page.wait_for_selector("#day-view:not([hidden])")


def test_arrow_keys_move_the_drawing_where_nothing_else_scrolls(looked: Looked, folder: Path) -> None:
    looked.open(folder, "#flat-1")
    page = looked.page
    place = "() => document.querySelector('#spots button').getBoundingClientRect().x"
    before = page.evaluate(place)
    page.keyboard.press("ArrowLeft")
    looked.settled()
    assert page.evaluate(place) == pytest.approx(before + 80, abs=1)
    page.set_viewport_size({"width": 768, "height": 700})
    looked.settled()
    before = page.evaluate(place)
    page.keyboard.press("ArrowDown")
    looked.settled()
    assert page.evaluate(place) == before
    page.wait_for_function("() => window.scrollY > 0")


def test_a_plate_chosen_far_below_brings_the_drawing_into_sight(looked: Looked, folder: Path) -> None:
    page = looked.page
    page.set_viewport_size({"width": 768, "height": 1024})
    looked.open(folder, "#flat-1")
    link = page.locator("#flat-plates a").first
    page.evaluate("window.scrollTo(0, 10000)")
    link.evaluate("one => one.click()")
    page.wait_for_function("() => document.querySelector('#stage').getBoundingClientRect().top >= 0")
    assert page.locator("#card").bounding_box()["y"] < 1024


def test_the_day_is_found_again_as_it_was_left(looked: Looked, folder: Path, page_day: Plan) -> None:
    place = next(place for place, one in enumerate(page_day.findings, 1) if one.flat)
    looked.open(folder)
    page = looked.page
    page.click(f"#day-view a[href='#finding-{place}']")
    looked.settled()
    assert page.title() == f"A day to look at, flat {page_day.findings[place - 1].flat}"
    page.go_back()
    page.wait_for_selector("#day-view:not([hidden])")
    looked.focused(f"Show finding {place} on flat")
    assert page.evaluate("window.scrollY") > 0
    assert page.title() == "A day to look at"


def test_a_finding_about_no_flat_leads_to_what_is_held(looked: Looked, folder: Path, page_day: Plan) -> None:
    place = next(place for place, one in enumerate(page_day.findings, 1) if one.flat is None and one.plate)
    looked.open(folder)
    page = looked.page
    page.click(f"#told-{place} a")
    looked.focused(page_day.findings[place - 1].plate or "")
    page.goto("about:blank")
    page.goto(f"{(folder / PAGE).as_uri()}#finding-{place}")
    page.wait_for_function(f"() => document.activeElement.id === 'told-{place}'")


def test_the_switch_turns_light_into_dark(looked: Looked, folder: Path) -> None:
    looked.open(folder)
    page = looked.page
    ground = "getComputedStyle(document.documentElement).backgroundColor"
    light = page.evaluate(ground)
    page.click("#theme-button")
    assert page.evaluate(ground) != light
    assert page.get_attribute("#theme-button", "aria-pressed") == "true"


def test_hostile_words_are_shown_and_do_nothing(looked: Looked, tmp_path: Path) -> None:
    plan = a_hostile_plan()
    sheets = sheet_files(plan)
    write_folder(tmp_path / "out", {**sheets, PAGE: page_text(plan, sheets)})
    assert all(re.fullmatch(r"[a-z0-9-]+\.svg", name) for name in sheets)
    looked.open(tmp_path / "out", "#flat-1/plate-1")
    page = looked.page
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.title().startswith("\"'><img src=x")
    told = page.locator("#flat-plates").inner_text()
    for name in HOSTILE.values():
        assert " ".join(name.split())[:40] in " ".join(told.split())
    page.fill("#search", "<script>")
    assert page.locator("#search-found a").count() == len(plan.plates)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.locator("#stage").press("d")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.click("#print-button")
    page.click("#print-now")
    page.wait_for_selector("html.sheets", state="attached")
    assert len(text_of(page.pdf(prefer_css_page_size=True))) == 1 + len(sheets)
    assert page.locator("script:not([type]), img[src='x']").count() == 1

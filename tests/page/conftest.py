"""A small day with every kind of thing that the page shows, its folder, and one browser for all that look at it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from planner.page.assembly import PAGE, page_text
from planner.plan import Plan, plan_text
from planner.sheets.folder import sheet_files
from planner.writing import write_folder
from tests.days import a_house, planned

HOSTILE = {
    "script": "</script><script>document.title='taken'</script>",
    "quotes": "\"'><img src=x onerror=\"document.title='taken'\">&amp;<!-- \u2028",
    "right to left": "\u05e9\u05dc\u05d5\u05dd \u202eabc \u0645\u0631\u062d\u0628\u0627",
    "long": "Gazette " * 37 + "end",
}
"""Names as somebody of bad will, or of another country, writes them."""


INK = """() => {
  const paper = [...document.querySelectorAll('#papers canvas')].find((one) => !one.hidden);
  const copy = Object.assign(document.createElement('canvas'), { width: paper.width, height: paper.height });
  const pen = copy.getContext('2d', { willReadFrequently: true });
  pen.drawImage(paper, 0, 0);
  const { data } = pen.getImageData(0, 0, paper.width, paper.height);
  let sum = 0;
  for (let place = 0; place < data.length; place += 4) {
    sum = (sum * 31 + data[place] + 7 * data[place + 1] + 3 * data[place + 2]) % 4294967291;
  }
  return sum;
}"""
"""A number that changes when anything in the drawing does."""


def a_page_day() -> dict[str, Any]:
    line = {"kind": "line", "size": "2 x 2 in", "at": "1/2, 1/2 in"}
    short = {"kind": "line", "use": "surprint", "film": "1 x 1 in"}
    return {
        "title": "A day to look at",
        "jobs": [
            {"number": "501", "customer": "Brook & Fell", "rush": True, "plates": [
                {"name": "Heron", "size": "4 x 5 in", "metal": "zinc", "negatives": [line]},
                {"name": "Otter", "size": "3 x 6 in", "metal": "zinc", "quantity": 2, "negatives": [line]},
                {"name": "Barn", "size": "50 x 60 in", "metal": "zinc"},
            ]},
            {"number": "502", "customer": "Côte d'Or Press", "plates": [
                {"name": "Mill", "size": "5 x 5 in", "metal": "copper", "screen": 120,
                 "negatives": [{"kind": "square", "name": "mill"}, short]},
                {"name": "Ash", "size": "4 x 5 in", "metal": "magnesium", "negatives": [line]},
            ]},
        ],
    }  # fmt: skip


def a_hostile_plan() -> Plan:
    """A plan whose names are of bad will, also those that an order file would not let pass: anybody may edit a plan."""
    plates = [{"name": f"NAME{place}", "size": "3 x 3 in", "metal": "zinc", "notes": f"NAME{place}"}
              for place in range(len(HOSTILE))]  # fmt: skip
    job = {"number": "NUMBER", "customer": "NAME1", "notes": "NAME0", "plates": plates}
    text = plan_text(planned({"title": "NAME1", "jobs": [job]}))
    for place, name in enumerate(HOSTILE.values()):
        text = text.replace(f"NAME{place}", json.dumps(name)[1:-1])
    return Plan.model_validate_json(text.replace("NUMBER", json.dumps(HOSTILE["script"])[1:-1]))


@dataclass
class Looked:
    """A page that is open, and all that it complained of or asked the network for."""

    page: Any
    complaints: list[str] = field(default_factory=list)

    def open(self, folder: Path, where: str = "") -> None:
        self.page.goto("about:blank")
        self.page.goto(f"{(folder / PAGE).as_uri()}{where}")
        if "flat" in where or "finding" in where:
            self.settled()

    def settled(self) -> None:
        """Until the flat is drawn."""
        self.page.wait_for_selector("#stage[data-ready=true]")

    def focused(self, words: str) -> None:
        """Until what begins with these words is in focus: links are followed a moment after they are clicked."""
        self.page.wait_for_function("(words) => document.activeElement.textContent.startsWith(words)", arg=words)


def text_of(pdf: bytes) -> list[str]:
    """The words on each page."""
    document = pypdfium2.PdfDocument(pdf)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def faults_of(page: Any) -> list[tuple[str, list[str]]]:
    """What axe's rules of accessibility find wrong: each rule, and where."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [(one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found]


@pytest.fixture(scope="session")
def page_day() -> Plan:
    return planned(a_page_day(), a_house(), iterations=20)


@pytest.fixture(scope="session")
def page_files(page_day: Plan) -> dict[str, str]:
    return sheet_files(page_day)


@pytest.fixture(scope="session")
def folder(page_day: Plan, page_files: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("page") / "out"
    write_folder(place, {**page_files, PAGE: page_text(page_day, page_files)})
    return place


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("no chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        # Processes of a test run as root, in containers too, where the sandbox cannot be set up.
        started = player.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def looked(browser: Any) -> Iterator[Looked]:
    context = browser.new_context(viewport={"width": 1280, "height": 800}, reduced_motion="reduce")
    # A browser without a screen would print at once and for nobody.
    context.add_init_script("window.print = () => { window.printed = (window.printed ?? 0) + 1; }")
    page = context.new_page()
    seen = Looked(page)
    page.on("console", lambda message: seen.complaints.append(message.text))
    page.on("pageerror", lambda error: seen.complaints.append(str(error)))
    page.on("request", lambda asked: seen.complaints.append(asked.url)
            if not asked.url.startswith(("file:", "data:", "blob:", "about:")) else None)  # fmt: skip
    yield seen
    if page.url.startswith("file:"):
        assert "[object" not in page.locator("body").evaluate("one => one.innerText")
    context.close()
    assert seen.complaints == []

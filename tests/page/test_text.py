"""The file itself: whole, safe, the same every time, and with all that the plan says."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import subprocess
import sys
from html.parser import HTMLParser
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.lengths import size_text
from planner.page.assembly import page_text, safe_json
from planner.page.outlines import UNITS, outline
from planner.page.printing import packed, sheets_of
from planner.plan import OffcutRecord, Plan
from planner.reasons import reason_lines
from planner.sheets.svg import Drawing
from planner.summary import used_share
from tests.page.conftest import HOSTILE, a_hostile_plan


class Blocks(HTMLParser):
    """The script elements of a page by id, as a parser of HTML finds them, and every tag."""

    def __init__(self) -> None:
        super().__init__()
        self.inside: str | None = None
        self.found: dict[str, str] = {}
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.inside = (dict(attrs).get("id") or tag) if tag in ("script", "style") else None

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.found[self.inside] = self.found.get(self.inside, "") + data

    def handle_endtag(self, tag: str) -> None:
        self.inside = None


def blocks_of(page: str) -> Blocks:
    parser = Blocks()
    parser.feed(page)
    return parser


def day_of(page: str) -> dict[str, Any]:
    return json.loads(blocks_of(page).found["data-day"])


@settings(max_examples=40)
@given(
    st.recursive(st.text(), lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4))
)
def test_json_for_the_page_says_the_same_and_ends_nothing(data: Any) -> None:
    text = safe_json(data)
    assert json.loads(text) == data
    assert not set("<>&\u2028\u2029") & set(text)
    text.encode()


def test_the_same_plan_gives_the_same_bytes(page_day: Plan, page_files: dict[str, str]) -> None:
    assert page_text(page_day, page_files) == page_text(page_day, dict(page_files))


def test_the_page_asks_for_nothing_and_lets_nothing_run_but_its_own_script(
    page_day: Plan, page_files: dict[str, str]
) -> None:
    parser = blocks_of(page_text(page_day, page_files))
    assert not [tag for tag, given in parser.tags if tag == "link" or "src" in given or "style" in given]
    assert not [key for _, given in parser.tags for key in given if key.startswith("on")]
    (policy,) = [given["content"] for _, given in parser.tags if given.get("http-equiv") == "Content-Security-Policy"]
    for name in ("script", "style"):
        digest = base64.b64encode(hashlib.sha256(parser.found[name].encode()).digest()).decode()
        assert f"{name}-src 'sha256-{digest}'" in (policy or "")
    assert (policy or "").startswith("default-src 'none'")
    assert "unsafe" not in (policy or "")


def test_no_script_writes_markup() -> None:
    import planner.page.assembly as room

    text = "".join(room._part(name) for name in room._SCRIPTS)
    assert not re.findall(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function", text)


def test_hostile_words_stay_words(page_day: Plan) -> None:
    plan = a_hostile_plan()
    parser = blocks_of(page_text(plan, {}))
    assert {tag for tag, _ in parser.tags} == {tag for tag, _ in blocks_of(page_text(page_day, {})).tags}
    told = json.loads(parser.found["data-day"])
    assert {plate["name"] for plate in told["plates"]} == set(HOSTILE.values())


def test_every_plate_is_told_with_its_allowances_and_who_asked(page_day: Plan) -> None:
    told = {plate["id"]: plate for plate in day_of(page_text(page_day, {}))["plates"]}
    assert list(told) == [plate.id for plate in page_day.plates]
    for plate in page_day.plates:
        said = [re.sub(r"\s+", " ", line).strip() for line in reason_lines(page_day, plate.id, "the plan")]
        assert len(told[plate.id]["allowances"]) == len(plate.allowances)
        assert all(one in said for one in told[plate.id]["allowances"])
    held = {plate["id"] for plate in told.values() if plate["held"]}
    assert held == {one.plate for one in page_day.held} == {"501/Barn"}


def test_the_figures_at_the_head_are_those_of_the_plan(page_day: Plan) -> None:
    day = day_of(page_text(page_day, {}))
    facts = {name: (figure, more) for name, figure, more in day["facts"]}
    assert facts["Plates"] == ("5", "1 held, on no flat")
    assert facts["Jobs"] == ("2", "1 rush")
    areas = [flat.sheet.width * flat.sheet.height for flat in page_day.flats]
    used = sum(used_share(page_day, flat) * area for flat, area in zip(page_day.flats, areas, strict=True))
    assert facts["Metal used"][0] == f"{used / sum(areas):.0%}"
    # Minutes are added up as they were planned, as on the router's sheet, and rounded once.
    of_plates = {plate: work.minutes for work in page_day.router for plate in work.plates}
    by_flat = [sum(of_plates.get(placed.plate, 0.0) for placed in flat.placements) for flat in page_day.flats]
    assert facts["Router"][0] == f"{sum(by_flat):.0f} min"
    assert [flat["minutes"] for flat in day["flats"]] == [round(minutes, 1) for minutes in by_flat]
    assert [len(day["flats"]), len(day["findings"])] == [len(page_day.flats), len(page_day.findings)]


def test_offcuts_to_keep_are_told_for_the_day_and_drawn_on_their_flats(page_day: Plan) -> None:
    flat = page_day.flats[0]
    named = tuple(
        OffcutRecord(name=name, flat=flat.number, box=(0.5, 0.5, 3.0, 4.25), after_cut=cut)
        for name, cut in ((HOSTILE["script"], 3), ("b", None))
    )
    text = page_text(page_day.model_copy(update={"offcuts": named}), {})
    told = [(one["name"], one["flat"], one["size"], one["after"]) for one in day_of(text)["offcuts"]]
    size = size_text(3.0, 4.25)
    assert told == [(HOSTILE["script"], flat.number, size, "cut 3"), ("b", flat.number, size, "")]
    for other in page_day.flats:
        drawn = json.loads(blocks_of(text).found[f"data-flat-{other.number}"])["offcuts"]
        wanted = [{"name": one.name, "size": size, "box": list(one.box)} for one in named]
        assert drawn == (wanted if other is flat else [])


def test_cautions_of_the_sheets_are_on_the_page(page_day: Plan, page_files: dict[str, str]) -> None:
    flats = day_of(page_text(page_day, {}))["flats"]
    magnesium = next(flat for flat in flats if "magnesium" in flat["sheet"])
    assert any("NEVER put water" in line for line in magnesium["cautions"]["metal"])
    for flat in flats:
        assert any("Router and bevel" in line for line in flat["cautions"]["metal"])
        assert any("acid" in line for line in flat["cautions"]["stripper"])


corners = st.tuples(st.integers(-40000, 40000), st.integers(-40000, 40000))


@given(st.lists(corners, min_size=3, max_size=12, unique=True))
def test_an_outline_is_read_back_where_it_was(ring: list[tuple[int, int]]) -> None:
    shape = ((tuple((x / UNITS, y / UNITS) for x, y in ring),),)
    found = re.fullmatch(r"M(-?\d+) (-?\d+)l([-\d ]+)z", outline(shape))
    assert found is not None
    x, y = int(found[1]), int(found[2])
    steps = list(map(int, re.findall(r"-?\d+", found[3])))
    read = [(x, y)]
    for across, up in zip(steps[::2], steps[1::2], strict=True):
        x, y = x + across, y + up
        read.append((x, y))
    assert read == ring


def unpacked(text: str) -> dict[str, str]:
    told = json.loads(gzip.decompress(base64.b64decode(text)))
    return {
        name: "".join(told["paths"][piece] if isinstance(piece, int) else piece for piece in pieces)
        for name, pieces in told["sheets"].items()
    }


def test_packed_sheets_come_out_as_they_went_in(page_files: dict[str, str]) -> None:
    assert unpacked(packed({**page_files, "plan.json": "{}"})) == page_files


def test_a_path_that_sheets_share_is_packed_once() -> None:
    path = "M0 0" + "".join(f"l{number} {number * 7919 % 1009}" for number in range(4000)) + "z"
    sheet = f'<svg width="1in" height="2in"><title>A</title><path d="{path}"/></svg>'
    one, three = packed({"a.svg": sheet}), packed({f"{name}.svg": sheet for name in "abc"})
    assert len(three) < 1.05 * len(one)
    assert unpacked(three)["c.svg"] == sheet


def test_a_sheet_says_itself_what_it_is_called_and_how_it_lies() -> None:
    drawing = Drawing("Lists & <more>", "")
    drawing.size(17, 11)
    (sheet,) = sheets_of({"flat-02-new.svg": drawing.markup(), "plan.json": "{}"})
    assert sheet.told() == {"file": "flat-02-new.svg", "title": "Lists & <more>", "wide": True, "flat": 2}


def test_reading_a_plan_loads_no_drawing() -> None:
    code = (
        "import sys, planner.plan; print([n for n in sys.modules if n.startswith(('planner.sheets', 'planner.page'))])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"

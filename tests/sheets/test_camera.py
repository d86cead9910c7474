"""The camera's list: one focus for each group, and of each copy what has to be set and known."""

from __future__ import annotations

from defusedxml.ElementTree import fromstring

from planner.plan import Plan
from planner.sheets.camera import camera_sheet, per_cent
from planner.sheets.text import width_of

SVG = "{http://www.w3.org/2000/svg}"


def _words(text: str, key: str, value: str) -> str:
    found = [one.text or "" for one in fromstring(text).iter(f"{SVG}text") if one.get(f"data-{key}") == value]
    return " ".join(found)


def test_copies_are_listed_by_the_focus_they_share(routed: Plan, routed_files: dict[str, str]) -> None:
    text = routed_files["camera.svg"]
    headings = [one.text or "" for one in fromstring(text).iter(f"{SVG}text") if one.get("font-size") == "0.19"]
    assert [heading.split(":")[0] for heading in headings[1:-1]] == [
        "1. FOCUS FOR 100 %", "2. FOCUS FOR 75 %", "3. FOCUS FOR 50 %", "4. FOCUS FOR 40 %",
    ]  # fmt: skip
    assert headings[-1] == "CAUTIONS"
    assert headings[-2].endswith("2 copies that ask for 40 % to 40.1 %")
    assert "4 settings of the focus for 5 copies" in _words(text, "part", "title")
    last = _words(text, "list", "focus-4")
    for words in ("J1201 Stamp", "J1081 Rose, red", "art/label-small.svg", "bottom 1/8, top 1/4 in", "TURNED",
                  "1 x 1 13/32 in", "40.1 %", "drop-out", "threshold 50 %", "600 to the inch", "0.002 in"):  # fmt: skip
        assert words in last, words
    second = _words(text, "list", "focus-2")
    assert "REVERSE" in second
    assert "page 2" in second
    assert "none" in second


def test_a_day_without_copies_has_no_list(files: dict[str, str]) -> None:
    assert "camera.svg" not in files


def test_copies_of_one_plate_are_named_once(routed: Plan) -> None:
    setting = routed.camera[0]
    copy = setting.copies[0].model_copy(update={"plates": tuple(f"J1090/Colophon/{place}" for place in (1, 2, 3, 4))})
    day = routed.model_copy(update={"camera": (setting.model_copy(update={"copies": (copy,)}),)})
    listed = _words(camera_sheet(day), "list", "focus-1")
    assert "J1090 Colophon (4 times)" in listed
    # Copies of one plate are one name, however many they are: the names are what there is no room for.
    six = copy.model_copy(update={"plates": ("J1090/Colophon/1",) * 6})
    day = routed.model_copy(update={"camera": (setting.model_copy(update={"copies": (six,)}),)})
    told = _words(camera_sheet(day), "list", "focus-1")
    assert "J1090 Colophon (6 times)" in told
    assert "more" not in told
    more = copy.model_copy(update={"plates": tuple(str(place) for place in range(9))})
    day = routed.model_copy(update={"camera": (setting.model_copy(update={"copies": (more,)}),)})
    assert "and 5 more" in _words(camera_sheet(day), "list", "focus-1")


def test_a_long_list_makes_the_page_longer_and_stays_on_it(routed: Plan) -> None:
    long = routed.camera[0].model_copy(update={"copies": routed.camera[0].copies * 60})
    text = camera_sheet(routed.model_copy(update={"camera": (long,)}))
    root = fromstring(text)
    width, height = float(root.get("width", "0in")[:-2]), float(root.get("height", "0in")[:-2])
    assert width == 11
    assert height > 20
    for one in root.iter(f"{SVG}text"):
        x, size = float(one.get("x", "0")), float(one.get("font-size", "0"))
        assert float(one.get("y", "0")) < height
        if one.get("text-anchor") is None:
            assert x + width_of(one.text or "", size, one.get("font-weight") == "bold") <= width


def test_hostile_file_names_do_no_harm(routed: Plan) -> None:
    for words in ("<script>alert(1)</script>.svg", "../../" * 200 + "x.svg", "a\x00b\u202e.svg", ""):
        art = tuple(record.model_copy(update={"file": words, "kind": words}) for record in routed.art)
        text = camera_sheet(routed.model_copy(update={"art": art}))
        names = {element.tag.removeprefix(SVG) for element in fromstring(text).iter()}
        assert names <= {"svg", "title", "desc", "defs", "g", "path", "text"}


def test_percentages_are_said_to_a_tenth() -> None:
    assert [per_cent(value) for value in (50.0, 49.96, 33.333, 100.04)] == ["50 %", "50 %", "33.3 %", "100 %"]

"""True size, legible, harmless, the same every time."""

from __future__ import annotations

import hashlib
import io
import os
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import resvg_py
import svgelements
from defusedxml.ElementTree import fromstring
from PIL import Image

from planner.plan import Box, Plan, plan_text
from planner.sheets.folder import sheet_files
from planner.sheets.text import width_of

SVG = "{http://www.w3.org/2000/svg}"
NAMES = ["flat-01-stripper.svg", "flat-01-metal.svg", "flat-02-stripper.svg", "flat-02-metal.svg"]
EVERY = [*NAMES, "flat-01-shear.svg", "flat-02-shear.svg", "mounting.svg", "key.svg"]
NUMBER = r"-?\d+(?:\.\d+)?"


def _numbers(text: str | None) -> list[float]:
    return [float(value) for value in re.findall(NUMBER, text or "")]


def _by_id(root: ET.Element, name: str) -> ET.Element:
    return next(element for element in root.iter() if element.get("id") == name)


def _walk(element: ET.Element, transforms: tuple[str, ...] = ()) -> Iterator[tuple[ET.Element, tuple[str, ...]]]:
    mine = (*transforms, element.get("transform", ""))
    yield element, mine
    for child in element:
        yield from _walk(child, mine)


def test_the_sheets_of_each_flat_and_of_the_day(files: dict[str, str]) -> None:
    flats = [f"flat-0{number}-{kind}.svg" for number in (1, 2) for kind in ("stripper", "metal", "shear")]
    assert list(files) == [*flats, "mounting.svg", "key.svg"]


@pytest.mark.parametrize("name", EVERY)
def test_the_page_is_measured_in_inches(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    width, height = root.get("width", ""), root.get("height", "")
    assert width.endswith("in")
    assert height.endswith("in")
    assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
    assert root.get("role") == "img"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]


@pytest.mark.parametrize("name", EVERY)
def test_the_check_rule_measures_ten_inches(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    rule = _by_id(root, "check-rule")
    x1, y, x2 = _numbers(next(rule.iter(f"{SVG}path")).get("d"))[:3]
    assert x2 - x1 == 10
    dpi = 60
    # Of the page only the strip with the rule is drawn, at the scale that the page's own head says.
    scale = float(root.get("width", "")[:-2]) / float(root.get("viewBox", "").split()[2])
    assert scale == 1
    left, top, width, height = x1 - 0.5, y - 0.5, 11.0, 1.0
    head = files[name].replace(f'viewBox="{root.get("viewBox")}"', f'viewBox="{left} {top} {width} {height}"', 1)
    for side, size in (("width", width), ("height", height)):
        head = head.replace(f'{side}="{root.get(side)}"', f'{side}="{size * scale}in"', 1)
    png = resvg_py.svg_to_bytes(svg_string=head, dpi=dpi, background="#ffffff")
    dark = 255 - np.asarray(Image.open(io.BytesIO(png)).convert("L")).astype(float)
    assert dark.shape == (round(height * dpi), round(width * dpi))
    # Only the two end ticks are this tall; their middles are found by weight, finer than a pixel.
    line = dark[round((y - 0.25 - top) * dpi)]
    assert line.max() > 60
    half = round(5.5 * dpi)
    middles = [
        float(np.average(np.arange(part.start, part.stop) + 0.5, weights=line[part]))
        for part in (slice(0, half), slice(half, len(line)))
    ]
    assert (middles[1] - middles[0]) / dpi == pytest.approx(10, rel=1e-3)


@pytest.mark.parametrize("name", EVERY)
def test_no_text_lies_under_a_mirror(files: dict[str, str], name: str) -> None:
    texts = 0
    for element, transforms in _walk(fromstring(files[name])):
        if element.tag != f"{SVG}text":
            continue
        texts += 1
        assert all(not words or words.startswith("rotate(-90 ") for words in transforms)
        assert float(element.get("font-size", "0")) >= 0.09
    assert texts > 40


def test_the_same_plan_gives_the_same_bytes(plan: Plan, files: dict[str, str], tmp_path: Path) -> None:
    assert sheet_files(plan) == files
    (tmp_path / "plan.json").write_text(plan_text(plan), encoding="utf-8")
    code = (
        "import sys, hashlib, pathlib; from planner.plan import read_plan;"
        "from planner.sheets.folder import sheet_files;"
        "f = sheet_files(read_plan(pathlib.Path(sys.argv[1])));"
        "print(hashlib.sha256(repr(sorted(f.items())).encode()).hexdigest())"
    )
    # Another seed than this process has, whichever that is.
    seed = "2" if os.environ.get("PYTHONHASHSEED") == "1" else "1"
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "plan.json")],
        env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout.strip() == hashlib.sha256(repr(sorted(files.items())).encode()).hexdigest()


@pytest.mark.parametrize("name", EVERY)
def test_numbers_are_short_and_plain(files: dict[str, str], name: str) -> None:
    for element in fromstring(files[name]).iter():
        for key in ("d", "transform", "x", "y", "width", "stroke-width", "stroke-dasharray", "points", "font-size"):
            value = element.get(key, "")
            assert not re.search(r"\d[eE][-+]?\d", value)
            assert not re.search(r"\.\d{6}", value)
            assert not re.search(r"-0(?![.\d])", value)


@pytest.mark.parametrize("name", EVERY)
def test_ids_are_given_once_and_hatches_exist(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    ids = Counter(element.get("id") for element in root.iter() if element.get("id"))
    assert [key for key, times in ids.items() if times > 1] == []
    used = set(re.findall(r"url\(#([^)]*)\)", files[name]))
    assert used == {pattern.get("id") for pattern in root.iter(f"{SVG}pattern")}


@pytest.mark.parametrize("name", NAMES)
def test_the_legend_lists_what_is_drawn_and_nothing_else(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    drawn = {element.get("data-kind") for element in _by_id(root, "work").iter() if element.get("data-kind")}
    listed = [element.get("data-swatch") for element in root.iter() if element.get("data-swatch")]
    assert sorted(listed, key=str) == sorted(drawn, key=str)
    words = [element for element in root.iter(f"{SVG}text") if element.get("data-list") == "legend"]
    assert len(words) >= len(listed)


@pytest.mark.parametrize("name", NAMES)
def test_kinds_look_different_without_colour(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    patterns = {pattern.get("id", ""): pattern for pattern in root.iter(f"{SVG}pattern")}

    def look(kind: str) -> str:
        path = next(path for path in root.iter(f"{SVG}path") if path.get("data-kind") == kind)
        fill = path.get("fill", "")
        named = re.findall(r"#([^)]*)\)", fill)
        if named:
            pattern = patterns[named[0]]
            inner = "".join(f"{part.get('d')}{part.get('stroke-dasharray')}" for part in pattern.iter(f"{SVG}path"))
            return f"{pattern.get('patternTransform')} {pattern.get('width')} {inner}"
        return f"{path.get('stroke-dasharray')} {path.get('stroke-width')} {fill}"

    kinds = [element.get("data-swatch", "") for element in root.iter() if element.get("data-swatch")]
    assert len({look(kind) for kind in kinds}) == len(kinds)


@pytest.mark.parametrize("name", NAMES)
def test_two_parsers_read_the_sheets(plan: Plan, files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    page = svgelements.SVG.parse(io.StringIO(files[name]), ppi=96)
    paths = [path for path in page.elements() if isinstance(path, svgelements.Path)]
    kept = list(root.iter(f"{SVG}path"))
    inside = sum(len(list(pattern.iter(f"{SVG}path"))) for pattern in root.iter(f"{SVG}pattern"))
    assert len(paths) == len(kept) - inside
    sheet = plan.flats[0 if "01" in name else 1].sheet
    outline = next(path for path in paths if path.values.get("data-kind") == "sheet")
    left, top, right, bottom = (value / 96 for value in outline.bbox())
    assert (right - left, bottom - top) == pytest.approx((sheet.width, sheet.height), abs=1e-4)


def _label_boxes(root: ET.Element) -> list[tuple[str, Box]]:
    """Give the box of every line of every label as the text would fill it, estimated."""
    boxes = []
    for element in root.iter(f"{SVG}text"):
        number = element.get("data-number")
        if element.get("data-label") != "plate" or number is None:
            continue
        x, y, size = (float(element.get(key, "0")) for key in ("x", "y", "font-size"))
        width = width_of(element.text or "", size, element.get("font-weight") == "bold")
        if element.get("transform"):
            boxes.append((number, (x - 0.8 * size, y - width, size, width)))
        else:
            boxes.append((number, (x, y - 0.8 * size, width, size)))
    return boxes


@pytest.mark.parametrize("name", NAMES)
def test_labels_stay_inside_their_blanks_and_off_each_other(plan: Plan, files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    flat = plan.flats[0 if "01" in name else 1]
    a, _, _, d, across, down = _numbers(_by_id(root, "work").get("transform"))
    boxes = _label_boxes(root)
    assert {number for number, _ in boxes} == {str(place) for place in range(1, len(flat.placements) + 1)}
    for number, (left, top, width, height) in boxes:
        x, y, wide, high = flat.placements[int(number) - 1].blank
        xs, ys = sorted((a * x + across, a * (x + wide) + across)), sorted((d * y + down, d * (y + high) + down))
        assert xs[0] <= left
        assert left + width <= xs[1]
        assert ys[0] <= top
        assert top + height <= ys[1]
    grounds = [
        _numbers(path.get("d")) for path in root.iter(f"{SVG}path") if path.get("data-part") == "ground"
    ]  # x, y, right, bottom, x
    for place, one in enumerate(grounds):
        for other in grounds[place + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (one, other)


def test_a_label_that_fits_nowhere_is_kept_in_the_list(build: Callable[..., Plan], art: Callable[..., object]) -> None:
    from shapely import box

    small = art("J" * 40, "N" * 200, (0.15, 0.15), "line", box(0, 0, 0.15, 0.15))
    files = sheet_files(build([(1.0, [small])]))
    for text in (files["flat-01-stripper.svg"], files["flat-01-metal.svg"]):
        root = fromstring(text)
        texts = list(root.iter(f"{SVG}text"))
        labels = [element.text or "" for element in texts if element.get("data-label") == "plate"]
        assert [label[:2].strip() for label in labels[:1]] == ["1"]
        assert all(len(label) < 40 for label in labels)
        # The plate is smaller than the smallest label: what names it stands beside it, with a line to it.
        assert root.find(f".//{SVG}path[@data-part='leader']") is not None
        listed = " ".join(element.text or "" for element in texts if element.get("data-list") == "plates")
        assert "JJJ" in listed
        assert "\u2026" in listed


HOSTILE = [
    '<script>alert("x")</script>',
    "]]><!-- & ' \" </text></svg>",
    "a\x00b\x1bc\ud800d\ufffe",
    "\u202eevil \u2066x",
    "\u05e9\u05dc\u05d5\u05dd 12",
    "Z" + "\u0301" * 200,
    "N" * 300,
    "a word and another " * 16,
    "\u5370\u5237" * 60,
    "\U0001f5a8" * 40,
    "",
    "   ",
]


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_do_no_harm(build: Callable[..., Plan], art: Callable[..., object], words: str) -> None:
    from shapely import box

    laid = art("J1", "n", (3, 3), "line", box(1, 1, 2, 2), tint=("dots", box(0.2, 0.2, 0.8, 0.8)))
    tame = build([(4.0, [laid])])
    flat, plate = tame.flats[0], tame.plates[0]
    placement = flat.placements[0]
    film = placement.films[0].model_copy(update={"name": words, "kind": words})
    tint = placement.tints[0].model_copy(update={"pattern": words})
    placed = placement.model_copy(update={"plate": words, "films": (film,), "tints": (tint,)})
    sheet = flat.sheet.model_copy(update={"name": words, "metal": words})
    wild = tame.model_copy(
        update={
            "title": words,
            "settings": tame.settings.model_copy(update={"house": words}),
            "plates": (plate.model_copy(update={"id": words, "job": words, "name": words, "mounting": words}),),
            "flats": (flat.model_copy(update={"placements": (placed,), "sheet": sheet}),),
        }
    )
    for text in sheet_files(wild).values():
        text.encode("utf-8")
        root = fromstring(text)
        assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
            "svg", "title", "desc", "defs", "g", "path", "text", "pattern",
        }  # fmt: skip
        shown = "".join(element.text or "" for element in root.iter(f"{SVG}text"))
        assert not re.search("[\u202a-\u202e\u200b\u0000-\u0008]", shown)
        width = float(root.get("width", "0in")[:-2])
        for element in root.iter(f"{SVG}text"):
            size = float(element.get("font-size", "0"))
            wide = width_of(element.text or "", size, element.get("font-weight") == "bold")
            assert wide < width
            if element.get("text-anchor", "start") == "start" and not element.get("transform"):
                assert float(element.get("x", "0")) + wide <= width


@pytest.mark.parametrize("name", EVERY)
def test_everything_lies_in_a_layer_that_an_editor_names(files: dict[str, str], name: str) -> None:
    root = fromstring(files[name])
    label = "{http://www.inkscape.org/namespaces/inkscape}label"
    for child in root:
        if child.tag in {f"{SVG}title", f"{SVG}desc", f"{SVG}defs"}:
            continue
        assert child.tag == f"{SVG}g"
        assert child.get("id")
        assert child.get(label)
    layers = [group.get("id") for group in _by_id(root, "work")]
    assert all(group.get(label) for group in _by_id(root, "work"))
    assert len(layers) == len(set(layers))


def test_every_view_says_what_it_is_and_warns(files: dict[str, str]) -> None:
    def words(name: str) -> str:
        return " ".join(element.text or "" for element in fromstring(files[name]).iter(f"{SVG}text"))

    assert "RIGHT-READING - stripper" in words("flat-01-stripper.svg")
    assert "WRONG-READING - metal side" in words("flat-01-metal.svg")
    assert "class d" in words("flat-02-metal.svg").lower()
    assert "class d" not in words("flat-01-metal.svg").lower()
    for name in NAMES:
        assert "must measure 10 in" in words(name)
        assert "The person at the machine decides" in words(name)


def test_only_one_module_knows_svgwrite() -> None:
    rooms = Path(__file__).parents[2] / "planner"
    knowing = [path.name for path in sorted(rooms.rglob("*.py")) if "import svgwrite" in path.read_text("utf-8")]
    assert knowing == ["svg.py"]

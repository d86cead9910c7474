"""The router's sheets: which page for which plate, what is drawn and numbered on it, and what the lists say."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import resvg_py
import svgelements
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from shapely import Polygon, box

from planner.geometry import grown, moved, plain, shape_of, turned_quarter
from planner.plan import Plan, RouterRecord
from planner.sheets.bench import put, router_jobs, runs_words, to_flat, to_plate
from planner.sheets.folder import sheet_files
from planner.sheets.router_flat import flat_router_sheet
from planner.sheets.router_lists import area_text, minutes_text, near_text
from planner.sheets.router_plate import plate_sheet, scale_for, window_of

SVG = "{http://www.w3.org/2000/svg}"
NUMBER = r"-?\d+(?:\.\d+)?"


def _pages(files: dict[str, str]) -> dict[str, str]:
    return {name: text for name, text in files.items() if "-router" in name}


def _texts(text: str, key: str, value: str | None = None) -> list[str]:
    found = [element for element in fromstring(text).iter(f"{SVG}text") if element.get(f"data-{key}") is not None]
    return [element.text or "" for element in found if value is None or element.get(f"data-{key}") == value]


def _numbers(text: str | None) -> list[float]:
    return [float(value) for value in re.findall(NUMBER, text or "")]


def _matrix(root: ET.Element) -> list[float]:
    work = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "work")
    return _numbers(work.get("transform"))


def _record(plan: Plan, name: str) -> RouterRecord:
    return next(job.record for job in router_jobs(plan) if f"{job.stem}.svg" == name)


def test_each_flat_has_an_overview_and_plates_that_are_alike_share_a_page(
    routed: Plan, routed_files: dict[str, str]
) -> None:
    names = list(_pages(routed_files))
    # Plate 3 is all image; 8 to 11 are copies of one.
    first = [f"flat-01-router-plate-{number}.svg" for number in (1, 2, 4, 5, 6, 7, 8, 12, 13, 14, 15)]
    second = [f"flat-02-router-plate-{number}.svg" for number in (1, 2, 3)]
    assert names == ["flat-01-router.svg", *first, "flat-02-router.svg", *second]
    page = routed_files["flat-01-router-plate-8.svg"]
    assert "ALSO for plates 9-11: they are alike." in " ".join(_texts(page, "list", "use"))
    assert any("also for plates 9-11" in line for line in _texts(page, "part", "title"))
    assert "true size" in " ".join(_texts(page, "list", "use"))


def test_a_day_without_router_work_has_no_router_sheet(plan: Plan, files: dict[str, str]) -> None:
    assert not plan.router
    assert not _pages(files)


def test_alike_plates_on_several_flats_are_told_by_flat(routed: Plan) -> None:
    (work,) = [record for record in routed.router if "Ticket" in record.plates[0]]
    more = work.model_copy(update={"plates": (*work.plates, "J1090/Colophon/2", "J1090/Colophon/4")})
    rest = tuple(record for record in routed.router if record is not work and "Colophon" not in record.plates[0])
    day = routed.model_copy(update={"router": (*rest, more)})
    jobs = router_jobs(day)
    assert "flat-02-router-plate-1" not in [job.stem for job in jobs]
    page = plate_sheet(day, next(job for job in jobs if job.stem == "flat-01-router-plate-9"))
    assert "ALSO for plate 11; plate 1 on flat 2: they are alike." in " ".join(_texts(page, "list", "use"))
    listed = " ".join(_texts(flat_router_sheet(day, day.flats[1], jobs), "list", "pages"))
    assert "plate 1: flat-01-router-plate-9.svg" in listed


def test_a_plate_on_no_flat_has_no_page(routed: Plan) -> None:
    lost = routed.router[0].model_copy(update={"plates": ("nowhere",)})
    stems = [job.stem for job in router_jobs(routed.model_copy(update={"router": (lost, *routed.router[1:])}))]
    assert stems[0] == "flat-01-router-plate-2"
    magnesium = routed.model_copy(update={"flats": routed.flats[1:], "router": (lost,)})
    assert list(sheet_files(magnesium)) == [
        "flat-02-stripper.svg",
        "flat-02-metal.svg",
        "flat-02-shear.svg",
        "camera.svg",
        "mounting.svg",
        "key.svg",
    ]


@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_a_plate_s_frame_is_brought_to_the_flat_as_it_is_turned(routed: Plan, turned: int) -> None:
    plate = routed.plates[0]
    across, up = 3.0, 7.0
    left, bottom, width, height = plate.blank
    turn = turned // 90
    size = (height, width) if turn % 2 else (width, height)
    placement = routed.flats[0].placements[0].model_copy(update={"turned": turned, "blank": (across, up, *size)})
    shape = Polygon([(0, 0), (1, 0), (0.5, 2)])
    wanted = moved(turned_quarter(moved(shape, -left, -bottom), turn, width, height), across, up)
    there = put(to_flat(plate, placement), plain(shape))
    assert shape_of(there).symmetric_difference(wanted).area < 1e-9
    assert shape_of(put(to_plate(plate, placement), there)).symmetric_difference(shape).area < 1e-9


def test_zones_are_drawn_as_the_plan_has_them_each_cutter_by_its_own_hatch(
    routed: Plan, routed_files: dict[str, str]
) -> None:
    for name, text in _pages(routed_files).items():
        if name.endswith("router.svg"):
            continue
        root = fromstring(text)
        drawn = {
            int(path.get("data-zone", "0")): path
            for path in root.iter(f"{SVG}path")
            if path.get("data-zone") and path.get("data-kind")
        }
        record = _record(routed, name)
        assert sorted(drawn) == [zone.number for zone in record.zones]
        for zone in record.zones:
            path = drawn[zone.number]
            rings = [_numbers(ring) for ring in path.get("d", "").split("Z") if ring]
            shapes = [Polygon(list(zip(ring[::2], ring[1::2], strict=True))) for ring in rings]
            area = shapes[0].area - sum(hole.area for hole in shapes[1:])
            assert area == pytest.approx(zone.area, abs=0.002 * sum(shape.length for shape in shapes) + 1e-6)
        fills = {path.get("data-kind"): path.get("fill") for path in drawn.values()}
        assert len(set(fills.values())) == len({zone.cutter for zone in record.zones})


def test_paths_entries_nails_and_close_edges_are_drawn(routed: Plan, routed_files: dict[str, str]) -> None:
    name = "flat-01-router-plate-4.svg"
    record = _record(routed, name)
    root = fromstring(routed_files[name])
    kinds: dict[str, list[str]] = {}
    for path in root.iter(f"{SVG}path"):
        kinds.setdefault(path.get("data-kind", ""), []).append(path.get("d", ""))
    starts = [path[0] for zone in record.zones for path in zone.paths]
    circles = [_numbers(part)[:2] for path in kinds["entry"] for part in path.split("M") if part]
    half = 0.028 / _scale(root)
    assert len(circles) == len(starts)
    for (x, y), (wanted_x, wanted_y) in zip(circles, starts, strict=True):
        assert (x + half, y) == pytest.approx((wanted_x, wanted_y), abs=1e-4)
    ways = sum(path.count("M") for path in kinds["way"])
    assert ways == sum(len(zone.paths) for zone in record.zones)
    assert len(kinds["nail"]) == len(record.nails) > 0
    assert len(kinds["near"]) == len(record.near) > 0
    assert _texts(routed_files[name], "near") == [str(number + 1) for number in range(len(record.near))]
    assert len(kinds["white"]) == 1
    assert "staying" in kinds


def _scale(root: ET.Element) -> float:
    a, _, _, d, _, _ = _matrix(root)
    assert a == d < 0
    return -d


def test_a_plate_is_drawn_turned_over_as_large_as_the_page_says(routed: Plan, routed_files: dict[str, str]) -> None:
    for job in router_jobs(routed):
        text = routed_files[f"{job.stem}.svg"]
        scale = _scale(fromstring(text))
        assert scale == scale_for(window_of(job))
        told = " ".join(_texts(text, "part", "title"))
        assert ("TRUE SIZE" if scale == 1 else f"{scale:g} X TRUE SIZE") in told


@pytest.mark.parametrize("size", [(0.5, 0.5), (2, 3), (4, 6), (8.375, 10.375), (12, 14), (23, 35)])
def test_a_page_is_never_larger_than_a_plotter_takes(size: tuple[float, float]) -> None:
    scale = scale_for((0, 0, *size))
    assert scale >= 1
    assert scale == int(scale)
    if scale > 1:
        assert size[0] * scale <= 22
        assert size[1] * scale <= 22


def test_ways_that_run_off_the_metal_are_shown(routed: Plan) -> None:
    job = router_jobs(routed)[0]
    zone = job.record.zones[0]
    ways = (((-1.0, 2.0), (3.0, job.plate.height + 1.5)), *zone.paths)
    record = job.record.model_copy(update={"zones": (zone.model_copy(update={"paths": ways}), *job.record.zones[1:])})
    (far,) = router_jobs(routed.model_copy(update={"router": (record,)}))
    left, bottom, width, height = window_of(far)
    assert (left, bottom) == (-1.0, pytest.approx(job.plate.blank[1]))
    assert left + width == pytest.approx(job.plate.blank[0] + job.plate.blank[2])
    assert bottom + height == pytest.approx(job.plate.height + 1.5)


def test_copy_reads_the_wrong_way_round_for_the_router(routed: Plan, routed_files: dict[str, str]) -> None:
    name = "flat-02-router-plate-2.svg"
    root = fromstring(routed_files[name])
    job = next(job for job in router_jobs(routed) if f"{job.stem}.svg" == name)
    a, _, _, d, across, down = _matrix(root)
    for parent in list(root.iter()):
        for child in list(parent):
            layer = child.get("id", "")
            if (layer.startswith("layer-") and layer != "layer-art") or child.tag == f"{SVG}text":
                parent.remove(child)
    dpi = 40
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=dpi, background="#ffffff")
    dark = np.asarray(Image.open(io.BytesIO(png)).convert("L")) < 128
    import shapely

    printing = shape_of(job.plate.printing)
    left, bottom, right, top = printing.bounds
    rows, columns = np.nonzero(dark)
    assert columns.min() / dpi == pytest.approx(a * right + across, abs=1.5 / dpi)
    assert rows.min() / dpi == pytest.approx(d * top + down, abs=1.5 / dpi)
    xs, ys = np.meshgrid(
        ((np.arange(dark.shape[1]) + 0.5) / dpi - across) / a, ((np.arange(dark.shape[0]) + 0.5) / dpi - down) / d
    )
    assert np.mean(dark != shapely.contains_xy(printing, xs, ys)) < 0.005
    assert (left, bottom) != (0, 0)


def test_the_true_size_key_is_at_true_size(routed: Plan, routed_files: dict[str, str]) -> None:
    name = "flat-02-router-plate-3.svg"
    job = next(job for job in router_jobs(routed) if f"{job.stem}.svg" == name)
    root = fromstring(routed_files[name])
    key = next(group for group in root.iter(f"{SVG}g") if group.get("id") == "list-key")
    inner = list(key.iter(f"{SVG}g"))[1]
    assert _numbers(inner.get("transform"))[:4] == [-1, 0, 0, -1]
    outline = list(inner.iter(f"{SVG}path"))[-1]
    xs = _numbers(outline.get("d"))[::2]
    assert max(xs) - min(xs) == pytest.approx(job.plate.width)


def test_every_zone_is_numbered_or_said_not_to_be(routed: Plan, routed_files: dict[str, str]) -> None:
    for job in router_jobs(routed):
        text = routed_files[f"{job.stem}.svg"]
        shown = {int(re.sub(r"\D", "", words)) for words in _texts(text, "zone")}
        use = " ".join(_texts(text, "list", "use"))
        left_out = re.findall(r"Not numbered on the drawing, being small or crowded: ([0-9, -]*)", use)
        missing = _spelled(left_out[0]) if left_out else set()
        assert shown | missing == {zone.number for zone in job.record.zones}
        assert not shown & missing
        large = {zone.number for zone in job.record.zones if zone.cutter is not None and zone.area > 0.1}
        assert large <= shown
        letters = {0.25: "A", 0.125: "B", 0.0625: "C", None: "H"}
        cutters = {zone.number: letters[zone.cutter] for zone in job.record.zones}
        assert all(words == f"{cutters[int(words[1:])]}{words[1:]}" for words in _texts(text, "zone"))


def _spelled(words: str) -> set[int]:
    numbers: set[int] = set()
    for part in words.split(","):
        first, _, last = part.strip().partition("-")
        if first:
            numbers |= set(range(int(first), int(last or first) + 1))
    return numbers


@given(st.sets(st.integers(1, 60)))
def test_runs_of_numbers_are_read_back(numbers: set[int]) -> None:
    assert _spelled(runs_words(numbers)) == numbers


def test_the_table_lists_every_zone_once_and_long_tables_are_grouped(
    routed: Plan, routed_files: dict[str, str]
) -> None:
    for job in router_jobs(routed):
        text = routed_files[f"{job.stem}.svg"]
        group = next(one for one in fromstring(text).iter(f"{SVG}g") if one.get("id") == "list-zones")
        left = min(float(one.get("x", "0")) for one in group.iter(f"{SVG}text"))
        words = [
            one.text or "" for one in group.iter(f"{SVG}text")
            if one.get("data-list") == "zones" and (float(one.get("x", "0")) - left) % 5.35 < 1e-6
        ]  # fmt: skip
        listed = _spelled(re.sub(r"\(\d+\)", ",", ",".join(words)).replace(",,", ","))
        assert listed == {zone.number for zone in job.record.zones}
        assert len(words) < 60


def test_labels_lie_on_nothing_that_must_be_seen(routed: Plan, routed_files: dict[str, str]) -> None:
    for job in router_jobs(routed):
        root = fromstring(routed_files[f"{job.stem}.svg"])
        a, _, _, d, across, down = _matrix(root)
        printing = shape_of(job.plate.printing)
        grounds = []
        for path in root.iter(f"{SVG}path"):
            if path.get("data-part") == "ground":
                x, y, right, low, _ = _numbers(path.get("d"))
                grounds.append((x, y, right, low))
                xs, ys = sorted(((x - across) / a, (right - across) / a)), sorted(((y - down) / d, (low - down) / d))
                label = box(xs[0], ys[0], xs[1], ys[1])
                assert label.intersection(printing).area < 1e-6
        for place, one in enumerate(grounds):
            for other in grounds[place + 1 :]:
                assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_close_stretches_are_listed_the_worst_first_in_both_measures(
    routed: Plan, routed_files: dict[str, str]
) -> None:
    name = "flat-01-router-plate-4.svg"
    record = _record(routed, name)
    assert all(one.distance <= other.distance for one, other in pairwise(record.near))
    cells = [word for word in _texts(routed_files[name], "list", "near") if word]
    assert cells[1::4] == [near_text(stretch.distance) for stretch in record.near]
    assert near_text(3 / 64) == "3/64 in, 0.047"
    assert near_text(0.004) == "0.004 in"


def test_only_the_worst_stretches_are_numbered_where_there_are_very_many(routed: Plan) -> None:
    index = next(place for place, record in enumerate(routed.router) if record.near)
    record = routed.router[index]
    rest = tuple(one for one in routed.router if one is not record)[:1]
    many = tuple(record.near[0].model_copy(update={"distance": 0.01 + place / 1e4}) for place in range(80))
    crowded = record.model_copy(update={"near": many})
    plan = routed.model_copy(update={"router": (*rest, crowded)})
    text = plate_sheet(plan, next(job for job in router_jobs(plan) if job.record is crowded))
    assert len(_texts(text, "near")) == 24
    assert "56" in _texts(text, "list", "near")
    kinds = Counter(path.get("data-kind") for path in fromstring(text).iter(f"{SVG}path"))
    assert kinds["near"] == 24
    assert kinds["close"] == 56


def test_the_overview_adds_up(routed: Plan, routed_files: dict[str, str]) -> None:
    for flat in routed.flats:
        placed = {placement.plate for placement in flat.placements}
        work = [record for record in routed.router for plate in record.plates if plate in placed and record.zones]
        words = [word for word in _texts(routed_files[f"flat-0{flat.number}-router.svg"], "list", "router") if word]
        total = words[words.index("ALL") :]
        assert total[1] == str(sum(len(record.zones) for record in work))
        assert total[2] == minutes_text(sum(record.minutes for record in work))
        assert total[3] == f"{sum(record.length for record in work):.0f}"
        assert total[4] == str(sum(record.lifts for record in work))
        labels = " ".join(_texts(routed_files[f"flat-0{flat.number}-router.svg"], "label", "plate"))
        assert f"{len(work[0].zones)} zones" in labels


def test_every_router_sheet_warns_and_magnesium_sheets_of_fire(routed_files: dict[str, str]) -> None:
    for name, text in _pages(routed_files).items():
        words = " ".join(_texts(text, "list", "cautions"))
        assert "eye and hearing protection, chip guard" in words
        assert "The person at the machine decides" in words
        assert ("Class D" in words) == name.startswith("flat-02")
        assert "WRONG-READING - router" in " ".join(_texts(text, "part", "view-name"))


def test_router_sheets_are_as_sound_as_the_others(routed_files: dict[str, str]) -> None:
    for name, text in _pages(routed_files).items():
        root = fromstring(text)
        width, height = root.get("width", ""), root.get("height", "")
        assert root.get("viewBox") == f"0 0 {width[:-2]} {height[:-2]}"
        ids = Counter(element.get("id") for element in root.iter() if element.get("id"))
        assert [key for key, times in ids.items() if times > 1] == []
        assert set(re.findall(r"url\(#([^)]*)\)", text)) <= set(ids)
        work = next(group for group in root.iter() if group.get("id") == "work")
        drawn = {element.get("data-kind") for element in work.iter() if element.get("data-kind")}
        listed = [element.get("data-swatch") for element in root.iter() if element.get("data-swatch")]
        assert sorted(listed, key=str) == sorted(drawn, key=str), name
        texts = list(root.iter(f"{SVG}text"))
        assert all(float(element.get("font-size", "0")) >= 0.09 for element in texts)
        assert not [element for element in work.iter() if element.tag == f"{SVG}text"]
        for element in texts:
            assert 0 <= float(element.get("x", "0")) <= float(width[:-2])
            assert 0 <= float(element.get("y", "0")) <= float(height[:-2])
        rule = next(element for element in root.iter() if element.get("id") == "check-rule")
        x1, _, x2 = _numbers(next(rule.iter(f"{SVG}path")).get("d"))[:3]
        assert x2 - x1 == 10


def test_a_second_parser_finds_the_plate_at_its_scale(routed: Plan, routed_files: dict[str, str]) -> None:
    job = next(job for job in router_jobs(routed) if "Ticket" in job.plate.id)
    page = svgelements.SVG.parse(io.StringIO(routed_files[f"{job.stem}.svg"]), ppi=96)
    outline = next(
        path for path in page.elements()
        if isinstance(path, svgelements.Path) and path.values.get("data-kind") == "outline"
    )  # fmt: skip
    left, top, right, bottom = (value / 96 for value in outline.bbox())
    scale = scale_for(window_of(job))
    assert (right - left, bottom - top) == pytest.approx((scale * job.plate.width, scale * job.plate.height), abs=1e-3)


def test_hostile_words_reach_no_file_name_and_do_no_harm(
    build: Callable[..., Plan], art: Callable[..., object]
) -> None:
    import runpy
    from pathlib import Path

    make = runpy.run_path(str(Path(__file__).parent / "conftest.py"))["router_record"]
    for words in ('<script>alert("x")</script>', "../../etc/passwd", "a\x00b\u202e", "N" * 5000, "", 'x" onload="y'):
        tame = build([(4.0, [art("J1", "n", (3, 3), "line", grown(box(1, 1, 2, 2), 0.2))])])
        plate = tame.plates[0].model_copy(update={"id": words, "job": words, "name": words})
        placement = tame.flats[0].placements[0].model_copy(update={"plate": words})
        flat = tame.flats[0].model_copy(update={"placements": (placement,)})
        wild = tame.model_copy(update={"plates": (plate,), "flats": (flat,), "router": (make((words,), plate),)})
        files = sheet_files(wild)
        assert {"flat-01-router.svg", "flat-01-router-plate-1.svg"} < set(files)
        assert all(re.fullmatch(r"[a-z0-9-]+\.svg", name) for name in files)
        for text in _pages(files).values():
            names = {element.tag.removeprefix(SVG) for element in fromstring(text).iter()}
            assert names <= {"svg", "title", "desc", "defs", "g", "path", "text", "pattern"}


def test_small_amounts_are_never_written_as_nothing() -> None:
    assert minutes_text(0.01).replace("\u00a0", " ") == "< 0.1"
    assert minutes_text(0) == "0.0"
    assert area_text(0.0012) == "0.0012"
    assert area_text(12.345) in ("12.35", "12.34")


def test_odd_records_can_be_drawn(routed: Plan) -> None:
    record = routed.router[0]
    bare = record.zones[0].model_copy(update={"paths": ((),), "cutter": 0.3})
    odd = record.model_copy(
        update={"zones": (bare,), "near": (record.near[0].model_copy(update={"line": ((1.0, 1.0),)}),) if record.near
                else (), "whites": (), "nails": (), "travel_nearest": 0.0}
    )  # fmt: skip
    day = routed.model_copy(update={"router": (odd,)})
    text = plate_sheet(day, router_jobs(day)[0])
    assert "D: rout with the 0.300 in cutter" in " ".join(_texts(text, "list", "legend"))

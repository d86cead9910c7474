"""A machine's drawing read back by the library: sound, in inches, turned over, with the plan's areas and lengths."""

from __future__ import annotations

import hashlib
import io
import os
import re
import runpy
import subprocess
import sys
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from planner.geometry import shape_of
from planner.machine.dxf import cutter_layer, dxf_files
from planner.plan import Plan, plan_text
from planner.sheets.bench import Job, router_jobs

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def routed() -> Plan:
    plan = runpy.run_path(str(ROOT / "tests" / "sheets" / "conftest.py"))["routed_plan"]()
    assert isinstance(plan, Plan)
    return plan


@pytest.fixture(scope="module")
def files(routed: Plan) -> dict[str, str]:
    return dxf_files(routed)


@pytest.fixture(scope="module")
def read(routed: Plan, files: dict[str, str]) -> list[tuple[Job, Drawing]]:
    return [(job, ezdxf.read(io.StringIO(files[f"{job.stem}.dxf"]))) for job in router_jobs(routed)]


def lines(drawing: Drawing, layer: str) -> list[Any]:
    return list(drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'))


def points(line: Any) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in line.get_points("xy")]


def test_there_is_one_drawing_for_each_page_of_the_router(routed: Plan, files: dict[str, str]) -> None:
    assert list(files) == [f"{job.stem}.dxf" for job in router_jobs(routed)]
    assert len(files) == 14


def test_each_drawing_is_sound_and_in_inches(read: list[tuple[Job, Drawing]]) -> None:
    for _, drawing in read:
        auditor = drawing.audit()
        assert not auditor.errors
        assert not auditor.fixes
        assert drawing.header["$INSUNITS"] == 1
        assert drawing.header["$MEASUREMENT"] == 0
        told = dict(drawing.header.custom_vars.properties)
        assert told["View"].startswith("WRONG-READING, seen on the metal: mirrored")
        notes = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="notes"]')]
        assert any("WRONG-READING" in note for note in notes)
        used = {entity.dxf.layer for entity in drawing.modelspace()}
        assert used <= {layer.dxf.name for layer in drawing.layers}


def test_zones_have_the_plan_s_areas_and_lie_at_their_depth(read: list[tuple[Job, Drawing]]) -> None:
    for job, drawing in read:
        for cutter in {zone.cutter for zone in job.record.zones}:
            mine = [zone for zone in job.record.zones if zone.cutter == cutter]
            drawn = lines(drawing, f"{cutter_layer(cutter)}-zones")
            rings = [(ring, zone.depth) for zone in mine for polygon in zone.shape for ring in polygon]
            assert len(drawn) == len(rings)
            for line, (ring, depth) in zip(drawn, rings, strict=True):
                assert line.closed
                assert Polygon(points(line)).area == pytest.approx(Polygon(ring).area, abs=1e-5)
                assert line.dxf.elevation == pytest.approx(-depth)


def test_paths_have_the_plan_s_lengths_in_working_order_and_begin_where_they_begin(
    read: list[tuple[Job, Drawing]],
) -> None:
    for job, drawing in read:
        width = job.plate.width
        for cutter in {zone.cutter for zone in job.record.zones} - {None}:
            drawn = lines(drawing, f"{cutter_layer(cutter)}-paths")
            wanted = [path for zone in job.record.zones if zone.cutter == cutter for path in zone.paths]
            assert len(drawn) == len(wanted)
            for line, path in zip(drawn, wanted, strict=True):
                mine = points(line)
                assert mine[0] == pytest.approx((width - path[0][0], path[0][1]), abs=1e-6)
                assert line.closed == (path[0] == path[-1])
                closed = [*mine, mine[0]] if line.closed else mine
                assert LineString(closed).length == pytest.approx(LineString(path).length, abs=1e-4)
                assert line.dxf.elevation < 0
        total = sum(zone.length for zone in job.record.zones)
        assert total == pytest.approx(job.record.length)


def test_the_plate_is_turned_over(read: list[tuple[Job, Drawing]]) -> None:
    job, drawing = next(one for one in read if "Label F" in one[0].plate.id)
    drawn = [Polygon(points(line)) for line in lines(drawing, "printing")]
    assert len(drawn) == 1
    printing = shape_of(job.plate.printing)
    width = job.plate.width
    mirrored = Polygon([(width - x, y) for x, y in printing.geoms[0].exterior.coords])
    assert drawn[0].symmetric_difference(mirrored).area < 1e-5
    # An F is like its mirror image in no way.
    assert drawn[0].symmetric_difference(printing).area > 0.5
    (outline,) = lines(drawing, "outline")
    assert Polygon(points(outline)).bounds == pytest.approx((0, 0, job.plate.width, job.plate.height), abs=1e-6)


def test_nails_and_close_edges_have_layers_of_their_own(read: list[tuple[Job, Drawing]]) -> None:
    job, drawing = next(one for one in read if one[0].record.nails)
    space = drawing.modelspace()
    circles = list(space.query('CIRCLE[layer=="nails"]'))
    assert [(circle.dxf.center.x, circle.dxf.center.y) for circle in circles] == [
        pytest.approx((job.plate.width - x, y)) for x, y in job.record.nails
    ]
    assert {circle.dxf.radius for circle in circles} == {job.record.nail_width / 2}
    assert len(lines(drawing, "near-image")) == len(job.record.near) > 0


def test_the_same_plan_gives_the_same_bytes(routed: Plan, files: dict[str, str], tmp_path: Path) -> None:
    day = routed.model_copy(update={"router": routed.router[-2:]})
    (tmp_path / "plan.json").write_text(plan_text(day), encoding="utf-8")
    code = (
        "import sys, hashlib, pathlib; from planner.plan import read_plan;"
        "from planner.machine.dxf import dxf_files;"
        "f = dxf_files(read_plan(pathlib.Path(sys.argv[1])));"
        "print(hashlib.sha256(repr(f).encode()).hexdigest())"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "plan.json")],
        env={**os.environ, "PYTHONHASHSEED": "7", "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    again = dxf_files(day)
    assert done.stdout.strip() == hashlib.sha256(repr(again).encode()).hexdigest()
    assert again.items() <= files.items()
    assert not ezdxf.options.write_fixed_meta_data_for_testing


HOSTILE = [
    '<script>alert("x")</script>',
    "../../x",
    "a\nb\r\n  0\nSECTION",
    "a\x00b\ud800",
    "N" * 5000,
    "\u05d0 \u5370 %%c",
    "",
]


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_break_no_drawing(routed: Plan, words: str) -> None:
    job = next(job for job in router_jobs(routed) if "Stamp" in job.plate.id)
    plate = job.plate.model_copy(update={"id": words})
    placement = job.placement.model_copy(update={"plate": words})
    flat = routed.flats[1].model_copy(update={"placements": (placement,)})
    settings = routed.settings.model_copy(update={"house": words})
    record = job.record.model_copy(update={"plates": (words,)})
    wild = routed.model_copy(
        update={"plates": (plate,), "flats": (flat,), "router": (record,), "settings": settings, "title": words}
    )
    files = dxf_files(wild)
    assert list(files) == ["flat-02-router-plate-1.dxf"]
    text = files["flat-02-router-plate-1.dxf"].encode("utf-8").decode("utf-8")
    drawing = ezdxf.read(io.StringIO(text))
    assert not drawing.audit().errors
    assert len(lines(drawing, "outline")) == 1
    assert len(text) < 400_000


def test_layers_are_named_after_their_cutters() -> None:
    assert [cutter_layer(cutter) for cutter in (0.25, 0.125, 1.25, 0.036, None)] == [
        "cutter-1-4", "cutter-1-8", "cutter-1-1-4", "cutter-0.036", "hand-tools",
    ]  # fmt: skip


@given(st.lists(st.floats(1e-4, 4, allow_subnormal=False), min_size=2, max_size=6, unique=True))
def test_no_two_cutters_share_a_layer_and_every_name_is_allowed(cutters: list[float]) -> None:
    names = [cutter_layer(cutter) for cutter in cutters]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z0-9.-]{1,200}", name) for name in names)

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from shapely import Polygon

from planner.forms import InputError
from planner.orders import orders_from, read_orders

from .days import a_day, a_plate


def problems(tables: dict[str, Any]) -> list[str]:
    with pytest.raises(InputError) as refusal:
        orders_from(tables, "monday.toml")
    return str(refusal.value).splitlines()


def test_the_shortest_useful_order_is_six_lines(tmp_path: Path) -> None:
    text = '[[jobs]]\nnumber = "2041"\n[[jobs.plates]]\nname = "Map"\nsize = "3 x 4 in"\nmetal = "zinc"\n'
    assert len(text.splitlines()) == 6
    path = tmp_path / "orders.toml"
    path.write_text(text)
    (job,) = read_orders(path).jobs
    assert job.plates[0].size == (3, 4)


def test_json_with_the_same_keys_reads_alike(tmp_path: Path) -> None:
    tables = a_day({"size": "3 x 4 in"})
    path = tmp_path / "orders.json"
    path.write_text(json.dumps(tables))
    assert read_orders(path) == orders_from(tables, str(path), tmp_path)


def test_every_slip_is_named_at_once_where_a_person_would_look() -> None:
    lines = problems(
        {
            "ttle": "Monday",
            "jobs": [
                {
                    "number": "2041",
                    "plates": [
                        {"name": "Map", "siz": "3 x 4 in", "metal": "tin"},
                        {"name": "Key", "size": 4, "metal": "zinc", "negatives": [{"kind": "lin"}]},
                    ],
                }
            ],
        }
    )
    assert lines == [
        'monday.toml: job 2041, plate "Map", key "metal": must be one of '
        "'copper', 'zinc' or 'magnesium', not \"tin\"",
        'monday.toml: job 2041, plate "Map", key "siz": is not a key here; did you mean "size"?',
        'monday.toml: job 2041, plate "Key", key "size": the bare number 4 is no size; write width x height with the '
        'unit, like "4 1/4 x 6 in" or "108 x 152 mm"',
        'monday.toml: job 2041, plate "Key", negative number 1 in its list, key "kind": must be one of '
        "'line', 'square', 'silhouette', 'drop-out' or 'combination', not \"lin\"; did you mean \"line\"?",
        'monday.toml: key "ttle": is not a key here; did you mean "title"?',
    ]


@pytest.mark.parametrize(
    ("plate", "says"),
    [
        ({}, 'key "size": is missing'),
        ({"size": "3 x 4 in", "outline": {"path": "M0 0H4V4Z", "unit": "in"}}, 'key "size": and outline stand side'),
        ({"size": "3 x 4 in", "quantity": 0}, 'key "quantity": must be 1 or more'),
        ({"size": "3 x 4 in", "quantity": 2.5}, 'key "quantity": must be a whole number'),
        ({"size": "3 x 4 in", "may_turn": "no"}, 'key "may_turn": must be true or false'),
        ({"size": "3 x 4 in", "gauge": 0.064}, "the bare number 0.064"),
        ({"size": "3 x 4 in", "gauge": "0 in"}, "must be greater than zero"),
        ({"size": "3 x 4 in", "bleed": ["lft"]}, "is no side of a plate"),
        ({"size": "3 x 4 in", "bleed": {"left": "0 in"}}, "must be greater than zero"),
        ({"size": "3 x 4 in", "flush": ["left"]}, 'add mounting = "flush"'),
        ({"size": "3 x 4 in", "colours": ["red", "red"]}, "names red twice"),
        ({"size": "3 x 4 in", "negatives": [{"kind": "square"}]}, 'key "screen": is missing'),
        ({"size": "3 x 4 in", "bleed": ["left", "left"]}, "names a side twice"),
        ({"size": "0.001 x 4 in"}, "smaller than 1/64 in"),
        ({"outline": {"path": "M0 0H1V0.001H0Z", "unit": "in"}}, "smaller than 1/64 in"),
        ({"outline": {"path": "M0 0L2 2L2 0L0 2Z", "unit": "in"}}, "near 1.000, 1.000 in"),
        (
            {"outline": {"points": [f"{n}, {n % 2} in" for n in range(900)] + ["0, -1 in"] * 5000}},
            "simplify it to 5000",
        ),
        ({"outline": {"path": "M0 0h1v1z" * 501, "unit": "in"}}, "simplify it to 500"),
        ({"size": "3 x 4 in", "metal": "Zinc"}, 'did you mean "zinc"?'),
        ({"size": "3 x 4 in", "metal": "zi\nflatwright: all is well\x1b[2J"}, "zi\\nflatwright: all is well\\x1b[2J"),
        ({"size": "3 x 4 in", "name": "a/b"}, "may hold no slash"),
        ({"size": "3 x 4 in", "name": "a\u202eb"}, "no control characters"),
        ({"size": "3 x 4 in", "name": "x" * 81}, "80 is the most"),
        ({"outline": {"points": ["0, 0 in", "1, 1 in", "1, 0 in", "0, 1 in"]}}, "crosses or touches itself"),
        ({"outline": {"points": ["0, 0 in", "1, 1 in"]}}, "needs at least three"),
        ({"outline": {"points": ["0, 0 in", "1, 1 in", "2, 2 in"]}}, "encloses no area"),
        ({"outline": {"path": "M0 0 L"}}, "must say the unit"),
        ({"outline": {"path": "not a path!", "unit": "in"}}, "no SVG path data"),
        ({"outline": {"path": "M0 0H1V1H0Z M5 5H6V6H5Z", "unit": "in"}}, "falls into separate pieces"),
        ({"outline": {"path": "M0 0H9e9V1Z", "unit": "in"}}, "wider or higher than any sheet"),
    ],
)
def test_a_wrong_plate_is_refused_with_its_reason(plate: dict[str, Any], says: str) -> None:
    (line,) = problems(a_day(plate))
    assert line.startswith("monday.toml: job 7, plate")
    assert says in line


@pytest.mark.parametrize(
    ("negative", "says"),
    [
        ({"kind": "line", "use": "surprint", "film": "3 x 4 in", "on": "nobody"}, 'names "nobody"'),
        ({"kind": "line", "use": "surprint"}, "an overlay is measured by its film"),
        ({"kind": "line", "on": "picture"}, "is only for an overlay"),
        ({"kind": "line", "film_at": "0, 0 in"}, "add film"),
        ({"kind": "line", "angle": 46}, "no angle"),
        ({"kind": "line", "angle": "a bit"}, "no angle"),
        ({"kind": "line", "name": "picture"}, "used twice"),
    ],
)
def test_a_wrong_negative_is_refused_with_its_reason(negative: dict[str, Any], says: str) -> None:
    plate = {"size": "3 x 4 in", "screen": 120, "negatives": [{"kind": "square", "name": "picture"}, negative]}
    assert any(says in line for line in problems(a_day(plate)))


def test_an_overlay_with_several_illustrations_must_name_its_own() -> None:
    pictures = [{"kind": "square", "size": "1 x 1 in", "at": f"{n}, 0 in"} for n in (0, 2)]
    overlay = {"kind": "line", "use": "reverse", "film": "2 x 2 in"}
    (line,) = problems(a_day({"size": "3 x 4 in", "screen": 120, "negatives": [*pictures, overlay]}))
    assert "the plate has several illustrations" in line


def test_a_job_number_or_plate_name_twice_is_refused_even_beside_other_slips() -> None:
    plate = {"name": "A", "size": "3 x 4 in", "metal": "zinc"}
    lines = problems({"jobs": [{"number": 1, "plates": [plate, plate]}, {"number": "1", "plates": []}]})
    assert any("job 1: stands in the file twice" in line for line in lines)
    assert any('plate "A": stands in the job twice' in line for line in lines)
    assert any('key "plates"' in line for line in lines)


def test_due_times() -> None:
    tables = a_day({"size": "3 x 4 in"})
    tables["jobs"][0]["due"] = "2026-11-30 14:00"
    assert orders_from(tables, "").jobs[0].due == datetime(2026, 11, 30, 14)
    tables["jobs"][0]["due"] = "2026-11-30T14:00:00+01:00"
    assert "names a time zone" in problems(tables)[0]
    tables["jobs"][0]["due"] = "Monday"
    assert "is no time" in problems(tables)[0]


def test_an_order_without_jobs_is_refused() -> None:
    assert 'key "jobs"' in problems({})[0]
    assert 'key "jobs"' in problems({"jobs": []})[0]


def test_svg_path_data_is_turned_right_way_up_and_measured_from_its_corner() -> None:
    # An L whose foot is at the bottom: SVG counts y downwards.
    plate = a_plate(outline={"path": "M10 10 h10 v20 h20 v10 h-30 z", "unit": "mm"})
    expected = Polygon([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
    assert (
        plate.outline.symmetric_difference(Polygon([(x / 25.4, y / 25.4) for x, y in expected.exterior.coords])).area
        < 1e-9
    )


def test_subpaths_inside_others_are_holes_whichever_way_they_run() -> None:
    for inner in ("M1 1H3V3H1Z", "M1 1V3H3V1Z"):
        plate = a_plate(outline={"path": f"M0 0H4V4H0Z {inner}", "unit": "in"})
        assert plate.outline.area == pytest.approx(12)


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"jobs = [", b"jobs = 3"])
def test_a_file_that_is_no_order_gives_one_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "orders.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as refusal:
        read_orders(path)
    assert len(str(refusal.value).splitlines()) == 1
    assert str(path) in str(refusal.value)


@pytest.mark.parametrize("text", ['{"jobs": 1, "jobs": 2}', '{"jobs": NaN}', "[1]", "[" * 100_000, "{"])
def test_json_that_is_no_order_gives_one_sentence(tmp_path: Path, text: str) -> None:
    path = tmp_path / "orders.json"
    path.write_text(text)
    with pytest.raises(InputError) as refusal:
        read_orders(path)
    assert len(str(refusal.value).splitlines()) == 1


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_orders(tmp_path / "nothing.toml")
    with pytest.raises(InputError, match="is a folder"):
        read_orders(tmp_path)


@pytest.mark.parametrize(
    "text", ["jobs = 0x" + "f" * 5000, "jobs = " + "9" * 30, "jobs = 1" + "0" * 5000, "jobs = [[[20e999]]]"]
)
def test_giant_numbers_give_one_sentence(tmp_path: Path, text: str) -> None:
    path = tmp_path / "orders.toml"
    path.write_text(text)
    with pytest.raises(InputError) as refusal:
        read_orders(path)
    assert len(str(refusal.value).splitlines()) == 1
    assert len(str(refusal.value)) < 500


def test_a_day_beyond_any_shop_is_refused_before_it_is_planned() -> None:
    lines = problems(a_day(*({"size": "1 x 1 in", "quantity": 999, "colours": ["red", "black"]} for _ in range(11))))
    assert lines == ["monday.toml: stands for 21978 single plates; split a day of more than 20000 into several files"]

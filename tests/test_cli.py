from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from planner.cli import main

ORDER = '[[jobs]]\nnumber = "2041"\n[[jobs.plates]]\nname = "Map"\nsize = "3 x 4 in"\nmetal = "zinc"\n'
SHORT = ORDER + (
    'screen = 120\n[[jobs.plates.negatives]]\nkind = "square"\n'
    '[[jobs.plates.negatives]]\nkind = "line"\nuse = "reverse"\nfilm = "3 x 3 in"\n'
)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "orders.toml").write_text(ORDER)
    (tmp_path / "short.toml").write_text(SHORT)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


def test_a_clean_plan_exits_with_0_and_writes_plan_and_sheets(shop: Path) -> None:
    result = run("plan", "orders.toml")
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in (shop / "out").iterdir()) == [
        "flat-01-metal.svg", "flat-01-shear.svg", "flat-01-stripper.svg", "index.html", "key.svg", "mounting.svg",
        "plan.json",
    ]  # fmt: skip
    assert "1 plate of 1 job on 1 flat" in result.stdout
    assert "cannot be done on fewer" in result.stdout
    assert result.stderr == ""
    assert sorted(path.name for path in shop.iterdir()) == ["orders.toml", "out", "short.toml"]


def test_findings_that_stop_work_exit_with_1_and_are_printed_with_their_cure(shop: Path) -> None:
    result = run("plan", "short.toml")
    assert result.exit_code == 1
    assert "Must be cured first: 1 finding" in result.stdout
    assert "cure: remake the film, at least 3 1/16 x 4 1/16 in" in result.stdout


def test_bad_input_exits_with_2_says_why_and_writes_nothing(shop: Path) -> None:
    (shop / "bad.toml").write_text(ORDER.replace("size", "siz"))
    (shop / "house.toml").write_text("glas = 3\n")
    result = run("plan", "bad.toml", "--house", "house.toml")
    assert result.exit_code == 2
    assert result.stdout == ""
    lines = result.stderr.splitlines()
    assert lines[0] == 'flatwright: bad.toml: job 2041, plate "Map", key "siz": is not a key here; did you mean "size"?'
    assert lines[-1] == 'flatwright: house.toml: key "glas": is not a key here; did you mean "glass"?'
    assert not (shop / "out").exists()


@pytest.mark.parametrize(
    "words",
    [[], ["nonsense"], ["plan"], ["plan", "nothing.toml"], ["plan", "orders.toml", "--seed", "x"],
     ["plan", "orders.toml", "--seconds", "-1"], ["proof", "nothing.json"], ["proof", "orders.toml"], ["schema"],
     ["schema", "nonsense"], ["plan", "orders.toml", "--onto", "orders.toml"],
     ["plan", "orders.toml", "--cluster", "tcp://127.0.0.1:9"], ["plan", "orders.toml", "--cluster", "nowhere"],
     ["house", "--house", "nothing.toml"], ["plan", "orders.toml", "--out", "."],
     ["plan", "orders.toml", "--out", "orders.toml"], ["plan", "orders.toml", "--out", "orders.toml/x"]],
)  # fmt: skip
def test_wrong_usage_exits_with_2_without_a_traceback(
    shop: Path, words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.cli.CLUSTER_WAIT", "1s")
    result = run(*words)
    assert result.exit_code == 2
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert result.stderr
    assert not (shop / "out").exists()


def test_json_is_for_machines(shop: Path) -> None:
    table = json.loads(run("plan", "short.toml", "--json").stdout)
    assert table["by_severity"]["stop"] == 1
    assert table["findings"][0]["code"] == "coverage.short"
    assert set(json.loads(run("plan", "orders.toml", "--json").stdout)) == set(table)


def test_a_second_plan_replaces_the_first_and_keeps_what_is_not_ours(shop: Path) -> None:
    run("plan", "orders.toml")
    (shop / "out" / "flat-09-metal.svg").write_text("stale")
    (shop / "out" / "notes.txt").write_text("mine")
    (shop / "out" / "photos").mkdir()
    assert run("plan", "orders.toml").exit_code == 0
    assert sorted(path.name for path in (shop / "out").iterdir()) == [
        "flat-01-metal.svg", "flat-01-shear.svg", "flat-01-stripper.svg", "index.html", "key.svg", "mounting.svg",
        "notes.txt", "photos", "plan.json",
    ]  # fmt: skip


def test_a_folder_with_other_things_in_it_is_left_alone(shop: Path) -> None:
    (shop / "mine").mkdir()
    (shop / "mine" / "letter.txt").write_text("dear")
    result = run("plan", "orders.toml", "--out", "mine")
    assert result.exit_code == 2
    assert "holds other files and no plan" in result.stderr
    assert [path.name for path in (shop / "mine").iterdir()] == ["letter.txt"]


def test_a_fresh_plan_is_proven_clean_and_a_tampered_one_is_not(shop: Path) -> None:
    run("plan", "orders.toml")
    assert run("proof", "out/plan.json").exit_code == 0
    path = shop / "out" / "plan.json"
    plan = json.loads(path.read_text())
    plan["flats"][0]["placements"][0]["blank"][0] += 0.5
    path.write_text(json.dumps(plan))
    result = run("proof", "out/plan.json")
    assert result.exit_code == 1
    assert "VIOLATED" in result.stdout
    assert not json.loads(run("proof", "out/plan.json", "--json").stdout)["clean"]


def test_the_house_in_force_is_printed_and_reads_back(shop: Path) -> None:
    (shop / "house.toml").write_text(run("house").stdout)
    assert tomllib.loads((shop / "house.toml").read_text())["rules"]["square-bevel"]["flange"] == "1/8 in"
    assert run("house", "--house", "house.toml").stdout == (shop / "house.toml").read_text()
    assert run("plan", "orders.toml", "--house", "house.toml").exit_code == 0


def test_rules_are_listed_with_their_source(shop: Path) -> None:
    assert "square-bevel" in run("rules").stdout
    (shop / "house.toml").write_text("[rules.square-bevel]\nenabled = false\n")
    states = {row["name"]: row["state"] for row in json.loads(run("rules", "--house", "house.toml", "--json").stdout)}
    assert states["square-bevel"] == "off"
    assert states["flush-mount"].startswith("active, ")


def test_schemas_are_printed_and_written(shop: Path) -> None:
    printed = run("schema", "order").stdout
    assert json.loads(printed)["$schema"].startswith("https://json-schema.org/")
    (shop / "schemas").mkdir()
    assert run("schema", "--write", "schemas").exit_code == 0
    assert (shop / "schemas" / "order-1.schema.json").read_text() == printed


def test_help_does_not_load_the_geometry(shop: Path) -> None:
    program = "import sys, planner.cli; print('shapely' in sys.modules, 'pydantic' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert out.split() == ["False", "False"]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupted_plan_is_whole_or_not_there(shop: Path, number: int) -> None:
    sizes = "".join(
        f'[[jobs.plates]]\nname = "P{n}"\nsize = "{1 + n % 7} x {1 + n * 5 % 9} in"\nmetal = "zinc"\nquantity = 9\n'
        for n in range(25)
    )
    (shop / "many.toml").write_text('[[jobs]]\nnumber = "1"\n' + sizes)
    before = sorted(path.name for path in shop.iterdir())
    process = subprocess.Popen(
        [sys.executable, "-m", "planner", "plan", "many.toml", "--iterations", "1000000"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    time.sleep(2.0)
    process.send_signal(number)
    process.communicate(timeout=60)
    left = sorted(path.name for path in shop.iterdir())
    if number == signal.SIGINT and process.returncode == 0:
        # The search gave the best it had so far, and that was written whole.
        assert left == sorted([*before, "out"])
        assert run("proof", "out/plan.json").exit_code == 0
        assert json.loads((shop / "out" / "plan.json").read_text())["settings"]["stopped"] == "interrupted"
    else:
        assert process.returncode != 0
        assert left == before

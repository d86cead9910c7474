"""What the pages show is run: README's order, DEVELOPERS' rule, the example day, the picture."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

from planner.forms import Form
from planner.orders import Job, Negative, Plate, Tint, orders_from
from planner.plan import Plan
from planner.proof import prove
from planner.writing import write_folder

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "tallow-lane"


def blocks(page: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", (ROOT / page).read_text(), re.MULTILINE | re.DOTALL)


def test_the_order_in_the_readme_is_one() -> None:
    text = blocks("README.md", "toml")[0]
    assert len(text.splitlines()) == 6
    assert orders_from(tomllib.loads(text), "README").jobs[0].plates[0].name == "Map"


def test_the_readme_names_every_key_of_an_order_and_no_other() -> None:
    text = (ROOT / "README.md").read_text()
    rows = re.findall(r"^\| (?:`\[\[(\S+)\]\]`)? ?\| (.*?) \|", text, re.MULTILINE)
    forms: dict[str, type[Form]] = {
        "jobs": Job, "jobs.plates": Plate, "jobs.plates.negatives": Negative, "jobs.plates.tints": Tint,
    }  # fmt: skip
    told: dict[str, set[str]] = {table: set() for table in forms}
    table = ""
    for name, keys in rows:
        table = name or table
        if table in told:
            told[table] |= set(re.findall(r"`(\w+)`", keys))
    below = {"plates", "negatives", "tints", "notes"}
    for table, form in forms.items():
        assert told[table] - below == set(form.model_fields) - below, table


def test_the_example_day_shows_what_the_tool_does(monday: Plan) -> None:
    assert len(monday.jobs) >= 12
    assert len(monday.plates) >= 40
    assert {flat.sheet.metal for flat in monday.flats} == {"copper", "zinc"}
    assert [held.plate for held in monday.held] == ["4112/Street plan"]
    assert {finding.code for finding in monday.findings if finding.severity == "stop"} == {
        "held.too-large", "coverage.short", "square.overlay",
    }  # fmt: skip
    first = {placement.plate for placement in monday.flats[0].placements}
    assert {"4104/Timetable", "4104/Fares"} <= first
    assert {plate.mounting for plate in monday.plates} == {"bevelled", "flush", "nailed", "unmounted"}


def test_the_example_day_proves_clean_with_its_drawings(
    monday: Plan, monday_sheets: dict[str, str], tmp_path: Path
) -> None:
    write_folder(tmp_path / "out", monday_sheets | {"plan.json": "{}"})
    result = prove(monday, tmp_path / "out")
    assert result.clean, [violation for check in result.checks for violation in check.violations]
    assert next(check.count for check in result.checks if check.name == "views") == 2 * len(monday.flats)


def test_the_picture_in_the_readme_is_what_is_drawn(monday_sheets: dict[str, str]) -> None:
    name = "flat-03-stripper.svg"
    assert f"(examples/tallow-lane/{name})" in (ROOT / "README.md").read_text()
    kept = (EXAMPLE / name).read_text()
    assert kept == monday_sheets[name], f"make it anew: plan the example into out, then copy out/{name} there"


def test_the_way_to_a_rule_in_the_contributors_page_is_as_it_says(tmp_path: Path) -> None:
    """Every command of the page is run but for pip's, which installs to a place of its own without an index."""
    commands = next(block for block in blocks("DEVELOPERS.md", "sh") if "rules new" in block).splitlines()
    addition, test = blocks("DEVELOPERS.md", "python")
    assert commands[:4] == [
        "flatwright rules new wide-trim", "cd flatwright-wide-trim", "pip install -e '.[test]'", "python -m pytest",
    ]  # fmt: skip
    folder, place = tmp_path / "flatwright-wide-trim", tmp_path / "place"
    environment = {**os.environ, "PYTHONPATH": f"{ROOT}{os.pathsep}{place}"}

    def run(words: str, at: Path) -> str:
        command = [sys.executable, "-m", *words.replace("flatwright", "planner").replace("python -m ", "").split()]
        done = subprocess.run(command, check=False, capture_output=True, text=True, cwd=at, env=environment)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    run(commands[0], tmp_path)
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*install, "--target", str(place), str(folder)], check=True, capture_output=True)
    assert "2 passed" in run(f"{commands[3]} -p no:cacheprovider -c pyproject.toml", folder)
    assert "wide-trim 0.1 (flatwright-wide-trim 0.1)" in run(commands[4], folder)
    for file, text in (("flatwright_wide_trim.py", addition), ("test_wide_trim.py", test)):
        with (folder / file).open("a") as end:
            end.write(f"\n\n{text}")
    assert "3 passed" in run(f"{commands[3]} -p no:cacheprovider -c pyproject.toml", folder)

"""`flatwright rules new` writes a rule that installs, acts and passes its own test as it stands."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import main
from planner.forms import InputError
from planner.rules.skeleton import begin_rule


def test_the_new_rule_installs_is_listed_and_passes_its_own_test(tmp_path: Path) -> None:
    made = CliRunner().invoke(main, ["rules", "new", "corner-tabs", "--folder", str(tmp_path)])
    assert made.exit_code == 0
    folder = tmp_path / "flatwright-corner-tabs"
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*pip, "--target", str(tmp_path / "place"), str(folder)], check=True)
    here = {**os.environ, "PYTHONPATH": str(tmp_path / "place")}
    listed = subprocess.run(
        [sys.executable, "-m", "planner", "rules", "corner-tabs", "--json"], env=here, capture_output=True, check=True
    )
    assert json.loads(listed.stdout)["settings"][0] == {
        "key": "width", "value": '"1/4 in"', "about": "trim round plates of magnesium",
    }  # fmt: skip
    own = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", "pyproject.toml"]
    tested = subprocess.run(own, cwd=folder, env=here, capture_output=True, text=True, check=False)
    assert tested.returncode == 0, tested.stdout
    assert "2 passed" in tested.stdout


@pytest.mark.parametrize("name", ["Corner Tabs", "corner_tabs", "../x", "new", "-x", "", "class"])
def test_a_name_that_no_rule_can_have_is_refused(tmp_path: Path, name: str) -> None:
    made = CliRunner().invoke(main, ["rules", "new", "--folder", str(tmp_path), "--", name])
    assert made.exit_code == 2
    assert list(tmp_path.iterdir()) == []


def test_nothing_that_is_there_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "flatwright-mine").mkdir()
    made = CliRunner().invoke(main, ["rules", "new", "mine", "--folder", str(tmp_path)])
    assert (made.exit_code, list((tmp_path / "flatwright-mine").iterdir())) == (2, [])
    assert "is there already" in made.output


def test_the_name_of_an_installed_rule_is_not_given_again(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is the name of an installed rule"):
        begin_rule("square-bevel", tmp_path)
    assert list(tmp_path.iterdir()) == []

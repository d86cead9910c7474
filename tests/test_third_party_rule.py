"""A stranger's distribution: built, installed into an environment of its own, and seen to act there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

EXAMPLE = Path(__file__).parents[1] / "examples" / "job-tag"
ORDERS = '[[jobs]]\nnumber = 7\n[[jobs.plates]]\nname = "P1"\nmetal = "zinc"\nsize = "3 x 4 in"\n'


@pytest.fixture(scope="module")
def python(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The interpreter of a fresh environment with flatwright, as it is here, and the built rule."""
    folder = tmp_path_factory.mktemp("environment")
    source = folder / "source"
    source.mkdir()
    for name in ("pyproject.toml", "flatwright_job_tag.py", "README.md"):
        (source / name).write_bytes((EXAMPLE / name).read_bytes())
    pip = [sys.executable, "-m", "pip", "--quiet"]
    subprocess.run(
        [*pip, "wheel", "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(source)], check=True
    )
    (wheel,) = folder.glob("flatwright_job_tag-1.0-*.whl")
    place = folder / "fresh"
    venv.create(place, with_pip=False, symlinks=True)
    (own,) = place.glob("lib/python*/site-packages")
    subprocess.run([*pip, "install", "--no-deps", "--no-index", "--target", str(own), str(wheel)], check=True)
    # Its dependencies, flatwright among them, are those of the environment that runs the tests.
    paths = [sysconfig.get_path("purelib"), *(entry for entry in sys.path if entry.endswith("site-packages"))]
    lines = [f"import site; site.addsitedir({entry!r})" for entry in dict.fromkeys(paths)]
    (own / "dependencies.pth").write_text("\n".join(lines) + "\n")
    return place / "bin" / "python"


def run(python: Path, folder: Path, *words: str) -> str:
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    done = subprocess.run(
        [str(python), "-m", "planner", *words], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode in (0, 1), done.stderr
    return done.stdout


def test_the_installed_rule_is_listed_acts_and_can_be_switched_off(python: Path, tmp_path: Path) -> None:
    (tmp_path / "orders.toml").write_text(ORDERS)
    rows = {row["name"]: row for row in json.loads(run(python, tmp_path, "rules", "--json"))}
    assert rows["job-tag"]["source"] == "flatwright-job-tag 1.0"
    assert rows["square-bevel"]["state"].startswith("active")
    run(python, tmp_path, "plan", "orders.toml")
    said = run(python, tmp_path, "why", "P1")
    assert 'the tag with the job number (rule job-tag, [rules.job-tag] height = "3/8 in")' in said
    (tmp_path / "house.toml").write_text("[rules.job-tag]\nenabled = false\n")
    run(python, tmp_path, "plan", "orders.toml", "--house", "house.toml")
    assert "job-tag" not in run(python, tmp_path, "why", "P1")


def test_its_own_tests_pass(python: Path) -> None:
    own = [str(python), "-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", "pyproject.toml", "tests"]
    done = subprocess.run(own, cwd=EXAMPLE, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
    assert "4 passed" in done.stdout

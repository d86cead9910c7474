from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The names inside a wheel built from the tracked sources."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    source.mkdir()
    for name in ("planner", "plugins", "pyproject.toml", "README.md", "LICENSE"):
        subprocess.run(["cp", "-r", str(ROOT / name), str(source)], check=True)
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(source)]
    subprocess.run(command, check=True, capture_output=True)
    (path,) = folder.glob("*.whl")
    return zipfile.ZipFile(path).namelist()


def test_the_wheel_holds_planner_and_the_rules_under_a_name_of_our_own(wheel: list[str]) -> None:
    tops = {name.split("/")[0] for name in wheel}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"planner", "flatwright_rules"}


def test_the_wheel_holds_every_module_of_the_source(wheel: list[str]) -> None:
    modules = {str(path.relative_to(ROOT)) for path in ROOT.glob("planner/**/*.py")}
    modules |= {f"flatwright_rules/{path.name}" for path in ROOT.glob("plugins/*.py")}
    assert modules <= set(wheel)
    assert {str(path.relative_to(ROOT)) for path in ROOT.glob("planner/page/*.*")} <= set(wheel)
    assert {"planner/py.typed", "flatwright_rules/py.typed"} <= set(wheel)


def test_every_rule_file_has_an_entry_point() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    named = set(project["entry-points"]["flatwright"].values())
    assert named == {f"flatwright_rules.{path.stem}" for path in ROOT.glob("plugins/*.py") if path.stem != "__init__"}


def imports(path: Path) -> set[str]:
    """Every planner module that a file imports."""
    package = ".".join(path.relative_to(ROOT).with_suffix("").parts[:-1])
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package.split(".")[: len(package.split(".")) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module or "") if part)
            found |= {module, *(f"{module}.{alias.name}" for alias in node.names)}
    return {name for name in found if name.startswith("planner")}


@pytest.mark.parametrize(
    ("room", "may_use"),
    [
        ("plugins", ("planner", "planner.hookspecs")),
        ("planner/nesting", ("planner", "planner.nesting")),
        ("planner/proof", ("planner", "planner.proof", "planner.plan", "planner.geometry", "planner.forms")),
        (
            "planner/rack",
            (
                "planner",
                "planner.rack",
                "planner.estimate",
                "planner.forms",
                "planner.house",
                "planner.lengths",
                "planner.metals",
                "planner.offcuts",
                "planner.orders",
                "planner.plan",
                "planner.prices",
                "planner.reading",
                "planner.sheets",
                "planner.stock",
                "planner.toml_values",
                "planner.writing",
            ),
        ),
        ("planner/machine", ("planner", "planner.machine", "planner.plan", "planner.lengths", "planner.sheets")),
        (
            "planner/page",
            (
                "planner",
                "planner.page",
                "planner.plan",
                "planner.lengths",
                "planner.geometry",
                "planner.paths",
                "planner.sheets",
                "planner.reasons",
                "planner.summary",
                "planner.findings",
            ),
        ),
        (
            "planner/paper",
            ("planner", "planner.paper", "planner.printer", "planner.lengths", "planner.forms", "planner.sheets"),
        ),
        (
            "planner/sheets",
            ("planner", "planner.sheets", "planner.plan", "planner.lengths", "planner.geometry", "planner.paths"),
        ),
        (
            "planner.page",
            (
                "planner",
                "planner.page",
                "planner.plan",
                "planner.lengths",
                "planner.geometry",
                "planner.sheets",
                "planner.reasons",
                "planner.summary",
                "planner.findings",
            ),
        ),
    ],
)
def test_the_walls_stand(room: str, may_use: tuple[str, ...]) -> None:
    for path in (ROOT / room).rglob("*.py"):
        for name in imports(path):
            assert name in may_use or name.startswith(tuple(f"{room_name}." for room_name in may_use[1:])), (path, name)


def test_one_module_wraps_svgwrite() -> None:
    users = [path for path in ROOT.glob("planner/**/*.py") if "import svgwrite" in path.read_text()]
    assert [path.name for path in users] == ["svg.py"]


@pytest.mark.parametrize(("library", "wrapper"), [("typst", "converting.py"), ("pypdf", "binding.py")])
def test_one_module_wraps_each_library_that_makes_pdf(library: str, wrapper: str) -> None:
    imported = f"(?m)^(import|from) {library}\\b"
    users = [path for path in ROOT.glob("planner/**/*.py") if re.search(imported, path.read_text())]
    assert [path.name for path in users] == [wrapper]

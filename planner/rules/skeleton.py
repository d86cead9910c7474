"""A new rule's folder: a distribution of its own that installs, acts and has a test, ready to be changed."""

from __future__ import annotations

import keyword
from importlib.metadata import entry_points
from pathlib import Path
from typing import Final

from planner.forms import InputError, Problem
from planner.rule_records import INTERFACE
from planner.rules.describing import name_fault
from planner.rules.loading import GROUP
from planner.writing import check_folder, write_folder

_PYPROJECT: Final = """\
[build-system]
requires = ["setuptools>=77"]
build-backend = "setuptools.build_meta"

[project]
name = "flatwright-{name}"
version = "0.1"
description = "A house rule for flatwright."
requires-python = ">=3.11"
dependencies = ["flatwright"]

[project.optional-dependencies]
test = ["pytest"]

[project.entry-points.flatwright]
{name} = "flatwright_{module}"

[tool.setuptools]
py-modules = ["flatwright_{module}"]
"""

_RULE: Final = '''\
"""Say here in one sentence what the rule is for; it begins as a wider trim round plates of magnesium."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from planner.hookspecs import Length, Margin, OrderedPlate, Rule, Settings, hookimpl


class {words}Settings(Settings):
    """What the house may set under [rules.{name}]."""

    width: Annotated[Length, Field(default=1 / 4, description="trim round plates of magnesium")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("{name}", "0.1", "magnesium plates get a wider trim", {words}Settings, interface={interface})


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: {words}Settings) -> Sequence[Margin]:
    """Ask for the trim, and say why."""
    if plate.metal != "magnesium":
        return []
    return [Margin.all_round("trim", settings.width, "magnesium is cut with room to spare", "width")]
'''

_TEST: Final = """\
from __future__ import annotations

import flatwright_{module} as rule
from planner.testing import a_day, allowances_of, planned


def test_magnesium_gets_a_wider_trim() -> None:
    day = a_day({{"size": "3 x 4 in", "metal": "magnesium"}}, {{"size": "3 x 4 in", "metal": "zinc"}})
    plan = planned(day, rule)
    magnesium, zinc = plan.plates
    (trim,) = allowances_of(plan, magnesium.id, rule="{name}")
    assert (trim.kind, trim.left) == ("trim", 0.25)
    assert allowances_of(plan, zinc.id, rule="{name}") == []


def test_the_house_sets_the_width() -> None:
    plan = planned(a_day({{"size": "3 x 4 in", "metal": "magnesium"}}), rule, settings={{"width": "1/2 in"}})
    (trim,) = allowances_of(plan, plan.plates[0].id, rule="{name}")
    assert trim.left == 0.5
"""

_README: Final = """\
# flatwright-{name}

A house rule for flatwright. In the environment in which flatwright is installed:

```sh
pip install -e '.[test]'
python -m pytest
flatwright rules {name}
```
"""


def begin_rule(name: str, folder: Path) -> list[str]:
    """Write the folder ``flatwright-<name>`` of a new rule; gives the lines that say what to do with it.

    Raises:
        InputError: the name cannot be that of a rule, or the folder is there already.
    """
    _check_name(name)
    target = folder / f"flatwright-{name}"
    if target.exists():
        raise InputError(str(target), [Problem("", "is there already; give the rule another name, or move it away")])
    module = name.replace("-", "_")
    words = {
        "name": name, "module": module, "interface": INTERFACE,
        "words": "".join(part.capitalize() for part in name.split("-")),
    }  # fmt: skip
    files = {
        "pyproject.toml": _PYPROJECT,
        f"flatwright_{module}.py": _RULE,
        f"test_{module}.py": _TEST,
        "README.md": _README,
    }
    check_folder(target)
    write_folder(target, {file: text.format(**words) for file, text in files.items()})
    return [
        f"Written: {target} with {', '.join(sorted(files))}",
        f"Try it:  cd {target} && pip install -e '.[test]' && python -m pytest && flatwright rules {name}",
    ]


def _check_name(name: str) -> None:
    if name_fault(name):
        raise InputError(
            "", [Problem("", f'"{name}" is no name for a rule; write small letters and hyphens, like corner-tabs')]
        )
    if name in entry_points(group=GROUP).names:
        raise InputError("", [Problem("", f'"{name}" is the name of an installed rule; give yours another')])
    if name == "new" or keyword.iskeyword(name):
        raise InputError("", [Problem("", f'"{name}" means something else already; give the rule another name')])

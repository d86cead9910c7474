"""The example in every hook's docstring is a rule that does what it says."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable

import pytest

from planner import hookspecs
from planner.plan import Plan
from planner.testing import a_day, allowances_of, findings_of, marks_of, passes_of, planned, steps_of

from .rules_written import written

HOOKS = [name for name in dir(hookspecs) if name.startswith("flatwright_") and name != "flatwright_rule"]

DAY = a_day(
    {"size": "3 x 4 in", "metal": "magnesium", "notes": "deep", "negatives": [{"kind": "line", "size": "1 x 1 in"}]},
    {"size": "22 x 4 in", "metal": "magnesium", "negatives": [{"kind": "line", "size": "1 x 1 in"}]},
    rush=True,
)


def example(hook: str) -> str:
    doc = inspect.getdoc(getattr(hookspecs, hook)) or ""
    (block,) = re.findall(r"```python\n(.*?)```", doc, re.DOTALL)
    return str(block)


def test_every_hook_says_when_it_is_called_and_has_an_example_of_a_few_lines() -> None:
    for hook in HOOKS:
        doc = inspect.getdoc(getattr(hookspecs, hook)) or ""
        assert "Called once" in doc
        assert 4 <= len(example(hook).strip().splitlines()) <= 7, hook


def _crowded(plan: Plan) -> bool:
    return findings_of(plan, "stranger") == []  # Two plates are not many.


EXPECTED: dict[str, Callable[[Plan], object]] = {
    "flatwright_margins": lambda plan: allowances_of(plan, "7/P1", "stranger")[0].left == 0.25,
    "flatwright_sharing": lambda plan: len(plan.flats) == 2 and "deep etch" in plan.plates[0].share_key,
    "flatwright_staying_metal": lambda plan: plan.plates[0].staying[0].area == pytest.approx(1 / 16),
    "flatwright_inspect_plate": lambda plan: [one.plate for one in findings_of(plan, code="wide.proof")] == ["7/P2"],
    "flatwright_charges": lambda plan: plan.plates[0].charges[0].rate == "2.50",
    "flatwright_passes": lambda plan: passes_of(plan, "stranger")[0].sheet == "deep bite",
    "flatwright_marks": lambda plan: marks_of(plan, "stranger")[0].lines == (((12.0, 18.0),),),
    "flatwright_steps": lambda plan: set(steps_of(plan, "stranger")[0].plates) == {"7/P1", "7/P2"},
    "flatwright_inspect_flat": _crowded,
    "flatwright_inspect_day": lambda plan: findings_of(plan, "stranger") == [],
}


@pytest.mark.parametrize("hook", HOOKS)
def test_the_example_of_a_hook_does_what_it_says(hook: str) -> None:
    plan = planned(DAY, written(example(hook)))
    assert EXPECTED[hook](plan)


def test_the_examples_that_count_find_something_where_there_is_more() -> None:
    fewer = {
        "flatwright_inspect_flat": ("<= 60", "<= 1", "crowded.flat"),
        "flatwright_inspect_day": ("<= 12", "< 1", "long.day"),
    }
    for hook, (said, less, code) in fewer.items():
        body = example(hook)
        assert said in body
        (found,) = findings_of(planned(DAY, written(body.replace(said, less))), code=code)
        assert found.scope in ("flat", "day")


def test_the_first_example_is_a_whole_rule() -> None:
    head = "from planner.hookspecs import *\n"
    module = written(example("flatwright_rule"), head=head)
    assert [rule.name for rule in planned(DAY, module, alone=True).settings.rules] == ["wide-trim"]

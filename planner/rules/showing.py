"""What does `flatwright rules` say of the rules of a house?"""

from __future__ import annotations

import difflib
import inspect
from collections.abc import Iterator
from typing import Any

from planner import hookspecs
from planner.forms import InputError, Problem
from planner.rules.asking import ActiveRule
from planner.rules.habits import Habits
from planner.rules.loading import IdleRule, Rules
from planner.toml_values import entry_text


def rules_lines(rules: Rules) -> Iterator[str]:
    """One line for each rule, in the order in which they are called; those not in force come last."""
    for row in rules_table(rules):
        yield f"{row['name']:20} {row['state']:12} {row['source']:20} {row['about']}".rstrip()


def rules_table(rules: Rules) -> list[dict[str, Any]]:
    """The same for machines."""
    rows = [
        _row(rule.name, f"active, {rule.rule.version}", rule.source, rule.rule.description) for rule in rules.active
    ]
    return rows + [_row(rule.name, _state(rule), rule.source, rule.reason) for rule in rules.idle]


def _row(name: str, state: str, source: str, about: str) -> dict[str, Any]:
    return {"name": name, "state": state, "source": source, "about": about}


def _state(rule: IdleRule) -> str:
    if rule.left_out:
        return "left out"
    return "broken" if rule.broken else "off"


def rule_lines(rules: Rules, name: str) -> Iterator[str]:
    """All about one rule: where it comes from, what it does, every setting with its value and meaning.

    Raises:
        InputError: there is no rule of that name.
    """
    rule = _named(rules, name)
    if isinstance(rule, IdleRule):
        yield f"{rule.name}, {_state(rule)} ({rule.source}): {rule.reason}"
        return
    yield f"{rule.name} {rule.rule.version} ({rule.source}): {rule.rule.description}"
    places = [one.name for one in rules.active]
    yield f"called as number {places.index(rule.name) + 1} of {len(places)} (order {rule.rule.order})"
    yield ""
    yield "what it does:"
    for hook in rule.hooks:
        doc = inspect.getdoc(getattr(hookspecs, hook)) or ""
        yield f"  {hook:26} {doc.splitlines()[0]}"
    yield ""
    yield f"settings, under [rules.{rule.name}] in the house file:"
    for setting in _settings(rule):
        yield f"  {setting['key']} = {setting['value']}  # {setting['about']}".rstrip(" #")


def rule_table(rules: Rules, name: str) -> dict[str, Any]:
    """The same for machines.

    Raises:
        InputError: there is no rule of that name.
    """
    rule = _named(rules, name)
    if isinstance(rule, IdleRule):
        return _row(rule.name, _state(rule), rule.source, rule.reason)
    row = _row(rule.name, "active", rule.source, rule.rule.description)
    version = {"version": rule.rule.version, "interface": rule.rule.interface, "order": rule.rule.order}
    return {**row, **version, "hooks": list(rule.hooks), "settings": list(_settings(rule))}


def _settings(rule: ActiveRule) -> Iterator[dict[str, str]]:
    own = ((key, info, rule.settings) for key, info in type(rule.settings).model_fields.items())
    general = ((key, info, rule.habits) for key, info in Habits.model_fields.items())
    for key, info, form in (*own, *general):
        value = getattr(form, key)
        if value is not None:
            yield {"key": key, "value": entry_text(value, info), "about": info.description or ""}


def _named(rules: Rules, name: str) -> ActiveRule | IdleRule:
    everything: list[ActiveRule | IdleRule] = [*rules.active, *rules.idle]
    for rule in everything:
        if rule.name == name:
            return rule
    names = [rule.name for rule in everything]
    near = difflib.get_close_matches(name, names, n=1)
    hint = f'did you mean "{near[0]}"?' if near else f"there are {', '.join(names) or 'none'}"
    raise InputError("", [Problem("", f'there is no rule "{name}"; {hint}')])

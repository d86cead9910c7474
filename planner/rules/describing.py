"""Is what a rule says of itself fit to be used? Its name is a key of the house file and a word on paper."""

from __future__ import annotations

import re
from collections.abc import Iterator
from types import ModuleType
from typing import Final

import pluggy

from planner import hookspecs
from planner.forms import Form as Settings
from planner.rule_records import INTERFACE, Rule
from planner.rules.habits import Habits

LONGEST_NAME: Final = 40
"""Letters."""

_NAME: Final = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_LONGEST_LINE: Final = 200
_LARGEST_ORDER: Final = 10**6

RESERVED: Final = ("house", "order", "check", "nesting", "flatwright")
"""Words by which the planner itself is named where a rule's name stands for others."""


def name_fault(name: object) -> str:
    """Say what is wrong with a rule's name; an empty text if nothing is."""
    if not isinstance(name, str) or not _NAME.fullmatch(name) or len(name) > LONGEST_NAME:
        shown = f"{name!r:.60}"
        return (
            f"has the name {shown}; a rule's name is of small letters, digits and single hyphens, begins with a "
            f"letter and has {LONGEST_NAME} letters at most"
        )
    if name in RESERVED:
        return f'has the name "{name}", by which flatwright means itself; choose another'
    return ""


def description_fault(rule: Rule) -> str:
    """Say what is wrong with a description of a rule; an empty text if nothing is."""
    return next(_faults(rule), "")


def _faults(rule: Rule) -> Iterator[str]:
    if not _is_whole(rule.interface) or rule.interface < 1:
        yield "has an interface that is no whole number from 1"
    elif rule.interface > INTERFACE:
        yield (
            f"is made for version {rule.interface} of the hooks and this flatwright has version {INTERFACE}; "
            "update flatwright"
        )
    if fault := name_fault(rule.name):
        yield fault
    for what, text in (("version", rule.version), ("description", rule.description)):
        if not isinstance(text, str) or not text.strip() or len(text) > _LONGEST_LINE or not text.isprintable():
            yield f"needs a {what} in words, at most {_LONGEST_LINE} letters on one line"
    if not _is_whole(rule.order) or abs(rule.order) > _LARGEST_ORDER:
        yield f"has an order that is no whole number from -{_LARGEST_ORDER} to {_LARGEST_ORDER}"
    if not (isinstance(rule.settings, type) and issubclass(rule.settings, Settings)):
        yield "has settings that are no Settings model"
    elif taken := sorted(set(rule.settings.model_fields) & set(Habits.model_fields)):
        yield f"has a setting {taken[0]!r}, a key that the house uses for every rule"


def hooks_fault(module: ModuleType, manager: pluggy.PluginManager) -> str:
    """Say what is wrong with how a module answers the hooks; an empty text if nothing is."""
    for name in sorted(vars(hookspecs)):
        caller = getattr(manager.hook, name, None)
        if not isinstance(caller, pluggy.HookCaller):
            continue
        answering = caller.get_hookimpls()
        if any(one.hookwrapper or one.wrapper for one in answering):
            return f"wraps {name}; a rule answers for itself, so leave wrapper out of @hookimpl"
        if not answering and callable(getattr(module, name, None)):
            return f"has a function {name} without @hookimpl above it, so that nobody would ask it"
    return ""


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)

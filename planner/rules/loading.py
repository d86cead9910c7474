"""Which house rules are in force? Installed ones, and files that the house or the command line names; never others.

Rules are called by their order, then by name. A file that bears the name of an installed rule takes its place.
"""

from __future__ import annotations

import difflib
import hashlib
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path
from types import ModuleType
from typing import Any, Final, TypeVar

import pluggy
from pydantic import ValidationError

from planner import hookspecs
from planner.findings import Finding
from planner.forms import InputError, Problem, problems_of
from planner.house import House, place_in_house
from planner.reading import read_text
from planner.rule_records import Rule
from planner.rules.asking import ActiveRule, RuleFailure
from planner.rules.clock import Clock, Failed, TooLong
from planner.rules.describing import description_fault, hooks_fault, name_fault
from planner.rules.habits import Habits

GROUP: Final = "flatwright"
"""The entry point group in which rules are found."""

_LARGEST_FILE: Final = 4
"""MiB of a file that holds a rule."""

_SECONDS: Final = 10.0
"""That a rule may take to be loaded and to say what it is."""

_CLOCK: Final = Clock()

_Loaded = TypeVar("_Loaded")


class _Unusable(Exception):
    """A rule cannot be used; says why in a phrase."""


@dataclass(frozen=True, slots=True)
class IdleRule:
    """A rule that is not in force: switched off by the house, broken, or replaced."""

    name: str
    source: str
    broken: bool
    reason: str
    left_out: bool = False
    """Whether it is broken or failed and the house wants to plan on without it."""


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a house, in the order in which they are called, and those that are not in force."""

    active: tuple[ActiveRule, ...]
    idle: tuple[IdleRule, ...]

    def refuse_broken(self) -> None:
        """Stop when a rule that the house wants cannot be used.

        Raises:
            InputError: naming each broken rule and how to go on without it.
        """
        problems = [
            Problem(f"rule {rule.name} ({rule.source})",
                    f"{rule.reason}; mend it, or write enabled = false under [rules.{rule.name}]")
            for rule in self.idle if rule.broken and not rule.left_out
        ]  # fmt: skip
        if problems:
            raise InputError("house rules", problems)

    def without(self, failure: RuleFailure) -> Rules:
        """Give the rules without one that failed, where the house wants to plan on.

        Raises:
            RuleFailure: the house wants to stop.
        """
        if failure.rule.habits.if_it_fails != "leave out":
            raise failure
        gone = IdleRule(failure.rule.name, failure.rule.source, True, failure.words, left_out=True)
        return Rules(tuple(rule for rule in self.active if rule.name != gone.name), (*self.idle, gone))

    def missing(self) -> Iterator[tuple[str, Finding]]:
        """Say of each rule that a plan is made without although the house has it on: its name, and the finding."""
        for rule in self.idle:
            if rule.left_out:
                yield (
                    rule.name,
                    Finding(
                        "rule.left-out",
                        "warn",
                        f"the plan was made without the rule {rule.name} ({rule.source}): {rule.reason}"[:600],
                        f"mend it and plan again, or do by hand what it asks; [rules.{rule.name}] says to leave it out",
                    ),
                )


@dataclass
class _Found:
    """What loading has come to so far."""

    house: House
    source: str
    folder: Path | None
    active: list[ActiveRule] = field(default_factory=list)
    idle: list[IdleRule] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    known: dict[str, str] = field(default_factory=dict)
    named: set[str] = field(default_factory=set)

    def habits(self, name: str) -> tuple[Habits, dict[str, Any]]:
        """How the house uses a rule, and the rest of its table: the rule's own settings."""
        table = dict(self.house.rules.get(name, {}))
        own = {key: table.pop(key) for key in list(table) if key in Habits.model_fields}
        try:
            return Habits.model_validate(own), table
        except ValidationError as error:
            self.problems += problems_of(error, Habits, _settings_place(name))
            return Habits(enabled=False), table

    def take(self, name: str, origin: str, load: Callable[[], ModuleType], expected: str, named: bool) -> None:
        """Take a rule of this name up, or say why not; one that is ``named`` takes the place of an installed one."""
        habits, table = self.habits(name)
        if name in self.known:
            replaced = name in self.named and not named
            what = "is replaced by" if replaced else "has the name of a rule from"
            self.idle.append(IdleRule(name, origin, not replaced, f"{what} {self.known[name]}"))
            return
        self.known[name] = origin
        if named:
            self.named.add(name)
        if not habits.enabled:
            self.idle.append(IdleRule(name, origin, False, f"switched off in {self.source}"))
            return
        try:
            rule, manager = _loaded(_within(load), name, expected)
        except _Unusable as error:
            reason = f"cannot be loaded: {error}"
            self.idle.append(IdleRule(name, origin, True, reason, left_out=habits.if_it_fails == "leave out"))
            return
        try:
            settings = rule.settings.model_validate(table)
        except ValidationError as error:
            self.problems += problems_of(error, rule.settings, _settings_place(name))
            return
        self.active.append(ActiveRule(rule, settings, origin, manager, habits))


def load_rules(
    house: House,
    source: str,
    found: Iterable[EntryPoint] | None = None,
    folder: Path | None = None,
    files: Sequence[Path] = (),
    modules: Sequence[ModuleType] = (),
) -> Rules:
    """Load the rules that are installed, and those in files; check their settings in the house file.

    ``source`` names the house file in messages and ``folder`` is where it lies; ``files`` and
    ``modules`` hold further rules; ``found`` stands in for the installed entry points.

    Raises:
        InputError: the house file has settings for an unknown rule, settings that a rule refuses, or names a file
            that cannot be read; a file of ``files`` holds no rule.
    """
    loading = _Found(house, source, folder)
    given = [(_module_or_refusal(path), str(path)) for path in {path.resolve(): path for path in files}.values()]
    for module, origin in [*given, *((module, _file_of(module)) for module in modules)]:
        loading.take(
            rule_of_module(module).name, origin, partial(_itself, module), "calls itself otherwise", named=True
        )
    for name in house.rules:
        file = loading.habits(name)[0].file
        if file is not None:
            _take_file(loading, name, file)
    entries = entry_points(group=GROUP) if found is None else found
    for entry in sorted(entries, key=lambda entry: (entry.name, entry.value)):
        loading.take(entry.name, _origin(entry), partial(_imported, entry), "its entry point calls it", named=False)
    problems = [*loading.problems, *_unknown(house, loading.known)]
    if problems:
        raise InputError(source, list(dict.fromkeys(problems)))
    active = sorted(loading.active, key=lambda rule: (rule.rule.order, rule.name))
    return Rules(tuple(active), tuple(sorted(loading.idle, key=lambda rule: (rule.name, rule.source))))


def rules_for(house: House, house_path: Path | None, files: Sequence[Path] = ()) -> Rules:
    """Load the rules for a house that was read from a file, or is the usual one; see `load_rules`."""
    folder = None if house_path is None else house_path.parent
    return load_rules(house, str(house_path or "the house file"), folder=folder, files=files)


def _take_file(loading: _Found, name: str, given: str) -> None:
    path = (loading.folder or Path()) / given
    if not path.is_file():
        place = place_in_house(("rules", name, "file"))
        loading.problems.append(Problem(place, f'names "{given}", which is no file beside the house file'))
        return
    loading.take(name, str(path), partial(_module, path, str(path)), "the house file calls it", named=True)


def _module_or_refusal(path: Path) -> ModuleType:
    """Run a file that the command line names.

    Raises:
        InputError: it cannot be read, or fails.
    """
    try:
        return _within(lambda: _module(path, str(path)))
    except _Unusable as error:
        raise InputError(str(path), [Problem("", f"cannot be loaded: {error}")]) from None


def _module(path: Path, source: str) -> ModuleType:
    """Run a file as a module, without leaving compiled files beside it.

    Raises:
        InputError: it cannot be read.
    """
    text = read_text(path, _LARGEST_FILE)
    name = f"flatwright_rule_{path.stem}_{hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:8]}"
    module = ModuleType(name)
    module.__file__ = source
    sys.modules[name] = module  # Annotations of settings are looked up there.
    exec(compile(text, source, "exec"), module.__dict__)
    return module


def rule_of_module(module: ModuleType) -> Rule:
    """Ask a module what rule it is.

    Raises:
        InputError: it holds none, or one whose name cannot be used.
    """
    try:
        described = _described(module)
    except _Unusable as error:
        raise InputError(_file_of(module), [Problem("", f"cannot be loaded: {error}")]) from None
    if described is None:
        lack = "holds no rule; it needs a function flatwright_rule that returns a Rule"
        raise InputError(_file_of(module), [Problem("", lack)])
    fault = name_fault(described.name)
    if fault:
        raise InputError(_file_of(module), [Problem("", fault)])
    return described


def _file_of(module: ModuleType) -> str:
    return getattr(module, "__file__", None) or module.__name__


def _itself(module: ModuleType) -> ModuleType:
    return module


def _imported(entry: EntryPoint) -> ModuleType:
    module = entry.load()
    if not isinstance(module, ModuleType):
        raise TypeError(f"{entry.value} is no module")
    return module


def _loaded(module: ModuleType, name: str, expected: str) -> tuple[Rule, pluggy.PluginManager]:
    # Asked before the hooks are looked at: a rule for a newer interface may answer hooks that we lack.
    rule = _described(module)
    if rule is None:
        raise _Unusable("flatwright_rule is missing or returns no Rule")
    fault = description_fault(rule)
    if fault:
        raise _Unusable(f"it {fault}")
    if rule.name != name:
        raise _Unusable(f'calls itself "{rule.name}" but {expected} "{name}"')
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    try:
        manager.register(module)
        manager.check_pending()
    except pluggy.PluginValidationError as error:
        raise _Unusable(Failed(error).words) from None
    fault = hooks_fault(module, manager)
    if fault:
        raise _Unusable(f"it {fault}")
    return rule, manager


def _described(module: ModuleType) -> Rule | None:
    """What a module says it is."""
    rule = getattr(module, "flatwright_rule", None)
    described = _within(rule) if callable(rule) else None
    return described if isinstance(described, Rule) else None


def _within(call: Callable[[], _Loaded]) -> _Loaded:
    """Run a stranger's code while it is loaded.

    Raises:
        InputError: from a file that cannot be read.
        _Unusable: it raised something else, or did not come back.
    """
    try:
        loaded: _Loaded = _CLOCK.within(_SECONDS, call)
    except TooLong:
        raise _Unusable(f"it did not come back within {_SECONDS:g} seconds") from None
    except Failed as failure:
        error = failure.__cause__
        if isinstance(error, InputError):
            raise error from None
        newer = isinstance(error, ImportError) and "hookspecs" in failure.words
        raise _Unusable(failure.words + ("; it may be made for a newer flatwright" if newer else "")) from None
    return loaded


def _origin(entry: EntryPoint) -> str:
    return f"{entry.dist.name} {entry.dist.version}" if entry.dist is not None else entry.value


def _settings_place(name: str) -> Callable[[tuple[int | str, ...]], str]:
    return lambda keys: place_in_house(("rules", name, *keys))


def _unknown(house: House, known: Mapping[str, str]) -> list[Problem]:
    names = sorted(known)
    problems = []
    for name, table in house.rules.items():
        if name not in known and "file" not in table:
            near = difflib.get_close_matches(name, names, n=1)
            hint = f'did you mean "{near[0]}"?' if near else f"installed rules are {', '.join(names) or 'none'}"
            problems.append(Problem(place_in_house(("rules", name)), f"names no installed rule; {hint}"))
    return problems

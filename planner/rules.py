"""Finding, checking and calling the house rules, so that each answer carries the name of the rule that gave it.

Every rule gets a plugin manager of its own: a broken rule can be named, and takes no other down with it.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from importlib.metadata import EntryPoint, entry_points
from types import ModuleType
from typing import Any, Final, TypeVar

import pluggy
from pydantic import ValidationError
from shapely.geometry.base import BaseGeometry

from planner import hookspecs
from planner.findings import SEVERITIES, Finding
from planner.forms import InputError, Problem, problems_of
from planner.hookspecs import Margin, Rule, Settings, StayingMetal
from planner.house import House, place_in_house
from planner.plates import OrderedPlate

GROUP: Final = "flatwright"
"""The entry point group in which rules are found."""

_Answer = TypeVar("_Answer")


@dataclass(frozen=True)
class ActiveRule:
    """A rule in force: what it is, its settings, where it came from."""

    rule: Rule
    settings: Settings
    source: str
    manager: pluggy.PluginManager = field(repr=False)

    def _ask(
        self, hook: str, plate: OrderedPlate, kind: type[_Answer], check: Callable[[_Answer], str]
    ) -> list[_Answer]:
        try:
            answers = getattr(self.manager.hook, hook)(plate=plate, settings=self.settings)
        except Exception as error:  # a stranger's code may raise anything; it is named and stops the plan
            raise self._refusal(hook, plate, f"failed: {type(error).__name__}: {error}") from error
        given: list[_Answer] = []
        for answer in answers:
            if not isinstance(answer, (list, tuple)):
                raise self._refusal(hook, plate, f"must return a list, not {type(answer).__name__}")
            for item in answer:
                fault = check(item) if isinstance(item, kind) else f"is no {kind.__name__}"
                if fault:
                    raise self._refusal(hook, plate, f"returned {item!r:.80}, which {fault}")
                given.append(item)
        return given

    def _refusal(self, hook: str, plate: OrderedPlate, message: str) -> InputError:
        return InputError(f"rule {self.rule.name} ({self.source})", [Problem(f"{hook}, plate {plate.id}", message)])

    def margins(self, plate: OrderedPlate) -> list[Margin]:
        """Ask for its margins round a plate.

        Raises:
            InputError: the rule failed or its answer cannot be used.
        """
        return self._ask("flatwright_margins", plate, Margin, _margin_fault)

    def staying_metal(self, plate: OrderedPlate) -> list[StayingMetal]:
        """Ask what metal of a plate must stay.

        Raises:
            InputError: the rule failed or its answer cannot be used.
        """
        return self._ask("flatwright_staying_metal", plate, StayingMetal, lambda metal: _shape_fault(metal.shape))

    def inspect(self, plate: OrderedPlate) -> list[Finding]:
        """Ask what it finds wrong with a plate.

        Raises:
            InputError: the rule failed or its answer cannot be used.
        """
        return self._ask("flatwright_inspect_plate", plate, Finding, _finding_fault)


@dataclass(frozen=True, slots=True)
class IdleRule:
    """A rule that is not in force: switched off by the house, or broken."""

    name: str
    source: str
    broken: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Rules:
    """The rules of a house, in the order in which they are called: by name."""

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
            for rule in self.idle if rule.broken
        ]  # fmt: skip
        if problems:
            raise InputError("house rules", problems)


def load_rules(house: House, source: str, found: Iterable[EntryPoint] | None = None) -> Rules:
    """Load the rules that are installed and check their settings in the house file.

    ``source`` names the house file in messages; ``found`` stands in for the installed entry points.

    Raises:
        InputError: the house file has settings for an unknown rule, or settings that a rule refuses.
    """
    active: list[ActiveRule] = []
    idle: list[IdleRule] = []
    problems: list[Problem] = []
    known: dict[str, str] = {}
    for entry in sorted(
        entry_points(group=GROUP) if found is None else found, key=lambda entry: (entry.name, entry.value)
    ):
        origin = _origin(entry)
        table = dict(house.rules.get(entry.name, {}))
        enabled = table.pop("enabled", True)
        if not isinstance(enabled, bool):
            problems.append(Problem(place_in_house(("rules", entry.name, "enabled")), "must be true or false"))
        if entry.name in known:
            idle.append(IdleRule(entry.name, origin, True, f"has the name of a rule from {known[entry.name]}"))
            continue
        known[entry.name] = origin
        if enabled is False:
            idle.append(IdleRule(entry.name, origin, False, f"switched off in {source}"))
            continue
        try:
            rule, manager = _loaded(entry)
        except Exception as error:  # importing a stranger's module may raise anything; it is listed with its reason
            idle.append(IdleRule(entry.name, origin, True, f"cannot be loaded: {type(error).__name__}: {error}"))
            continue
        try:
            settings = rule.settings.model_validate(table)
        except ValidationError as error:
            problems += problems_of(error, rule.settings, _settings_place(entry.name))
            continue
        active.append(ActiveRule(rule, settings, origin, manager))
    problems += _unknown(house, known)
    if problems:
        raise InputError(source, problems)
    return Rules(tuple(active), tuple(idle))


def _loaded(entry: EntryPoint) -> tuple[Rule, pluggy.PluginManager]:
    module = entry.load()
    if not isinstance(module, ModuleType):
        raise TypeError(f"{entry.value} is no module")
    manager = pluggy.PluginManager(hookspecs.PROJECT)
    manager.add_hookspecs(hookspecs)
    manager.register(module)
    manager.check_pending()
    answers: Sequence[Any] = manager.hook.flatwright_rule()
    if len(answers) != 1 or not isinstance(answers[0], Rule):
        raise TypeError("flatwright_rule is missing or returns no Rule")
    rule = answers[0]
    if rule.name != entry.name:
        raise ValueError(f'calls itself "{rule.name}" but its entry point "{entry.name}"')
    if not (isinstance(rule.settings, type) and issubclass(rule.settings, Settings)):
        raise TypeError("its settings are no Settings model")
    return rule, manager


def _origin(entry: EntryPoint) -> str:
    return f"{entry.dist.name} {entry.dist.version}" if entry.dist is not None else entry.value


def _settings_place(name: str) -> Callable[[tuple[int | str, ...]], str]:
    return lambda keys: place_in_house(("rules", name, *keys))


def _unknown(house: House, known: Iterable[str]) -> list[Problem]:
    names = sorted(known)
    problems = []
    for name in house.rules:
        if name not in names:
            near = difflib.get_close_matches(name, names, n=1)
            hint = f'did you mean "{near[0]}"?' if near else f"installed rules are {', '.join(names) or 'none'}"
            problems.append(Problem(place_in_house(("rules", name)), f"names no installed rule; {hint}"))
    return problems


def _margin_fault(margin: Margin) -> str:
    if margin.kind not in ("shoulder", "flange", "trim"):
        return f"has the unknown kind {margin.kind!r}"
    for width in (margin.left, margin.right, margin.bottom, margin.top):
        if not _is_finite(width) or width < 0:
            return "has a width that is no length of zero or more"
    return ""


def _shape_fault(shape: object) -> str:
    if not isinstance(shape, BaseGeometry):
        return "has no shapely shape"
    if not shape.is_valid or not all(_is_finite(bound) for bound in shape.bounds):
        return "has a shape that is not valid"
    return ""


def _finding_fault(finding: Finding) -> str:
    if not finding.code or finding.severity not in SEVERITIES:
        return f"needs a code and one of the severities {', '.join(SEVERITIES)}"
    if finding.amount is not None and not _is_finite(finding.amount):
        return "has an amount that is not finite"
    return "" if finding.shape is None else _shape_fault(finding.shape)


def _is_finite(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)

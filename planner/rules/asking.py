"""Asking a rule: each answer is checked, and a failure carries the name of the rule, the hook and what it was about.

Every rule has a plugin manager of its own, so that a broken one takes no other down with it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final, TypeVar, overload

import pluggy
from shapely.geometry import MultiPolygon

from planner.findings import Finding
from planner.forms import Form as Settings
from planner.forms import InputError, Problem
from planner.laid import LaidDay, LaidFlat
from planner.plates import OrderedPlate
from planner.routing.records import RouterWork
from planner.rule_records import Charge, Margin, Mark, NailSpot, Pass, Rule, Sharing, StayingMetal, Step
from planner.rules.clock import Clock, Failed, TooLong
from planner.rules.faults import Bounds, fault_of
from planner.rules.habits import Habits
from planner.toml_values import entry_text

_Answer = TypeVar("_Answer")
_Other = TypeVar("_Other")

_CLOCK: Final = Clock()

_MOST_ANSWERS: Final = 10_000


class RuleFailure(InputError):
    """A rule failed, answered with what cannot be used, or took too long."""

    def __init__(self, rule: ActiveRule, hook: str, about: str, message: str) -> None:
        self.rule = rule
        self.words = f"{hook}, {about}: {message}"
        super().__init__(f"rule {rule.rule.name} ({rule.source})", [Problem(f"{hook}, {about}", message)])


@dataclass(frozen=True)
class ActiveRule:
    """A rule in force: what it is, its settings, how it is called, where it came from.

    Every method asks one hook, and raises `RuleFailure` if the rule fails, answers with what cannot be used, or takes
    longer than the house lets it.
    """

    rule: Rule
    settings: Settings
    source: str
    manager: pluggy.PluginManager = field(repr=False)
    habits: Habits

    @property
    def name(self) -> str:
        """Under which the house knows it."""
        return self.rule.name

    @property
    def hooks(self) -> tuple[str, ...]:
        """The hooks that it answers to, beside saying what it is."""
        plugins = self.manager.get_plugins()
        callers = [caller for plugin in plugins for caller in self.manager.get_hookcallers(plugin) or []]
        return tuple(sorted(caller.name for caller in callers if caller.name != "flatwright_rule"))

    def answers(self, hook: str) -> bool:
        """Whether it answers to a hook."""
        return bool(getattr(self.manager.hook, hook).get_hookimpls())

    def setting_text(self, key: str) -> str:
        """Write a setting as the house file has it: ``[rules.square-bevel] flange = "1/8 in"``; nothing for no key."""
        if not key:
            return ""
        info = type(self.settings).model_fields[key]
        return f"[rules.{self.name}] {key} = {entry_text(getattr(self.settings, key), info)}"

    def margins(self, plate: OrderedPlate) -> list[Margin]:
        """Ask for its margins round a plate."""
        return self._ask("flatwright_margins", f"plate {plate.id}", Margin, Bounds(), plate=plate)

    def sharing(self, plate: OrderedPlate) -> list[Sharing]:
        """Ask with which others a plate shares a flat."""
        return self._ask("flatwright_sharing", f"plate {plate.id}", Sharing, Bounds(), plate=plate)

    def staying_metal(
        self, plate: OrderedPlate, dead: MultiPolygon, whites: MultiPolygon, staying: MultiPolygon
    ) -> list[StayingMetal | NailSpot]:
        """Ask what of a plate's bare metal must stay; ``staying`` is what rules before it have named."""
        return self._ask(
            "flatwright_staying_metal",
            f"plate {plate.id}",
            (StayingMetal, NailSpot),
            Bounds(plate.face, "the plate"),
            plate=plate,
            dead=dead,
            whites=whites,
            staying=staying,
        )

    def inspect_plate(self, plate: OrderedPlate, work: RouterWork) -> list[Finding]:
        """Ask what it finds wrong with a plate."""
        bounds = Bounds(plates=(plate.id,))
        return self._ask("flatwright_inspect_plate", f"plate {plate.id}", Finding, bounds, plate=plate, work=work)

    def charges(self, plate: OrderedPlate, work: RouterWork) -> list[Charge]:
        """Ask what it charges for a plate."""
        return self._ask("flatwright_charges", f"plate {plate.id}", Charge, Bounds(), plate=plate, work=work)

    def passes(self, flat: LaidFlat) -> list[Pass]:
        """Ask for passes over a flat."""
        return self._ask("flatwright_passes", f"flat {flat.number}", Pass, _on(flat), flat=flat)

    def marks(self, flat: LaidFlat) -> list[Mark]:
        """Ask for marks on a flat."""
        return self._ask("flatwright_marks", f"flat {flat.number}", Mark, _on(flat), flat=flat)

    def steps(self, flat: LaidFlat) -> list[Step]:
        """Ask for steps of work on a flat."""
        return self._ask("flatwright_steps", f"flat {flat.number}", Step, _on(flat), flat=flat)

    def inspect_flat(self, flat: LaidFlat) -> list[Finding]:
        """Ask what it finds wrong with a flat."""
        return self._ask("flatwright_inspect_flat", f"flat {flat.number}", Finding, _on(flat), flat=flat)

    def inspect_day(self, day: LaidDay) -> list[Finding]:
        """Ask what it finds wrong with the day."""
        bounds = Bounds(plates=day.plates, flats=[flat.number for flat in day.flats], is_day=True)
        return self._ask("flatwright_inspect_day", "the day", Finding, bounds, day=day)

    @overload
    def _ask(self, hook: str, about: str, kinds: type[_Answer], bounds: Bounds, **given: object) -> list[_Answer]: ...

    @overload
    def _ask(
        self, hook: str, about: str, kinds: tuple[type[_Answer], type[_Other]], bounds: Bounds, **given: object
    ) -> list[_Answer | _Other]: ...

    def _ask(self, hook: str, about: str, kinds: Any, bounds: Bounds, **given: object) -> list[Any]:
        if not self.answers(hook):
            return []
        caller = getattr(self.manager.hook, hook)
        seconds = self.habits.seconds
        try:
            answers = _CLOCK.within(seconds, lambda: caller(**given, settings=self.settings))
        except TooLong:
            raise RuleFailure(self, hook, about, f"took longer than {seconds:g} seconds") from None
        except Failed as failure:
            raise RuleFailure(self, hook, about, f"failed: {failure.words}") from failure
        items = [item for answer in answers for item in self._listed(answer, hook, about)]
        return [self._checked(item, hook, about, kinds, bounds) for item in items]

    def _listed(self, answer: object, hook: str, about: str) -> list[Any] | tuple[Any, ...]:
        # Exactly these: a kind of list of a stranger's own may go on for ever.
        if type(answer) is not list and type(answer) is not tuple:
            raise RuleFailure(self, hook, about, f"must return a list, not {type(answer).__name__}")
        if len(answer) > _MOST_ANSWERS:
            raise RuleFailure(self, hook, about, f"returned {len(answer):,} records; {_MOST_ANSWERS:,} are the most")
        return answer

    def _checked(self, item: Any, hook: str, about: str, kinds: Any, bounds: Bounds) -> Any:  # noqa: ANN401
        try:
            if isinstance(item, kinds):
                fault = fault_of(item, bounds, type(self.settings).model_fields)
            else:
                names = [kind.__name__ for kind in (kinds if isinstance(kinds, tuple) else (kinds,))]
                fault = f"is no {' or '.join(names)}"
            said = f"{item!r:.80}" if fault else ""
        except Exception as error:  # a record may hold anything in any field, even what cannot be compared or shown
            fault, said = f"cannot be read: {Failed(error).words}", type(item).__name__
        if fault:
            raise RuleFailure(self, hook, about, f"returned {said}, which {fault}")
        return item


def _on(flat: LaidFlat) -> Bounds:
    return Bounds(
        flat.area,
        "the sheet",
        plates=[laid.record.id for laid in flat.plates],
        films=[(laid.record.id, film.number) for laid in flat.plates for film in laid.placement.films],
        flats=(flat.number,),
    )

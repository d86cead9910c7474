from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

import pytest

from planner.flats import Search
from planner.forms import InputError
from planner.orders import orders_from
from planner.planning import make_plan
from planner.proof import prove
from planner.rules import GROUP, Rules, load_rules

from .days import a_day, a_house, a_plate, planned

HEAD = """
from planner.hookspecs import Finding, Length, Margin, Rule, Settings, StayingMetal, hookimpl
class Own(Settings):
    width: Length = 0.25
@hookimpl
def flatwright_rule():
    return Rule("stranger", "0.1", "a rule of somebody else", Own)
"""


@pytest.fixture
def stranger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A module that a test fills; it is found as an installed rule called stranger."""
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    yield tmp_path / "strangers_rule.py"
    sys.modules.pop("strangers_rule", None)


def loaded(body: str, stranger: Path, **settings: object) -> Rules:
    stranger.write_text(body)
    entry = EntryPoint("stranger", "strangers_rule", GROUP)
    house = a_house(rules={"stranger": settings} if settings else {})
    return load_rules(house, "house.toml", [entry])


STANDARD = ["colour-set", "double-print", "flush-mount", "screen-bands", "square-bevel"]
"""Those that are called by name alone, before `benday` and `nail-spots`."""


def test_the_rules_that_come_with_the_tool_are_found_like_a_strangers() -> None:
    rules = load_rules(a_house(), "house.toml")
    assert [active.name for active in rules.active] == [*STANDARD, "benday", "nail-spots"]
    assert all(active.source.startswith("flatwright ") for active in rules.active)


def test_settings_of_a_rule_are_its_own_and_are_checked_like_any_key(stranger: Path) -> None:
    assert loaded(HEAD, stranger, width="3 in").active[0].settings.width == 3  # type: ignore[attr-defined]
    with pytest.raises(
        InputError, match=r'table \[rules.stranger\], key "widht": is not a key here; did you mean "width"'
    ):
        loaded(HEAD, stranger, widht="3 in")


def test_a_rule_can_be_switched_off_and_says_so(stranger: Path) -> None:
    rules = loaded("raise RuntimeError('never imported')", stranger, enabled=False)
    assert (rules.active, rules.idle[0].broken) == ((), False)
    rules.refuse_broken()


def test_settings_for_a_rule_that_is_not_installed_are_refused() -> None:
    with pytest.raises(InputError, match=r'names no installed rule; did you mean "square-bevel"\?'):
        load_rules(a_house(rules={"square-bevle": {}}), "house.toml")


@pytest.mark.parametrize(
    ("body", "reason"),
    [
        ("raise RuntimeError('no licence')", "cannot be loaded: RuntimeError: no licence"),
        ("x = 1", "flatwright_rule is missing"),
        (HEAD.replace('"stranger"', '"other"'), 'calls itself "other"'),
        (HEAD + "@hookimpl\ndef flatwright_margin(plate):\n    return []\n", "unknown hook"),
        (HEAD + "@hookimpl\ndef flatwright_margins(plate, colour):\n    return []\n", "colour"),
    ],
)
def test_a_broken_rule_is_listed_with_its_reason_and_stops_a_plan(stranger: Path, body: str, reason: str) -> None:
    rules = loaded(body, stranger)
    assert reason in rules.idle[0].reason
    with pytest.raises(InputError, match=r"enabled = false under \[rules.stranger\]"):
        rules.refuse_broken()


def test_two_rules_of_one_name_are_not_both_taken(stranger: Path) -> None:
    stranger.write_text(HEAD)
    twice = [EntryPoint("stranger", "strangers_rule", GROUP)] * 2
    rules = load_rules(a_house(), "house.toml", twice)
    assert "has the name of a rule from" in rules.idle[0].reason


@pytest.mark.parametrize(
    ("answer", "fault"),
    [
        ("1 / 0", "failed: ZeroDivisionError"),
        ("7", "must return a list, not int"),
        ("[7]", "is no Margin"),
        ("[Margin.all_round('trim', -1, 'x')]", "no length from zero"),
        ("[Margin.all_round('trim', float('nan'), 'x')]", "no length from zero"),
        ("[Margin.all_round('moat', 1, '')]", "unknown kind 'moat'"),
    ],
)
def test_rubbish_from_a_rule_is_named_with_hook_and_plate(stranger: Path, answer: str, fault: str) -> None:
    rules = loaded(HEAD + f"@hookimpl\ndef flatwright_margins(plate, settings):\n    return {answer}\n", stranger)
    with pytest.raises(InputError) as refusal:
        rules.active[0].margins(a_plate(size="3 x 4 in"))
    assert str(refusal.value).startswith("rule stranger (strangers_rule): flatwright_margins, plate 7/P1: ")
    assert fault in str(refusal.value)


def test_a_strangers_rule_acts_on_margins_findings_and_staying_metal(stranger: Path) -> None:
    body = HEAD + (
        "from shapely import Point\n"
        "@hookimpl\ndef flatwright_margins(plate, settings):\n"
        "    return [Margin.all_round('trim', settings.width, 'because')]\n"
        "@hookimpl\ndef flatwright_inspect_plate(plate):\n"
        "    return [Finding('x.y', 'note', 'seen', shape=plate.face)]\n"
        "@hookimpl\ndef flatwright_staying_metal(plate):\n"
        "    return [StayingMetal(plate.face, 'all of it')]\n"
    )
    rules = loaded(body, stranger)
    day = a_day({"size": "4 x 4 in", "mounting": "unmounted", "negatives": [{"kind": "line", "size": "1 x 1 in"}]})
    plan = make_plan(orders_from(day, ""), a_house(film={"safe_edge": "0 in"}), rules)
    assert plan.plates[0].blank[2] == 4.5
    assert [(found.code, found.rule) for found in plan.findings] == [("x.y", "stranger")]
    assert plan.flats[0].placements[0].zones == ()
    without = planned(day)
    assert without.flats[0].placements[0].zones


def test_a_rule_may_answer_nothing(stranger: Path) -> None:
    rules = loaded(HEAD + "@hookimpl\ndef flatwright_margins(plate):\n    return None\n", stranger)
    assert rules.active[0].margins(a_plate(size="3 x 4 in")) == []


@pytest.mark.parametrize("gone", [*STANDARD, "benday", "nail-spots"])
def test_without_any_one_rule_the_planner_goes_on_working(gone: str) -> None:
    house = a_house()
    rules = load_rules(house, "house.toml", [entry for entry in entry_points(group=GROUP) if entry.name != gone])
    assert gone not in [active.name for active in rules.active]
    picture = {"kind": "square", "name": "picture", "size": "3 x 3 in"}
    over = {"kind": "line", "use": "surprint", "film": "4 x 4 in", "size": "1 x 1 in", "at": "1 1/2, 1 1/2 in"}
    day = a_day(
        {"size": "4 x 5 in", "screen": 120, "colours": ["yellow", "red", "blue", "black"]},
        {"size": "4 x 4 in", "screen": 120, "negatives": [picture, over]},
        {"size": "4 x 4 in", "mounting": "nailed", "negatives": [{"kind": "line", "size": "2 x 2 in"}],
         "tints": [{"pattern": "7", "size": "1 x 1 in", "at": "1, 1 in"}]},
        {"size": "3 x 2 in", "mounting": "flush", "bleed": ["left"]},
    )  # fmt: skip
    plan = make_plan(orders_from(day, "orders.toml"), house, rules, Search(iterations=20))
    assert len([placement for flat in plan.flats for placement in flat.placements]) == 7
    assert gone not in {finding.rule for finding in plan.findings}
    result = prove(plan, elements=0)
    assert result.clean, result.violations

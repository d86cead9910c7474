"""Rules that fail: each is named with hook and plate or flat, and stops the plan, or is left out as the house says."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import main
from planner.forms import InputError
from planner.house import house_from
from planner.rules import load_rules
from planner.rules.clock import Clock, Failed, TooLong
from planner.testing import a_day, allowances_of, findings_of, planned

from .rules_written import written

DAY = a_day({"size": "3 x 4 in", "negatives": [{"kind": "line", "size": "1 x 1 in"}]})

RUBBISH = [
    ("margins(plate)", "[Margin('trim', 0, 0, 0, 1e9, 'x')]", "no length from zero to 100 in"),
    ("margins(plate)", "[Margin('trim', 0, 0, 0, '1', 'x')]", "no length from zero"),
    ("margins(plate)", "[Margin.all_round('trim', 1, '')]", "needs a reason in words"),
    ("margins(plate)", "[Margin.all_round('trim', 1, 'x', 'wdith')]", "names 'wdith' as its setting"),
    ("sharing(plate)", "[Sharing('beside', 'k', 'x')]", "unknown kind 'beside'"),
    ("sharing(plate)", "[Sharing('apart', '', 'x')]", "needs a key in words"),
    ("staying_metal(plate)", "[StayingMetal(box(0, 0, 9, 9), 'x')]", "reaches outside the plate"),
    ("staying_metal(plate)", "[StayingMetal('all', 'x')]", "no shapely shape"),
    ("staying_metal(plate)", "[NailSpot(float('nan'), 1, 1, 'x')]", "no length"),
    ("staying_metal(plate)", "[NailSpot(0, 0, 1, 'x')]", "reaches outside the plate"),
    ("inspect_plate(plate)", "[Finding('a.b', 'panic', 'x')]", "needs one of the severities"),
    ("inspect_plate(plate)", "[Finding('', 'warn', 'x')]", "needs a code"),
    ("inspect_plate(plate)", "[Finding('a.b', 'warn', 'x', amount=float('inf'))]", "not finite"),
    ("inspect_plate(plate)", "[Finding('a.b', 'warn', 'x' * 700)]", "at most 600 letters"),
    ("charges(plate)", "[Charge('x', 1, 'each', 2.5, 'x')]", "no finite Decimal"),
    ("charges(plate)", "[Charge('x', -1, 'each', Decimal(1), 'x')]", "no number from zero to 1,000,000"),
    ("charges(plate)", "[Charge('x', 1, 'dozen', Decimal(1), 'x')]", "unknown unit 'dozen'"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area, flat.area, 'x')]", "masks what it opens"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area.buffer(1), Point(), 'x')]", "reaches outside the sheet"),
    ("passes(flat)", "[Pass('a', 'b', 'paper', flat.area, Point(), 'x')]", "unknown side 'paper'"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area, Point(), 'x', ('8/P9',))]", "names plate '8/P9'"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area, Point(), 'x', (), (('7/P1', 9),))]", "not on this flat"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area, Point(), 'x', frame=(0, 0, 0, 1))]", "no box of x, y"),
    ("marks(flat)", "[Mark('line', Point(1, 1), 'a', 'b', ('metal',))]", "is a line and needs a LineString"),
    ("marks(flat)", "[Mark('cross', Point(-1, 1), 'a', 'b', ('metal',))]", "reaches outside the sheet"),
    ("marks(flat)", "[Mark('cross', Point(1, 1), 'a', 'b', ())]", "needs a tuple of the sheets"),
    ("steps(flat)", "[Step('cook', 'stir')]", "unknown person 'cook'"),
    ("steps(flat)", "[Step('router', 'rout', ('8/P1',))]", "names plate '8/P1'"),
    ("inspect_flat(flat)", "[Finding('a.b', 'warn', 'x', flat=7)]", "names flat 7"),
    ("inspect_day(day)", "[Finding('a.b', 'warn', 'x', plate='7/P7')]", "names plate '7/P7'"),
    ("inspect_day(day)", "[Margin.all_round('trim', 1, 'x')]", "is no Finding"),
    ("inspect_day(day)", "{}", "must return a list, not dict"),
    ("sharing(plate)", "plate.bleed.update(left=1.0)", "failed: AttributeError"),
    ("inspect_flat(flat)", "flat.of_day.clear()", "failed: AttributeError"),
    ("inspect_day(day)", "day.plates.clear()", "failed: AttributeError"),
    ("inspect_day(day)", "exit(3)", "failed: SystemExit: 3"),
    ("inspect_day(day)", "(_ for _ in ()).throw(KeyboardInterrupt)", "failed: KeyboardInterrupt"),
    ("inspect_day(day)", "(_ for _ in ()).throw(ValueError('x' * 999))", "xxx..."),
    ("inspect_day(day)", "(_ for _ in ()).throw(type('E', (Exception,), {'__str__': lambda e: 1})())", "failed: E"),
    ("inspect_day(day)", "type('Endless', (list,), {'__iter__': lambda s: iter(int, 1)})()", "not Endless"),
    ("inspect_day(day)", "[Finding('a.b', 'note', 'x')] * 10_001", "10,001 records; 10,000 are the most"),
    ("inspect_day(day)", "[Finding('a.b', 'warn', 'x', shape=Point(1, 1))]", "names no flat"),
    ("sharing(plate)", "[Sharing('apart', 'x, y', 'x')]", "has a comma in its key"),
    ("inspect_plate(plate)", "[Finding('a.b', 'warn', 'x', 'cure\\x1b[31m')]", "needs a cure in words"),
    ("inspect_plate(plate)", "[Finding('a.b', 'warn', 'x', amount=1.0, unit='furlong')]", "unknown unit 'furlong'"),
    ("inspect_plate(plate)", "[Finding('a.b', 'warn', 'x', shape=Point(1400, 1))]", "farther than 200 in"),
    ("charges(plate)", "[Charge('x', 1e300, 'each', Decimal(1), 'x')]", "no number from zero"),
    ("charges(plate)", "[Charge('x', 1, 'each', Decimal('1e99'), 'x')]", "1,000,000 at most"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', Point(1, 1), Point(), 'x')]", "opens nothing"),
    (
        "passes(flat)",
        "[Pass('a', 'b', 'glass', flat.area, Point(), 'x', frame=(900, 900, 1, 1))]",
        "than its frame holds",
    ),
    ("passes(flat)", "[Pass('a', 'b', 'glass', box(0, 0, 1, 1), box(2, 0, 3, 1), 'x')]", "neither opens nor masks"),
    ("passes(flat)", "[Pass('a', 'b', 'glass', flat.area, Point(), 'x', '7/P1')]", "otherwise than in a tuple"),
    ("marks(flat)", "[Mark('cross', Point(1, 1), 'a', 'b', 'metal')]", "needs a tuple of the sheets"),
    ("marks(flat)", "[Mark('cross', Point(1, 1), 'a', 'b', ('strippers',))]", "did you mean 'stripper'?"),
]


@pytest.mark.parametrize(("hook", "answer", "fault"), RUBBISH)
def test_rubbish_is_refused_and_named_with_hook_and_place(hook: str, answer: str, fault: str) -> None:
    rule = written(f"@hookimpl\ndef flatwright_{hook}:\n    return {answer}\n")
    with pytest.raises(InputError) as refusal:
        planned(DAY, rule)
    (line,) = refusal.value.lines
    about = {"plate": "plate 7/P1", "flat": "flat 1", "day": "the day"}[hook.split("(")[1][:-1]]
    assert line.startswith(f"rule stranger (rule_of_a_test_stranger): flatwright_{hook.partition('(')[0]}, {about}: ")
    assert fault in line


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (
            "@hookimpl(wrapper=True)\ndef flatwright_margins(plate):\n    yield\n    return 5\n",
            "wraps flatwright_margins",
        ),
        ("def flatwright_margins(plate):\n    return []\n", "flatwright_margins without @hookimpl"),
    ],
)
def test_a_rule_that_answers_in_another_way_is_not_loaded(body: str, sentence: str) -> None:
    with pytest.raises(InputError) as refusal:
        planned(DAY, written(body))
    assert sentence in str(refusal.value)


@pytest.mark.parametrize(
    ("described", "sentence"),
    [
        ("'Twin B] <x>', '1', 'x'", "of small letters, digits and single hyphens"),
        ("5, '1', 'x'", "of small letters"),
        ("'house', '1', 'x'", "by which flatwright means itself"),
        ("'odd', None, 'x'", "needs a version in words"),
        ("'odd', '1', 'a\\nb'", "needs a description in words"),
        ("'odd', '1', 'x', order='first'", "order that is no whole number"),
        ("'odd', '1', 'x', interface='2'", "interface that is no whole number"),
        ("'odd', '1', 'x', settings=dict", "settings that are no Settings model"),
    ],
)
def test_what_a_rule_says_of_itself_is_checked(shop: Path, described: str, sentence: str) -> None:
    (shop / "odd.py").write_text(
        f"from planner.hookspecs import *\n@hookimpl\ndef flatwright_rule():\n    return Rule({described})\n"
    )
    code, said = run("plan", "o.toml", "--rule", "odd.py")
    assert (code, len(said.splitlines())) == (2, 1)
    assert sentence in said


def test_a_rule_that_never_says_what_it_is_is_refused(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.rules.loading._SECONDS", 0.2)
    (shop / "slow.py").write_text("import time\ndef flatwright_rule():\n    time.sleep(30)\n")
    code, said = run("rules", "--rule", "slow.py")
    assert code == 2
    assert "slow.py: cannot be loaded: it did not come back within 0.2 seconds" in said


def test_a_rule_named_twice_is_taken_once(shop: Path) -> None:
    assert run("rules", "--rule", "ours.py", "--rule", "./ours.py")[1].count("ours.py") == 1


def test_a_rule_that_fails_is_left_out_where_the_house_says_so_and_the_plan_carries_it() -> None:
    body = """
    @hookimpl
    def flatwright_margins(plate):
        return [Margin.all_round("trim", 1, "too much")]
    @hookimpl
    def flatwright_steps(flat):
        return [1 / 0]
    """
    plan = planned(DAY, written(body), settings={"if_it_fails": "leave out"})
    assert allowances_of(plan, "7/P1", "stranger") == []
    assert "stranger" not in [rule.name for rule in plan.settings.rules]
    (found,) = findings_of(plan, code="rule.left-out")
    assert (found.severity, found.scope, found.rule) == ("warn", "day", "stranger")
    assert "flatwright_steps, flat 1: failed: ZeroDivisionError: division by zero" in found.message


def test_a_rule_that_takes_too_long_is_named_and_does_not_hold_up_the_plan() -> None:
    body = """
    @hookimpl
    def flatwright_margins(plate):
        import time
        time.sleep(30)
        return []
    """
    started = time.monotonic()
    with pytest.raises(InputError, match=r"flatwright_margins, plate 7/P1: took longer than 0.2 seconds"):
        planned(DAY, written(body), settings={"seconds": 0.2})
    assert time.monotonic() - started < 25


def test_the_clock_hands_on_answers_and_errors_and_goes_on_after_a_call_that_never_ends() -> None:
    clock = Clock()
    assert clock.within(5, lambda: 7) == 7
    with pytest.raises(Failed, match=r"^KeyError: 'x'$"):
        clock.within(5, lambda: {}["x"])
    with pytest.raises(TooLong):
        clock.within(0.05, lambda: time.sleep(5))
    assert clock.within(5, lambda: 8) == 8


def test_a_rule_for_newer_hooks_is_refused_with_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "newer.py").write_text(
        "from planner.hookspecs import *\n@hookimpl\ndef flatwright_rule():\n"
        "    return Rule('newer', '9', 'x', interface=99)\n@hookimpl\ndef flatwright_polish(plate):\n    return []\n"
    )
    rules = load_rules(house_from({}, "h"), "h", files=(tmp_path / "newer.py",))
    with pytest.raises(InputError, match=r"made for version 99 of the hooks and this flatwright has version 1; update"):
        rules.refuse_broken()


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "o.toml").write_text(
        '[[jobs]]\nnumber = 7\n[[jobs.plates]]\nname = "P1"\nmetal = "zinc"\nsize = "3 x 4 in"\n'
    )
    (tmp_path / "ours.py").write_text(
        "from planner.hookspecs import *\n@hookimpl\ndef flatwright_rule():\n    return Rule('ours', '1', 'wide')\n"
        "@hookimpl\ndef flatwright_margins(plate):\n    return [Margin.all_round('trim', 1, 'we like it wide')]\n"
    )
    return tmp_path


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, list(words))
    return result.exit_code, result.output


def test_a_rule_in_a_file_acts_when_the_house_or_the_command_names_it_and_never_by_itself(shop: Path) -> None:
    assert run("plan", "o.toml")[0] == 0
    assert "we like it wide" not in run("why", "P1")[1]
    assert run("plan", "o.toml", "--rule", "ours.py")[0] == 0
    assert "trim, cut away: we like it wide (rule ours)" in run("why", "P1")[1]
    (shop / "house.toml").write_text('[rules.ours]\nfile = "ours.py"\n')
    assert run("plan", "o.toml", "--house", "house.toml")[0] == 0
    assert "we like it wide" in run("why", "P1")[1]
    assert not (shop / "__pycache__").exists()
    (shop / "house.toml").write_text(run("house", "--house", "house.toml")[1])
    assert "ours " in run("rules", "--house", "house.toml")[1]


def test_a_file_takes_the_place_of_the_installed_rule_of_its_name(shop: Path) -> None:
    text = (shop / "ours.py").read_text().replace("'ours'", "'square-bevel'")
    (shop / "ours.py").write_text(text)
    code, shown = run("rules", "--rule", "ours.py")
    assert code == 0
    assert "is replaced by ours.py" in shown
    assert run("plan", "o.toml", "--rule", "ours.py")[0] == 0
    assert "flange" not in run("why", "P1")[1]


@pytest.mark.parametrize(
    ("house", "sentence"),
    [
        ('[rules.ours]\nfile = "theirs.py"\n', 'key "file": names "theirs.py", which is no file beside the house file'),
        ('[rules.ours]\nfile = "ours.py"\nseconds = 0\n', 'key "seconds": must be more than 0'),
        ('[rules.ours]\nfile = "ours.py"\nif_it_fails = "go on"\n', "must be one of 'stop' or 'leave out'"),
        ('[rules.others]\nfile = "ours.py"\n', 'calls itself "ours" but the house file calls it "others"'),
    ],
)
def test_what_the_house_says_wrongly_of_a_rule_gets_a_sentence(shop: Path, house: str, sentence: str) -> None:
    (shop / "house.toml").write_text(house)
    code, said = run("plan", "o.toml", "--house", "house.toml")
    assert (code, (shop / "out").exists()) == (2, False)
    assert sentence in said
    assert "Traceback" not in said


@pytest.mark.parametrize("text", ["x = 1\n", "import no_such_thing\n", "def f(:\n", "raise SystemExit(0)\n"])
def test_a_file_without_a_rule_gets_a_sentence(shop: Path, text: str) -> None:
    (shop / "ours.py").write_text(text)
    code, said = run("plan", "o.toml", "--rule", "ours.py")
    assert code == 2
    assert said.startswith("flatwright: ours.py: ")
    assert len(said.splitlines()) == 1


def test_one_rule_is_shown_with_its_settings_and_unknown_ones_with_a_hint(shop: Path) -> None:
    code, shown = run("rules", "square-bevel")
    assert code == 0
    assert 'flange = "1/8 in"  # width of the flange, on all four sides' in shown
    assert "flatwright_margins" in shown
    assert run("rules", "square-bevle") == (
        2,
        'flatwright: there is no rule "square-bevle"; did you mean "square-bevel"?\n',
    )
    assert run("rules", "a", "b")[0] == 2

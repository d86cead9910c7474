"""The commands: what they print and write, and exit code 2 with one sentence where something cannot be used."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from planner.cli import _Commands
from planner.cli_estimate import account, actual, quote
from planner.house import read_house
from planner.orders import read_orders
from planner.plan import plan_text
from planner.planning import make_plan

from ..days import rules_of

ORDER = (
    'title = "Monday"\n[[jobs]]\nnumber = "1"\ncustomer = "Thistle"\n[[jobs.plates]]\nname = "Map"\n'
    'size = "3 x 4 in"\nmetal = "zinc"\n[[jobs]]\nnumber = "2"\n[[jobs.plates]]\nname = "Tree"\nsize = "5 x 6 in"\n'
    'metal = "zinc"\n'
)
HOUSE = (
    'name = "Cinder Row"\n[prices]\nflat = 2\n[prices.scrap]\nzinc = 0.3\n[prices.line]\nrate = 0.12\n'
    '[[sheets]]\nname = "large"\nmetal = "zinc"\nsize = "18 x 24 in"\nprice = 11.8\n'
)
LATE = '[[jobs]]\nnumber = "9"\n[[jobs.plates]]\nname = "Late"\nsize = "2 x 2 in"\nmetal = "zinc"\n'
COMMANDS = _Commands(commands=[account, actual, quote])


@pytest.fixture(scope="module")
def planned_text(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("plan")
    (folder / "orders.toml").write_text(ORDER)
    (folder / "house.toml").write_text(HOUSE)
    house = read_house(folder / "house.toml")
    return plan_text(make_plan(read_orders(folder / "orders.toml"), house, rules_of(house)))


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, planned_text: str) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, text in (("house.toml", HOUSE), ("late.toml", LATE), ("plan.json", planned_text), ("orders.toml", ORDER)):
        (tmp_path / name).write_text(text)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(COMMANDS, list(words))


def test_account_prints_and_writes(shop: Path) -> None:
    result = run("account", "plan.json", "--house", "house.toml", "--share", "all", "--csv", "a.csv", "--out", "kept")
    assert result.exit_code == 0, result.output
    assert "Waste shared by blank area" in result.stdout
    assert "What each job pays, by method" in result.stdout
    names = sorted(path.name for path in (shop / "kept").iterdir())
    assert names == ["account-2.svg", "account.csv", "account.json", "account.svg"]
    assert "page 2 of 2" in (shop / "kept" / "account-2.svg").read_text()
    table = json.loads((shop / "kept" / "account.json").read_text())
    assert list(table["shares"]) == ["area", "alone", "marginal"]
    assert (shop / "a.csv").read_text() == (shop / "kept" / "account.csv").read_text()
    rows = list(csv.DictReader((shop / "a.csv").read_text().splitlines()))
    assert f"{sum(float(row['cost']) for row in rows):.2f}" == table["day"]["cost"] == "13.80"


def test_account_leaves_the_plans_own_folder_as_it_is(shop: Path) -> None:
    before = (shop / "plan.json").read_text()
    assert run("account", "plan.json", "--house", "house.toml", "--out", ".").exit_code == 0
    assert (shop / "plan.json").read_text() == before
    assert (shop / "account.svg").exists()


def test_the_house_chooses_how_waste_is_shared_and_the_option_overrules_it(shop: Path) -> None:
    (shop / "house.toml").write_text(HOUSE + '[prices.sharing]\nmethod = "alone"\n')
    table = json.loads(run("account", "plan.json", "--house", "house.toml", "--json").stdout)
    assert (table["method"], list(table["shares"])) == ("alone", ["alone"])
    table = json.loads(run("account", "plan.json", "--house", "house.toml", "--share", "marginal", "--json").stdout)
    assert (table["method"], list(table["shares"])) == ("marginal", ["marginal"])
    table = json.loads(run("account", "plan.json", "--house", "house.toml", "--share", "all", "--json").stdout)
    assert list(table["shares"]) == ["alone", "area", "marginal"]


def test_an_account_without_a_house_takes_the_plans_prices(shop: Path) -> None:
    table = json.loads(run("account", "plan.json", "--json").stdout)
    assert table["day"]["cost"] == "11.80"
    assert any("the prices are those of the house" in note for note in table["notes"])


@pytest.mark.parametrize("way", [(), ("--onto", "plan.json"), ("--with", "orders.toml")])
def test_quote_prints_and_writes(shop: Path, way: tuple[str, ...]) -> None:
    result = run("quote", "late.toml", "--house", "house.toml", "--out", "quotes", *way)
    assert result.exit_code == 0, result.output
    assert "metal: $ 0." in result.stdout
    assert "to $ 13.80" in result.stdout
    assert sorted(path.name for path in (shop / "quotes").iterdir()) == ["quotation-1.svg", "quote.json"]
    assert json.loads((shop / "quotes" / "quote.json").read_text())["house"] == "Cinder Row"


def test_a_quote_without_prices_has_no_quotation(shop: Path) -> None:
    result = run("quote", "late.toml", "--out", "quotes", "--json")
    assert json.loads(result.stdout)["jobs"][0]["price"] is None
    assert [path.name for path in (shop / "quotes").iterdir()] == ["quote.json"]


def test_actual_prints_and_writes(shop: Path) -> None:
    (shop / "cut.toml").write_text('[[sheets]]\nname = "large"\ncount = 2\n')
    result = run("actual", "plan.json", "cut.toml", "--house", "house.toml", "--out", "kept")
    assert result.exit_code == 0, result.output
    assert "1 more of large: $ 13.80 more" in result.stdout
    assert sorted(path.name for path in (shop / "kept").iterdir()) == ["actual.json", "actual.svg"]
    table = json.loads(run("actual", "plan.json", "cut.toml", "--house", "house.toml", "--json").stdout)
    assert (table["format"], table["difference"]) == ("flatwright actual 1", "13.80")


@pytest.mark.parametrize(
    ("words", "file", "says"),
    [
        (("account", "bad.toml"), "", "bad.toml: is no plan of the format"),
        (("account", "plan.json", "--house", "bad.toml"), '[prices]\nflat = "2 EUR"\n',
         "is in EUR, and the house counts in $"),
        (("account", "plan.json", "--house", "bad.toml"), '[prices]\ncurrency = "DM"\n', "the house file in DM"),
        (("account", "plan.json", "--house", "bad.toml"), "[prices.scrap]\nzinc = -1\n", "-1 is no price"),
        (("account", "plan.json", "--house", "bad.toml"), '[[sheets]]\nmetal = "zinc"\nsize = "9 x 9 in"\ncount = -1\n',
         "must be 0 or more"),
        (("quote", "bad.toml"), "", 'key "jobs": is missing'),
        (("quote", "late.toml", "--with", "bad.toml"), LATE, "job 9: is in bad.toml too; quote for it once"),
        (("actual", "plan.json", "bad.toml"), "", "bad.toml: says nothing"),
        (("actual", "plan.json", "bad.toml"), '[[sheets]]\nname = "large"\ncount = 1\nprice = "3 EUR"\n', "is in EUR"),
        (("actual", "plan.json", "bad.toml"), 'currency = "DM"\n', "is DM, and the house counts in $"),
        (("account", "nowhere.json"), "", "there is no such file"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_one_sentence_and_exit_code_2(
    shop: Path, words: tuple[str, ...], file: str, says: str
) -> None:
    (shop / "bad.toml").write_text(file)
    result = CliRunner().invoke(COMMANDS, [*words, "--out", "never"])
    assert result.exit_code == 2
    assert result.stdout == ""
    assert not (shop / "never").exists()
    (line,) = result.stderr.splitlines()
    assert line.startswith("flatwright: ")
    assert says in line


def test_with_and_onto_exclude_each_other(shop: Path) -> None:
    result = run("quote", "late.toml", "--with", "orders.toml", "--onto", "plan.json")
    assert result.exit_code == 2
    assert "Give --with or --onto" in result.stderr


def test_help_loads_no_room() -> None:
    code = "import sys, planner.cli_estimate; print(sorted(m for m in sys.modules if m.startswith('planner.') or m in "
    code += "('shapely', 'pydantic', 'numpy')))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "['planner.cli_estimate']"
    assert isinstance(account, click.Command)

"""What the rack offers to quotes, to comparisons, and to the orders of the example."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from planner.cli import main

EXAMPLE = Path(__file__).parents[1] / "examples" / "tallow-lane"
TOML = '[prices]\ncurrency = "$"\n[[sheets]]\nname = "large"\nmetal = "zinc"\nsize = "18 x 24 in"\nprice = 12.96\n'


def a_week(folder: Path) -> list[str]:
    """A house, Monday's plan with a rack, and late jobs and Tuesday's orders beside it; gives the common words."""
    order = 'title = "{}"\n[[jobs]]\nnumber = "{}"\n[[jobs.plates]]\nname = "P"\nmetal = "zinc"\nsize = "{}"\n'
    for name, words in (("mon", ("Monday", 1, "7 x 9 in")), ("tue", ("Tuesday", 2, "5 x 6 in")),
                        ("late", ("", 9, "6 x 7 in"))):  # fmt: skip
        (folder / f"{name}.toml").write_text(order.format(*words))
    (folder / "house.toml").write_text(TOML)
    (folder / "sizes.toml").write_text('[[sheets]]\nname = "small"\nmetal = "zinc"\nsize = "8 x 10 in"\nprice = 5\n')
    result = called("plan", "mon.toml", "--iterations", "5", "--rack", "rack.toml", "--out", "mon")
    assert result.exit_code == 0, result.output
    return ["quote", "late.toml", "--onto", "mon/plan.json", "--json"]


def called(*words: str) -> Result:
    return CliRunner().invoke(main, [*words, "--house", "house.toml"])


def test_a_quote_does_not_count_offcuts_that_were_used_since(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    words = a_week(tmp_path)
    refused = called(*words)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert refused.stderr == (
        'flatwright: the plan of "Monday" was made with a rack, where its offcuts lie; give --rack\n'
    )
    metal = json.loads(called(*words, "--rack", "rack.toml").stdout)["jobs"][0]["metal"]
    assert "open space of flat 1 of the plan takes all of it" in metal["reason"]
    assert called("plan", "tue.toml", "--iterations", "5", "--rack", "rack.toml", "--out", "tue").exit_code == 0
    before = Path("rack.toml").read_bytes()
    metal = json.loads(called(*words, "--rack", "rack.toml").stdout)["jobs"][0]["metal"]
    assert metal["reason"] == "the flats of the plan have no open space for it"
    assert metal["alone_sheets"] == {"tuesday-1a": 1}
    assert Path("rack.toml").read_bytes() == before
    again = called("compare", "mon.toml", "--rack", "rack.toml")
    assert again.exit_code == 2
    assert 'its offcut monday-1a has been used by "Tuesday" since' in again.stderr


def test_a_comparison_takes_the_rack_as_a_plan_would(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    a_week(tmp_path)
    before = Path("rack.toml").read_bytes()
    table = json.loads(called("compare", "tue.toml", "--rack", "rack.toml", "--sizes", "sizes.toml", "--json").stdout)
    (zinc,) = table["materials"]
    assert [choice["name"] for choice in zinc["choices"] if choice["from_rack"]] == ["monday-1a"]
    # The day itself is compared without what it made.
    own = json.loads(called("compare", "mon.toml", "--rack", "rack.toml", "--json").stdout)
    assert not any(choice["from_rack"] for choice in own["materials"][0]["choices"])
    assert called("plan", "tue.toml", "--iterations", "5", "--rack", "rack.toml", "--out", "tue").exit_code == 0
    assert Path("rack.toml").read_bytes() != before
    for command in ("compare", "quote"):
        nowhere = called(command, "tue.toml", "--rack", "nowhere.toml")
        assert (nowhere.exit_code, nowhere.stderr) == (2, "flatwright: nowhere.toml: there is no such file\n")


def test_a_small_order_takes_a_piece_of_the_examples_rack(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    lying = (EXAMPLE / "rack.toml").read_text()
    Path("rack.toml").write_text(lying)
    Path("card.toml").write_text(
        'title = "Tuesday"\n[[jobs]]\nnumber = "4201"\n[[jobs.plates]]\nname = "Card"\nmetal = "copper"\n'
        'size = "3 x 4 in"\n'
    )
    words = ["card.toml", "--house", str(EXAMPLE / "house.toml"), "--rack", "rack.toml", "--json"]
    before = json.loads(CliRunner().invoke(main, ["rack", "rack.toml", "--json"]).stdout)
    assert len(before["pieces"]) == 3
    assert before["history"] == [{**dict.fromkeys(("day", "plan", "onto"), ""), "by": "hand", "jobs": [], "taken": [],
                                  "added": before["pieces"]}]  # fmt: skip
    (copper,) = json.loads(CliRunner().invoke(main, ["compare", *words]).stdout)["materials"]
    assert Path("rack.toml").read_text() == lying
    result = CliRunner().invoke(main, ["plan", *words, "--iterations", "5", "--out", "tuesday"])
    assert result.exit_code == 0, result.output
    plan = json.loads(Path("tuesday/plan.json").read_text())
    (taken,) = plan["rack"]["taken"]
    assert copper["offers"][0]["sheets"] == [{"name": taken, "count": 1}]
    assert [flat["sheet"]["name"] for flat in plan["flats"]] == [taken]
    after = json.loads(CliRunner().invoke(main, ["rack", "rack.toml", "--json"]).stdout)
    assert taken not in [piece["name"] for piece in after["pieces"]]
    assert len(after["pieces"]) == 2 + len(plan["offcuts"])


def test_a_rack_behind_a_link_stays_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("shared").mkdir()
    Path("shared/rack.toml").write_text("")
    Path("rack.toml").symlink_to("shared/rack.toml")
    a_week(tmp_path)
    assert "monday-1a" in Path("shared/rack.toml").read_text()
    assert CliRunner().invoke(main, ["rack", "rack.toml", "--forget", "Monday"]).exit_code == 0
    assert Path("rack.toml").is_symlink()
    assert "monday-1a" not in Path("shared/rack.toml").read_text()
    assert sorted(path.name for path in Path("shared").iterdir()) == ["rack.toml"]

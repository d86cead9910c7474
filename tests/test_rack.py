"""The rack: what a day takes and adds, planned again, changed by hand, by two at once, with late jobs."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.cli import main
from planner.flats import Search
from planner.forms import InputError
from planner.house import House
from planner.orders import Orders, orders_from
from planner.plan import Plan, plan_text
from planner.planning import make_plan
from planner.proof import prove
from planner.rack import keeping
from planner.rack.days import Kept, begin_day, day_name, kept
from planner.rack.history import replay
from planner.rack.keeping import write_rack, write_with_folder
from planner.rack.reading import read_rack
from planner.rack.records import Rack
from planner.rack.stock import house_with
from planner.rack.text import rack_text
from planner.writing import write_folder

from .days import a_day, a_house, rules_of

# 18 x 24 in of zinc for 12.96: three cents a square inch.
SHEET = {"name": "large", "metal": "zinc", "size": "18 x 24 in", "price": 12.96}
HOUSE = a_house(sheets=[SHEET])
EMPTY = Rack("rack.toml", None, (), ())
TOML = '[prices]\ncurrency = "$"\n[[sheets]]\nname = "large"\nmetal = "zinc"\nsize = "18 x 24 in"\nprice = 12.96\n'


def orders_of(job: str, *sizes: str) -> Orders:
    plates = [{"name": f"P{number}", "size": size} for number, size in enumerate(sizes)]
    day = a_day(*plates)
    day["jobs"][0]["number"] = job
    return orders_from(day, "orders.toml")


def one_day(rack: Rack, name: str, orders: Orders, house: House = HOUSE) -> Kept:
    day = begin_day(rack, name, orders, house)
    made = make_plan(orders, house_with(house, day.offered), rules_of(house), Search(iterations=5))
    return kept(day, made)


def reread(rack: Rack, tmp_path: Path, change: Callable[[str], str] = str) -> Rack:
    path = tmp_path / "rack.toml"
    path.write_text(change(rack_text(rack)))
    return read_rack(path)


def names(rack: Rack) -> list[str]:
    return [piece.name for piece in rack.pieces]


def test_the_second_day_lies_on_what_the_first_left(tmp_path: Path) -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    (piece,) = first.rack.pieces
    assert piece.name == "monday-1a"
    assert piece.worth is not None
    assert piece.worth == Decimal(math.floor(piece.area * 3)) / 100
    second = one_day(reread(first.rack, tmp_path), "Tuesday", orders_of("2", "5 x 6 in"))
    flat = second.plan.flats[0]
    assert (flat.sheet.name, flat.sheet.remnant) == ("monday-1a", True)
    assert Decimal(flat.sheet.price or 0) == (piece.worth / 2).quantize(Decimal("0.01"), "ROUND_CEILING")
    assert second.plan.rack is not None
    assert second.plan.rack.taken == ("monday-1a",)
    # What is left of a piece is worth its part of the piece, not of what the piece counted for.
    (left,) = second.rack.pieces
    assert left.worth == (piece.worth * Decimal(left.area / piece.area)).quantize(Decimal("0.01"), "ROUND_DOWN")
    assert prove(second.plan).clean


def test_the_rack_is_used_only_where_that_costs_less() -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    dear = a_house(sheets=[SHEET, {"name": "small", "metal": "zinc", "size": "7 x 8 in", "price": 0.1}])
    assert [
        flat.sheet.name for flat in one_day(first.rack, "Tuesday", orders_of("2", "5 x 6 in"), dear).plan.flats
    ] == ["small"]
    assert one_day(first.rack, "Tuesday", orders_of("2", "5 x 6 in")).entry.taken == first.rack.pieces


def test_no_piece_counts_for_less_than_its_scrap_brings() -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    house = a_house(sheets=[SHEET], rack={"worth": 0}, prices={"scrap": {"zinc": 0.3}})
    (piece,) = first.rack.pieces
    # Zinc weighs 7.133 g/cm3, a cubic inch is 16.387064 cm3, a pound 453.59237 g.
    pounds = piece.area * 0.064 * 16.387064 * 7.133 / 453.59237
    counts = house_with(house, first.rack.pieces).sheets[-1].price
    assert counts == Decimal(math.ceil(pounds * 0.3 * 100)) / 100


def test_a_day_planned_again_leaves_the_same_rack(tmp_path: Path) -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    again = one_day(reread(first.rack, tmp_path), "Monday", orders_of("1", "7 x 9 in"))
    assert rack_text(again.rack) == rack_text(first.rack)
    other = one_day(reread(first.rack, tmp_path), "Monday", orders_of("1", "12 x 20 in"))
    assert len(other.rack.history) == 1
    second = one_day(first.rack, "Tuesday", orders_of("2", "5 x 6 in"))
    with pytest.raises(InputError, match=r'plan "Monday": its offcut monday-1a has been used by "Tuesday" since'):
        one_day(second.rack, "Monday", orders_of("1", "7 x 9 in"))
    # The second day can be planned again: it gives back what it took first.
    assert one_day(second.rack, "Tuesday", orders_of("2", "5 x 6 in")).rack.pieces == second.rack.pieces


def test_an_earlier_day_does_not_use_what_a_later_one_made() -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "16 x 22 in"))
    assert not first.rack.pieces
    second = one_day(first.rack, "Tuesday", orders_of("2", "7 x 9 in"))
    again = one_day(second.rack, "Monday", orders_of("1", "5 x 6 in"))
    assert again.entry.taken == ()
    assert [entry.day for entry in again.rack.history] == ["Monday", "Tuesday"]
    assert names(again.rack) == ["monday-1a", "tuesday-1a"]


def test_another_plan_of_the_same_name_is_refused_and_names_never_meet() -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    with pytest.raises(InputError, match=r'another plan called "Monday" \(jobs 1\); give this one'):
        begin_day(first.rack, "Monday", orders_of("9", "7 x 9 in"), HOUSE)
    alike = one_day(first.rack, "Monday!", orders_of("9", "14 x 20 in", "7 x 9 in"))
    assert len(set(names(alike.rack))) == len(alike.rack.pieces)
    assert all(name.startswith("monday-2-") for name in names(alike.rack) if name != "monday-1a")


def test_changes_by_hand_are_taken_and_told(tmp_path: Path) -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    found = '\n[[pieces]]\nname = "found"\nmetal = "zinc"\nsize = "9 x 10 in"\n\n[[history]]'
    rack = reread(first.rack, tmp_path, lambda text: text.replace("\n[[history]]", found, 1))
    assert rack.by_hand
    assert [piece.name for piece in rack.history[-1].added] == ["found"]
    second = one_day(rack, "Tuesday", orders_of("2", "5 x 6 in"))
    assert [entry.by for entry in second.rack.history] == ["plan", "hand", "plan"]
    assert not reread(second.rack, tmp_path).by_hand
    shown = CliRunner().invoke(main, ["rack", str(tmp_path / "rack.toml"), "--history"])
    assert "2. by hand: took nothing, added found" in shown.output
    away = reread(
        first.rack, tmp_path, lambda text: text[: text.index("[[pieces]]")] + text[text.index("[[history]]") :]
    )
    assert away.pieces == ()
    assert [piece.name for piece in away.history[-1].taken] == ["monday-1a"]
    with pytest.raises(InputError, match="taken away or changed by hand since"):
        one_day(away, "Monday", orders_of("1", "7 x 9 in"))


PIECE = '[[pieces]]\nname = "x"\nmetal = "zinc"\nsize = "9 x 10 in"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (PIECE + PIECE, 'key "pieces": has two pieces called "x"; give one of them another name'),
        (PIECE.replace("9 x", "-9 x"), 'piece 1, key "size"'),
        (PIECE.replace("zinc", "brass"), "piece 1, key \"metal\": must be one of 'copper', 'zinc' or 'magnesium'"),
        (PIECE + 'worth = "3 EUR"\n', '"3 EUR" is in EUR, and this file counts in $: write it in that'),
        (PIECE + "worth = -1\n", 'piece 1, key "worth": -1 is no price'),
        ('currency = "EUR"\n' + PIECE, "counts in EUR, the house file in $; use the house's own rack"),
        (PIECE.replace('"x"', '"large"'), 'piece "large": is what the house file calls a sheet'),
        ("pieces = 3\n", 'key "pieces": must be a list'),
        ("[[pieces]\n", "is not valid TOML"),
        ('format = "other"\n', 'key "format"'),
    ],
)
def test_a_bad_rack_gets_one_sentence_and_nothing_is_written(
    text: str, sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = shop(tmp_path, text)
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1
    assert sentence in result.stderr
    assert (tmp_path / "rack.toml").read_text() == text
    assert sorted(os.listdir(tmp_path)) == ["house.toml", "orders.toml", "rack.toml"]


def shop(folder: Path, rack: str | None = None, *words: str) -> Result:
    (folder / "house.toml").write_text(TOML)
    (folder / "orders.toml").write_text(
        'title = "Monday"\n[[jobs]]\nnumber = "1"\n[[jobs.plates]]\nname = "Map"\nmetal = "zinc"\nsize = "7 x 9 in"\n'
    )
    if rack is not None:
        (folder / "rack.toml").write_text(rack)
    return plan("orders.toml", *words)


def plan(orders: str, *words: str) -> Result:
    return CliRunner().invoke(main, ["plan", orders, "--house", "house.toml", "--rack", "rack.toml", *words])


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda text: text.replace('jobs = ["2"]', 'jobs = ["3"]'), "entry 2 of the history (Tuesday): does not agree"),
        (lambda text: text[: text.rindex("[[history]]")], "the history: does not end with the entry"),
        (
            lambda text: text.replace('name = "tuesday-1a"', 'name = "monday-1a"', 1),
            'piece "monday-1a": was used up by the plan "Tuesday"; a new piece needs a new name',
        ),
    ],
)
def test_a_history_that_was_changed_and_a_piece_taken_twice_are_refused(
    change: Callable[[str], str], sentence: str, tmp_path: Path
) -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    second = one_day(first.rack, "Tuesday", orders_of("2", "5 x 6 in"))
    with pytest.raises(InputError) as error:
        reread(second.rack, tmp_path, change)
    assert sentence in str(error.value)


def test_rack_and_folder_come_together_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = one_day(EMPTY, "Monday", orders_of("1", "7 x 9 in"))
    path, out = tmp_path / "rack.toml", tmp_path / "out"
    write_with_folder(path, first.rack, out, {"plan.json": first.text})
    before = path.read_text()
    rename = os.rename

    def fail(source: Path, target: Path) -> None:
        if Path(source).name == "new":
            raise OSError(5, "Input/output error")
        rename(source, target)

    second = one_day(read_rack(path), "Tuesday", orders_of("2", "5 x 6 in"))
    with monkeypatch.context() as patch:
        patch.setattr(os, "rename", fail)
        with pytest.raises(InputError, match="cannot be written: Input/output error"):
            write_with_folder(path, second.rack, out, {"plan.json": second.text})
        # A rack that was not there before is not there afterwards.
        with pytest.raises(InputError):
            write_folder(tmp_path / "other", {"plan.json": "x"}, (tmp_path / "fresh.toml", "x"))
    assert path.read_text() == before
    assert (out / "plan.json").read_text() == first.text
    assert sorted(os.listdir(tmp_path)) == ["out", "rack.toml"]
    write_with_folder(path, second.rack, out, {"plan.json": second.text})
    assert (path.read_text(), (out / "plan.json").read_text()) == (rack_text(second.rack), second.text)


def test_of_two_at_once_one_is_told_and_nothing_is_lost(tmp_path: Path) -> None:
    """Real processes that have all read the same rack, and write it at the same moment."""
    write_rack(tmp_path / "rack.toml", EMPTY)
    script = (
        "import sys\nfrom pathlib import Path\nfrom dataclasses import replace\n"
        "from planner.rack.reading import read_rack\nfrom planner.rack.keeping import write_rack\n"
        "from planner.rack.records import Entry, Piece\nfrom planner.forms import InputError\n"
        "path, name = Path('rack.toml'), sys.argv[1]\nrack = read_rack(path)\nprint('read', flush=True)\ninput()\n"
        "piece = Piece(name=name, metal='zinc', size='9 x 9 in')\n"
        "entry = Entry(by='hand', added=(piece,))\n"
        "try:\n    write_rack(path, replace(rack, pieces=(*rack.pieces, piece), history=(*rack.history, entry)))\n"
        "except InputError as error:\n    sys.exit(str(error))\n"
    )
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join([str(Path(__file__).parent.parent), *sys.path])}
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", script, name], cwd=tmp_path, env=environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for name in ("a", "b", "c")
    ]  # fmt: skip
    for run in runs:
        assert run.stdout is not None
        assert run.stdout.readline() == "read\n"
    for run in runs:
        assert run.stdin is not None
        run.stdin.write("\n")
        run.stdin.flush()
    told = [run.communicate()[1] for run in runs]
    assert sorted(run.returncode for run in runs) == [0, 1, 1]
    assert sum("was changed while this was planned; nothing was written: plan again" in words for words in told) == 2
    rack = read_rack(tmp_path / "rack.toml")
    winner = "abc"[[run.returncode for run in runs].index(0)]
    assert names(rack) == [winner]
    assert os.listdir(tmp_path) == ["rack.toml"]


def test_a_lock_that_stays_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "rack.toml.lock").write_text("process 7 on anvil\n")
    monkeypatch.setattr(keeping, "WAIT", 0.0)
    with pytest.raises(InputError, match=r"is being written by process 7 on anvil; .* remove the file rack.toml.lock"):
        write_rack(tmp_path / "rack.toml", EMPTY)
    assert os.listdir(tmp_path) == ["rack.toml.lock"]


def test_the_command_line_from_monday_to_late_jobs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = shop(tmp_path, None, "--out", "monday")
    assert result.exit_code == 0, result.output
    assert 'begun: "Monday" took nothing, added monday-1a; 1 piece on it now' in result.output
    assert "monday-1a: zinc" in result.output
    assert "CUT AND KEEP" in Path("monday", "rack.svg").read_text()
    before = Path("rack.toml").read_text()
    Path("late.toml").write_text(
        '[[jobs]]\nnumber = "8"\n[[jobs.plates]]\nname = "L"\nmetal = "zinc"\nsize = "3 x 4 in"\n'
    )
    onto = ["--onto", "monday/plan.json", "--out", "late"]
    bare = CliRunner().invoke(main, ["plan", "late.toml", "--house", "house.toml", *onto])
    assert bare.exit_code == 2
    assert 'the plan of "Monday" was made with a rack, where its offcuts lie; give --rack' in bare.stderr
    late = plan("late.toml", *onto)
    assert late.exit_code == 0, late.output
    made = Plan.model_validate_json(Path("late", "plan.json").read_text())
    assert len(made.flats) == 1
    assert prove(made, Path("late")).clean
    rack = read_rack(Path("rack.toml"))
    assert [piece.name for piece in rack.history[1].taken] == ["monday-1a"]
    assert "monday-1a" not in names(rack)
    # Planned again, the late jobs take back what they did; the day itself cannot be planned again.
    there = Path("rack.toml").read_text()
    assert plan("late.toml", *onto).exit_code == 0
    assert Path("rack.toml").read_text() == there
    again = plan("orders.toml", "--out", "monday")
    assert again.exit_code == 2
    assert "late jobs (8) were added to it since" in again.stderr
    # Forgotten, the rack is as it was.
    shown = CliRunner().invoke(main, ["rack", "rack.toml", "--forget", "Monday", "--json"])
    assert [piece["name"] for piece in json.loads(shown.output)["pieces"]] == ["monday-1a"]
    assert Path("rack.toml").read_text() == before


def test_late_jobs_keep_off_offcuts_that_another_day_has_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shop(tmp_path, None, "--out", "monday")
    orders = Path("orders.toml").read_text()
    Path("tuesday.toml").write_text(orders.replace("Monday", "Tuesday").replace('"1"', '"2"'))
    assert plan("tuesday.toml", "--out", "tuesday").exit_code == 0
    Path("late.toml").write_text(orders.replace("Monday", "Late").replace('"1"', '"8"').replace("7 x 9", "6 x 9"))
    late = plan("late.toml", "--onto", "monday/plan.json", "--out", "late")
    assert late.exit_code == 0, late.output
    made = Plan.model_validate_json(Path("late", "plan.json").read_text())
    assert len(made.flats) == 2
    assert len(made.flats[0].placements) == 1
    assert made.flats[1].sheet.name != "monday-1a"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--rack", "out/rack.toml"], "lies in the output folder, which every plan replaces"),
        (["--rack", "rack.json"], "is written as TOML; give it a name like rack.toml"),
        (["--rack", "nowhere/rack.toml"], "lies in a folder that is not there"),
        (["--day", "Monday"], "--day is what the rack calls this day; give --rack as well"),
    ],
)
def test_a_rack_in_a_wrong_place_is_refused(
    words: list[str], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "orders.toml").write_text(
        '[[jobs]]\nnumber = 1\n[[jobs.plates]]\nname = "M"\nmetal = "zinc"\nsize = "3 x 4 in"\n'
    )
    result = CliRunner().invoke(main, ["plan", "orders.toml", *words])
    assert result.exit_code == 2
    assert sentence in result.stderr


def test_of_equal_plans_the_one_with_the_largest_offcut_is_taken() -> None:
    """Two plates of 8 x 3 in on 18 x 24 in without grip, gap or trim: stacked at one edge they leave 18 x 18, beside
    each other 18 x 21 in; that is the largest rectangle there is, for no straight cut leaves more than 24 - 3 in."""
    house = a_house(
        sheets=[SHEET], glass={"grip": "0 in"}, cutting={"gap": "0 in", "trim": "0 in"},
        film={"safe_edge": "0 in"}, flats={"least_offcut": "6 x 8 in"},
    )  # fmt: skip
    orders = orders_from(
        a_day(*({"name": name, "size": "8 x 3 in", "mounting": "unmounted"} for name in "AB")), "orders.toml"
    )
    made = make_plan(orders, house, rules_of(house), Search(iterations=50))
    blank = made.plates[0].blank
    largest = max(offcut.box[2] * offcut.box[3] for offcut in made.offcuts)
    assert largest == pytest.approx(18 * (24 - min(blank[2:])), abs=0.1)
    assert made.offcuts[0].name.endswith("-1a")


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    week=st.lists(
        st.lists(st.tuples(st.integers(8, 60), st.integers(8, 60)), min_size=1, max_size=4), min_size=2, max_size=4
    ),
    again=st.booleans(),
)
def test_over_a_week_no_piece_is_used_twice_and_no_metal_comes_from_nowhere(
    week: list[list[tuple[int, int]]], again: bool
) -> None:
    rack = EMPTY
    new_metal = gone_metal = 0.0
    taken: list[str] = []
    for number, sizes in enumerate(week):
        orders = orders_of(str(number), *(f"{width}/4 x {height}/4 in" for width, height in sizes))
        done = one_day(rack, f"Day {number}", orders)
        if again:
            rack = done.rack
            done = one_day(rack, f"Day {number}", orders)
            assert rack_text(done.rack) == rack_text(rack)
        assert prove(done.plan, elements=0).clean
        before = {piece.name: piece for piece in done.entry.taken}
        for flat in done.plan.flats:
            area = flat.sheet.width * flat.sheet.height
            if flat.sheet.name in before:
                assert area == before[flat.sheet.name].area
            else:
                new_metal += area
        # Every square inch of the day that did not come to the rack left the house.
        ledger = done.plan.ledger.total
        offcuts = sum(offcut.box[2] * offcut.box[3] for offcut in done.plan.offcuts)
        assert ledger.offcut == pytest.approx(offcuts)
        kept_area = sum(piece.area for piece in done.entry.added)
        assert offcuts - 1.5 * len(done.entry.added) <= kept_area <= offcuts + 1e-9
        gone_metal += sum(account.sheet_area for account in done.plan.ledger.flats) - kept_area
        taken += before
        rack = done.rack
    assert len(taken) == len(set(taken))
    assert new_metal == pytest.approx(gone_metal + sum(piece.area for piece in rack.pieces))
    assert set(replay(rack.history, "rack").values()) == set(rack.pieces)


@pytest.mark.parametrize("day", ["\x7f\x1b[31m", "a" * 300, "\udcff", '"""', "\u202e\u05d0", "<script>"])
def test_no_name_of_a_day_makes_a_rack_unreadable(day: str, tmp_path: Path) -> None:
    orders = orders_of("1", "7 x 9 in")
    first = one_day(EMPTY, day_name(orders, "orders", day), orders)
    rack = reread(first.rack, tmp_path)
    assert (rack.pieces, rack.history) == (first.rack.pieces, first.rack.history)
    assert len(rack.history[0].day) <= 80


def test_the_same_rack_is_the_same_bytes_and_reads_back_the_same(tmp_path: Path) -> None:
    first = one_day(EMPTY, "Tag <script> \u202e x", orders_of("1", "7 x 9 in", "2 x 3 in"))
    rack = reread(first.rack, tmp_path)
    assert (rack.pieces, rack.history) == (first.rack.pieces, first.rack.history)
    assert rack_text(rack) == rack_text(first.rack)
    assert plan_text(first.plan) == first.text

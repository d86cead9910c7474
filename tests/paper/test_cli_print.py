from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import main
from planner.plan import plan_text
from planner.writing import is_ours

from .days import plan, sheets


@pytest.fixture
def planned(tmp_path: Path) -> Path:
    path = tmp_path / "plan.json"
    path.write_text(plan_text(plan()), encoding="utf-8")
    return path


def run(*words: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, [str(word) for word in words])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.stdout, done.stderr


def test_sheets_of_a_plan_are_printed_beside_it(planned: Path) -> None:
    code, said, _ = run("print", planned)
    assert code == 0
    names = {name.replace(".svg", ".pdf") for name in sheets()}
    assert {path.name for path in planned.parent.iterdir()} == {"plan.json", *names}
    assert all(is_ours(name) for name in names)
    assert "flat-01-stripper.pdf: 1 page, landscape" in said


def test_what_is_printed_and_on_what_can_be_said(planned: Path) -> None:
    house = planned.with_name("house.toml")
    house.write_text('[printer]\npaper = "A4"\nmeasured_x = "9.97 in"\n', encoding="utf-8")
    out = planned.parent / "on paper"
    words = ("print", planned, "--house", house, "--out", out, "--sheets", "flat-01-[sm]t*", "--json")
    code, said, _ = run(*words, "--paper", "letter", "--overlap", "1 in")
    assert code == 0
    table = json.loads(said)
    assert table["paper"] == "Letter"
    assert table["stretch"] == {"x": pytest.approx(10 / 9.97), "y": 1.0}
    assert [file["name"] for file in table["files"]] == ["flat-01-stripper.pdf"]
    assert [path.name for path in out.iterdir()] == ["flat-01-stripper.pdf"]
    assert json.loads(run(*words)[1])["paper"] == "A4"


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--measured-x", "0in"), '--measured-x: "0in" is no measured length'),
        (("--measured-x", "10.6 in"), "--measured-x: \"10.6 in\" is more than 5 % off the 10 in of the rule"),
        (("--measured-y", "9.97"), '--measured-y: "9.97" names no unit'),
        (("--measured-y", "7 in of 0 in"), "must be greater than zero"),
        (("--paper", "foolscap"), '--paper: "foolscap" is no paper known here; write plotter, A0'),
        (("--margin", "-1 in"), "--margin:"),
        (("--paper", "A4", "--overlap", "9 in"), "take larger paper or less overlap"),
        (("--sheets", "flat-99*"), '--sheets "flat-99*" fits no sheet; there are: flat-01-stripper'),
    ],
)  # fmt: skip
def test_nonsense_is_refused_in_a_sentence_and_nothing_is_written(
    planned: Path, words: tuple[str, ...], sentence: str
) -> None:
    code, _, said = run("print", planned, *words)
    assert code == 2
    assert sentence in said
    assert [path.name for path in planned.parent.iterdir()] == ["plan.json"]


def test_a_folder_in_a_files_place_stops_all(planned: Path) -> None:
    (planned.parent / "flat-01-metal.pdf").mkdir()
    code, _, said = run("print", planned)
    assert code == 2
    assert "flat-01-metal.pdf: is a folder" in said
    assert sorted(path.name for path in planned.parent.iterdir()) == ["flat-01-metal.pdf", "plan.json"]


def test_plan_writes_pdf_beside_the_sheets(tmp_path: Path) -> None:
    orders = tmp_path / "orders.toml"
    orders.write_text(
        '[[jobs]]\nnumber = "1"\n[[jobs.plates]]\nname = "Map"\nsize = "4 x 6 in"\nmetal = "zinc"\n', encoding="utf-8"
    )
    out = tmp_path / "out"
    words = ("plan", orders, "--iterations", 0, "--out", out)
    code, said, _ = run(*words, "--pdf", "--paper", "A3")
    assert code == 0
    assert "PDF files" in said
    made = {path.name for path in out.iterdir()}
    assert {name.replace(".pdf", ".svg") for name in made if name.endswith(".pdf")} == {
        name for name in made if name.endswith(".svg")
    }
    assert run(*words)[0] == 0
    assert not list(out.glob("*.pdf"))
    code, _, said = run(*words, "--paper", "A3")
    assert code == 2
    assert "give --pdf as well" in said

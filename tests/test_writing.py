from __future__ import annotations

import os
from pathlib import Path

import pytest

from planner import writing
from planner.forms import InputError
from planner.writing import check_folder, is_ours, write_beside, write_file, write_folder

OLD = '{"format":"flatwright plan 1"}'


def test_a_failure_in_the_middle_leaves_the_old_folder_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_folder(out, {"plan.json": OLD})

    def fail(path: Path, text: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, "_write", fail)
    with pytest.raises(InputError, match="cannot be written: No space left on device"):
        write_folder(out, {"plan.json": "new"})
    assert (out / "plan.json").read_text() == OLD
    assert os.listdir(tmp_path) == ["out"]


def test_when_the_last_rename_fails_the_old_folder_comes_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    write_folder(out, {"plan.json": OLD})
    rename = os.rename

    def fail_once(source: Path, target: Path) -> None:
        if Path(source).name == "new":
            raise OSError(5, "Input/output error")
        rename(source, target)

    monkeypatch.setattr(os, "rename", fail_once)
    with pytest.raises(InputError):
        write_folder(out, {"plan.json": "new"})
    assert (out / "plan.json").read_text() == OLD


def test_folders_above_are_made(tmp_path: Path) -> None:
    write_folder(tmp_path / "a" / "b", {"plan.json": "x"})
    assert (tmp_path / "a" / "b" / "plan.json").read_text() == "x"


def test_the_folder_one_works_in_is_never_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plan.json").write_text("{}")
    inside = tmp_path / "inside"
    inside.mkdir()
    monkeypatch.chdir(inside)
    for folder in (Path(), tmp_path):
        with pytest.raises(InputError, match="you are working in"):
            check_folder(folder)


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_folder(tmp_path / "link", {"plan.json": "x"})
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real" / "plan.json").read_text() == "x"


def test_one_file_is_written_whole(tmp_path: Path) -> None:
    write_file(tmp_path / "a.json", "1")
    write_file(tmp_path / "a.json", "2")
    assert (tmp_path / "a.json").read_text() == "2"
    assert os.listdir(tmp_path) == ["a.json"]


def test_a_strangers_files_are_not_taken_for_ours(tmp_path: Path) -> None:
    (tmp_path / "theirs").mkdir()
    (tmp_path / "theirs" / "plan.json").write_text('{"terraform": 1}')
    with pytest.raises(InputError, match="holds other files and no plan"):
        check_folder(tmp_path / "theirs")
    write_folder(tmp_path / "out", {"plan.json": OLD})
    (tmp_path / "out" / "flat-earth.svg").write_text("mine")
    write_folder(tmp_path / "out", {"plan.json": OLD})
    assert (tmp_path / "out" / "flat-earth.svg").read_text() == "mine"


def test_a_folder_that_cannot_be_looked_at_gives_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    for folder in (tmp_path / "a", tmp_path / "a" / "x", tmp_path / ("n" * 300)):
        with pytest.raises(InputError, match="cannot be used"):
            check_folder(folder)


def test_bytes_are_written_as_they_are(tmp_path: Path) -> None:
    write_folder(tmp_path / "out", {"plan.json": OLD, "camera.pdf": b"%PDF-1.7\r\n\xff"})
    assert (tmp_path / "out" / "camera.pdf").read_bytes() == b"%PDF-1.7\r\n\xff"


def test_files_put_beside_others_appear_all_or_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    write_beside(out, {"a.pdf": b"old"})
    (out / "notes.txt").write_text("kept")
    written: list[str] = []

    def fail_second(path: Path, content: str | bytes) -> None:
        if written:
            raise OSError(28, "No space left on device")
        written.append(path.name)
        path.write_bytes(b"new")

    with monkeypatch.context() as patch:
        patch.setattr(writing, "_write", fail_second)
        with pytest.raises(InputError, match="cannot be written: No space left"):
            write_beside(out, {"a.pdf": b"new", "b.pdf": b"new"})
    assert sorted(os.listdir(out)) == ["a.pdf", "notes.txt"]
    assert (out / "a.pdf").read_bytes() == b"old"
    write_beside(out, {"a.pdf": b"new", "b.pdf": b"new"})
    assert {path.name: path.read_bytes() for path in out.iterdir()} == {
        "a.pdf": b"new", "b.pdf": b"new", "notes.txt": b"kept",
    }  # fmt: skip


@pytest.mark.parametrize(
    "name", ["flat-01-stripper.pdf", "flat-02-pass-1.svg", "flat-10-router-plate-3.pdf", "camera.pdf"]
)
def test_what_a_plan_wrote_goes_when_the_next_one_comes(name: str) -> None:
    assert is_ours(name)
    assert not is_ours(f"my-{name}")

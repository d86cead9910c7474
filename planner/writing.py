"""Outputs appear whole or not at all: everything is written beside its place, then renamed into it."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from planner.forms import InputError, Problem

MARK: Final = "plan.json"
"""A folder in which this file is a plan is one of ours and may be replaced."""

_PLAN_BEGINS: Final = b'{"format":"flatwright plan '
_SHEET: Final = re.compile(
    r"flat-\d{2,}-(stripper|metal|shear|router|pass-\d+|router-plate-\d+)\.(svg|pdf|dxf)"
    r"|(camera|mounting|key|rack)\.(svg|pdf)|index\.html"
)


def write_folder(folder: Path, files: Mapping[str, str | bytes], beside: tuple[Path, str] | None = None) -> None:
    """Put files (names without folders; texts, or bytes) into a folder, replacing what an earlier plan wrote there.

    Files that a plan did not write stay in the folder. Interrupted at any moment, either the old folder or the new one
    stands there, never a mixture. A file ``beside`` it (its place outside the folder, its text) is replaced in the same
    moment, just before the folder: both are new, or both are as they were.

    Raises:
        InputError: the folder may not be replaced, or cannot be written.
    """
    check_folder(folder)
    target = folder.resolve()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _scratch(target) as scratch, _beside(beside) as further:
            fresh = scratch / "new"
            fresh.mkdir()
            for name, text in files.items():
                _write(fresh / name, text)
            _exchange(target, fresh, scratch / "old", further)
    except OSError as error:
        raise _refusal(folder, f"cannot be written: {error.strerror or error}") from None


def check_folder(folder: Path) -> None:
    """Refuse a folder that is not ours to replace, before any work is done for it.

    Raises:
        InputError: it is a file, holds other things than a plan, or is where the command is being run.
    """
    try:
        _check(folder)
    except (OSError, RuntimeError) as error:
        raise _refusal(folder, f"cannot be used: {getattr(error, 'strerror', None) or error}") from None


def _check(folder: Path) -> None:
    target = folder.resolve()
    if target == Path.cwd() or target in Path.cwd().parents:
        raise _refusal(folder, "is the folder you are working in; name a folder inside it, like out")
    if not target.exists():
        return
    if not target.is_dir():
        raise _refusal(folder, "is a file; name a folder")
    if target.is_mount():
        raise _refusal(folder, "is where a disk is mounted and cannot be replaced; name a folder inside it")
    if any(target.iterdir()) and not _is_plan(target / MARK):
        raise _refusal(folder, "holds other files and no plan; name a new or an empty folder")


def write_beside(folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Put files (names without folders; texts, or bytes) into a folder that may hold others; all appear, or none.

    Raises:
        InputError: they cannot be written, or one would take the place of a folder.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        target = folder.resolve()
        for name in files:
            if (target / name).is_dir():
                raise _refusal(folder / name, "is a folder; a file is to be written there")
        with _scratch(target) as scratch:
            for name, content in files.items():
                _write(scratch / name, content)
            with _undisturbed():
                for name in files:
                    os.replace(scratch / name, target / name)
    except OSError as error:
        raise _refusal(folder, f"cannot be written: {error.strerror or error}") from None


def write_file(path: Path, text: str) -> None:
    """Write one file whole or not at all.

    Raises:
        InputError: it cannot be written.
    """
    try:
        with _scratch(path.resolve()) as scratch:
            _write(scratch / "new", text)
            os.replace(scratch / "new", path)
    except OSError as error:
        raise _refusal(path, f"cannot be written: {error.strerror or error}") from None


def is_ours(name: str) -> bool:
    """Say whether a file of an output folder was written by a plan, and so goes when the next one comes."""
    return name == MARK or _SHEET.fullmatch(name) is not None


def _is_plan(path: Path) -> bool:
    if not path.is_file():
        return False
    with path.open("rb") as file:
        return file.read(len(_PLAN_BEGINS)) == _PLAN_BEGINS


def _write(path: Path, content: str | bytes) -> None:
    with path.open("wb") as file:
        file.write(content if isinstance(content, bytes) else content.encode())
        file.flush()
        os.fsync(file.fileno())


@contextlib.contextmanager
def _scratch(target: Path) -> Iterator[Path]:
    """A folder beside the target, on the same disk, that is gone afterwards."""
    scratch = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    try:
        yield scratch
    finally:
        shutil.rmtree(scratch, ignore_errors=True)


@dataclass(frozen=True, slots=True)
class _File:
    """A file to be replaced, its new text written beside it, and a place for what it was."""

    path: Path
    fresh: Path
    old: Path

    def replace(self) -> None:
        if self.path.exists():
            shutil.copymode(self.path, self.fresh)
            shutil.copy2(self.path, self.old)
        os.replace(self.fresh, self.path)

    def put_back(self) -> None:
        if self.old.exists():
            os.replace(self.old, self.path)
        elif not self.fresh.exists():
            self.path.unlink()


@contextlib.contextmanager
def _beside(file: tuple[Path, str] | None) -> Iterator[_File | None]:
    if file is None:
        yield None
        return
    path = file[0].resolve()
    with _scratch(path) as scratch:
        _write(scratch / "new", file[1])
        yield _File(path, scratch / "new", scratch / "old")


def _exchange(target: Path, fresh: Path, old: Path, beside: _File | None) -> None:
    with _undisturbed():
        if target.exists():
            for entry in sorted(target.iterdir()):
                if not is_ours(entry.name):
                    _copy(entry, fresh / entry.name)
            shutil.copymode(target, fresh)
        try:
            if beside is not None:
                beside.replace()
            _swap(target, fresh, old)
        except OSError:
            if beside is not None:
                beside.put_back()
            raise


def _swap(target: Path, fresh: Path, old: Path) -> None:
    if not target.exists():
        os.rename(fresh, target)
        return
    os.rename(target, old)
    try:
        os.rename(fresh, target)
    except OSError:
        os.rename(old, target)
        raise


def _copy(entry: Path, place: Path) -> None:
    if entry.is_dir() and not entry.is_symlink():
        shutil.copytree(entry, place, symlinks=True)
    else:
        shutil.copy2(entry, place, follow_symlinks=False)


@contextlib.contextmanager
def _undisturbed() -> Iterator[None]:
    """Put off Ctrl-C and termination until the two renames are done."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    held = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, held)


def _refusal(path: Path, message: str) -> InputError:
    return InputError(str(path), [Problem("", message)])

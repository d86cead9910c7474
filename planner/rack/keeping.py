"""Rack and output folder are written together: both or neither, by one at a time, and only if nobody was quicker.

The rack is read when a plan is begun, and may be written minutes later. So its digest is compared just before it is
written, under a lock that is held for that moment only. The rack is replaced just before the folder: should the machine
stop in between, the rack holds back pieces for a plan that is not there, and planning the day again puts that right.
"""

from __future__ import annotations

import contextlib
import os
import platform
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from planner.rack.reading import digest_of
from planner.rack.records import Rack, refusal
from planner.rack.text import rack_text
from planner.writing import write_file, write_folder

WAIT: Final = 10.0
"""Seconds to wait for somebody else who writes the same rack; that takes a moment."""

_LOOK: Final = 0.05
"""Seconds from one look to the next."""


def check_place(path: Path, folder: Path) -> None:
    """Refuse a rack that would be written into the output folder, before any work is done for it.

    Raises:
        InputError: it lies there, or where no file can be written.
    """
    target = path.resolve()
    if folder.resolve() in (target, *target.parents):
        raise refusal(str(path), "lies in the output folder, which every plan replaces; keep the rack outside of it")
    if target.suffix.lower() == ".json":
        raise refusal(str(path), "is written as TOML; give it a name like rack.toml")
    if not target.parent.is_dir():
        raise refusal(str(path), "lies in a folder that is not there")


def write_with_folder(path: Path, rack: Rack, folder: Path, files: Mapping[str, str | bytes]) -> None:
    """Write a rack and an output folder, both or neither.

    Raises:
        InputError: somebody else writes the rack, has changed it since it was read, or something cannot be written.
    """
    with _locked(path):
        _check_unchanged(path, rack)
        write_folder(folder, files, (path, rack_text(rack)))


def write_rack(path: Path, rack: Rack) -> None:
    """Write a rack alone.

    Raises:
        InputError: as for `write_with_folder`.
    """
    with _locked(path):
        _check_unchanged(path, rack)
        # A link to a rack that several share stays one.
        write_file(path.resolve(), rack_text(rack))


def _check_unchanged(path: Path, rack: Rack) -> None:
    if digest_of(path) != rack.digest:
        raise refusal(str(path), "was changed while this was planned; nothing was written: plan again")


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[None]:
    """Hold the rack's lock: a file beside it that only one can make."""
    target = path.resolve()
    lock = target.with_name(f"{target.name}.lock")
    until = time.monotonic() + WAIT
    while True:
        try:
            handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o644)
            break
        except FileExistsError:
            if time.monotonic() > until:
                raise refusal(
                    str(path), f"is being written by {_owner(lock)}; if nobody is at it, remove the file {lock.name}"
                ) from None
            time.sleep(_LOOK)
        except OSError as error:
            raise refusal(str(path), f"cannot be locked: {error.strerror or error}") from None
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(f"process {os.getpid()} on {platform.node() or 'this machine'}\n")
        yield
    finally:
        lock.unlink(missing_ok=True)


def _owner(lock: Path) -> str:
    try:
        return lock.read_text(encoding="utf-8", errors="replace").strip() or "somebody else"
    except OSError:
        return "somebody else"

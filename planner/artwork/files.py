"""Is this file there, and what does it really hold?

A file is opened once, without following surprises (a pipe, a device, a folder), read whole, and known by its content,
never by its name; a name that says otherwise is a mistake somebody should hear of.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal, TypeAlias

from planner.artwork.records import ArtError

Format: TypeAlias = Literal["SVG", "PNG", "TIFF", "JPEG", "BMP", "PDF"]

LARGEST_FILE: Final = 512 * 2**20
"""Bytes; read whole, a larger file would take too much of the 2 GiB any one piece of art may have."""

_SUFFIXES: Final[dict[str, Format]] = {
    ".svg": "SVG",
    ".png": "PNG",
    ".tif": "TIFF",
    ".tiff": "TIFF",
    ".jpg": "JPEG",
    ".jpeg": "JPEG",
    ".bmp": "BMP",
    ".pdf": "PDF",
}

# The first bytes, from each format's own specification.
_BEGINNINGS: Final[tuple[tuple[bytes, Format], ...]] = (
    (b"\x89PNG\r\n\x1a\n", "PNG"),
    (b"II*\x00", "TIFF"),
    (b"MM\x00*", "TIFF"),
    (b"II+\x00", "TIFF"),
    (b"MM\x00+", "TIFF"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"BM", "BMP"),
)
_XML_BEGINNINGS: Final = (b"<", b"\xff\xfe<\x00", b"\xfe\xff\x00<")


@dataclass(frozen=True, slots=True)
class ArtFile:
    """The bytes of an art file, its SHA-256 in hexadecimal, and what it holds."""

    data: bytes = field(repr=False)
    digest: str
    format: Format


def opened_file(path: Path) -> ArtFile:
    """Read an art file and say what it holds.

    Raises:
        ArtError: it is missing, no plain file, empty, too large, or holds something else than its name says.
    """
    data = _bytes_of(path)
    return ArtFile(data, hashlib.sha256(data).hexdigest(), _format_of(data, path.suffix.lower()))


def _bytes_of(path: Path) -> bytes:
    # O_NONBLOCK: opening a pipe that nobody writes to would otherwise wait for ever.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        descriptor = os.open(path, flags)
    except OSError as error:
        raise ArtError(_unopened(path, error)) from None
    state = os.fstat(descriptor)
    if not stat.S_ISREG(state.st_mode):
        os.close(descriptor)
        if stat.S_ISDIR(state.st_mode):
            raise ArtError("is a folder; name the art file inside it")
        raise ArtError("is no plain file but a pipe or a device; save the art as a file")
    with os.fdopen(descriptor, "rb") as file:
        if state.st_size > LARGEST_FILE:
            raise ArtError(
                f"has {state.st_size / 2**20:.0f} MiB, more than the {LARGEST_FILE // 2**20} MiB an art file may have; "
                f"save it compressed, or with fewer dots to the inch"
            )
        try:
            # One byte more than allowed, so that a file that grows meanwhile is noticed.
            data = file.read(LARGEST_FILE + 1)
        except OSError as error:
            raise ArtError(_unopened(path, error)) from None
    if not data:
        raise ArtError("is empty (0 bytes); save the art again")
    if len(data) > LARGEST_FILE:
        raise ArtError(f"has more than the {LARGEST_FILE // 2**20} MiB an art file may have; save it compressed")
    return data


def _unopened(path: Path, error: OSError) -> str:
    if error.errno in {errno.ENOENT, errno.ENOTDIR}:
        return "does not exist; correct the path, or put the art there"
    if path.is_dir():
        return "is a folder; name the art file inside it"
    return f"cannot be read ({error.strerror}); see to its permissions"


def _format_of(data: bytes, suffix: str) -> Format:
    said = _SUFFIXES.get(suffix)
    if data.startswith(b"\x1f\x8b"):
        raise ArtError("is compressed with gzip; save it as plain SVG, which is compressed no further")
    found = _by_content(data)
    if found is None:
        if said is None:
            raise ArtError("is no art that can be read; save it as SVG, PNG, TIFF, JPEG, BMP or PDF")
        raise ArtError(f"is no {said} file though its name says so; save the art again as {said}")
    if said is not None and found != said:
        raise ArtError(
            f"is no {said} file though its name says so; it holds {found}, so give it a name that ends in "
            f'"{_suffix_of(found)}", or save it as {said}'
        )
    return found


def _by_content(data: bytes) -> Format | None:
    for beginning, kind in _BEGINNINGS:
        if data.startswith(beginning):
            return kind
    # A PDF may have up to 1024 bytes before its header (ISO 32000-1, annex H, implementation note 13).
    if b"%PDF-" in data[:1024]:
        return "PDF"
    text = data.removeprefix(b"\xef\xbb\xbf").lstrip()
    return "SVG" if text.startswith(_XML_BEGINNINGS) else None


def _suffix_of(kind: Format) -> str:
    return next(suffix for suffix, named in _SUFFIXES.items() if named == kind)

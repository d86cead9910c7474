"""How do the sheets travel inside the page, so that it can print them? As drawn, but each long path once, compressed.

The stripper's sheet, the metal's and the router's show the same art; written once, the whole folder takes a fifth of
its size. The page's script puts them together again when somebody wants to print.
"""

from __future__ import annotations

import base64
import gzip
import html
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

_LONG: Final = 100
"""Signs from which on a path is written once for all sheets; more or less changes the size by a hundredth."""
_LEVEL: Final = 6
"""Of gzip; 9 takes twice the time for a hundredth of the size."""
_PATHS: Final = re.compile(rf'(?<= d=")([^"]{{{_LONG},}})(?=")')
_SIZE: Final = re.compile(r'\b(width|height)="([\d.]+)in"')
_TITLE: Final = re.compile(r"<title>(.*?)</title>", re.DOTALL)
_FLAT: Final = re.compile(r"flat-(\d+)-")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: its file, what it is called, its size in inches, and its flat where it belongs to one."""

    file: str
    title: str
    width: float
    height: float
    flat: int | None

    def told(self) -> dict[str, Any]:
        """Give it as the page's script reads it."""
        return {"file": self.file, "title": self.title, "wide": self.width > self.height, "flat": self.flat}


def sheets_of(files: Mapping[str, str]) -> list[Sheet]:
    """Give the sheets among the files of a folder, in their order; what each is called is its own title."""
    return [_sheet(name, text) for name, text in files.items() if name.endswith(".svg")]


def packed(files: Mapping[str, str]) -> str:
    """Give all sheets as base64 of gzip of JSON: the list of long paths, and each sheet's pieces or paths' places."""
    paths: dict[str, int] = {}
    sheets = {}
    for name, text in files.items():
        if name.endswith(".svg"):
            pieces = _PATHS.split(text)
            sheets[name] = [
                paths.setdefault(piece, len(paths)) if place % 2 else piece for place, piece in enumerate(pieces)
            ]
    text = json.dumps({"paths": list(paths), "sheets": sheets}, ensure_ascii=False, separators=(",", ":"))
    return base64.b64encode(gzip.compress(text.encode(), _LEVEL, mtime=0)).decode("ascii")


def _sheet(name: str, text: str) -> Sheet:
    root = text[: text.find(">", text.find("<svg"))]
    sizes = {side: float(size) for side, size in _SIZE.findall(root)}
    title, flat = _TITLE.search(text), _FLAT.match(name)
    return Sheet(
        name,
        html.unescape(title[1]) if title else name,
        sizes.get("width", 1.0),
        sizes.get("height", 1.0),
        int(flat[1]) if flat else None,
    )

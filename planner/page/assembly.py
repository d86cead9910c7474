"""How does the page become one file? Words as JSON that no parser of HTML mistakes, script and style by their hash.

Nothing that people wrote stands in the markup: it all travels as JSON, which the script puts into the page as text.
The page may load nothing and run nothing but the script that stands in it.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from importlib import resources
from typing import Any, Final

from planner.page.day import day_told
from planner.page.printing import packed, sheets_of
from planner.page.scene import Scenes
from planner.plan import Plan

PAGE: Final = "index.html"
"""What the page is called in the folder."""

_SCRIPTS: Final = (
    "data.js", "elements.js", "theme.js", "rings.js", "hatches.js", "layers.js", "scene.js", "view.js", "brush.js",
    "painter.js", "overlay.js", "hits.js", "gestures.js", "card.js", "panels.js", "flat.js", "glance.js", "search.js",
    "printing.js", "keys.js", "route.js", "start.js",
)  # fmt: skip
"""In the order in which they stand in the page: each uses only functions of others once all are there."""
_STYLES: Final = ("page.css", "viewer.css", "print.css")


def page_text(plan: Plan, files: Mapping[str, str]) -> str:
    """Give the page of a plan as HTML; ``files`` are the sheets it prints, SVG by file name. Same input, same bytes."""
    script = "(() => {\n'use strict';\n" + "".join(map(_part, _SCRIPTS)) + "})();\n"
    style = "".join(map(_part, _STYLES))
    scenes = Scenes(plan)
    blocks = [
        _block("day", {**day_told(plan), "sheets": [sheet.told() for sheet in sheets_of(files)]}),
        *(_block(f"flat-{flat.number}", scenes.flat(flat)) for flat in plan.flats),
        *(_block(f"art-{place}", art) for place, art in enumerate(scenes.art())),
        *(_block(f"work-{place}", work) for place, work in enumerate(scenes.work())),
    ]
    values = {
        "policy": f"default-src 'none'; img-src data: blob:; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "base-uri 'none'; form-action 'none'",
        "style": style,
        "data": "\n".join(blocks),
        "sheets": packed(files),
        "script": script,
    }
    pieces = _part("page.html").split("%%")
    # Between marks stand the names of what is put there.
    return "".join(values[piece] if place % 2 else piece for place, piece in enumerate(pieces))


def _block(name: str, data: Any) -> str:  # noqa: ANN401 - whatever JSON can say
    return f'<script type="application/json" id="data-{name}">{safe_json(data)}</script>'


def safe_json(data: Any) -> str:  # noqa: ANN401 - whatever JSON can say
    """Write JSON that may stand inside a script element: without signs that end it, open a comment or break a line."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    # Half of a surrogate pair cannot be written as UTF-8.
    return "".join(f"\\u{ord(sign):04x}" if "\ud800" <= sign <= "\udfff" else sign for sign in text)


def _part(name: str) -> str:
    return resources.files("planner.page").joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}"

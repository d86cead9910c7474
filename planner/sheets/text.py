"""Lines of text before they are drawn: made harmless, measured, cut and broken.

No font is at hand when a sheet is drawn, so widths are taken on the wide side: neither Arial nor DejaVu Sans, the
widest of the usual sans-serif faces, is wider.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import Final

from planner.sheets.widths import BOLD, REGULAR

ELLIPSIS: Final = "\u2026"
TIED: Final = "\u00a0"
"""A blank at which no line is broken; it is drawn as any other."""

_EMS: Final[dict[str, float]] = {
    TIED: REGULAR[" "],
    "\u2019": 0.33,
    "\u00b0": 0.52,
    ELLIPSIS: 1.0,
    "\u2013": 0.56,
    "\u2014": 1.0,
    "\u00d7": 0.84,
}
_BOLDER: Final = 1.13
"""How much wider signs get in bold, where no table says it."""
_OTHER: Final = 0.66
_WIDE: Final = 1.1
_FOREIGN: Final = 0.9
_EMOJI: Final = 1.45
_LIGATURE: Final = 9.0

_KEPT_JOINERS: Final = "\u200c\u200d"
_MARKS: Final = ("Mn", "Me")
_UNSEEN: Final = ("Cc", "Cf", "Cs", "Co", "Cn")
_RIGHT_TO_LEFT: Final = "[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc\U00010800-\U00010fff\U0001e800-\U0001efff]"
_RIGHT_TO_LEFT_RUN: Final = re.compile(rf"{_RIGHT_TO_LEFT}(?:[^A-Za-z0-9]*{_RIGHT_TO_LEFT})*")


def clean(text: str) -> str:
    """Drop what must not or cannot be drawn: controls, direction overrides, heaps of accents, doubled blanks."""
    kept: list[str] = []
    marks = 0
    for sign in text:
        category = unicodedata.category(sign)
        if category in _UNSEEN and sign not in _KEPT_JOINERS:
            kept.append(" " if sign in "\t\n\r\v\f\x85" else "")
            continue
        marks = marks + 1 if category in _MARKS else 0
        if marks <= 2:
            kept.append(sign)
    return " ".join("".join(kept).split())


def width_of(text: str, size: float, bold: bool = False) -> float:
    """Estimate how wide a line is, rather too wide than too narrow."""
    return sum(map(_bold_ems if bold else _ems, text)) * size


def cut_to(text: str, width: float, size: float, bold: bool = False) -> str:
    """Cut a line to a width, with an ellipsis where something went."""
    if width_of(text, size, bold) <= width:
        return text
    kept = text
    while kept and width_of(kept + ELLIPSIS, size, bold) > width:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS if kept else ""


def cut_at(text: str, most: int) -> str:
    """Clean a text and cut it to a number of signs."""
    text = clean(text)
    return text if len(text) <= most else text[: most - 1].rstrip() + ELLIPSIS


def cut_within(text: str, most: int) -> str:
    """Clean a text and cut it to a number of signs in its middle: numbers of one kind differ at their ends."""
    text = clean(text)
    tail = most // 2
    return text if len(text) <= most else text[: most - 1 - tail].rstrip() + ELLIPSIS + text[-tail:].lstrip()


def wrapped(text: str, width: float, size: float, bold: bool = False, most: int = 99) -> list[str]:
    """Break a text into lines of at most this width; what goes beyond ``most`` lines is cut with an ellipsis."""
    lines: list[str] = []
    line = ""
    for word in _words(text, width, size, bold):
        longer = f"{line} {word}" if line else word
        if line and width_of(longer, size, bold) > width:
            lines.append(line)
            line = word
        else:
            line = longer
    lines.append(line)
    if len(lines) > most:
        lines = [*lines[: most - 1], cut_to(" ".join(lines[most - 1 :]), width, size, bold)]
    return lines


def tied(text: str) -> str:
    """Keep a text together on one line."""
    return text.replace(" ", TIED)


def shown(line: str) -> str:
    """Give a line as it is drawn: right-to-left runs are fenced off, lest they reorder the numbers beside them."""
    return _RIGHT_TO_LEFT_RUN.sub(lambda run: f"\u2067{run[0]}\u2069", line.replace(TIED, " "))


def _words(text: str, width: float, size: float, bold: bool) -> list[str]:
    words: list[str] = []
    for word in text.split(" "):
        rest = word
        while width_of(rest, size, bold) > width and len(rest) > 1:
            end = len(rest) - 1
            while end > 1 and width_of(rest[:end], size, bold) > width:
                end -= 1
            words.append(rest[:end])
            rest = rest[end:]
        words.append(rest)
    return words


@cache
def _bold_ems(sign: str) -> float:
    base = unicodedata.normalize("NFD", sign)[0]
    return BOLD[base] if base in BOLD else _ems(sign) * _BOLDER


@cache
def _ems(sign: str) -> float:
    if sign in _EMS:
        return _EMS[sign]
    if sign < "\u0250":
        base = unicodedata.normalize("NFD", sign)[0]
        return REGULAR.get(base, _OTHER) if base < "\x7f" else _WIDE
    if unicodedata.category(sign) in (*_MARKS, "Cf"):
        return 0.0
    if unicodedata.category(sign) == "So":
        return _EMOJI
    if unicodedata.east_asian_width(sign) in "WF" or sign.isupper():
        return _WIDE
    return _LIGATURE if "\ufdf0" <= sign <= "\ufdff" else _FOREIGN

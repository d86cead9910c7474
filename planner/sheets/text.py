"""Lines of text before they are drawn: made harmless, measured, cut and broken.

No font is at hand when a sheet is drawn, so widths are estimated on the wide side (DejaVu Sans, the widest of the
usual sans-serif faces, is never wider than the estimate).
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final

ELLIPSIS: Final = "\u2026"
TIED: Final = "\u00a0"
"""A blank at which no line is broken; it is drawn as any other."""
BOLD: Final = 1.13
"""How much wider a line gets in bold."""

_EMS: Final[dict[str, float]] = (
    dict.fromkeys("ijl.,:;'|I \u00a0\u2019", 0.38)
    | dict.fromkeys("frt()[]-!J", 0.45)
    | dict.fromkeys('\u00b0/\\*scz"L', 0.57)
    | dict.fromkeys("FTYSZPE", 0.72)
    | dict.fromkeys("mM%W@", 1.02)
    | dict.fromkeys("w+=<>#~&^", 0.85)
    | dict.fromkeys("OQGDHNUACRBKVX", 0.8)
    | {ELLIPSIS: 1.0, "\u2013": 0.55, "\u2014": 1.0, "\u00d7": 0.85}
)
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
    return sum(map(_ems, text)) * size * (BOLD if bold else 1)


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


def _ems(sign: str) -> float:
    if sign in _EMS:
        return _EMS[sign]
    if sign < "\u0250":
        base = unicodedata.normalize("NFD", sign)[0]
        return _EMS.get(base, _OTHER) if base < "\x7f" else _WIDE
    if unicodedata.category(sign) in (*_MARKS, "Cf"):
        return 0.0
    if unicodedata.category(sign) == "So":
        return _EMOJI
    if unicodedata.east_asian_width(sign) in "WF" or sign.isupper():
        return _WIDE
    return _LIGATURE if "\ufdf0" <= sign <= "\ufdff" else _FOREIGN

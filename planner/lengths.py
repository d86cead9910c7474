"""Lengths as people write them, and inches as the rooms use them.

Inside the planner every length is a float in inches, so that each 1/64 in is exact. On the way in a length is a
string with its unit; a number without one is refused, because an inch taken for a millimetre costs metal.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

INCH_IN_MILLIMETRES: Final = Fraction(254, 10)
"""One inch in millimetres, exact by definition (UCUM)."""

POINT: Final = Fraction(13837, 1_000_000)
"""One American printer's point in inches: 0.013837 exactly (UCUM ``[pnt_pr]``)."""

PICA: Final = 12 * POINT
"""One pica in inches: twelve points (UCUM ``[pca_pr]``)."""

LONGEST: Final = 1000.0
"""Inches; no sheet of plate metal comes near it, so a longer length is a slip of the pen."""

SMALLEST: Final = 1 / 64
"""Inches; no plate, image or film is narrower."""

HOW_TO_WRITE: Final = 'write it with its unit, like "4 1/4 in", "108 mm", "10.8 cm", "26p6" or "14 pt"'

_UNITS: Final[dict[str, Fraction]] = {
    "in": Fraction(1),
    "inch": Fraction(1),
    "inches": Fraction(1),
    '"': Fraction(1),
    "\u2033": Fraction(1),
    "mm": 1 / INCH_IN_MILLIMETRES,
    "cm": 10 / INCH_IN_MILLIMETRES,
    "pt": POINT,
    "point": POINT,
    "points": POINT,
    "pica": PICA,
    "picas": PICA,
}

_VULGAR: Final = {
    "\u00bc": "1/4", "\u00bd": "1/2", "\u00be": "3/4",
    "\u215b": "1/8", "\u215c": "3/8", "\u215d": "5/8", "\u215e": "7/8",
}  # fmt: skip

_NUMBER: Final = r"(?:\d{1,9}[\s-]+\d{1,6}/\d{1,6}|\d{1,9}/\d{1,6}|\d{1,9}\.\d{1,40}|\.\d{1,40}|\d{1,9})"
_UNIT: Final = "|".join(sorted((re.escape(unit) for unit in _UNITS), key=len, reverse=True))
_LENGTH: Final = re.compile(rf"(?P<sign>-?)\s*(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})", re.IGNORECASE)
_PICAS: Final = re.compile(r"(?P<sign>-?)\s*(?P<picas>\d{1,6})p(?P<points>\d{1,2}(?:\.\d{1,6})?)?", re.IGNORECASE)
_BARE: Final = re.compile(rf"-?\s*{_NUMBER}")
_TIMES: Final = re.compile(r"\s*(?:\bx\b|\u00d7|(?<=[\"\u2033\d])x(?=[\s\d.]))\s*", re.IGNORECASE)


class LengthError(ValueError):
    """A length, size or point that cannot be read; the message says what would be right."""


def parse_length(text: object) -> float:
    """Read one length and give it in inches.

    Fractions may be mixed (``4 1/4 in``) or hyphened (``4-1/4"``); picas and points are ``26p6``. A leading minus is
    read, since offsets may be negative; whether a value may be negative is for the field to say.

    Raises:
        LengthError: there is no unit, the unit is not known, or the text is no length.
    """
    if not isinstance(text, str):
        raise LengthError(f"{_shown(text)} is no length; {HOW_TO_WRITE}")
    plain = _plain(text)
    picas = _PICAS.fullmatch(plain)
    if picas:
        value = int(picas["picas"]) * PICA + Fraction(picas["points"] or 0) * POINT
        return _checked(-value if picas["sign"] else value, text)
    match = _LENGTH.fullmatch(plain)
    if match:
        value = _number(match["number"], text) * _UNITS[match["unit"].lower()]
        return _checked(-value if match["sign"] else value, text)
    if _BARE.fullmatch(plain):
        raise LengthError(f"{_shown(text)} names no unit; {HOW_TO_WRITE}")
    raise LengthError(f"{_shown(text)} is no length; {HOW_TO_WRITE}")


def parse_size(text: object) -> tuple[float, float]:
    """Read a size, width by height (``4 1/4 x 6 in``), and give both in inches; each must be greater than zero.

    One unit at the end serves both numbers.

    Raises:
        LengthError: the text is no size.
    """
    how = 'write width x height with the unit, like "4 1/4 x 6 in" or "108 x 152 mm"'
    if not isinstance(text, str):
        raise LengthError(f"{_shown(text)} is no size; {how}")
    parts = [part for part in _TIMES.split(_plain(text)) if part]
    if len(parts) != 2:
        raise LengthError(f"{_shown(text)} is no size; {how}")
    width, height = _pair(parts[0], parts[1], text, how)
    if width <= 0 or height <= 0:
        raise LengthError(f"{_shown(text)} must be greater than zero both ways")
    if min(width, height) < SMALLEST:
        raise LengthError(f"{_shown(text)} is smaller than 1/64 in one way; check its unit")
    return width, height


def parse_point(text: object) -> tuple[float, float]:
    """Read a place, across and up with a comma between (``1/2, 3/4 in``), and give both in inches.

    Raises:
        LengthError: the text is no place.
    """
    how = 'write across, up with the unit, like "1/2, 3/4 in" or "0 in, 12 mm"'
    if not isinstance(text, str):
        raise LengthError(f"{_shown(text)} is no place; {how}")
    parts = _plain(text).split(",")
    if len(parts) != 2 or not all(part.strip() for part in parts):
        raise LengthError(f"{_shown(text)} is no place; {how}")
    return _pair(parts[0].strip(), parts[1].strip(), text, how)


def length_text(inches: float, parts: int = 64) -> str:
    """Say a length the way a rule is read: the nearest 1/64 in as a fraction (``4 1/4 in``)."""
    return f"{fraction_text(inches, parts)} in"


def fraction_text(inches: float, parts: int = 64) -> str:
    """Give the nearest fraction of an inch, in lowest terms and without the unit (``4 1/4``)."""
    units = round(abs(inches) * parts)
    whole, rest = divmod(units, parts)
    sign = "-" if inches < 0 and units else ""
    if not rest:
        return f"{sign}{whole}"
    part = Fraction(rest, parts)
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def size_text(width: float, height: float) -> str:
    """Say a size (``4 1/4 x 6 in``), each side to the nearest 1/64 in."""
    return f"{fraction_text(width)} x {fraction_text(height)} in"


def amount_text(inches: float) -> str:
    """Say a small amount without rounding it away: a fraction where it is one, else three decimals (``0.036 in``)."""
    if abs(inches * 64 - round(inches * 64)) < 1e-6:
        return length_text(inches)
    return f"{inches:.3f} in" if abs(inches) >= 0.0005 else f"{inches:.6f} in"


def exact_text(inches: float) -> str:
    """Write a length so that `parse_length` gives the same float back: a fraction where exact, else all its digits."""
    if inches * 64 == round(inches * 64):
        return length_text(inches)
    return f"{Decimal(repr(inches)):f} in"


def _plain(text: str) -> str:
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    return text.replace("\u2044", "/").replace("\u2212", "-").replace("''", '"').strip()


def _pair(first: str, second: str, text: object, how: str) -> tuple[float, float]:
    if _BARE.fullmatch(first):
        unit = re.search(rf"(?:{_UNIT})$", second, re.IGNORECASE)
        if unit is None:
            lack = "names no unit" if _BARE.fullmatch(second) else "is not understood"
            raise LengthError(f"{_shown(text)} {lack}; {how}")
        first = f"{first} {unit[0]}"
    try:
        return parse_length(first), parse_length(second)
    except LengthError:
        raise LengthError(f"{_shown(text)} is not understood; {how}") from None


def _number(text: str, source: object) -> Fraction:
    try:
        return sum((Fraction(part) for part in re.split(r"[\s-]+", text)), Fraction(0))
    except ZeroDivisionError:
        raise LengthError(f"{_shown(source)} divides by zero; {HOW_TO_WRITE}") from None


def _checked(value: Fraction, source: object) -> float:
    if abs(value) > LONGEST:
        raise LengthError(f"{_shown(source)} is longer than any sheet of metal ({LONGEST:g} in); check its unit")
    return float(value)


def _shown(text: object) -> str:
    if isinstance(text, bool) or text is None:
        return repr(text)
    if isinstance(text, (int, float)):
        return f"the bare number {text}" if math.isfinite(text) else f"the value {text}"
    if isinstance(text, str):
        return f'"{text}"' if len(text) <= 40 else f'"{text[:37]}..."'
    return f"a {type(text).__name__}"

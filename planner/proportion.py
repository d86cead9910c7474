"""The slide-rule question: copy size, plate size and percentage are one proportion for both dimensions.

Width of the plate : width of the copy = height of the plate : height of the copy = percentage : 100 (John L. Ridgway,
The Preparation of Illustrations for Reports of the U.S. Geological Survey, 1920, pp. 42 and 63-64).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

_PERCENT: Final = re.compile(r"(?P<number>\d{1,5}(?:\.\d{1,9})?)\s*%")
_OFF: Final = re.compile(r"(?P<top>\d{1,3})/(?P<bottom>\d{1,3})\s+off", re.IGNORECASE)
_AGREES: Final = 1 / 64
"""Inches; sizes are given as people read them off a rule."""

SMALLEST, LARGEST = 1.0, 2000.0
"""Per cent; no camera goes further either way."""


class ProportionError(ValueError):
    """A proportion that cannot be worked out; the message says what is missing or does not agree."""


@dataclass(frozen=True, slots=True)
class Proportion:
    """Copy and plate of one proportion: sizes in inches, the percentage linear (50: half as wide, half as high)."""

    copy_width: float
    copy_height: float
    plate_width: float
    plate_height: float
    percentage: float


def parse_percentage(text: str) -> float:
    """Read a linear percentage: ``66.7 %``, or what is taken off: ``1/3 off`` leaves two thirds.

    Raises:
        ProportionError: the text is neither, or nothing would be left.
    """
    plain = text.strip()
    percent, off = _PERCENT.fullmatch(plain), _OFF.fullmatch(plain)
    if percent:
        value = float(percent["number"])
    elif off and int(off["bottom"]):
        value = float(100 * (1 - Fraction(int(off["top"]), int(off["bottom"]))))
    else:
        raise ProportionError(f'"{text}" is no percentage; write it like "66.7 %" or "1/3 off"')
    if value <= 0:
        raise ProportionError(f'"{text}" leaves nothing of the copy')
    return value


def solve(
    copy_width: float | None = None,
    copy_height: float | None = None,
    plate_width: float | None = None,
    plate_height: float | None = None,
    percentage: float | None = None,
) -> Proportion:
    """Work out the missing ones of copy size, plate size (inches) and linear percentage from those given.

    Raises:
        ProportionError: too few are given, one is not greater than zero, or those given are of different proportions;
            then the message says what to crop, or which plate would take the whole copy.
    """
    given = (copy_width, copy_height, plate_width, plate_height, percentage)
    if any(value is not None and not (math.isfinite(value) and value > 0) for value in given):
        raise ProportionError("every length and the percentage must be greater than zero")
    ratios = [
        ratio
        for ratio in (
            None if percentage is None else percentage / 100,
            _ratio(plate_width, copy_width),
            _ratio(plate_height, copy_height),
        )
        if ratio is not None
    ]
    if not ratios:
        raise ProportionError("give the percentage, or width or height of both copy and plate")
    known = [length for length in (copy_width, copy_height) if length is not None]
    longest = max(known, default=max(length for length in (plate_width, plate_height, 1.0) if length) / ratios[0])
    if (max(ratios) - min(ratios)) * longest > _AGREES:
        raise ProportionError(_disagreement(copy_width, copy_height, plate_width, plate_height))
    if not SMALLEST <= 100 * ratios[0] <= LARGEST:
        raise ProportionError(f"{100 * ratios[0]:g} % is beyond any camera ({SMALLEST:g} to {LARGEST:g} %)")
    ratio = ratios[0]
    width = copy_width if copy_width is not None else _scaled(plate_width, 1 / ratio)
    height = copy_height if copy_height is not None else _scaled(plate_height, 1 / ratio)
    if width is None or height is None:
        side = "width" if width is None else "height"
        raise ProportionError(f"give the {side} of the copy or of the plate as well")
    return Proportion(
        width,
        height,
        plate_width if plate_width is not None else width * ratio,
        plate_height if plate_height is not None else height * ratio,
        100 * ratio,
    )


def _ratio(plate: float | None, copy: float | None) -> float | None:
    return None if plate is None or copy is None else plate / copy


def _scaled(length: float | None, ratio: float) -> float | None:
    return None if length is None else length * ratio


def _disagreement(
    copy_width: float | None, copy_height: float | None, plate_width: float | None, plate_height: float | None
) -> str:
    if copy_width is None or copy_height is None or plate_width is None or plate_height is None:
        return "the percentage does not agree with the sizes; leave one of them out"
    by_width, by_height = plate_width / copy_width, plate_height / copy_height
    if abs(by_width - by_height) * max(copy_width, copy_height) <= _AGREES:
        return f"the sizes make {100 * by_width:.2f} %, which is not the percentage given; leave one of them out"
    # The larger of the two ratios fills the plate; of the other dimension some copy is left over.
    if by_width > by_height:
        over, side = copy_height - plate_height / by_width, "height"
        whole = (copy_width * by_height, plate_height)
    else:
        over, side = copy_width - plate_width / by_height, "width"
        whole = (plate_width, copy_height * by_width)
    return (
        f"copy and plate are of different proportions: crop {over:.3f} in off the {side} of the copy, "
        f"or make the plate {whole[0]:.3f} x {whole[1]:.3f} in"
    )

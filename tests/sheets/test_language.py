"""The drawing language: kinds that meet are told apart in black and white and by every eye, and texts are read."""

from __future__ import annotations

import io
from functools import cache
from itertools import combinations

import numpy as np
import pytest
import resvg_py
from defusedxml.ElementTree import fromstring
from numpy.typing import NDArray
from PIL import Image

from planner.sheets.canvas import Canvas
from planner.sheets.style import (
    ARMS_LENGTH,
    LINES,
    LIST_TEXT,
    LOOKS,
    NAME_TEXT,
    TITLE_TEXTS,
    Look,
    read_from,
    zone_look,
)
from planner.sheets.svg import box_path, line_path
from planner.sheets.views import View

SVG = "{http://www.w3.org/2000/svg}"

# Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of color vision deficiency", IEEE TVCG
# 15 (2009), table of severity 1.0, for linear RGB; quoted from memory. Grey by the luminance of Rec. 709.
EYES = {
    "usual": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900),
    ),
    "grey": ((0.2126, 0.7152, 0.0722),) * 3,
}  # fmt: skip
DPI = 80
LEAST_LIGHTNESS = 5.0
"""Difference in CIE L* of two tones side by side: twice the just noticeable 2.3 (Mahy and others 1994, from memory)."""
LEAST_INK = 15.0
"""The same of two thin lines, of which less is seen."""
LEAST_WIDTH = 1.25
"""Times that a line must be as wide as another."""
LEAST_PATTERN = 0.25
"""One less the likeness of two patterns' spectra: 0 is the same pattern, 1 has nothing in common."""


def test_the_matrices_keep_white_white() -> None:
    for rows in EYES.values():
        assert np.array(rows).sum(axis=1) == pytest.approx(1.0, abs=2e-4)


@cache
def _picture(look: Look) -> NDArray[np.float64]:
    """A sample of a kind as linear RGB: an area of 1.5 in square, or a line 3 in long in the middle of paper."""
    size = (3.0, 0.4) if look.line else (1.5, 1.5)
    canvas = Canvas("sample", View(False, 0.0, 0.0, *size), "", "", {"sample": look})
    # A label's paper, so that thin tones are seen on what they are printed on.
    path = line_path((-0.1, 0.2, 3.1, 0.2)) if look.line else box_path((-0.2, -0.2, 2.0, 2.0))
    canvas.draw(canvas.layer("sample", "Sample"), "sample", path)
    canvas.drawing.size(*size)
    png = resvg_py.svg_to_bytes(svg_string=canvas.drawing.markup(), dpi=DPI, background="#ffffff")
    shades = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(float) / 255
    return np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)


@cache
def _seen(look: Look, eye: str) -> tuple[float, NDArray[np.float64]]:
    """How light a sample looks on the whole, and the spectrum of its pattern."""
    light = np.clip(_picture(look) @ np.array(EYES[eye]).T, 0, 1) @ np.array((0.2126, 0.7152, 0.0722))
    mean = 116 * np.cbrt(light.mean()) - 16 if light.mean() > 0.008856 else 903.3 * light.mean()
    lightness = 116 * np.cbrt(np.maximum(light, 0.008856)) - 16
    window = np.outer(np.hanning(lightness.shape[0]), np.hanning(lightness.shape[1]))
    spectrum = np.abs(np.fft.rfft2((lightness - lightness.mean()) * window))
    return float(mean), spectrum


def _apart(one: Look, other: Look, eye: str) -> tuple[float, float]:
    (light, pattern), (other_light, other_pattern) = _seen(one, eye), _seen(other, eye)
    norms = float(np.linalg.norm(pattern) * np.linalg.norm(other_pattern))
    flat = np.linalg.norm(pattern) < 100, np.linalg.norm(other_pattern) < 100
    if all(flat):
        likeness = 1.0
    elif any(flat):
        likeness = 0.0
    else:
        likeness = float((pattern * other_pattern).sum()) / norms
    return abs(light - other_light), 1 - likeness


def _ink(look: Look, eye: str) -> float:
    """How light the ink of a line looks to an eye, in CIE L*."""
    colour = look.paint.stroke.removeprefix("#")
    shades = np.array([int(colour[at : at + 2], 16) / 255 for at in (0, 2, 4)])
    linear = np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)
    light = float(np.clip(np.array(EYES[eye]) @ linear, 0, 1) @ np.array((0.2126, 0.7152, 0.0722)))
    return 116 * light ** (1 / 3) - 16 if light > 0.008856 else 903.3 * light


def _lines_differ(one: Look, other: Look, eye: str) -> bool:
    wide, narrow = max(one.paint.width, other.paint.width), min(one.paint.width, other.paint.width)
    return (
        one.paint.dash != other.paint.dash
        or wide >= LEAST_WIDTH * narrow
        or abs(_ink(one, eye) - _ink(other, eye)) >= LEAST_INK
    )


@pytest.fixture(scope="module")
def meeting(
    files: dict[str, str], routed_files: dict[str, str], kinds_drawn: list[tuple[str, dict[str, Look]]]
) -> list[tuple[str, str, str, Look, Look]]:
    """Every two kinds of the same nature that meet on one sheet of the hand-made days."""
    assert len(kinds_drawn) > len(files)
    assert routed_files
    pairs = {}
    for name, looks in kinds_drawn:
        for (kind, one), (other_kind, other) in combinations(looks.items(), 2):
            if one.line == other.line and not one.ring and not other.ring:
                pairs[kind, other_kind] = (name, kind, other_kind, one, other)
    return list(pairs.values())


@pytest.mark.parametrize("eye", EYES)
def test_kinds_that_meet_are_told_apart_by_every_eye(meeting: list[tuple[str, str, str, Look, Look]], eye: str) -> None:
    assert len(meeting) > 60
    alike = []
    for name, kind, other_kind, one, other in meeting:
        if one.line:
            apart = _lines_differ(one, other, eye)
        else:
            lightness, pattern = _apart(one, other, eye)
            apart = lightness >= LEAST_LIGHTNESS or pattern >= LEAST_PATTERN
        if not apart:
            alike.append((name, kind, other_kind))
    assert alike == []


def test_the_measure_sees_what_is_alike_and_what_is_not() -> None:
    assert _apart(LOOKS["image-line"], LOOKS["image-line"], "usual") == pytest.approx((0, 0), abs=1e-9)
    # Mirror images of one hatch are as light, and differ in their pattern alone.
    lightness, pattern = _apart(LOOKS["image-line"], LOOKS["image-silhouette"], "grey")
    assert lightness < 1 < 4 * pattern
    # Red and green of the same luminance are one to the grey eye; the measure must not see a difference there.
    assert abs(_ink(_stroke("#d40000"), "grey") - _ink(_stroke("#007b00"), "grey")) < LEAST_INK
    assert not _lines_differ(_stroke("#0072b2"), _stroke("#9b4a7f"), "grey")


def _stroke(colour: str) -> Look:
    return Look("", LINES["visible"].of(colour), line=True)


@pytest.mark.parametrize("count", [3, 6, 9])
def test_the_zones_of_many_cutters_are_told_apart(count: int) -> None:
    looks = [zone_look(place, 1 / 16 * (place + 1)) for place in range(count)]
    for eye in EYES:
        for one, other in combinations(looks, 2):
            lightness, pattern = _apart(one, other, eye)
            assert lightness >= LEAST_LIGHTNESS or pattern >= LEAST_PATTERN, (one.words, other.words, eye)


def test_lines_are_of_few_kinds_and_two_widths_apart() -> None:
    looks = [(line.width, line.dash) for line in LINES.values()]
    assert len(set(looks)) == len(looks)
    for look in LOOKS.values():
        if look.line and look.paint.dash:
            assert look.paint.dash in {line.dash for line in LINES.values()}
    assert LINES["visible"].width >= 2 * LINES["thin"].width


def test_texts_are_read_from_where_they_hang() -> None:
    # A capital of 0.716 of the size, under 16 minutes of arc: 0.16 in at 24.6 in.
    assert read_from(0.16) == pytest.approx(24.61, abs=0.01)
    assert read_from(LIST_TEXT) >= ARMS_LENGTH
    assert all(read_from(size) >= 1.2 * ARMS_LENGTH for size in TITLE_TEXTS)
    assert read_from(NAME_TEXT) > 60


def test_the_key_shows_every_kind(files: dict[str, str]) -> None:
    root = fromstring(files["key.svg"])
    shown = {element.get("data-swatch") for element in root.iter(f"{SVG}g") if element.get("data-swatch")}
    assert shown >= set(LOOKS) | {f"line-{name}" for name in LINES}
    sizes = [element.get("font-size") for element in root.iter(f"{SVG}text") if element.get("data-sample") == "text"]
    assert sizes == sorted(sizes, key=lambda size: -float(size or 0))
    assert str(NAME_TEXT) in sizes

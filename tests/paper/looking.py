"""Pages as pictures: PDF by PDFium, SVG by resvg; darkness from 0 (paper) to 1, row 0 at the top."""

from __future__ import annotations

import io

import numpy as np
import pypdfium2
import resvg_py
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Picture = NDArray[np.float64]
Box = tuple[float, float, float, float]
"""Left, top, width, height in inches."""


def pdf_picture(content: bytes, page: int, dots: float, box: Box | None = None) -> Picture:
    shown = pypdfium2.PdfDocument(content)[page]
    width, height = shown.get_size()
    crop = (0.0, 0.0, 0.0, 0.0)
    if box:
        left, top, wide, high = (side * 72 for side in box)
        crop = (left, height - top - high, width - left - wide, top)
    return _dark(shown.render(scale=dots / 72, crop=crop).to_pil())


def svg_picture(markup: str, dots: float) -> Picture:
    return _dark(Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=markup, dpi=dots, background="white")))))


def words_of(content: bytes, page: int) -> str:
    return " ".join(pypdfium2.PdfDocument(content)[page].get_textpage().get_text_range().split())


def cropped(picture: Picture, box: Box, dots: float) -> Picture:
    left, top, width, height = (round(side * dots) for side in box)
    return picture[top : top + height, left : left + width]


def ends(line: Picture) -> tuple[float, float]:
    """Middles of the first and last dark place of a line of dots."""
    (marks, count) = ndimage.label(line > 0.15)
    assert count >= 2
    first, last = (ndimage.center_of_mass(line, marks, number)[0] for number in (1, count))
    return float(first), float(last)


def strays(one: Picture, other: Picture, by: int = 1) -> float:
    """Share of what is dark in one picture that has nothing dark in the other within so many dots, both ways."""
    first, second = one > 0.5, other > 0.5
    near = np.ones((2 * by + 1, 2 * by + 1), dtype=bool)
    lost = np.count_nonzero(first & ~ndimage.binary_dilation(other > 0.2, near))
    lost += np.count_nonzero(second & ~ndimage.binary_dilation(one > 0.2, near))
    return float(lost) / (np.count_nonzero(first) + np.count_nonzero(second))


def _dark(picture: Image.Image) -> Picture:
    return 1 - np.asarray(picture.convert("L"), dtype=np.float64) / 255

"""How large is a bitmap, and how dark is each of its elements?

Pillow decodes; this module decides beforehand whether that may be done in bounded memory, and turns whatever it gives
(1-bit, grey, palette, colour, alpha, 16-bit, CMYK) into grey on white paper, as upright as the camera that took it
says (EXIF orientation). Of a TIFF of several pages the first is read. Colour profiles are not applied.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any, Final, Literal, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, TiffImagePlugin
from PIL.BmpImagePlugin import BmpImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile

from planner.artwork.measures import Measure
from planner.artwork.raster import hold_memory
from planner.artwork.records import ArtError

BitmapFormat: TypeAlias = Literal["PNG", "TIFF", "JPEG", "BMP"]

LEAST_DPI, MOST_DPI = 10.0, 12_800.0
"""Dots to the inch that a scanner or a drawing program may mean; anything else is nonsense (common practice)."""

_STRIP: Final = 8_000_000
"""Elements turned into grey at a time."""

_ORIENTATION: Final = 0x0112
_TILE: Final = (322, 323)  # TileWidth, TileLength
_TRANSPOSES: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
# Bytes that Pillow keeps for an element; all others keep four.
_BYTES: Final = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16B": 2, "I;16L": 2, "I;16N": 2}

# What Pillow raises on broken files, by its own documentation and its plugins' sources.
_BROKEN: Final = (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, EOFError, OverflowError)


@dataclass(frozen=True, slots=True)
class Bitmap:
    """An opened, not yet decoded bitmap; ``size`` is that of the upright picture in elements."""

    picture: Any = field(repr=False)
    measure: Measure
    size: tuple[int, int]
    orientation: int
    stored: int
    """Elements that are decoded; a TIFF of tiles has more than it shows."""

    @property
    def memory(self) -> float:
        """Bytes that decoding takes."""
        once = self.stored * _BYTES.get(self.picture.mode, 4)
        return float(once * (2 if self.orientation != 1 else 1))


def opened(data: bytes, kind: BitmapFormat) -> Bitmap:
    """Read a bitmap's header.

    Raises:
        ArtError: it is broken.
    """
    # The plugins' own classes: `Image.open` would warn of large pictures, which are bounded here by memory.
    plugin: Any = {"PNG": PngImageFile, "TIFF": TiffImageFile, "JPEG": JpegImageFile, "BMP": BmpImageFile}[kind]
    try:
        picture = plugin(io.BytesIO(data))
        orientation = picture.getexif().get(_ORIENTATION, 1)
        resolution = _resolution(picture, kind)
        width, height = picture.size
        if kind == "TIFF":
            # What is stored; newer Pillows already tell the size of the upright picture.
            width, height = picture.tag_v2[TiffImagePlugin.IMAGEWIDTH], picture.tag_v2[TiffImagePlugin.IMAGELENGTH]
    except _BROKEN as error:
        raise ArtError(f"is broken or incomplete {kind} ({_words(error)}); save it again") from None
    stored = width * height
    if kind == "TIFF":
        wide, high = (picture.tag_v2.get(tag, 1) or 1 for tag in _TILE)
        stored = -(-width // wide) * wide * -(-height // high) * high
    if min(width, height) < 1:
        raise ArtError(f"has a picture of {width} x {height} elements; save it again")
    if orientation not in _TRANSPOSES:
        orientation = 1
    if orientation in {5, 6, 7, 8}:
        width, height = height, width
        resolution = (resolution[1], resolution[0]) if resolution else None
    if resolution is None:
        measure = Measure((width, height), None, "says no resolution, or one that makes no sense")
    else:
        size = (width / resolution[0], height / resolution[1])
        measure = Measure(size, size)
    return Bitmap(picture, measure, (width, height), orientation, stored)


def grey_of(bitmap: Bitmap, box: tuple[int, int, int, int], factor: int) -> NDArray[np.uint8]:
    """Decode a box (left, top, right, bottom in elements) into grey, 0 black to 255 white.

    ``factor`` by ``factor`` elements become their mean; what is missing to a whole factor at the lower and right side
    is as the last element there.

    Raises:
        ArtError: the file is broken, incomplete, or of a kind that has no black and white.
    """
    kind = bitmap.picture.format
    left, top, right, bottom = box
    across, down = -(-(right - left) // factor), -(-(bottom - top) // factor)
    grey = np.empty((down, across), dtype=np.uint8)
    try:
        picture = _upright(bitmap)
        rows = max(_STRIP // max((right - left) * factor, 1), 1) * factor
        for start in range(top, bottom, rows):
            end = min(start + rows, bottom)
            strip = _grey(picture.crop((left, start, right, end)))
            first = (start - top) // factor
            grey[first : first + -(-(end - start) // factor)] = _reduced(strip, factor)
    except ArtError:
        raise
    except _BROKEN as error:
        raise ArtError(f"is broken or incomplete {kind} ({_words(error)}); save it again") from None
    return grey


def hold(bitmap: Bitmap, elements: float) -> None:
    """See that decoding it, and a raster of so many elements made of it, stay within memory."""
    width, height = bitmap.size
    hold_memory(elements, bitmap.memory, f"has {width} x {height} elements")


def _upright(bitmap: Bitmap) -> Image.Image:
    picture: Image.Image = bitmap.picture
    if picture.format == "JPEG" and picture.mode == "RGB":
        bitmap.picture.draft("L", None)
    with _own_limit():
        picture.load()
    if picture.size == bitmap.size and picture.format == "TIFF":
        return picture  # Pillow turns a TIFF upright by itself.
    if bitmap.orientation != 1:
        picture = picture.transpose(_TRANSPOSES[bitmap.orientation])
    return picture


@contextmanager
def _own_limit() -> Iterator[None]:
    """Lift Pillow's limit on a picture's elements, and its warning, for as long as this one is decoded."""
    limit = Image.MAX_IMAGE_PIXELS
    Image.MAX_IMAGE_PIXELS = None
    try:
        yield
    finally:
        Image.MAX_IMAGE_PIXELS = limit


def _grey(strip: Image.Image) -> NDArray[np.uint8]:
    mode = strip.mode
    if mode in {"1", "L"} and "transparency" not in strip.info:
        return np.asarray(strip.convert("L"))
    if mode.startswith("I;16") or mode == "I":
        return np.asarray(np.clip(np.asarray(strip, dtype=np.float32) / 257 + 0.5, 0, 255).astype(np.uint8))
    if mode == "F":
        raise ArtError("holds numbers with fractions instead of grey; save it in 8 or 16 bits")
    if mode in {"LA", "La", "PA", "RGBA", "RGBa"} or "transparency" in strip.info:
        colour = strip.convert("RGBA")
        white = Image.new("RGBA", colour.size, (255, 255, 255, 255))
        return np.asarray(Image.alpha_composite(white, colour).convert("RGB").convert("L"))
    return np.asarray(strip.convert("RGB").convert("L"))


def _reduced(strip: NDArray[np.uint8], factor: int) -> NDArray[np.uint8]:
    if factor == 1:
        return strip
    down, across = -strip.shape[0] % factor, -strip.shape[1] % factor
    if down or across:
        strip = np.asarray(cv2.copyMakeBorder(strip, 0, down, 0, across, cv2.BORDER_REPLICATE), np.uint8)
    size = (strip.shape[1] // factor, strip.shape[0] // factor)
    return np.asarray(cv2.resize(strip, size, interpolation=cv2.INTER_AREA), np.uint8)


def _resolution(picture: Any, kind: BitmapFormat) -> tuple[float, float] | None:  # noqa: ANN401 - any plugin's class
    """Dots to the inch across and down, None where the file gives none that make sense."""
    found: Any = picture.info.get("dpi")
    if kind == "TIFF":
        tags = picture.tag_v2
        # 2: to the inch, 3: to the centimetre; 1, no absolute unit (TIFF 6.0, ResolutionUnit).
        scale = {2: 1.0, 3: 2.54}.get(tags.get(TiffImagePlugin.RESOLUTION_UNIT, 2))
        across, down = tags.get(TiffImagePlugin.X_RESOLUTION), tags.get(TiffImagePlugin.Y_RESOLUTION)
        found = (float(across) * scale, float(down) * scale) if scale and across and down else None
    elif kind == "JPEG":
        # JFIF's own density first: Pillow would otherwise say 72 where neither it nor EXIF says anything.
        unit, density = picture.info.get("jfif_unit"), picture.info.get("jfif_density")
        if unit in {1, 2} and density:
            found = tuple(value * (2.54 if unit == 2 else 1.0) for value in density)
        elif picture.getexif().get(0x011A) is None:
            found = None
    if not found or not all(LEAST_DPI <= value <= MOST_DPI for value in found):
        return None
    return float(found[0]), float(found[1])


def _words(error: BaseException) -> str:
    words = " ".join(str(error).split()) or type(error).__name__
    return words if len(words) <= 80 else words[:77] + "..."

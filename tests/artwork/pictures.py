"""Art for these tests: one lopsided drawing in every format, and what it should come out as.

The drawing is a thick letter F, 4 x 5 in, black on white: a stem, two arms of different length and a lone square at
the lower right. Whatever is mirrored, turned or shifted shows.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely import Polygon, affinity, box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.artwork import Artwork

WIDTH, HEIGHT = 4.0, 5.0
# Left, bottom, right, top; inches, y up.
BARS = ((0.5, 0.5, 1.25, 4.5), (0.5, 3.75, 3.5, 4.5), (0.5, 2.25, 2.5, 3.0), (3.0, 0.5, 3.5, 1.0))
LETTER = shapely.unary_union([box(*bar) for bar in BARS])


def svg_bars(bars: Sequence[tuple[float, float, float, float]] = BARS, height: float = HEIGHT) -> str:
    return "".join(
        f'<rect x="{left}" y="{height - top}" width="{right - left}" height="{top - bottom}"/>'
        for left, bottom, right, top in bars
    )


def svg(inside: str | None = None, size: str = 'width="4in" height="5in"', view: str = "0 0 4 5") -> str:
    body = svg_bars() if inside is None else inside
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view}">{body}</svg>'


def written(path: Path, text: str | bytes) -> Path:
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def bitmap(per_inch: int = 200, light: object = 255, dark: object = 0, mode: str = "L") -> Image.Image:
    """The letter as a picture, so many dots to the inch."""
    picture = Image.new(mode, (round(WIDTH * per_inch), round(HEIGHT * per_inch)), light)  # type: ignore[arg-type]
    draw = ImageDraw.Draw(picture)
    for left, bottom, right, top in BARS:
        corners = (left, HEIGHT - top, right, HEIGHT - bottom)
        x0, y0, x1, y1 = (round(value * per_inch) for value in corners)
        draw.rectangle((x0, y0, x1 - 1, y1 - 1), fill=dark)  # type: ignore[arg-type]
    return picture


def saved(path: Path, picture: Image.Image, **options: object) -> Path:
    buffer = io.BytesIO()
    kinds = {".png": "PNG", ".tif": "TIFF", ".jpg": "JPEG", ".bmp": "BMP"}
    picture.save(buffer, kinds[path.suffix], **options)  # type: ignore[arg-type]
    return written(path, buffer.getvalue())


def pdf(path: Path, pages: int = 1, rotation: int = 0) -> Path:
    """A PDF of blank pages whose last one holds the letter; turned pages hold it upright as seen."""
    document = pypdfium2.PdfDocument.new()
    for number in range(pages):
        turned = rotation in {90, 270}
        width, height = (HEIGHT, WIDTH) if turned else (WIDTH, HEIGHT)
        page = document.new_page(width * 72, height * 72)
        page.set_rotation(rotation)
        if number < pages - 1:
            continue
        for bar in BARS:
            seen = box(*bar)
            # A page turned clockwise for showing: undo it, anticlockwise, about the frame as seen.
            if rotation == 90:
                seen = affinity.affine_transform(seen, (0, -1, 1, 0, HEIGHT, 0))
            left, bottom, right, top = (value * 72 for value in seen.bounds)
            item = pypdfium2.raw.FPDFPageObj_CreateNewRect(left, bottom, right - left, top - bottom)
            pypdfium2.raw.FPDFPageObj_SetFillColor(item, 0, 0, 0, 255)
            pypdfium2.raw.FPDFPath_SetDrawMode(item, pypdfium2.raw.FPDF_FILLMODE_ALTERNATE, False)
            pypdfium2.raw.FPDFPage_InsertObject(page.raw, item)
        page.gen_content()
    document.save(path)
    return path


_RING = re.compile(r"M(-?\d+) (-?\d+)l([-\d ]+)z")


def rings_of_path(data: str, unit: float) -> list[NDArray[np.float64]]:
    """Read path data back, in inches, without the code that wrote it."""
    assert _RING.sub("", data) == ""
    rings = []
    for x, y, steps in _RING.findall(data):
        numbers = [int(number) for number in re.findall(r"-?\d+", steps)]
        points = np.cumsum([[int(x), int(y)], *np.reshape(numbers, (-1, 2)).tolist()], axis=0)
        rings.append(points * unit)
    return rings


def shape_of_path(data: str, unit: float) -> BaseGeometry:
    """What path data fill, even-odd."""
    shape: BaseGeometry = MultiPolygon()
    for ring in rings_of_path(data, unit):
        shape = shape.symmetric_difference(shapely.make_valid(Polygon(ring)))
    return shape


def path_rings(art: Artwork) -> list[NDArray[np.float64]]:
    return rings_of_path(art.path, art.unit)


def path_shape(art: Artwork) -> BaseGeometry:
    return shape_of_path(art.path, art.unit)


def off(shape: BaseGeometry, art: BaseGeometry) -> float:
    """How far an outline is from that of the art at most, in inches.

    Every place of ours counts in full; of the art's half, for corners are cut: a tip thinner than an element is lost,
    though what is lost lies near the art's outline.
    """
    ours, theirs = (shapely.segmentize(each.boundary, 0.01) for each in (shape, art))
    away = shapely.distance(shapely.points(shapely.get_coordinates(ours)), theirs).max()
    back = shapely.distance(shapely.points(shapely.get_coordinates(theirs)), ours).max()
    return float(max(away, back / 2))

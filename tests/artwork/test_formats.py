"""Every format comes to the same printing area: upright, right-reading, true size."""

from __future__ import annotations

import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from shapely import affinity, box

from planner.artwork import Artwork, Asked, read_art
from planner.geometry import area_of

from .pictures import BARS, HEIGHT, LETTER, WIDTH, bitmap, off, path_shape, pdf, saved, svg, svg_bars, written

# Coarser than the house's default, so that the tests are quick; one test below keeps the default.
ASKED = Asked(kind="line", size=(WIDTH, HEIGHT), tolerance=1 / 200, closing=1 / 16)


def holds_letter(art: Artwork, beyond: float = 0.0) -> None:
    assert off(path_shape(art), LETTER) <= art.error + 1e-9
    assert art.image.buffer(1e-6).covers(LETTER.buffer(-art.error))
    closed = LETTER.buffer(ASKED.closing, quad_segs=64).buffer(-ASKED.closing, quad_segs=64)
    assert closed.buffer(4 * art.error + beyond).covers(art.image)
    assert art.area == pytest.approx(LETTER.area, abs=LETTER.length * art.error)


@pytest.mark.parametrize(
    "size",
    [
        'width="4in" height="5in"',
        'width="101.6mm" height="127mm"',
        'width="288pt" height="30pc"',
        'width="384" height="480px"',
    ],
)
def test_svg_in_any_unit(tmp_path: Path, size: str) -> None:
    art = read_art(written(tmp_path / "f.svg", svg(size=size)), ASKED)
    holds_letter(art)
    assert art.copy_size == pytest.approx((4, 5))
    assert art.copy_size_from == "file"
    assert art.percentage == pytest.approx(100)
    assert art.mismatch is None
    assert art.error <= ASKED.tolerance


def test_the_default_tolerance_is_kept(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), Asked(kind="line", size=(WIDTH, HEIGHT)))
    assert art.error <= 1 / 500
    assert off(path_shape(art), LETTER) <= art.error


def test_svg_without_a_physical_size_takes_the_orders(tmp_path: Path) -> None:
    asked = replace(ASKED, copy_size=(8, 10))
    art = read_art(written(tmp_path / "f.svg", svg(size='width="100%"')), asked)
    holds_letter(art)
    assert art.copy_size_from == "order"
    assert art.percentage == pytest.approx(50)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_svg_in_any_encoding(tmp_path: Path, encoding: str) -> None:
    name = {"utf-8-sig": "utf-8", "utf-16": "utf-16", "latin-1": "iso-8859-1"}[encoding]
    text = f'<?xml version="1.0" encoding="{name}"?><!-- \xe9 -->' + svg()
    holds_letter(read_art(written(tmp_path / "f.svg", text.encode(encoding)), ASKED))


def test_svg_with_a_harmless_document_type(tmp_path: Path) -> None:
    head = '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">'
    holds_letter(read_art(written(tmp_path / "f.svg", head + svg()), ASKED))


def test_svg_drawn_in_several_bands_is_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path / "f.svg", svg('<circle cx="2" cy="2.5" r="1.7"/>' + svg_bars()))
    whole = read_art(path, ASKED)
    monkeypatch.setattr("planner.artwork.svg._BAND", 2_000_000)
    assert read_art(path, ASKED).path == whole.path


MODES = {
    "1-bit": lambda: bitmap(200, 1, 0, "1"),
    "grey": lambda: bitmap(200, 240, 20, "L"),
    "palette": lambda: bitmap(200, (255, 250, 240), (60, 0, 0), "RGB").quantize(4),
    "colour": lambda: bitmap(200, (255, 255, 0), (0, 0, 255), "RGB"),
    "alpha": lambda: bitmap(200, (0, 0, 0, 0), (0, 0, 0, 255), "RGBA"),
    "grey and alpha": lambda: bitmap(200, (0, 0), (0, 255), "LA"),
    "16-bit": lambda: Image.fromarray(np.asarray(bitmap(200, 250, 30, "L"), dtype=np.uint16) * 257),
    "CMYK": lambda: bitmap(200, (0, 0, 0, 0), (0, 0, 0, 255), "CMYK"),
}


@pytest.mark.parametrize(
    ("mode", "suffix"),
    [
        *[(mode, ".png") for mode in MODES if mode != "CMYK"],
        *[(mode, ".tif") for mode in MODES if mode != "palette"],
        *[(mode, ".jpg") for mode in ("grey", "colour", "CMYK")],
        *[(mode, ".bmp") for mode in ("1-bit", "grey", "palette", "colour")],
    ],
)
def test_bitmaps_of_every_kind(tmp_path: Path, mode: str, suffix: str) -> None:
    art = read_art(saved(tmp_path / f"f{suffix}", MODES[mode](), dpi=(200, 200)), ASKED)
    holds_letter(art)
    assert art.copy_size == pytest.approx((4, 5), abs=0.01)  # A BMP says whole dots to the metre.
    assert art.resolution == pytest.approx(200, rel=0.001)
    assert art.error < 0.007


def test_a_bmp_with_alpha(tmp_path: Path) -> None:
    """Pillow writes none, so this one is put together: a BITMAPV4HEADER with a mask for alpha, rows from below."""
    elements = np.asarray(bitmap(200, (0, 0, 0, 0), (0, 0, 0, 255), "RGBA"))[::-1, :, [2, 1, 0, 3]]
    height, width = elements.shape[:2]
    masks = (0x00FF0000, 0x0000FF00, 0x000000FF, 0xFF000000)
    header = struct.pack("<IiiHHIIiiII4I", 108, width, height, 1, 32, 3, elements.nbytes, 7874, 7874, 0, 0, *masks)
    header += b"BGRs" + bytes(108 - len(header) - 4)
    start = struct.pack("<2sIHHI", b"BM", 14 + 108 + elements.nbytes, 0, 0, 14 + 108)
    holds_letter(read_art(written(tmp_path / "f.bmp", start + header + elements.tobytes()), ASKED))


@pytest.mark.parametrize("compression", ["group4", "tiff_lzw", "packbits", "tiff_deflate"])
def test_compressed_tiffs(tmp_path: Path, compression: str) -> None:
    path = saved(tmp_path / "f.tif", bitmap(200, 1, 0, "1"), dpi=(200, 200), compression=compression)
    holds_letter(read_art(path, ASKED))


def test_metres_and_centimetres(tmp_path: Path) -> None:
    path = saved(tmp_path / "f.tif", bitmap(), resolution_unit=3, x_resolution=200 / 2.54, y_resolution=200 / 2.54)
    holds_letter(read_art(path, ASKED))


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", [".jpg", ".tif", ".png"])
def test_upright_as_the_camera_says(tmp_path: Path, orientation: int, suffix: str) -> None:
    stored = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]
    picture = bitmap(100) if stored is None else bitmap(100).transpose(stored)
    exif = Image.Exif()
    exif[0x0112] = orientation
    options: dict[str, object] = {"tiffinfo": {0x0112: orientation}} if suffix == ".tif" else {"exif": exif}
    holds_letter(read_art(saved(tmp_path / f"f{suffix}", picture, dpi=(100, 100), **options), ASKED))


def test_elements_that_are_no_squares(tmp_path: Path) -> None:
    picture = bitmap(200).resize((800, 500), Image.Resampling.BOX)
    art = read_art(saved(tmp_path / "f.tif", picture, dpi=(200, 100)), ASKED)
    assert art.copy_size == pytest.approx((4, 5))
    holds_letter(art, beyond=0.005)


def test_finer_bitmaps_are_reduced_within_the_tolerance(tmp_path: Path) -> None:
    art = read_art(saved(tmp_path / "f.png", bitmap(400), dpi=(400, 400)), replace(ASKED, size=(1, 1.25)))
    assert art.percentage == pytest.approx(25, rel=1e-3)
    assert art.resolution == pytest.approx(1600 / 6, rel=1e-3)
    assert art.error <= ASKED.tolerance
    assert off(path_shape(art), affinity.scale(LETTER, 0.25, 0.25, origin=(0, 0))) <= art.error


@pytest.mark.parametrize("rotation", [0, 90])
def test_pdf(tmp_path: Path, rotation: int) -> None:
    art = read_art(pdf(tmp_path / "f.pdf", rotation=rotation), ASKED)
    holds_letter(art)
    assert art.error <= ASKED.tolerance
    assert art.copy_size == pytest.approx((4, 5))


def test_a_later_page(tmp_path: Path) -> None:
    path = pdf(tmp_path / "f.pdf", pages=3)
    holds_letter(read_art(path, replace(ASKED, page=3)))
    assert read_art(path, ASKED).area == 0


@pytest.mark.parametrize("kind", [".svg", ".png", ".pdf"])
def test_crop_takes_the_sides_it_names(tmp_path: Path, kind: str) -> None:
    path = {
        ".svg": lambda: written(tmp_path / "f.svg", svg()),
        ".png": lambda: saved(tmp_path / "f.png", bitmap(200), dpi=(200, 200)),
        ".pdf": lambda: pdf(tmp_path / "f.pdf"),
    }[kind]()
    asked = replace(ASKED, size=(2.25, 3.9), crop={"left": 0.75, "right": 1.0, "bottom": 0.3, "top": 0.8})
    art = read_art(path, asked)
    left = affinity.translate(area_of(LETTER.intersection(box(0.75, 0.3, 3.0, 4.2))), -0.75, -0.3)
    assert off(path_shape(art), left) <= art.error + 1e-9
    assert art.crop == pytest.approx((0.75, 1.0, 0.3, 0.8))


def test_mirrored_after_cropping(tmp_path: Path) -> None:
    asked = replace(ASKED, size=(3.5, 5), crop={"left": 0.5}, mirrored=True)
    art = read_art(written(tmp_path / "f.svg", svg()), asked)
    right = affinity.translate(affinity.scale(LETTER, -1, 1, origin=(2, 0)), 0, 0)
    assert off(path_shape(art), right) <= art.error + 1e-9


def test_light_on_dark(tmp_path: Path) -> None:
    ground = f'<rect width="{WIDTH}" height="{HEIGHT}"/><g fill="white">{svg_bars(BARS)}</g>'
    asked = replace(ASKED, light_on_dark=True)
    holds_letter(read_art(written(tmp_path / "f.svg", svg(ground)), asked))


def test_the_same_bytes_again(tmp_path: Path) -> None:
    path = written(tmp_path / "f.svg", svg('<circle cx="2" cy="2.5" r="1.7"/>'))
    asked = replace(ASKED, distances=(1 / 16,))
    first, second = read_art(path, asked), read_art(path, asked)
    assert first == second
    assert first.image.wkb == second.image.wkb
    assert first.growths[1 / 16].wkb == second.growths[1 / 16].wkb

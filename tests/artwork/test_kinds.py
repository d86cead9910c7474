"""What prints by the kind of negative, cropping and proportion, the plate's face, and fine detail."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from shapely import Point, box

from planner.artwork import Artwork, Asked, read_art

from .pictures import LETTER, bitmap, off, path_shape, saved, svg, written

ASKED = Asked(kind="line", size=(4, 5), tolerance=1 / 200, closing=1 / 16)

# Three light patches in a dark square: wide, as wide as a speck is allowed to be, and long but narrow.
PATCHES = (
    '<rect x="0.5" y="0.5" width="3" height="4"/>'
    '<g fill="white"><circle cx="1.2" cy="1.2" r="0.3"/><circle cx="2.6" cy="1.2" r="0.09"/>'
    '<rect x="1" y="3" width="2" height="0.15"/></g>'
)


def read(tmp_path: Path, inside: str, asked: Asked) -> Artwork:
    return read_art(written(tmp_path / "f.svg", svg(inside)), asked)


def test_line_prints_what_is_darker_than_the_threshold(tmp_path: Path) -> None:
    colours = ("#404040", "#a0a0a0", "#ff0000")
    shades = "".join(f'<rect x="{n}" y="1" width="1" height="1" fill="{colour}"/>' for n, colour in enumerate(colours))
    # Red is 0.299 of white.
    for threshold, area in ((0.2, 0), (0.28, 1), (0.5, 2), (0.7, 3)):
        art = read(tmp_path, shades, replace(ASKED, threshold=threshold))
        assert art.area == pytest.approx(area, abs=0.02)
        assert path_shape(art).area == pytest.approx(area, abs=0.04)


def test_combination_is_read_like_line(tmp_path: Path) -> None:
    assert read(tmp_path, PATCHES, replace(ASKED, kind="combination")).path == read(tmp_path, PATCHES, ASKED).path


def test_silhouette_fills_the_outline(tmp_path: Path) -> None:
    line, filled = read(tmp_path, PATCHES, ASKED), read(tmp_path, PATCHES, replace(ASKED, kind="silhouette"))
    assert line.area == pytest.approx(12 - math.pi * (0.09 + 0.0081) - 0.3, abs=0.03)
    assert filled.area == pytest.approx(12, abs=0.03)
    assert off(path_shape(filled), box(0.5, 0.5, 3.5, 4.5)) <= filled.error


@pytest.mark.parametrize(("speck", "lost"), [(0.1, 3), (0.17, 2), (0.2, 1), (0.7, 0)])
def test_drop_out_keeps_light_areas_wider_than_the_speck(tmp_path: Path, speck: float, lost: int) -> None:
    art = read(tmp_path, PATCHES, replace(ASKED, kind="drop-out", speck=speck))
    # By width: the disc of 0.6, the disc of 0.18, the bar of 0.15, each whole with its corners.
    patches = [math.pi * 0.09, math.pi * 0.0081, 0.3]
    assert art.area == pytest.approx(12 - sum(patches[:lost]), abs=0.03)


def test_square_prints_over_its_whole_rectangle(tmp_path: Path) -> None:
    asked = replace(ASKED, kind="square", distances=(0.1,))
    art = read(tmp_path, PATCHES, asked)
    assert art.area == 20
    assert art.image.equals(box(0, 0, 4, 5))
    assert path_shape(art).equals(box(0, 0, 4, 5))
    true = box(0, 0, 4, 5).buffer(0.1, quad_segs=64)
    assert art.growths[0.1].buffer(1e-9).covers(true)
    assert art.growths[0.1].area == pytest.approx(true.area, rel=1e-3)
    assert art.fine.is_empty


def test_a_broken_square_halftone_is_noticed(tmp_path: Path) -> None:
    whole = saved(tmp_path / "f.png", bitmap(50), dpi=(50, 50)).read_bytes()
    with pytest.raises(ValueError, match="is broken or incomplete PNG"):
        read_art(written(tmp_path / "f.png", whole[:-60]), replace(ASKED, kind="square"))


def test_other_proportions_name_both_cures(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), replace(ASKED, size=(2, 2)))
    assert art.percentage == pytest.approx(50)
    assert art.mismatch is not None
    assert art.mismatch.crop == pytest.approx({"bottom": 0.5, "top": 0.5})
    assert art.mismatch.size == pytest.approx((2, 2.5))
    assert art.crop == pytest.approx((0, 0, 0.5, 0.5))
    wide = read_art(written(tmp_path / "f.svg", svg()), replace(ASKED, size=(2, 4)))
    assert wide.mismatch is not None
    assert wide.mismatch.crop == pytest.approx({"left": 0.75, "right": 0.75})
    assert wide.mismatch.size == pytest.approx((3.2, 4))


def test_an_even_crop_is_no_finding(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), replace(ASKED, size=(2, 2), crop="even"))
    assert art.mismatch is None
    assert art.crop == pytest.approx((0, 0, 0.5, 0.5))


def test_amounts_that_do_not_make_the_proportion(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), replace(ASKED, size=(2, 2), crop={"top": 0.6}))
    assert art.mismatch is not None
    assert art.mismatch.crop == pytest.approx({"bottom": 0.2, "top": 0.2})
    assert art.crop == pytest.approx((0, 0, 0.2, 0.8))


def test_copy_that_fits_within_a_sixty_fourth_is_not_cropped(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), replace(ASKED, size=(4, 5 + 1 / 70)))
    assert art.mismatch is None
    assert art.crop == (0, 0, 0, 0)
    assert off(path_shape(art), shapely.affinity.translate(LETTER, 0, 1 / 140)) <= art.error


def test_outside_the_face_nothing_prints(tmp_path: Path) -> None:
    face = Point(2, 2.5).buffer(1.5)
    art = read(tmp_path, '<rect width="4" height="5"/>', replace(ASKED, within=face, distances=(0.1,)))
    assert face.buffer(1e-9).covers(art.image)
    assert art.image.buffer(art.error).covers(face)
    assert art.growths[0.1].covers(face.buffer(0.1 - 1e-6))
    assert face.buffer(0.1 + 3 / art.resolution).covers(art.growths[0.1])
    assert art.area == pytest.approx(face.area, rel=0.01)


def test_fine_detail(tmp_path: Path) -> None:
    drawing = (
        '<rect x="0.5" y="0.5" width="1" height="1"/>'  # fat, with four corners
        '<rect x="1.5" y="0.995" width="1" height="0.01"/>'  # a hairline that hangs on it
        '<circle cx="3.5" cy="1" r="0.005"/>'  # a speck by itself
        '<path d="M0.5 4.5L1.5 4.5L0.5 4.35Z"/>'  # a sharp corner of 8.5 degrees
        '<rect x="2.5" y="3" width="1" height="0.03"/>'  # twice as thick as what is fine
    )
    asked = replace(ASKED, tolerance=1 / 500, fine=1 / 64)
    art = read(tmp_path, drawing, asked)
    parts = sorted(art.fine.geoms, key=lambda part: part.bounds)
    assert len(parts) == 3
    corner, hairline, speck = (part.bounds for part in parts)
    assert hairline == pytest.approx((1.5, 3.995, 2.5, 4.005), abs=0.012)
    assert speck == pytest.approx((3.495, 3.995, 3.505, 4.005), abs=0.006)
    # The wedge is thinner than 1/64 in where its cutting disc no longer fits: 1/128 / tan(4.27 degrees) from the tip.
    assert corner[0] == pytest.approx(1.5 - 1 / 128 / math.tan(math.radians(4.27)), abs=0.03)
    assert len(shapely.get_coordinates(art.fine)) < 120


def test_a_page_with_nothing_on_it(tmp_path: Path) -> None:
    art = read(tmp_path, "", ASKED)
    assert (art.area, art.path) == (0, "")
    assert art.image.is_empty
    assert art.fine.is_empty
    assert art.growths[ASKED.closing].is_empty

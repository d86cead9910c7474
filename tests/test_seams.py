"""Seams that are opaqued: narrow gaps between skins, with their laps; not wide ones, not images, not single skins."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box
from shapely.geometry.base import BaseGeometry

from planner.geometry import plain, shape_of
from planner.plan import FilmRecord, Flat, Placement, SheetRecord
from planner.seams import LAP, NARROW, seams_of, with_seams


def _film(number: int, skin: BaseGeometry, image: BaseGeometry, use: str = "base") -> FilmRecord:
    return FilmRecord.model_validate(
        {
            "number": number, "name": "", "kind": "line", "use": use, "on": None if use == "base" else 1, "angle": 0.0,
            "size": (1.0, 1.0), "film": plain(skin), "image": plain(image),
        }
    )  # fmt: skip


def _flat(*films: FilmRecord) -> Flat:
    edge = plain(box(1, 1, 2, 2))
    placements = tuple(
        Placement(
            plate=f"p{place}", blank=(1, 1, 1, 1), part=(1, 1, 1, 1), metal=(), turned=0, outline=edge, printing=(),
            flange=(), staying=(), films=(film,), tints=(), zones=(),
        )
        for place, film in enumerate(films)
    )  # fmt: skip
    sheet = SheetRecord(name="s", metal="zinc", gauge=0.064, width=20.0, height=20.0, price=None, remnant=False)
    return Flat(
        number=1, sheet=sheet, share_key="", grip=0.5, usable=(0.5, 0.5, 19, 19), spots=(), how_cut="shear", kerf=0.0,
        gap=0.0, layout="straight", placements=placements, cut_tree=(), kerf_shape=(), rest=(), cuts=0,
    )  # fmt: skip


def _two(gap: float) -> Flat:
    """Two skins of 4 x 3 in side by side, images 1/4 in within their edges."""
    left, right = box(2, 2, 6, 5), box(6 + gap, 2, 10 + gap, 5)
    inner = [skin.buffer(-0.25, join_style="mitre") for skin in (left, right)]
    return _flat(_film(1, left, inner[0]), _film(1, right, inner[1]))


def test_a_narrow_gap_is_painted_with_its_laps() -> None:
    # 1/8 in between the skins and 1/64 in over the edge of each; as high as the skins, less a lap at each end.
    seam = seams_of(_two(1 / 8))
    assert seam.bounds == pytest.approx((6 - LAP, 2 + LAP, 6.125 + LAP, 5 - LAP))
    assert seam.area == pytest.approx((1 / 8 + 2 / 64) * (3 - 2 / 64))


def test_a_wide_gap_is_masked_with_paper_instead() -> None:
    assert not seams_of(_two(NARROW - 0.01)).is_empty
    assert seams_of(_two(NARROW + 0.05)).is_empty


def test_films_that_butt_have_a_seam_as_wide_as_both_laps() -> None:
    left, _, right, _ = seams_of(_two(0.0)).bounds
    assert right - left == pytest.approx(2 * LAP)


def test_a_nook_of_one_film_is_no_seam_and_overlays_make_none() -> None:
    comb = box(2, 2, 6, 5) - box(3, 3, 3.1, 5)
    lone = _film(1, comb, box(2.5, 2.2, 5.5, 2.8))
    assert seams_of(_flat(lone)).is_empty
    far = _film(1, box(10, 10, 12, 12), box(10.5, 10.5, 11.5, 11.5))
    assert seams_of(_flat(lone, far)).is_empty
    over = _film(2, box(6.1, 2, 8, 5), box(6.5, 2.5, 7.5, 4.5), "surprint")
    assert seams_of(_flat(_film(1, box(2, 2, 6, 5), box(3, 3, 4, 4)), over)).is_empty


def test_flats_get_their_seams_and_nothing_else() -> None:
    flat = _two(1 / 8)
    (seamed,) = with_seams((flat,))
    assert seamed.seams
    assert seamed.model_copy(update={"seams": ()}) == flat


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(*[st.floats(0.5, 15)] * 2, *[st.floats(0.5, 4)] * 2), min_size=2, max_size=6))
def test_seams_lie_on_the_sheet_and_off_every_image(places: list[tuple[float, float, float, float]]) -> None:
    skins = [box(x, y, x + width, y + height) for x, y, width, height in places]
    images = [skin.buffer(-0.1, join_style="mitre") for skin in skins]
    flat = _flat(*(_film(1, skin, image) for skin, image in zip(skins, images, strict=True)))
    seams = shape_of(with_seams((flat,))[0].seams)
    assert seams.is_empty or box(0, 0, 20, 20).buffer(1e-6).contains(seams)
    assert all(seams.intersection(image).area < 1e-6 for image in images)
    for skin in skins:
        assert seams.intersection(skin.buffer(-LAP - 1e-6, join_style="mitre")).area < 1e-6

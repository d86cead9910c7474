"""Where does the stripper paint opaque? The gaps between neighbouring skins of a flat, and the joints where skins meet.

Light through a gap between two negatives would harden a line of the metal there. Wider spaces are masked with paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from shapely import MultiPolygon, STRtree

from planner.geometry import area_of, plain, rectangle, shape_of, union_of
from planner.plan import Flat

NARROW: Final = 3 / 8
"""Inches; a gap up to so wide is painted, a wider one is masked with paper (common practice)."""

LAP: Final = 1 / 64
"""Inches that the paint reaches over the edge of a film, so that nothing shows along it (common practice)."""

_CRUMB: Final = 1e-3
"""Square inches; a smaller speck is nothing that anybody paints."""


def with_seams(flats: Iterable[Flat]) -> tuple[Flat, ...]:
    """Give flats with the seams that are opaqued."""
    return tuple(flat.model_copy(update={"seams": plain(seams_of(flat))}) for flat in flats)


def seams_of(flat: Flat) -> MultiPolygon:
    """Give the area that is painted on a flat: between skins of the first exposure, and off every image."""
    bases = [film for placement in flat.placements for film in placement.films if film.use == "base"]
    skins = [skin for film in bases if not (skin := shape_of(film.film).buffer(-LAP, join_style="mitre")).is_empty]
    if len(skins) < 2:
        return MultiPolygon()
    covered = union_of(skins)
    # Grown until gaps close, and shrunk back: only what was a gap stays filled.
    closed = covered.buffer(NARROW / 2 + LAP, join_style="mitre").buffer(-NARROW / 2 - LAP, join_style="mitre")
    images = union_of([shape_of(film.image) for film in bases])
    sheet = rectangle(0.0, 0.0, flat.sheet.width, flat.sheet.height)
    gaps = area_of(closed.difference(covered).difference(images).intersection(sheet))
    tree = STRtree(skins)
    # A nook of a single skin is no seam.
    between = [gap for gap in gaps.geoms if gap.area > _CRUMB and len(tree.query(gap, "dwithin", LAP)) > 1]
    return area_of(MultiPolygon(between))

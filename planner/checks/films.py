"""Do films and images lie where they may: on the plate, beside one another, tints on metal that is there?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.films import Film
from planner.findings import Finding
from planner.geometry import TINY_AREA, area_of, rectangle, union_of
from planner.plates import OrderedPlate

_CRUMB = 1e-6
"""Square inches; metric sizes meet only to the last digit of a float, which is no overlap."""


def check_images(plate: OrderedPlate) -> Iterator[Finding]:
    """Find images that the plate's edge or a hole would cut, and plates on which nothing prints."""
    # What runs on past a bleed is cut away with it, and harms nobody.
    ground = union_of([plate.face, _beyond_the_bleed(plate)])
    holes = plate.face.envelope.difference(plate.face) if plate.is_rectangle else MultiPolygon()
    for film in plate.films:
        if not film.has_image or film.use == "reverse":
            continue
        over_hole = area_of(film.image.intersection(holes))
        lost = area_of(film.image.difference(ground).difference(holes))
        if over_hole.area > _CRUMB:
            yield Finding.over(
                over_hole,
                "image.over-hole",
                "warn",
                f"{over_hole.area:.3f} sq in of {film.label} lie where the plate has a hole",
                "check that nothing is lost there, or move the hole or the image",
            )
        # Past the edge of a bevelled rectangle the bevel rule speaks.
        if lost.area > _CRUMB and not (plate.mounting == "bevelled" and plate.is_rectangle):
            yield Finding.over(
                lost,
                "image.cut-off",
                "stop",
                f"{film.label} runs off the plate: {lost.area:.3f} sq in of its image would be cut away",
                "move or trim the image, or order a larger plate",
            )
    if plate.printing.area <= TINY_AREA:
        yield Finding(
            "image.none",
            "stop",
            "nothing prints: no image lies on the plate",
            "check where the negatives lie (at) and that the plate is their plate",
        )


def _beyond_the_bleed(plate: OrderedPlate) -> BaseGeometry:
    left, bottom, right, top = plate.face.bounds
    width, height = right - left, top - bottom
    far = 1000.0
    outside = {
        "left": rectangle(left - far, bottom, far, height), "right": rectangle(right, bottom, far, height),
        "bottom": rectangle(left, bottom - far, width, far), "top": rectangle(left, top, width, far),
    }  # fmt: skip
    return union_of(outside[side] for side in plate.bleed)


def check_films(plate: OrderedPlate) -> Iterator[Finding]:
    """Find films smaller than their image, films over the image of another, and films over one another.

    Skins may not overlap, except an overlay on its illustration (common practice). A film whose size the order does
    not give is cut back to fit by the stripper, so only images count for it.
    """
    for number, film in enumerate(plate.films):
        short = area_of(film.image.difference(film.film))
        if film.given and short.area > _CRUMB:
            yield Finding.over(
                short,
                "film.short",
                "stop",
                f"the film of {film.label} is too small: {short.area:.3f} sq in of its image lies beyond it",
                "check the film's size and place, or make it anew",
            )
        if film.is_overlay and film.has_image:
            yield from _beside(film, plate.illustration_under(film))
        for other in plate.films[number + 1 :]:
            # A surprint lies on a flat of its own, with all other metal masked; a reverse lies among the base films.
            if (film.use == "surprint") == (other.use == "surprint") and not _belong(film, other):
                yield from _overlap(film, other)


def _belong(film: Film, other: Film) -> bool:
    """Whether one lies on the other, or both lie on the same illustration."""
    return film.on == other.number or other.on == film.number or (film.on is not None and film.on == other.on)


def _beside(overlay: Film, illustration: Film) -> Iterator[Finding]:
    beside = area_of(overlay.image.difference(illustration.image))
    if beside.area > _CRUMB:
        yield Finding.over(
            beside,
            "overlay.beside",
            "warn",
            f"{beside.area:.3f} sq in of the lettering of {overlay.label} lie beside {illustration.label}",
            "move the lettering onto its illustration, or give what lies beside it a line negative of the base",
        )


def _overlap(film: Film, other: Film) -> Iterator[Finding]:
    images = area_of(film.image.intersection(other.image))
    if images.area > _CRUMB and not (film.is_overlay or other.is_overlay):
        yield Finding.over(
            images,
            "film.images-overlap",
            "stop",
            f"{film.label} and {other.label} lie over one another: {images.area:.3f} sq in would print twice",
            "move one of them, or make it a surprint or a reverse",
        )
        return
    for upper, lower in ((film, other), (other, film)):
        over = area_of(upper.film.intersection(lower.image))
        if upper.given and over.area > _CRUMB and not lower.is_overlay:
            yield Finding.over(
                over,
                "film.over-image",
                "stop",
                f"the film of {upper.label} lies over {over.area:.3f} sq in of the image of {lower.label}",
                "cut the film back so that it stops between the two images",
            )
            return
    skins = area_of(film.film.intersection(other.film))
    if film.given and other.given and skins.area > _CRUMB:
        yield Finding.over(
            skins,
            "film.skins-overlap",
            "warn",
            f"the films of {film.label} and {other.label} overlap by {skins.area:.3f} sq in",
            "cut both back to a seam between the images and opaque it",
        )


def check_tints(plate: OrderedPlate) -> Iterator[Finding]:
    """Find tints that run off the plate, and tints of different patterns that lie over one another."""
    for tint in plate.tints:
        lost = area_of(tint.area.difference(union_of([plate.face, _beyond_the_bleed(plate)])))
        if lost.area > _CRUMB:
            yield Finding.over(
                lost,
                "tint.off-plate",
                "warn",
                f'the tint "{tint.pattern}" runs {lost.area:.3f} sq in off the plate',
                "check its size and place; what lies off the plate is not laid",
            )
    for tint, other in combinations(plate.tints, 2):
        both = area_of(tint.area.intersection(other.area))
        if tint.pattern != other.pattern and both.area > _CRUMB:
            yield Finding.over(
                both,
                "tint.overlap",
                "warn",
                f'the tints "{tint.pattern}" and "{other.pattern}" lie over one another on {both.area:.3f} sq in',
                "stop one of them out there, or say that the two patterns shall cross",
            )

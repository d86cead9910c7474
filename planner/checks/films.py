"""Do films and images lie where they may: on the plate, beside one another, tints on metal that is there?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from planner.findings import Finding
from planner.geometry import TINY_AREA, area_of
from planner.plates import Film, OrderedPlate


def check_images(plate: OrderedPlate) -> Iterator[Finding]:
    """Find images of the base that the plate's edge or a hole would cut, and plates on which nothing prints."""
    # Past the outer edge of a bevelled rectangle the bevel rule speaks; its holes are looked at here.
    bevelled = plate.mounting == "bevelled" and plate.is_rectangle
    metal_gone = plate.face.envelope.difference(plate.face) if bevelled else None
    for film in plate.films:
        if film.is_overlay:
            continue
        lost = area_of(film.image.difference(plate.face) if metal_gone is None else film.image.intersection(metal_gone))
        if lost.area > TINY_AREA:
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


def check_films(plate: OrderedPlate) -> Iterator[Finding]:
    """Find base films that lie over the image of another, or over one another: skins may not overlap.

    A film whose size the order does not give is cut back to fit by the stripper, so only images count for it.
    """
    for number, film in enumerate(plate.films):
        if not film.is_overlay and film.given:
            short = area_of(film.image.difference(film.film))
            if short.area > TINY_AREA:
                yield Finding.over(
                    short,
                    "film.short",
                    "stop",
                    f"the film of {film.label} is too small: {short.area:.3f} sq in of its image lies beyond it",
                    "check the film's size and place, or make it anew",
                )
        for other in plate.films[number + 1 :]:
            if not (film.is_overlay or other.is_overlay):
                yield from _overlap(film, other)


def _overlap(film: Film, other: Film) -> Iterator[Finding]:
    images = area_of(film.image.intersection(other.image))
    if images.area > TINY_AREA:
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
        if upper.given and over.area > TINY_AREA:
            yield Finding.over(
                over,
                "film.over-image",
                "stop",
                f"the film of {upper.label} lies over {over.area:.3f} sq in of the image of {lower.label}",
                "cut the film back so that it stops between the two images",
            )
            return
    skins = area_of(film.film.intersection(other.film))
    if film.given and other.given and skins.area > TINY_AREA:
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
        lost = area_of(tint.area.difference(plate.face))
        if lost.area > TINY_AREA:
            yield Finding.over(
                lost,
                "tint.off-plate",
                "warn",
                f'the tint "{tint.pattern}" runs {lost.area:.3f} sq in off the plate',
                "check its size and place; what lies off the plate is not laid",
            )
    for tint, other in combinations(plate.tints, 2):
        both = area_of(tint.area.intersection(other.area))
        if tint.pattern != other.pattern and both.area > TINY_AREA:
            yield Finding.over(
                both,
                "tint.overlap",
                "warn",
                f'the tints "{tint.pattern}" and "{other.pattern}" lie over one another on {both.area:.3f} sq in',
                "stop one of them out there, or say that the two patterns shall cross",
            )

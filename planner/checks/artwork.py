"""Is the art of a plate's films fit for its place: of its proportion, fine enough, and not empty?"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from planner.artwork.records import Mismatch
from planner.films import Film, PlacedArt
from planner.findings import Finding
from planner.house import House
from planner.lengths import amount_text, size_text
from planner.orders import SideName
from planner.plates import OrderedPlate

_DOUBTFUL: Final = 0.01
"""Of what prints: less grey of the threshold's tone is not worth a word."""

_SEEN: Final = 0.005
"""Square inches, a hundredth as they are told; nor is so little of it."""

_ASIDE: Final = 0.05
"""How far from the threshold another one is proposed; more than renderers differ by, less than a grey looks it."""


def check_artwork(plate: OrderedPlate, house: House) -> Iterator[Finding]:
    """Find art of another proportion than its place, too coarse, of a tone at the threshold, or empty."""
    for film in plate.films:
        if film.art is None:
            continue
        if film.art.artwork.mismatch is not None:
            yield _other_proportion(film, film.art, film.art.artwork.mismatch)
        if film.art.artwork.error > house.art.tolerance * (1 + 1e-9):
            yield _coarse(film, film.art, house.art.tolerance)
        if film.art.artwork.doubtful > max(_DOUBTFUL * film.art.artwork.area, _SEEN):
            yield _doubtful(film, film.art)
        if film.art.artwork.area <= 0:
            yield Finding(
                "art.empty",
                "stop",
                f'nothing of "{film.art.file}" prints: none of it is darker than the threshold of '
                f"{film.art.asked.threshold:g}",
                "give a lighter threshold, or light_on_dark = true for light art on a dark ground",
            )


def _other_proportion(film: Film, art: PlacedArt, mismatch: Mismatch) -> Finding:
    copy, place = size_text(*art.artwork.copy_size), size_text(*art.artwork.size)
    off = " and ".join(f"{amount_text(amount)} off the {side}" for side, amount in mismatch.crop.items())
    return Finding(
        "art.proportion",
        "stop",
        f'the copy of {film.label}, "{art.file}", is {copy} and its place {place}, which is another proportion; it is '
        f"drawn cropped evenly",
        f"crop the copy {off} ({_crop_key(mismatch.crop)}), or make the image {size_text(*mismatch.size)} "
        f"({mismatch.size[0]:.4f} x {mismatch.size[1]:.4f} in)",
        sided=True,
    )


def _crop_key(crop: Mapping[SideName, float]) -> str:
    return "crop = { " + ", ".join(f'{side} = "{amount:.4f} in"' for side, amount in crop.items()) + " }"


def _coarse(film: Film, art: PlacedArt, tolerance: float) -> Finding:
    artwork = art.artwork
    needed = artwork.resolution * artwork.error / tolerance * artwork.percentage / 100
    return Finding(
        "art.coarse",
        "warn",
        f'"{art.file}" of {film.label} has only {artwork.resolution:.0f} elements to the inch at '
        f"{artwork.percentage:.1f} % of the copy: its lines may be off by {artwork.error:.4f} in, and the house "
        f"allows {tolerance:.4f} in",
        f"scan the copy again with at least {_rounded_up(needed)} elements to the inch, or allow more "
        f"(table [art], key tolerance)",
        amount=artwork.error,
        unit="in",
    )


def _doubtful(film: Film, art: PlacedArt) -> Finding:
    threshold, doubtful = art.asked.threshold, art.artwork.doubtful
    others = " or ".join(f"{value:g}" for value in (threshold - _ASIDE, threshold + _ASIDE) if 0 < value < 1)
    return Finding(
        "art.tone",
        "warn",
        f'{doubtful:.2f} sq in of "{art.file}" of {film.label} is a grey of nearly the threshold of {threshold:g}: '
        f"whether it prints hangs on rounding",
        f"give a threshold to one side of that grey, such as {others}, make it black or white in the art, or order "
        f"a halftone",
        amount=doubtful,
        unit="sq in",
    )


def _rounded_up(resolution: float) -> int:
    step = 50
    return int(-(-resolution // step) * step)

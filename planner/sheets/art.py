"""Where is the art, and how is it shown? Written once on a sheet, shown wherever a film of it lies, within its plate.

On the stripper's sheet it reads right, on the metal wrong.
"""

from __future__ import annotations

from typing import Final, Literal, TypeAlias

from planner.plan import FilmRecord, Placement, Transform
from planner.sheets.art_paths import drawn_path
from planner.sheets.canvas import Canvas
from planner.sheets.desk import Desk
from planner.sheets.svg import Group, matrix, shape_path

Which: TypeAlias = Literal["all", "base", "overlays"]

_LAYERS: Final[dict[Which, tuple[str, str]]] = {
    "all": ("art", "Art"),
    "base": ("art", "Art"),
    "overlays": ("overlay-art", "Art of overlays"),
}


def draw_art(canvas: Canvas, desk: Desk, which: Which = "all") -> None:
    """Draw the art of every film of the flat, of the films laid first before that of overlays; or of either alone."""
    placements = [(number, placement) for number, placement, _ in desk.numbered if _films(placement, which)]
    if not placements:
        return
    layer = canvas.layer(*_LAYERS[which])
    for number, placement in placements:
        draw_art_of(canvas, desk, layer, placement, number, which=which)


def draw_art_of(
    canvas: Canvas,
    desk: Desk,
    layer: Group,
    placement: Placement,
    number: int,
    into: Transform | None = None,
    which: Which = "all",
    name: str = "",
) -> None:
    """Draw the art of one plate's films; ``into`` leads from the flat's frame to the work's, where they differ.

    ``name`` is that of the group if it is another than the layer's: where a sheet shows a plate twice.
    """
    name = f"{name or _LAYERS[which][0]}-{number}"
    clip = canvas.own(f"clip-{desk.flat.number}-{name}")
    canvas.drawing.clip(clip, shape_path(placement.outline))
    # A clip counts in the frame of the group that it is said of: the flat's.
    group = layer.group(
        name, data={"plate": placement.plate}, clip=clip, transform=None if into is None else matrix(*into)
    )
    for film in _films(placement, which):
        place = desk.art_places.get(film.art or "")
        if place is None or film.art_transform is None:
            continue
        record = desk.plan.art[place]
        a, b, c, d, e, f = film.art_transform
        path, unit = drawn_path(record.path, record.unit)
        steps = (a * unit, b * unit, c * unit, d * unit, e, f)
        canvas.show(group, art_kind(film), f"art-{place + 1}", path, steps)


def _films(placement: Placement, which: Which) -> list[FilmRecord]:
    made = [film for film in placement.films if film.art is not None]
    return [film for film in made if which == "all" or (film.use == "base") == (which == "base")]


def has_art(placement: Placement) -> bool:
    """Say whether any film of a plate is made from art."""
    return any(film.art is not None for film in placement.films)


def is_solid(film: FilmRecord) -> bool:
    """Say whether a film's art stands for its image by itself, without a hatch over it that says of what kind it is."""
    return film.art is not None and (film.use != "base" or film.kind == "line")


def art_kind(film: FilmRecord) -> str:
    """Give the kind that a film's art is drawn as."""
    if film.use != "base":
        return f"art-{film.use}"
    return "art-line" if film.kind == "line" else "art-halftone"

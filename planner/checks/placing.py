"""Does everything on a flat lie on the glass and inside the metal that can be etched?"""

from __future__ import annotations

from collections.abc import Iterator

from planner.findings import Finding
from planner.geometry import TINY_AREA, area_of, rectangle, shape_of
from planner.plan import Flat


def check_placing(flat: Flat) -> Iterator[tuple[str, Finding]]:
    """Find films that run off the glass and images in the grip margin; gives each plate's id with its finding.

    Shapes of these findings are in the flat's frame.
    """
    usable = rectangle(*flat.usable)
    grip = flat.grip
    etched = rectangle(grip, grip, flat.sheet.width - 2 * grip, flat.sheet.height - 2 * grip)
    for placement in flat.placements:
        # On a free flat the stripper cuts film to fit beside its neighbours.
        for film in placement.films if flat.layout == "straight" else ():
            off = area_of(shape_of(film.film).difference(usable))
            if off.area > TINY_AREA:
                yield (
                    placement.plate,
                    Finding.over(
                        off,
                        "film.off-glass",
                        "stop",
                        f'the film "{film.name}" lies {off.area:.3f} sq in off the glass',
                        "move the plate further in, or cut the film back",
                    ),
                )
        gripped = area_of(shape_of(placement.printing).difference(etched))
        if gripped.area > TINY_AREA:
            yield (
                placement.plate,
                Finding.over(
                    gripped,
                    "image.in-grip",
                    "stop",
                    f"{gripped.area:.3f} sq in of its image lie in the grip margin and would not be etched",
                    "move the plate further in",
                ),
            )

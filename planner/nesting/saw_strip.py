"""All shapes in one strip of a given height: the public function and its answer."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import Polygon

from .saw_clock import Clock
from .saw_lattice import lattice_for
from .saw_problem import SawOptions, SawPlacement, SawStrip, Shape, check, check_size, polygon_of
from .saw_shorten import StripSearch
from .saw_slide import slid
from .saw_spyrrow import laid_by_spyrrow

_BUILDS = 4


def lay_in_strip(shapes: Sequence[Shape], height: float, options: SawOptions | None = None) -> SawStrip:
    """Lay all shapes in a strip `height` inches high, in as little length as can be found.

    Material, group and due rank are not looked at. With `seconds` alone as limit the
    library spyrrow does the work where it is installed and wanted. On
    KeyboardInterrupt the best so far is returned.

    Raises:
        ValueError: the problem makes no sense, or a shape is taller than the strip in
            every turn it may take.
    """
    options = options or SawOptions()
    check(shapes, [], options)
    check_size("the strip", 1.0, height)
    if not shapes:
        return SawStrip((), 0.0, 0.0)
    placements: Sequence[SawPlacement] | None = None
    polygons = [polygon_of(shape) for shape in shapes]
    if options.spyrrow and options.iterations is None and options.seconds is not None and options.seconds >= 1:
        placements = laid_by_spyrrow(shapes, height, options.spacing, int(options.seconds), options.seed)
    if placements is None:
        placements = _laid(shapes, polygons, height, options)
    by_name = {shape.name: polygon for shape, polygon in zip(shapes, polygons, strict=True)}
    length = 0.0
    for placement in placements:
        west, south, east, north = by_name[placement.name].bounds
        length = max(length, placement.x + ((east - west) if placement.turn in (0, 180) else (north - south)))
    area = sum(polygon.area for polygon in polygons)
    return SawStrip(tuple(placements), length, area / (length * height))


def _laid(
    shapes: Sequence[Shape], polygons: Sequence[Polygon], height: float, options: SawOptions
) -> list[SawPlacement]:
    clock = Clock(options.iterations, options.seconds)
    lattice = lattice_for(polygons, [shape.turns for shape in shapes], height, options.spacing)
    turns = [lattice.turns(polygon, shape.turns) for shape, polygon in zip(shapes, polygons, strict=True)]
    search = StripSearch(lattice, [list(choice) for choice in turns], height / lattice.step, options.seed, clock)
    try:
        search.build(_BUILDS)
        search.improve()
    except KeyboardInterrupt:
        search.finish()
    outlines = [place[1] for place in search.places]
    positions = [(float(place[3]), float(place[2])) for place in search.places]
    positions = slid(lattice, outlines, positions, height / lattice.step)
    return [
        SawPlacement(shape.name, column * lattice.step, row * lattice.step, choice[outline])
        for shape, choice, outline, (column, row) in zip(shapes, turns, outlines, positions, strict=True)
    ]

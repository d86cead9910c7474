"""Free flats: the lines that plates are sawn out along, the kerf, and what to know before the blade goes in."""

from __future__ import annotations

from shapely import Polygon

from planner.geometry import shape_of
from planner.lengths import amount_text
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block
from planner.sheets.desk import Desk
from planner.sheets.frame import said
from planner.sheets.looking import seen_path
from planner.sheets.style import LINES, ORANGE, Look
from planner.sheets.svg import shape_path


def saw_looks(desk: Desk) -> dict[str, Look]:
    """Give the look of the saw's line; the legend says how wide the kerf beside it is."""
    if not desk.free:
        return {}
    words = f"sawn out along this line, kerf {amount_text(desk.flat.kerf)}"
    return {"saw": Look(words, LINES["cut"].of(ORANGE), line=True)}


def draw_sawing(canvas: Canvas, desk: Desk) -> None:
    """Draw the metal that the saw takes, and the line round each plate's metal."""
    if not desk.free:
        return
    layer = canvas.layer("sawing", "Sawing out")
    canvas.draw(layer, "kerf", seen_path(desk.flat.kerf_shape))
    for placement in desk.flat.placements:
        canvas.draw(layer, "saw", shape_path(placement.metal), placement.plate)


def saw_list(desk: Desk) -> list[Block]:
    """Say how the plates of a free flat are sawn out, those inside the mortise of another first."""
    if not desk.free:
        return []
    sentences = [
        "Saw each plate out along its line, starting with plates inside the mortise of another; there is no order of "
        "straight cuts.",
        f"The line is the edge of the metal that stays. The kerf, {amount_text(desk.flat.kerf)} wide, lies outside it.",
    ]
    inner = _in_mortises(desk)
    if inner:
        places = "; ".join(f"plate {number} in the mortise of plate {other}" for number, other in inner)
        sentences.insert(1, f"FIRST: {places}.")
    pierced = [
        str(number) for number, placement, _ in desk.numbered if any(len(rings) > 1 for rings in placement.metal)
    ]
    if pierced:
        plates = f"plate{'s' if len(pierced) > 1 else ''} {', '.join(pierced)}"
        sentences.append(
            f"An inner cut needs an entry hole: drill it inside the mortise ({plates}), off every line, and feed the "
            "blade through it."
        )
    return [said("sawing", "SAWING OUT", sentences)]


def _in_mortises(desk: Desk) -> list[tuple[int, int]]:
    """Give plates that lie in a mortise, and in whose; one in a mortise within a mortise comes first."""
    points = {number: shape_of(placement.metal).representative_point() for number, placement, _ in desk.numbered}
    around: dict[int, list[tuple[float, int]]] = {number: [] for number in points}
    for other, placement, _ in desk.numbered:
        for hole in (Polygon(ring) for rings in placement.metal for ring in rings[1:]):
            for number, point in points.items():
                if number != other and hole.contains(point):
                    around[number].append((hole.area, other))
    inner = [number for number in points if around[number]]
    return [(number, min(around[number])[1]) for number in sorted(inner, key=lambda number: -len(around[number]))]

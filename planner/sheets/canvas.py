"""What is being drawn on: the page, the turned-over group that holds the work, its hatches, and what was used."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from planner.plan import Transform
from planner.sheets.style import AFTER_ZONES, LOOKS, Hatch, Look
from planner.sheets.svg import Drawing, Group, Paint, box_path, circle_path, line_path, matrix
from planner.sheets.views import View

LEFT: Final = 1.35
"""Page margin left of the metal: a check rule, a ruler and the corner letters."""
TOP: Final = 2.55
"""Page margin above the metal: the view's name and the title."""

_LEAST_TILE: Final = 0.2
"""Inches; a hatch's tile is at least so large."""

_WASH: Final = 0.7
"""Share of what lies beneath that the ground of a hatch covers."""


@dataclass(frozen=True, slots=True)
class Samples:
    """The paths of a swatch, for what is an area, a line or a ring, and for the arms of a cross."""

    area: str
    line: str
    ring: str
    arms: str


class Canvas:
    """One sheet while it is drawn. Remembers which kinds were drawn, so that the legend lists just these."""

    def __init__(self, name: str, view: View, title: str, description: str, extra: Mapping[str, Look]) -> None:
        self.name = name
        self.view = view
        self.drawing = Drawing(title, description)
        self.background = self.drawing.group("layer-paper", layer="Paper")
        self.work = self.drawing.group("work", layer="Work", transform=view.matrix)
        self._looks = {**LOOKS, **extra}
        kinds = list(LOOKS)
        before = kinds.index(AFTER_ZONES)
        self._order = (*kinds[:before], *extra, *kinds[before:])
        self._used: dict[str, Look] = {}
        self._shared: set[str] = set()

    def layer(self, name: str, words: str) -> Group:
        """Add a layer of the work, which is turned over with it."""
        return self.work.group(f"layer-{name}", layer=words)

    def upright(self, name: str, words: str) -> Group:
        """Add a layer of the page itself, where text reads the right way round."""
        return self.drawing.group(f"layer-{name}", layer=words)

    def draw(
        self, group: Group, kind: str, path: str, plate: str | None = None, data: Mapping[str, str] | None = None
    ) -> None:
        """Draw a path as its kind looks; ``plate`` says whose it is where its group does not."""
        if not path:
            return
        self._use(kind)
        group.path(
            path, self._paint(kind), {"kind": kind, **({} if plate is None else {"plate": plate}), **(data or {})}
        )

    def show(self, group: Group, kind: str, name: str, path: str, transform: Transform) -> None:
        """Show a path that the sheet keeps once under a name, as its kind looks; the transform leads to the work."""
        if not path:
            return
        if name not in self._shared:
            self._shared.add(name)
            self.drawing.share(self.own(name), path)
        self._use(kind)
        paint = _scaled(self._looks[kind].paint, self.view.scale * math.hypot(*transform[:2]))
        group.use(self.own(name), matrix(*transform), paint, {"kind": kind})

    def own(self, name: str) -> str:
        """Give a name that no other kind of sheet has, so that several may stand in one document."""
        return f"{self.name}-{name}"

    def swatch(self, group: Group, kind: str, samples: Samples, at: tuple[float, float]) -> None:
        """Draw a sample of a kind for the legend, turned over just as the work is, so that hatches look alike."""
        look = self._looks[kind]
        turned = group.group(transform=self.view.swatch_matrix(*at), data={"swatch": kind})
        turned.path(samples.line if look.line else samples.ring if look.ring else samples.area, self._paint(kind))
        if look.cross:
            turned.path(samples.arms, replace(self._paint(kind), fill="none"))

    def need(self, kind: str) -> None:
        """Have ready what a sample of a kind needs that is drawn nowhere else."""
        self._use(kind)

    def used(self) -> list[tuple[str, str]]:
        """Give the kinds drawn so far with their words, in the settled order of the legend."""
        return [(kind, self._looks[kind].words) for kind in self._order if kind in self._used]

    def _use(self, kind: str) -> None:
        if kind in self._used:
            return
        look = self._looks[kind]
        self._used[kind] = look
        if look.hatch:
            self._define(kind, look.hatch)

    def _define(self, kind: str, hatch: Hatch) -> None:
        # A tile of upright lines that is turned as a whole: lines that cross a tile's corners would lose their ends.
        first = hatch.angles[0] if hatch.angles else 0.0
        across = hatch.spacing
        parts: list[tuple[str, Paint]] = []
        if hatch.dot:
            parts.append((circle_path(across / 2, across / 2, hatch.dot), Paint(fill=hatch.colour)))
        paint = Paint(hatch.colour, hatch.width, hatch.dash)
        tile = (across, across)
        if hatch.angles in ((first,), (first, first + 90)) and not hatch.dash:
            # Tiles of a few dots are left out by some viewers: a tile holds several lines where they are close.
            side = across * math.ceil(_LEAST_TILE / across)
            tile = (side, side)
            parts.append((line_path(*_ruled(across, side, crossed=len(hatch.angles) > 1)), paint))
        elif hatch.angles:
            tile = (sum(hatch.dash) or across, across)
            parts.append((line_path((0, across / 2, tile[0], across / 2)), paint))
            for angle in hatch.angles[1:]:
                tile, line = _crossing(across, angle - first)
                parts = [(line_path((0, tile[1] / 2, tile[0], tile[1] / 2)), paint), (line, paint)]
        if hatch.ground:
            parts.insert(0, (box_path((0, 0, *tile)), Paint(fill=hatch.ground, opacity=_WASH)))
        turn = f" rotate({-first:g})" if first else ""
        self.drawing.pattern(self._pattern_name(kind), tile, self.view.pattern_matrix + turn, parts)

    def _pattern_name(self, kind: str) -> str:
        return self.own(f"hatch-{kind}")

    def _paint(self, kind: str) -> Paint:
        look = self._looks[kind]
        paint = _scaled(look.paint, self.view.scale)
        return replace(paint, fill=f"url(#{self._pattern_name(kind)})") if look.hatch else paint


def _ruled(spacing: float, side: float, *, crossed: bool) -> list[tuple[float, float, float, float]]:
    places = [(line + 0.5) * spacing for line in range(round(side / spacing))]
    level = [(0.0, place, side, place) for place in places]
    return [*level, *((place, 0.0, place, side) for place in places)] if crossed else level


def _crossing(spacing: float, angle: float) -> tuple[tuple[float, float], str]:
    """Give the tile in which lines at an angle cross level ones, and the path of the crossing lines."""
    slope = math.tan(math.radians(angle))
    width = abs(spacing / slope)
    # Three parallel lines, so that those of the neighbouring tiles also cover this one's corners.
    lines = [(shift * width, 0.0, shift * width + width, spacing) for shift in (-1.0, 0.0, 1.0)]
    if slope < 0:
        lines = [(x1, spacing - y1, x2, spacing - y2) for x1, y1, x2, y2 in lines]
    return (width, spacing), line_path(*((x1, y1, x2, y2) for x1, y1, x2, y2 in lines))


def _scaled(paint: Paint, scale: float) -> Paint:
    """Give a paint that is as wide on the page as it says, though what is painted is drawn larger or smaller."""
    if scale == 1:
        return paint
    return replace(paint, width=paint.width / scale, dash=tuple(dash / scale for dash in paint.dash))

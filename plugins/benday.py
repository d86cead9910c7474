"""Benday tints: which frame is laid where, with what stopped out, in the fewest lays.

A lay is one frame of the house on the metal, either way round: everything but its tint areas is stopped out with
gamboge, the pattern is rubbed on, the gamboge washed off. One lay serves all areas of its pattern that lie wholly
inside its frame. An area larger than every frame is split; its lays abut, under a line of the drawing where one runs.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import combinations, pairwise
from math import ceil
from typing import Annotated, Any, Final, TypeAlias

import numpy as np
import shapely
from pydantic import Field
from shapely import MultiLineString, Polygon, box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    Charge,
    Finding,
    Label,
    LaidFlat,
    LaidPlate,
    Length,
    Money,
    OrderedPlate,
    Pass,
    RouterWork,
    Rule,
    Settings,
    Sharing,
    Size,
    Step,
    amount_text,
    hookimpl,
    length_text,
    shape_of,
    size_text,
)

Box: TypeAlias = tuple[float, float, float, float]
"""Left, bottom, right, top."""

FloatArray: TypeAlias = np.ndarray[Any, np.dtype[np.float64]]

Sizes: TypeAlias = tuple[tuple[float, float], ...]

_TINY: Final = 1e-6
"""Inches and square inches; less is rounding."""

_PROVEN: Final = 12
"""Areas of one pattern on a flat up to which every way of sharing lays out is looked at."""

_NODES: Final = 20_000
"""Steps of the search for fewer lays among more areas than that."""

_MOST_PIECES: Final = 150
"""Pieces of one area that are shared out singly; more of them are specks."""

_MOST_CELLS: Final = 200
"""Fields between lines beyond which a drawing is hatching rather than something to hide a joint under."""

_COARSE: Final = 1 / 500
"""Inches by which the edges of lines may be off where joints are looked for; the tolerance of art is as much."""

_REACHES: Final = (1 / 128, 1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16, 32)
"""Inches by which fields on both sides of a line grow under it until they meet."""

_HIDING: Final = 16
"""Places that hide a straight joint best, each way, that are tried."""

_ENDLESS: Final = 1_000_000
"""Lays; more than any sheet takes."""

_SHOWS: Final = 1 / 64
"""Inches of open joint below which no eye finds it (common practice)."""

_UPRIGHT: Final = 0.05
"""Slope up to which a line of the drawing may hide a straight joint (common practice)."""


class BendaySettings(Settings):
    """What the house has for laying tints, and what it takes for them."""

    # Common practice.
    frames: Annotated[
        tuple[Size, ...],
        Field(
            default=((6, 8), (8, 10), (10, 12), (12, 16), (16, 20)),
            min_length=1,
            description="frames with stretched film: the working area inside each",
        ),
    ]
    patterns: Annotated[
        tuple[Label, ...], Field(default=(), description="names or numbers of the patterns on hand; any if left out")
    ]
    # Common practice.
    overlap: Annotated[
        Length, Field(default=1 / 64, description="how far a tint may run in under the solid lines that bound it")
    ]
    # Harper, A Practical Handbook of Drawing for Modern Methods of Reproduction (1894), has 1d; a house sets its own.
    charge: Annotated[Money, Field(default=Decimal(0), description="for a square inch of tint, beside the metal")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is; tints are laid after all exposures, so it speaks after the rules that expose."""
    about = "tints in the fewest lays of the house's frames; one pattern likes to lie on one flat"
    return Rule("benday", "1.1", about, BendaySettings, order=10)


@hookimpl
def flatwright_sharing(plate: OrderedPlate) -> Sequence[Sharing]:
    """Wish for the same pattern on the same flat."""
    patterns = sorted({tint.pattern for tint in plate.tints})
    return [Sharing("near", pattern, "one lay can serve several plates with the same pattern") for pattern in patterns]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: BendaySettings) -> Sequence[Finding]:
    """Look for patterns that the house does not have."""
    known = {_plain(pattern): pattern for pattern in settings.patterns}
    if not known:
        return []
    lacking = dict.fromkeys(tint.pattern for tint in plate.tints if _plain(tint.pattern) not in known)
    return [_unknown(plate, pattern, known) for pattern in lacking]


@hookimpl
def flatwright_charges(plate: OrderedPlate, work: RouterWork, settings: BendaySettings) -> Sequence[Charge]:
    """Charge each pattern by the square inch that it covers on the plate."""
    if not settings.charge:
        return []
    charges = []
    for pattern in dict.fromkeys(tint.pattern for tint in plate.tints):
        there = shapely.union_all([tint.area for tint in plate.tints if tint.pattern == pattern])
        area = float(there.intersection(plate.face).area)
        if area > _TINY:
            reason = "the pattern is laid by hand and everything else stopped out"
            charges.append(Charge(f"Benday tint {pattern}", area, "sq in", settings.charge, reason, "charge"))
    return charges


@hookimpl
def flatwright_passes(flat: LaidFlat, settings: BendaySettings) -> Sequence[Pass]:
    """Give the lays of each pattern, in the order in which they are done."""
    return [
        Pass(
            "tint lays",
            f"{lay.pattern}, lay {lay.number} of {lay.lays}",
            "metal",
            lay.opens,
            flat.area.difference(lay.opens),
            f"the order has the pattern {lay.pattern} there",
            plates=lay.plates,
            frame=lay.frame,
            notes=f"{lay.pattern}, {lay.frame_words}, lay {lay.number} of {lay.lays}; {lay.proof_words}",
        )
        for lay in _lays(flat, settings)
    ]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: BendaySettings) -> Sequence[Step]:
    """Tell the tint hand, lay after lay, where each frame goes on the metal as it lies before him."""
    return [Step("tint hand", _step_words(lay, flat), lay.plates) for lay in _lays(flat, settings)]


@hookimpl
def flatwright_inspect_flat(flat: LaidFlat, settings: BendaySettings) -> Sequence[Finding]:
    """Say where the joint of a split area is hidden by no line."""
    found = []
    lays = _lays(flat, settings)
    for first, second in combinations(lays, 2):
        for one in first.parts:
            for other in second.parts:
                if one.key == other.key:
                    found += _joint(one, other, first, flat, settings)
    return found


@dataclass(frozen=True, slots=True)
class Part:
    """What one lay covers of a tint area: all of it, or a piece. ``key`` tells of which plate, pattern and area."""

    key: tuple[str, str, int]
    shape: BaseGeometry
    lines: BaseGeometry
    """Solid line work of the plate, narrow whites filled, which hides joints that lie under it."""
    hidden: BaseGeometry
    """What of the line work just outside the area prints, to the last white: tint may run in under it."""


@dataclass(frozen=True, slots=True)
class _Lay:
    pattern: str
    number: int
    lays: int
    at_least: int
    size: tuple[float, float]
    """Of the frame's working area, as it lies."""
    frame: tuple[float, float, float, float]
    """Lower left corner and size, in the flat's frame."""
    parts: tuple[Part, ...]
    opens: BaseGeometry

    @property
    def plates(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(part.key[0] for part in self.parts))

    @property
    def frame_words(self) -> str:
        way = "upright" if self.size[1] >= self.size[0] else "on its side"
        return f"frame {size_text(min(self.size), max(self.size))} {way}"

    @property
    def proof_words(self) -> str:
        return "proven fewest" if self.lays == self.at_least else f"no way with fewer than {self.at_least} exists"


def _lays(flat: LaidFlat, settings: BendaySettings) -> list[_Lay]:
    """All lays of a flat: pattern after pattern, and of each the lower ones first, from left to right on the metal."""
    by_pattern: dict[str, list[Part]] = {}
    for laid in flat.plates:
        for part in _areas(laid, flat, settings.overlap):
            by_pattern.setdefault(part.key[1], []).append(part)
    return [lay for parts in by_pattern.values() for lay in _lays_of(parts, flat, settings)]


def _areas(laid: LaidPlate, flat: LaidFlat, overlap: float) -> Iterator[Part]:
    """The tint areas of a plate; those of one pattern that lie over one another are one."""
    face = shape_of(laid.placement.outline)
    films = [film for film in laid.placement.films if film.kind == "line" and film.use == "base"]
    lines = [(shape_of(film.image).intersection(face), film) for film in films]
    by_pattern: dict[str, list[BaseGeometry]] = {}
    names: dict[str, str] = {}
    for tint in laid.placement.tints:
        pattern = names.setdefault(_plain(tint.pattern), tint.pattern)
        by_pattern.setdefault(pattern, []).append(shape_of(tint.area))
    for pattern, shapes in by_pattern.items():
        for number, shape in enumerate(_apart(shapes)):
            # An image that covers the whole tint stands for a drawing whose lines nobody knows: solid shows no tint.
            known = [(image, film) for image, film in lines if shape.difference(image).area > _TINY]
            edge = shape.buffer(overlap, join_style="mitre").intersection(face)
            hidden = [flat.printing(film).intersection(edge) for _, film in known] if overlap else []
            yield Part(
                (laid.record.id, pattern, number),
                shape,
                shapely.union_all([image for image, _ in known]),
                shapely.union_all(hidden),
            )


def _apart(shapes: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    joined: list[BaseGeometry] = []
    for shape in shapes:
        over = [other for other in joined if other.intersection(shape).area > _TINY]
        joined = [other for other in joined if all(other is not one for one in over)]
        joined.append(_areal(shapely.union_all([*over, shape])) if over else shape)
    return [shape for shape in joined if not shape.is_empty]


def _lays_of(areas: Sequence[Part], flat: LaidFlat, settings: BendaySettings) -> list[_Lay]:
    frames = _either_way(settings.frames)
    parts: list[Part] = []
    large: list[BaseGeometry] = []
    for area in areas:
        if frame_for(_bounds(area.shape), frames) is not None:
            parts.append(area)
            continue
        large.append(area.shape)
        parts += [Part(area.key, piece, area.lines, area.hidden) for piece in _split(area.shape, area.lines, frames)]
    boxes = tuple(_bounds(part.shape) for part in parts)
    cover = fewest_lays(boxes, settings.frames)
    at_least = cover.at_least
    if large:
        whole = [_bounds(area.shape) for area in areas if frame_for(_bounds(area.shape), frames) is not None]
        metal = sum(area.shape.area for area in areas) / max(width * height for width, height in frames)
        points = [*whole, *(point for shape in large for point in _points(shape))]
        at_least = max(ceil(metal - _TINY), _least(points, frames))
    laid = []
    for group in cover.groups:
        members = [parts[place] for place in group]
        around = _around([boxes[place] for place in group])
        size = frame_for(around, frames)
        assert size is not None
        laid.append((_frame_at(around, size, flat), size, members))
    laid.sort(key=lambda one: (one[0][1], -(one[0][0] + one[0][2])))
    return [
        _Lay(areas[0].key[1], number, len(laid), at_least, size, frame, tuple(members),
             _opens(members, frame, flat, settings.overlap))
        for number, (frame, size, members) in enumerate(laid, 1)
    ]  # fmt: skip


def _opens(parts: Sequence[Part], frame: Box, flat: LaidFlat, overlap: float) -> BaseGeometry:
    """The tint areas, and round them as much as lies hidden under solid lines, inside frame and sheet."""
    x, y, width, height = frame
    room = box(x, y, x + width, y + height).intersection(flat.area)
    shapes = [part.shape for part in parts]
    if overlap:
        hidden = (part.shape.buffer(overlap, join_style="mitre").intersection(part.hidden) for part in parts)
        shapes += [shape.intersection(room) for shape in hidden]
    return _areal(shapely.union_all(shapes))


def _frame_at(around: Box, size: tuple[float, float], flat: LaidFlat) -> tuple[float, float, float, float]:
    """Lay a frame evenly over what it serves, on the sheet if it has room, at a place that a rule shows.

    The place is rounded as the tint hand measures it: from the left edge of the metal as he sees it.
    """
    width, height = size
    seen = _place(flat.width - around[2], flat.width - around[0], width, flat.width)
    return flat.width - seen - width, _place(around[1], around[3], height, flat.height), width, height


def _place(low: float, high: float, length: float, room: float) -> float:
    spare = max(length - (high - low), 0.0)
    middle = low - spare / 2
    if length <= room:
        middle = min(max(middle, 0.0), room - length)
    for step in (1 / 8, 1 / 16, 1 / 64):
        place = round(middle / step) * step
        if low - spare <= place <= low and (length > room or 0 <= place <= room - length):
            return place
    return middle


def frame_for(around: Box, frames: Sizes) -> tuple[float, float] | None:
    """Give the first of the frames, which lie as they are given, that holds a box; None if none does."""
    width, height = around[2] - around[0], around[3] - around[1]
    return next((one for one in frames if width <= one[0] + _TINY and height <= one[1] + _TINY), None)


def _either_way(sizes: Iterable[tuple[float, float]]) -> Sizes:
    """Every frame both ways round, the smallest first."""
    both = dict.fromkeys(way for width, height in sizes for way in ((width, height), (height, width)))
    return tuple(sorted(both, key=lambda way: (way[0] * way[1], way[0])))


def _around(boxes: Sequence[Box]) -> Box:
    return (min(one[0] for one in boxes), min(one[1] for one in boxes),
            max(one[2] for one in boxes), max(one[3] for one in boxes))  # fmt: skip


# ---------------------------------------------------------------- the fewest lays


@dataclass(frozen=True, slots=True)
class Cover:
    """Which areas go into which lay, and how many lays are needed at the least."""

    groups: tuple[tuple[int, ...], ...]
    at_least: int


@lru_cache(maxsize=256)
def fewest_lays(boxes: tuple[Box, ...], sizes: Sizes) -> Cover:
    """Put boxes into the fewest frames, each box whole in one; of as few, into the smaller frames.

    Up to twelve boxes every way is looked at; beyond that branch and bound stops after a fixed number of steps, and
    the bound says how near it came.

    Raises:
        ValueError: a box fits in no frame, either way round.
    """
    frames = _either_way(sizes)
    if any(frame_for(one, frames) is None for one in boxes):
        raise ValueError("an area is larger than every frame")
    if len(boxes) <= _PROVEN:
        groups = _every_way(boxes, frames)
        return Cover(groups, len(groups))
    sets = _largest_groups(boxes, frames)
    search = _Search(sets, _strangers(boxes, frames), len(boxes))
    greedy = plain_greedy(sets, len(boxes))
    chosen, complete = search.fewest(greedy)
    groups = _into_smaller_frames(_shared_out(chosen, len(boxes)), boxes, frames)
    return Cover(groups, len(groups) if complete else max(_least(boxes, frames), search.bound((1 << len(boxes)) - 1)))


def _every_way(boxes: Sequence[Box], frames: Sizes) -> tuple[tuple[int, ...], ...]:
    """The best way to share boxes out, by the best ways for all smaller sets of them."""
    count = len(boxes)
    around: list[Box] = [(0.0, 0.0, 0.0, 0.0)] * (1 << count)
    metal: list[float | None] = [0.0] * (1 << count)
    best: list[tuple[int, float]] = [(0, 0.0)] * (1 << count)
    took = [0] * (1 << count)
    for members in range(1, 1 << count):
        lowest = members & -members
        rest = members ^ lowest
        first = boxes[lowest.bit_length() - 1]
        around[members] = _around([around[rest], first]) if rest else first
        # What is too large is not made to fit by one more.
        frame = None if metal[rest] is None else frame_for(around[members], frames)
        metal[members] = None if frame is None else frame[0] * frame[1]
        best[members] = (count + 1, 0.0)
        others = rest
        while True:
            group = others | lowest
            area = metal[group]
            if area is not None:
                lays, before = best[members ^ group]
                if (lays + 1, before + area) < best[members]:
                    best[members], took[members] = (lays + 1, before + area), group
            if not others:
                break
            others = (others - 1) & rest
    groups = []
    members = (1 << count) - 1
    while members:
        groups.append(_places(took[members]))
        members ^= took[members]
    return tuple(groups)


def _places(members: int) -> tuple[int, ...]:
    return tuple(place for place in range(members.bit_length()) if members >> place & 1)


def _largest_groups(boxes: Sequence[Box], frames: Sizes) -> list[int]:
    """Every set of boxes in one frame to which none can be added, as bits; the frame touches two of them."""
    # A frame inside another one holds nothing that the other does not.
    largest = [one for one in frames if not any(_inside(one, other) for other in frames if other != one)]
    sides = np.array(boxes)
    found: dict[int, None] = {}
    for width, height in largest:
        for left in sorted({one[0] for one in boxes}):
            (across,) = np.nonzero((sides[:, 0] >= left) & (sides[:, 2] <= left + width + _TINY))
            column = sides[across]
            for bottom in sorted(set(column[:, 1].tolist())):
                inside = across[(column[:, 1] >= bottom) & (column[:, 3] <= bottom + height + _TINY)]
                found[sum(1 << int(place) for place in inside)] = None
    ordered = sorted((one for one in found if one), key=lambda one: (-one.bit_count(), one))
    kept: list[int] = []
    for one in ordered:
        if all(one & other != one for other in kept):
            kept.append(one)
    return kept


def _inside(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] <= other[0] and one[1] <= other[1]


def _strangers(boxes: Sequence[Box], frames: Sizes) -> list[int]:
    """For each box those, as bits, with which it fits in no frame."""
    sides = np.array(boxes)
    return [sum(1 << int(other) for other in np.nonzero(_too_far(sides[place], sides, frames))[0])
            for place in range(len(boxes))]  # fmt: skip


def _too_far(one: FloatArray, others: FloatArray, frames: Sizes) -> np.ndarray[Any, np.dtype[np.bool_]]:
    width = np.maximum(others[:, 2], one[2]) - np.minimum(others[:, 0], one[0])
    height = np.maximum(others[:, 3], one[3]) - np.minimum(others[:, 1], one[1])
    together = np.zeros(len(others), dtype=bool)
    for frame in frames:
        together |= (width <= frame[0] + _TINY) & (height <= frame[1] + _TINY)
    return ~together


def _least(boxes: Sequence[Box], frames: Sizes) -> int:
    """A number of lays below which nothing goes: boxes, or points, of which no two fit in one frame."""
    sides = np.array(boxes)
    most = 0
    for keys in ((0, 1), (1, 0), (2, 3), (3, 2), (0, 3), (1, 2)):
        for way in (1, -1):
            order = np.lexsort((sides[:, keys[1]], sides[:, keys[0]]))[::way]
            left = sides[order]
            count = 0
            while len(left):
                count += 1
                left = left[1:][_too_far(left[0], left[1:], frames)]
            most = max(most, count)
    return most


def plain_greedy(sets: Sequence[int], count: int) -> list[int]:
    """Take the set that covers most of what is left, again and again."""
    left, chosen = (1 << count) - 1, []
    while left:
        best = max(sets, key=lambda one: (one & left).bit_count())
        chosen.append(best)
        left &= ~best
    return chosen


class _Search:
    """Branch and bound over sets that cover everything; stops after a fixed number of steps."""

    def __init__(self, sets: Sequence[int], strangers: Sequence[int], count: int) -> None:
        self._by_member = [[one for one in sets if one >> place & 1] for place in range(count)]
        self._strangers = strangers
        self._everything = (1 << count) - 1
        self._best: list[int] = []
        self._steps = 0

    def fewest(self, known: list[int]) -> tuple[list[int], bool]:
        """Give the fewest sets found, and whether none fewer exist."""
        self._best, self._steps = known, 0
        complete = self._go(self._everything, [])
        return self._best, complete

    def bound(self, left: int) -> int:
        """Members of which no two are in one set: each needs a set of its own."""
        count = 0
        while left:
            # The one with the most strangers left keeps most others eligible.
            count += 1
            left &= self._strangers[max(_places(left), key=lambda one: (self._strangers[one] & left).bit_count())]
        return count

    def _go(self, left: int, chosen: list[int]) -> bool:
        if not left:
            if len(chosen) < len(self._best):
                self._best = list(chosen)
            return True
        if len(chosen) + self.bound(left) >= len(self._best):
            return True
        self._steps += 1
        if self._steps > _NODES:
            return False
        hardest = min(_places(left), key=lambda one: len({other & left for other in self._by_member[one]}))
        tried = sorted({one & left for one in self._by_member[hardest]}, key=lambda one: (-one.bit_count(), one))
        kept = [one for place, one in enumerate(tried) if all(one & other != one for other in tried[:place])]
        return all(self._go(left & ~one, [*chosen, one]) for one in kept)


def _shared_out(sets: Sequence[int], count: int) -> list[list[int]]:
    left, groups = (1 << count) - 1, []
    for one in sets:
        groups.append(list(_places(one & left)))
        left &= ~one
    return [group for group in groups if group]


def _into_smaller_frames(groups: list[list[int]], boxes: Sequence[Box], frames: Sizes) -> tuple[tuple[int, ...], ...]:
    """Move boxes from lay to lay as long as that makes their frames smaller."""

    def metal(group: Sequence[int]) -> float:
        frame = frame_for(_around([boxes[place] for place in group]), frames) if group else (0.0, 0.0)
        return float("inf") if frame is None else frame[0] * frame[1]

    better = True
    while better:
        better = False
        for place in range(len(boxes)):
            source = next(group for group in groups if place in group)
            rest = [one for one in source if one != place]
            for target in groups:
                if target is source:
                    continue
                if metal(rest) + metal([*target, place]) < metal(source) + metal(target) - _TINY:
                    source.remove(place)
                    target.append(place)
                    better = True
                    break
    return tuple(sorted(tuple(sorted(group)) for group in groups if group))


# ---------------------------------------------------------------- areas larger than every frame


def _split(area: BaseGeometry, lines: BaseGeometry, frames: Sizes) -> list[BaseGeometry]:
    """Split an area into the fewest pieces that fit in frames; of as few, those whose joints show least."""
    near = _areal(_coarse(lines).intersection(box(*area.bounds)))
    return [shapely.from_wkb(piece) for piece in _pieces(shapely.to_wkb(area), shapely.to_wkb(near), frames)]


@lru_cache(maxsize=64)
def _pieces(area_bytes: bytes, lines_bytes: bytes, frames: Sizes) -> tuple[bytes, ...]:
    area, lines = shapely.from_wkb(area_bytes), shapely.from_wkb(lines_bytes)
    islands = _parts(area)
    # What lies apart has no joint; only an island larger than every frame is cut.
    ways = [_grouped(_cut_up(islands, lines, frames), frames)]
    cells = _between_lines(area, lines)
    if cells:
        ways.append(_grouped(_cut_up(cells, lines, frames), frames))
    best = min(ways, key=lambda pieces: (len(pieces), round(_open_joints(pieces, lines), 6)))
    return tuple(shapely.to_wkb(piece) for piece in best)


def _cut_up(shapes: Iterable[BaseGeometry], lines: BaseGeometry, frames: Sizes) -> list[BaseGeometry]:
    pieces: list[BaseGeometry] = []
    for shape in shapes:
        if frame_for(_bounds(shape), frames) is not None:
            pieces.append(shape)
        else:
            pieces += _Cutter(shape, lines, frames).pieces()
    return pieces


def _grouped(pieces: Sequence[BaseGeometry], frames: Sizes) -> list[BaseGeometry]:
    pieces = _few(pieces)
    cover = fewest_lays(tuple(_bounds(piece) for piece in pieces), frames)
    return [_areal(shapely.union_all([pieces[place] for place in group])) for group in cover.groups]


def _few(pieces: Sequence[BaseGeometry]) -> Sequence[BaseGeometry]:
    """Take specks that lie near one another as one piece, until they are few enough to be searched."""
    step = 1 / 8
    while len(pieces) > _MOST_PIECES:
        together: dict[tuple[int, ...], list[BaseGeometry]] = {}
        for place, piece in enumerate(pieces):
            left, bottom, right, top = piece.bounds
            is_speck = max(right - left, top - bottom) <= step
            cell = (int(left // step), int(bottom // step)) if is_speck else (place,)
            together.setdefault(cell, []).append(piece)
        if len(together) == len(pieces) and step > 4:
            break
        pieces = [_areal(shapely.union_all(some)) for some in together.values()]
        step *= 2
    return pieces


def _between_lines(area: BaseGeometry, lines: BaseGeometry) -> list[BaseGeometry]:
    """Divide an area along the middles of the lines that cross it, into the fields that they part; else give nothing.

    Every field keeps what shows of it. What lies under lines goes to the fields beside it, which grow into it step by
    step from both sides until they meet.
    """
    if lines.is_empty:
        return []
    fields = _parts(area.difference(lines))
    under = _areal(area.intersection(lines))
    if not 2 <= len(fields) <= _MOST_CELLS or under.is_empty:
        return []
    shares: list[list[BaseGeometry]] = [[field] for field in fields]
    for reach in _REACHES:
        taken: list[BaseGeometry] = []
        for share, field in zip(shares, fields, strict=True):
            mine = _areal(field.buffer(reach, quad_segs=2).intersection(under))
            for other in taken:
                if mine.intersects(other):
                    mine = _areal(mine.difference(other))
            if not mine.is_empty:
                share.append(mine)
                taken.append(mine)
        under = _areal(under.difference(shapely.union_all(taken))) if taken else under
        if under.is_empty:
            break
    divided: list[BaseGeometry] = [_areal(shapely.union_all(share)) for share in shares]
    return divided if under.is_empty else [*divided, under]


class _Cutter:
    """Cuts one area by straight joints, upright or level, each from edge to edge of the piece that it divides."""

    def __init__(self, area: BaseGeometry, lines: BaseGeometry, frames: Sizes) -> None:
        self._area = area
        self._shows = area.difference(lines) if not lines.is_empty else area
        self._frames = frames
        self._reaches = sorted({side for frame in frames for side in frame})
        left, bottom, right, top = area.bounds
        largest = max(frames, key=lambda frame: frame[0] * frame[1])
        # Every mixture of frames over a large area would take too long: then the largest is laid from one side on.
        self._many = (right - left) * (top - bottom) > 6 * largest[0] * largest[1]
        if self._many:
            self._reaches = sorted(set(largest))
        self._middles = (_middles(lines, 0), _middles(lines, 1))
        self._known: dict[Box, int] = {}
        self._bounded: dict[Box, Box | None] = {}
        shapely.prepare(area)
        rings = [shapely.get_coordinates(ring) for part in _parts(area) for ring in (part.exterior, *part.interiors)]
        self._edges = np.vstack([ring[:-1] for ring in rings]), np.vstack([np.diff(ring, axis=0) for ring in rings])

    def pieces(self) -> list[BaseGeometry]:
        """Give the pieces; together they are the area."""
        return self._cut(_bounds(self._area))

    def _cut(self, room: Box) -> list[BaseGeometry]:
        fewest = self._lays(room)
        if fewest <= 1:
            piece = _areal(self._area.intersection(box(*room)))
            return [] if piece.is_empty else [piece]
        best: tuple[float, float, Box, Box] | None = None
        for shown, axis, place in self._places(room):
            if best is not None and shown > best[0]:
                break
            low, high = _halves(room, axis, place)
            first, second = self._lays(low), self._lays(high)
            if first and second and first + second == fewest:
                metal = self._metal(low) + self._metal(high)
                if best is None or metal < best[1]:
                    best = (shown, metal, low, high)
        if best is not None:
            return [*self._cut(best[2]), *self._cut(best[3])]
        raise AssertionError("the cut that was counted is among the places")

    def _lays(self, room: Box) -> int:
        """The fewest lays for what lies in a room, with joints at the reach of a frame from one of its ends."""
        there = self._within(room)
        if there is None:
            return 0
        if frame_for(there, self._frames) is not None:
            return 1
        if there not in self._known:
            ways = (_halves(there, axis, place) for axis in (0, 1) for place in self._tight(there, axis))
            fewest = _ENDLESS
            for low, high in ways:
                if fewest == 2:
                    break
                first = self._lays(low)
                second = self._lays(high) if first and first + 1 < fewest else 0
                if second:
                    fewest = min(fewest, first + second)
            self._known[there] = fewest
        return self._known[there]

    def _metal(self, room: Box) -> float:
        """Square inches of the frame for what lies in a room; none where it takes several."""
        there = self._within(room)
        frame = None if there is None else frame_for(there, self._frames)
        return frame[0] * frame[1] if frame else 0.0

    def _within(self, room: Box) -> Box | None:
        """The bounds of what lies in a room; never less, and no more than where the area only touches its sides."""
        if room not in self._bounded:
            self._bounded[room] = self._clipped(room)
        return self._bounded[room]

    def _clipped(self, room: Box) -> Box | None:
        low, high = np.array(room[:2]) + _TINY / 10, np.array(room[2:]) - _TINY / 10
        starts, steps = self._edges
        with np.errstate(divide="ignore", invalid="ignore"):
            enter, leave = (low - starts) / steps, (high - starts) / steps
        # An edge along an axis is inside all the way or not at all.
        level = steps == 0
        inside = (starts >= low) & (starts <= high)
        first = np.where(level, np.where(inside, -np.inf, np.inf), np.minimum(enter, leave)).max(axis=1).clip(0)
        last = np.where(level, np.where(inside, np.inf, -np.inf), np.maximum(enter, leave)).min(axis=1).clip(None, 1)
        there = first <= last
        corners = np.array([low, high, (low[0], high[1]), (high[0], low[1])])
        points = np.vstack(
            [
                starts[there] + first[there, None] * steps[there],
                starts[there] + last[there, None] * steps[there],
                corners[shapely.contains_xy(self._area, corners)],
            ]
        )
        if not len(points):
            return None
        left, bottom = points.min(axis=0).round(6).tolist()
        right, top = points.max(axis=0).round(6).tolist()
        return (left, bottom, right, top) if right - left > _TINY and top - bottom > _TINY else None

    def _tight(self, room: Box, axis: int) -> list[float]:
        low, high = room[axis], room[axis + 2]
        places = {low + reach for reach in self._reaches}
        if not self._many:
            places |= {high - reach for reach in self._reaches}
        return sorted(place for place in places if low + _TINY < place < high - _TINY)

    def _places(self, room: Box) -> list[tuple[float, int, float]]:
        """Where a joint may go: the inches of it that show, the axis across which it lies, and its place."""
        there = self._within(room) or room
        found = []
        for axis in (0, 1):
            tight = self._tight(there, axis)
            middles = [place for place in self._middles[axis] if there[axis] < place < there[axis + 2]]
            places = [*tight, *middles]
            ends = [(place, there[1], place, there[3]) if axis == 0 else (there[0], place, there[2], place)
                    for place in places]  # fmt: skip
            joints = shapely.linestrings(np.array(ends).reshape(-1, 2, 2))
            shown = np.atleast_1d(shapely.length(shapely.intersection(joints, self._shows))).round(6).tolist()
            hiding = sorted(zip(shown[len(tight) :], middles, strict=True))[: _HIDING // (4 if self._many else 1)]
            found += [(length, axis, place) for length, place in (*zip(shown, tight, strict=False), *hiding)]
        return sorted(found)


def _halves(room: Box, axis: int, place: float) -> tuple[Box, Box]:
    left, bottom, right, top = room
    if axis == 0:
        return (left, bottom, place, top), (place, bottom, right, top)
    return (left, bottom, right, place), (left, place, right, top)


def _middles(lines: BaseGeometry, axis: int) -> list[float]:
    """Places between neighbouring edges of line work that run upright (axis 0) or level (axis 1), the longest first."""
    lengths: dict[float, float] = {}
    for polygon in _parts(lines):
        for ring in (polygon.exterior, *polygon.interiors):
            corners = shapely.get_coordinates(ring)
            steps = np.diff(corners, axis=0)
            runs = np.abs(steps[:, axis]) <= _UPRIGHT * np.abs(steps[:, 1 - axis])
            middles = (corners[:-1, axis] + corners[1:, axis])[runs] / 2
            for place, run in zip(middles.round(4).tolist(), np.abs(steps[runs, 1 - axis]).tolist(), strict=True):
                lengths[place] = lengths.get(place, 0.0) + run
    longest = sorted(sorted(lengths, key=lambda place: (-lengths[place], place))[:64])
    return [(low + high) / 2 for low, high in pairwise(longest)]


def _coarse(lines: BaseGeometry) -> BaseGeometry:
    """Line work with no more corners than it takes to find a joint."""
    return lines.simplify(_COARSE)


def _open_joints(pieces: Sequence[BaseGeometry], lines: BaseGeometry) -> float:
    return sum(_shown(one, other, lines).length for one, other in combinations(pieces, 2))


def _shown(one: BaseGeometry, other: BaseGeometry, lines: BaseGeometry) -> BaseGeometry:
    """What shows of the joint between two pieces."""
    if not one.intersects(other.buffer(_TINY)):
        return MultiLineString()
    joint = one.boundary.intersection(other.buffer(_TINY, join_style="mitre"))
    hidden = lines.buffer(_TINY, join_style="mitre")
    seen = [line for line in shapely.get_parts(joint.difference(hidden)) if line.length > _SHOWS]
    return shapely.line_merge(shapely.union_all(seen)) if seen else MultiLineString()


def _points(area: BaseGeometry) -> list[Box]:
    """Points of an area, as boxes without size: its corners and a grid."""
    left, bottom, right, top = area.bounds
    across, up = np.meshgrid(np.linspace(left, right, 33), np.linspace(bottom, top, 33))
    grid = np.column_stack([across.ravel(), up.ravel()])
    inside = grid[shapely.intersects_xy(area, grid)]
    corners = shapely.get_coordinates(area.simplify(1 / 64))
    corners = corners[shapely.intersects_xy(area, corners)]
    return [(x, y, x, y) for x, y in np.vstack([corners, inside]).tolist()]


# ---------------------------------------------------------------- words


def _step_words(lay: _Lay, flat: LaidFlat) -> str:
    x, y, width, _ = lay.frame
    where = f"{_edge(flat.width - x - width, 'left')} and {_edge(y, 'lower')} of the metal as you see it"
    return (
        f"{lay.pattern}, lay {lay.number} of {lay.lays}: stop out with gamboge all but the areas of this lay. Lay the "
        f"{lay.frame_words} with its lower left corner {where}; rub the pattern on, and wash the gamboge off."
    )


def _edge(distance: float, edge: str) -> str:
    if abs(distance) <= _TINY:
        return f"at the {edge} edge"
    if distance < -_TINY:
        return f"{amount_text(-distance)} outside the {edge} edge"
    return f"{amount_text(distance)} from the {edge} edge"


def _joint(one: Part, other: Part, lay: _Lay, flat: LaidFlat, settings: BendaySettings) -> list[Finding]:
    shown = _shown(one.shape, other.shape, _coarse(one.lines))
    if shown.is_empty:
        return []
    left, bottom, right, top = shown.bounds
    seen_left, seen_right = flat.width - right, flat.width - left
    if right - left <= 4 * _TINY:
        where = (
            f"upright, {length_text(seen_left)} from the left edge, from {length_text(bottom)} to {length_text(top)} up"
        )
    elif top - bottom <= 4 * _TINY:
        where = f"level, {length_text(bottom)} up, from {length_text(seen_left)} to {length_text(seen_right)} across"
    else:
        where = (
            f"between {length_text(seen_left)} and {length_text(seen_right)} across, {length_text(bottom)} and "
            f"{length_text(top)} up"
        )
    largest = max(settings.frames, key=lambda size: size[0] * size[1])
    return [
        Finding(
            "benday.joint",
            "warn",
            f'a joint of the tint "{lay.pattern}" shows on {length_text(shown.length)}: on the metal as the tint hand '
            f"sees it, {where}; the area fits in no frame up to {size_text(*largest)}, and no line hides the joint",
            "draw a line of the drawing there, divide the area where the drawing has one, or buy a larger frame",
            amount=float(shown.length),
            unit="in",
            shape=_areal(shown.buffer(1 / 64, cap_style="square").intersection(flat.area)),
            plate=one.key[0],
        )
    ]


def _unknown(plate: OrderedPlate, pattern: str, known: dict[str, str]) -> Finding:
    near = difflib.get_close_matches(_plain(pattern), list(known), n=1)
    hint = f'did you mean "{known[near[0]]}"? ' if near else ""
    areas = [tint.area.intersection(plate.face) for tint in plate.tints if tint.pattern == pattern]
    return Finding(
        "benday.unknown-pattern",
        "stop",
        f'the house has no pattern "{pattern}"',
        f"{hint}the patterns on hand are {_list(known.values())}; add it under [rules.benday], key patterns",
        shape=_areal(shapely.union_all(areas)),
    )


def _list(names: Iterable[str]) -> str:
    some = list(names)
    return ", ".join(some[:8]) + (f" and {len(some) - 8} more" if len(some) > 8 else "")


def _plain(pattern: str) -> str:
    """Let case and spaces make no difference."""
    return " ".join(pattern.casefold().split())


def _bounds(shape: BaseGeometry) -> Box:
    left, bottom, right, top = shape.bounds
    return float(left), float(bottom), float(right), float(top)


def _parts(shape: BaseGeometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(shape, return_index=False).tolist()
            if isinstance(part, Polygon) and part.area > _TINY] if not shape.is_empty else []  # fmt: skip


def _areal(shape: BaseGeometry) -> MultiPolygon:
    """Only the areas of a shape."""
    found: list[Polygon] = []
    for part in shapely.get_parts(shape).tolist():
        if isinstance(part, Polygon):
            found.append(part)
        elif not isinstance(part, shapely.Point) and hasattr(part, "geoms"):
            found += _areal(part).geoms
    return MultiPolygon([part for part in found if part.area > 1e-9])

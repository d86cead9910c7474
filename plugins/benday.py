"""Benday tints: which frame is laid where, with what stopped out, in the fewest lays.

A lay is one frame of the house on the metal, either way round: everything but its tint areas is stopped out with
gamboge, the pattern is rubbed on, the gamboge washed off. One lay serves all areas of its pattern that lie wholly
inside its frame. An area larger than every frame is split; its lays abut, under a line of the drawing where one runs.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from itertools import combinations, pairwise
from math import ceil, floor
from typing import Annotated, Any, Final, TypeAlias, TypeVar

import numpy as np
import shapely
from pydantic import Field
from shapely import Polygon, box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    Charge,
    FilmRecord,
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
    TintArea,
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

_GRID: Final = _TINY / 10
"""Inches; joints lie on it."""

_INSET: Final = _TINY / 50
"""Inches by which a room is taken smaller, so that what only touches it is not in it."""

_SPARE: Final = _TINY / 5
"""Inches by which a piece may be larger than what was counted, which is half of ``_TINY`` within its frame."""

_ROOM: Final = 80
"""Microseconds or so that it takes to see what lies in a room, and one for a hundred corners more."""

_PROVEN: Final = 12
"""Areas of one pattern on a flat up to which every way of sharing lays out is looked at."""

_WORK: Final = 1_000_000
"""Microseconds or so that all searches for one flat may take; then the best found is taken, and said not to be proven.
A rule may take ten seconds."""

_LOOKS: Final = 8
"""Sets that are compared in a microsecond or so."""

_MOST_SETS: Final = 1500
"""Sets of areas that may share a lay; of more, the largest."""

_MOST_POINTS: Final = 1000
"""Points of which it is asked how many fit in no frame together."""

_MOST_BOXES: Final = 200
"""Boxes that are shared out singly; of more, those near one another are taken as one."""

_MOST_LAYS: Final = 100
"""Lays of one area beyond which it is refused: each takes a hand a quarter of an hour, and so many are half a week
(common practice)."""

_MOST_CELLS: Final = 200
"""Fields between lines beyond which a drawing is hatching rather than something to hide a joint under."""

_MOST_CORNERS: Final = 10_000
"""Corners of fields and of lines up to which joints follow lines that run askew."""

_COARSE: Final = 1 / 500
"""Inches by which the edges of lines may be off where joints are looked for; the tolerance of art is as much."""

_REACHES: Final = (1 / 128, 1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16, 32)
"""Inches by which fields on both sides of a line grow under it until they meet."""

_HIDING: Final = 16
"""Places that hide a straight joint best, each way, that are tried."""

_ENDLESS: Final = 1_000_000
"""Lays; more than any sheet takes."""

_BAR: Final = 1 / 4
"""Inches; a wider rectangle that is ordered by its size stands for a drawing, a narrower one is a rule or a bar, of
which 18 points are the widest in use (common practice)."""

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
    patterns = sorted({_plain(tint.pattern) for tint in plate.tints})
    return [Sharing("near", pattern, "one lay can serve several plates with the same pattern") for pattern in patterns]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: BendaySettings) -> Sequence[Finding]:
    """Look for patterns that the house does not have."""
    known = {_plain(pattern): pattern for pattern in settings.patterns}
    if not known:
        return []
    lacking = {plain: found for plain, found in _by_pattern(plate.tints).items() if plain not in known}
    return [_unknown(plate, tints, known) for tints in lacking.values()]


@hookimpl
def flatwright_charges(plate: OrderedPlate, work: RouterWork, settings: BendaySettings) -> Sequence[Charge]:
    """Charge each pattern by the square inch that it covers on the plate."""
    if not settings.charge:
        return []
    charges = []
    for plain, tints in _by_pattern(plate.tints).items():
        area = float(shapely.union_all([tint.area for tint in tints]).intersection(plate.face).area)
        if area > _TINY:
            reason = "the pattern is laid by hand and everything else stopped out"
            name = _spelling(plain, tints[0].pattern, settings)
            charges.append(Charge(f"Benday tint {name}", area, "sq in", settings.charge, reason, "charge"))
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
        for lay in _lays(flat, settings)[0]
    ]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: BendaySettings) -> Sequence[Step]:
    """Tell the tint hand, lay after lay, where each frame goes on the metal as it lies before him."""
    return [Step("tint hand", _step_words(lay, flat), lay.plates) for lay in _lays(flat, settings)[0]]


@hookimpl
def flatwright_inspect_flat(flat: LaidFlat, settings: BendaySettings) -> Sequence[Finding]:
    """Say which areas take too many lays, and where the joints of a split area are hidden by no line."""
    lays, refused = _lays(flat, settings)
    found = [_too_many(*one, settings) for one in refused]
    pieces: dict[tuple[str, str, int], list[tuple[_Lay, Part]]] = {}
    for lay in lays:
        for part in lay.parts:
            pieces.setdefault(part.key, []).append((lay, part))
    for laid in pieces.values():
        found += _joints([part for _, part in laid], laid[0][0].pattern, flat, settings)
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


def _lays(flat: LaidFlat, settings: BendaySettings) -> tuple[list[_Lay], list[tuple[Part, str, int]]]:
    """All lays of a flat: pattern after pattern, and of each the lower ones first, from left to right on the metal.

    With them the areas that take too many lays: each with its pattern and how many it takes at the least.
    """
    frames = _either_way(settings.frames)
    names: dict[str, str] = {}
    by_pattern: dict[str, list[Part]] = {}
    for laid in flat.plates:
        for tint in laid.placement.tints:
            names.setdefault(_plain(tint.pattern), tint.pattern)
        for part in _areas(laid, flat, settings.overlap, frames):
            by_pattern.setdefault(part.key[1], []).append(part)
    parts = [part for parts in by_pattern.values() for part in parts]
    work = _WORK // (1 + len(by_pattern) + 2 * sum(_is_large(part, frames) for part in parts))
    lays: list[_Lay] = []
    refused: list[tuple[Part, str, int]] = []
    for plain, areas in by_pattern.items():
        name = _spelling(plain, names[plain], settings)
        least = {area.key: _least(_points(area.shape, frames), frames) for area in areas if _is_large(area, frames)}
        refused += [(area, name, least[area.key]) for area in areas if least.get(area.key, 0) > _MOST_LAYS]
        laid_out = [area for area in areas if least.get(area.key, 0) <= _MOST_LAYS]
        lays += _lays_of(laid_out, name, flat, settings, work) if laid_out else []
    return lays, refused


def _is_large(part: Part, frames: Sizes) -> bool:
    return frame_for(_bounds(part.shape), frames) is None


def _areas(laid: LaidPlate, flat: LaidFlat, overlap: float, frames: Sizes) -> Iterator[Part]:
    """The tint areas of a plate; those of one pattern that lie over one another are one."""
    face = shape_of(laid.placement.outline)
    lines = [
        (image, film)
        for film in laid.placement.films
        if film.kind == "line" and film.use == "base" and _is_known(image := shape_of(film.image), film, face)
    ]
    for pattern, tints in _by_pattern(laid.placement.tints).items():
        for number, shape in enumerate(_apart([shape_of(tint.area) for tint in tints])):
            near = box(*shape.bounds).buffer(overlap + _SHOWS, join_style="mitre").intersection(face)
            edge = shape.buffer(overlap, join_style="mitre").intersection(face)
            # Nor is one known that covers the whole tint: solid shows none of it.
            known = [(image.intersection(near), film) for image, film in lines
                     if image.intersects(near) and not _covers(image, shape)]  # fmt: skip
            hidden = [flat.printing(film).intersection(edge) for _, film in known] if overlap else []
            part = Part((laid.record.id, pattern, number), shape, MultiPolygon(), shapely.union_all(hidden))
            if _is_large(part, frames):
                part = replace(part, lines=shapely.union_all([image for image, _ in known]))
            yield part


def _is_known(image: BaseGeometry, film: FilmRecord, face: BaseGeometry) -> bool:
    """Whether an image is what prints, rather than the room of a drawing whose lines nobody knows.

    Art is known, and so is an outline; the plan does not tell one from a mere size, so that a rectangle wider than a
    bar and an image as large as the plate are taken for a drawing's room.
    """
    if film.art is not None:
        return True
    if image.area >= face.area - _TINY:
        return False
    around = shapely.oriented_envelope(image)
    sides = np.hypot(*np.diff(shapely.get_coordinates(around), axis=0).T)
    return bool(sides.min(initial=_BAR + 1) <= _BAR + _TINY or around.area - image.area > _TINY)


def _covers(image: BaseGeometry, shape: BaseGeometry) -> bool:
    return bool(box(*image.bounds).covers(box(*shape.bounds)) and shape.difference(image).area <= _TINY)


def _apart(shapes: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    joined: list[BaseGeometry] = []
    for shape in shapes:
        near = np.flatnonzero(shapely.intersects(joined, shape)).tolist()
        over = [joined[place] for place in near if joined[place].intersection(shape).area > _TINY]
        joined = [other for other in joined if all(other is not one for one in over)]
        joined.append(_areal(shapely.union_all([*over, shape])) if over else shape)
    return [shape for shape in joined if not shape.is_empty]


def _lays_of(areas: Sequence[Part], name: str, flat: LaidFlat, settings: BendaySettings, work: int) -> list[_Lay]:
    frames = _either_way(settings.frames)
    large = [area for area in areas if _is_large(area, frames)]
    parts = [area for area in areas if not _is_large(area, frames)]
    whole = [_bounds(area.shape) for area in parts]
    for area in large:
        parts += [replace(area, shape=piece) for piece in _split(area.shape, area.lines, frames, work)]
    boxes = tuple(_bounds(part.shape) for part in parts)
    cover = fewest_lays(boxes, settings.frames, work)
    at_least = cover.at_least
    if large:
        metal = sum(area.shape.area for area in areas) / _largest(frames)
        points = [*whole, *(point for area in large for point in _points(area.shape, frames))]
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
        _Lay(name, number, len(laid), at_least, size, frame, tuple(members),
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


def frame_for(around: Box, frames: Sizes, spare: float = _TINY) -> tuple[float, float] | None:
    """Give the first of the frames, which lie as they are given, that holds a box; None if none does."""
    width, height = around[2] - around[0] - spare, around[3] - around[1] - spare
    return next((one for one in frames if width <= one[0] and height <= one[1]), None)


def _either_way(sizes: Iterable[tuple[float, float]]) -> Sizes:
    """Every frame both ways round, the smallest first."""
    both = dict.fromkeys(way for width, height in sizes for way in ((width, height), (height, width)))
    return tuple(sorted(both, key=lambda way: (way[0] * way[1], way[0])))


def _outermost(frames: Sizes) -> Sizes:
    """Frames without those inside another one: they hold nothing that the other does not."""
    return tuple(
        one for one in frames
        if not any(one[0] <= other[0] and one[1] <= other[1] for other in frames if other != one)
    )  # fmt: skip


def _largest(frames: Sizes) -> float:
    return max(width * height for width, height in frames)


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
def fewest_lays(boxes: tuple[Box, ...], sizes: Sizes, work: int = _WORK) -> Cover:
    """Put boxes into few frames, each box whole in one.

    Up to twelve boxes every way is looked at: none has fewer frames, and none as few smaller ones. Beyond that branch
    and bound stops after so much ``work``, in microseconds or so, and the bound says how near it came.

    Raises:
        ValueError: a box fits in no frame, either way round.
    """
    frames = _either_way(sizes)
    if any(frame_for(one, frames) is None for one in boxes):
        raise ValueError("an area is larger than every frame")
    if len(boxes) <= _PROVEN:
        groups = _every_way(boxes, frames)
        return Cover(groups, len(groups))
    together = _few(boxes, frames)
    some = [_around([boxes[place] for place in places]) for places in together]
    at_least = _least(boxes, frames)
    shares: tuple[tuple[int, ...], ...] = tuple((place,) for place in range(len(some)))
    if len(some) <= _MOST_BOXES:
        sets = _largest_groups(some, frames)
        search = _Search(sets, _strangers(some, frames), len(some), work)
        chosen, complete = search.fewest(plain_greedy(sets, len(some)))
        shares = _into_smaller_frames(_shared_out(chosen, len(some)), some, frames)
        if len(some) == len(boxes):
            at_least = len(shares) if complete and len(sets) < _MOST_SETS else max(at_least, search.bound())
    groups = tuple(sorted(tuple(sorted(one for place in share for one in together[place])) for share in shares))
    return Cover(groups, at_least)


def _few(boxes: Sequence[Box], frames: Sizes, most: int = _MOST_BOXES) -> list[list[int]]:
    """Take boxes that lie near one another as one, as far as a frame holds them, until few enough to be searched."""
    together = [[place] for place in range(len(boxes))]
    some = list(boxes)
    step = 1 / 64
    while len(together) > most and step < max(side for frame in frames for side in frame):
        step *= 1.5
        cells: dict[tuple[int, ...], int] = {}
        kept: list[list[int]] = []
        rooms: list[Box] = []
        for places, room in zip(together, some, strict=True):
            is_speck = max(room[2] - room[0], room[3] - room[1]) <= step
            at = cells.setdefault((int(room[0] // step), int(room[1] // step)), len(kept)) if is_speck else len(kept)
            if at < len(kept) and frame_for(joined := _around([rooms[at], room]), frames) is not None:
                kept[at] += places
                rooms[at] = joined
            else:
                kept.append(list(places))
                rooms.append(room)
        together, some = kept, rooms
    return together


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
    """Every set of boxes in one frame to which none can be added, as bits; the frame touches two of them.

    Of very many the largest, and for each box one that holds it.
    """
    sides = np.array(boxes)
    bits = [1 << place for place in range(len(boxes))]
    found: set[int] = set()
    for width, height in _outermost(frames):
        for left in sorted({one[0] for one in boxes}):
            (across,) = np.nonzero((sides[:, 0] >= left) & (sides[:, 2] <= left + width + _TINY))
            low, high = sides[across, 1], sides[across, 3]
            inside = (low >= low[:, None]) & (high <= low[:, None] + height + _TINY)
            found.update(sum(bits[place] for place in across[row].tolist()) for row in np.unique(inside, axis=0))
    ordered = sorted((one for one in found if one), key=lambda one: (-one.bit_count(), one))
    kept: list[int] = []
    for one in ordered:
        if len(kept) == _MOST_SETS:
            break
        if all(one & other != one for other in kept):
            kept.append(one)
    for bit in bits:
        if not any(bit & one for one in kept):
            kept.append(next(one for one in ordered if bit & one))
    return kept


def _strangers(boxes: Sequence[Box], frames: Sizes) -> list[int]:
    """For each box those, as bits, with which it fits in no frame."""
    sides = np.array(boxes)
    return [sum(1 << int(other) for other in np.nonzero(_too_far(sides[place], sides, frames))[0])
            for place in range(len(boxes))]  # fmt: skip


def _too_far(one: FloatArray, others: FloatArray, frames: Sizes) -> np.ndarray[Any, np.dtype[np.bool_]]:
    width = np.maximum(others[:, 2], one[2]) - np.minimum(others[:, 0], one[0]) - _TINY
    height = np.maximum(others[:, 3], one[3]) - np.minimum(others[:, 1], one[1]) - _TINY
    together = np.zeros(len(others), dtype=bool)
    for frame in frames:
        together |= (width <= frame[0]) & (height <= frame[1])
    return ~together


def _least(boxes: Sequence[Box], frames: Sizes) -> int:
    """A number of lays below which nothing goes: boxes, or points, of which no two fit in one frame.

    Of very many only some are looked at.
    """
    sides = np.array(boxes[:: ceil(len(boxes) / _MOST_POINTS)])
    largest = _outermost(frames)
    most = 0
    for keys in ((0, 1), (1, 0), (2, 3), (3, 2), (0, 3), (1, 2)):
        order = np.lexsort((sides[:, keys[1]], sides[:, keys[0]]))
        for way in (1, -1):
            left, count = sides[order[::way]], 0
            while len(left):
                count += 1
                left = left[1:][_too_far(left[0], left[1:], largest)]
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
    """Branch and bound over sets that cover everything; stops after so much work."""

    def __init__(self, sets: Sequence[int], strangers: Sequence[int], count: int, work: int = _WORK) -> None:
        self._by_member = [[one for one in sets if one >> place & 1] for place in range(count)]
        self._strangers = strangers
        self._everything = (1 << count) - 1
        self._best: list[int] = []
        self._work = work * _LOOKS

    def fewest(self, known: list[int]) -> tuple[list[int], bool]:
        """Give the fewest sets found, and whether none fewer exist."""
        self._best = known
        complete = self._go(self._everything, [])
        return self._best, complete

    def bound(self, left: int | None = None) -> int:
        """Members, of all if not said, of which no two are in one set: each needs a set of its own."""
        left = self._everything if left is None else left
        count = 0
        while left:
            # The one with the most strangers left keeps most others eligible.
            count += 1
            places = _places(left)
            self._work -= 2 * len(places)
            left &= self._strangers[max(places, key=lambda one: (self._strangers[one] & left).bit_count())]
        return count

    def _go(self, left: int, chosen: list[int]) -> bool:
        if not left:
            if len(chosen) < len(self._best):
                self._best = list(chosen)
            return True
        if len(chosen) + self.bound(left) >= len(self._best):
            return True
        places = _places(left)
        self._work -= sum(len(self._by_member[one]) for one in places)
        if self._work < 0:
            return False
        hardest = min(places, key=lambda one: len({other & left for other in self._by_member[one]}))
        tried = sorted({one & left for one in self._by_member[hardest]}, key=lambda one: (-one.bit_count(), one))
        self._work -= len(tried) ** 2 // 2
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


def _split(area: BaseGeometry, lines: BaseGeometry, frames: Sizes, work: int = _WORK) -> list[BaseGeometry]:
    """Split an area into few pieces that fit in frames; of as few, those whose joints show least."""
    near = _areal(_coarse(lines).intersection(box(*area.bounds)))
    return [shapely.from_wkb(piece) for piece in _pieces(shapely.to_wkb(area), shapely.to_wkb(near), frames, work)]


@lru_cache(maxsize=64)
def _pieces(area_bytes: bytes, lines_bytes: bytes, frames: Sizes, work: int) -> tuple[bytes, ...]:
    area, lines = shapely.from_wkb(area_bytes), shapely.from_wkb(lines_bytes)
    # What lies apart has no joint; only an island larger than every frame is cut.
    ways = [_grouped(_cut_up(_parts(area), lines, frames, work), frames, work)]
    cells = _between_lines(area, lines)
    if cells:
        ways.append(_grouped(_cut_up(cells, lines, frames, work), frames, work))
    best = min(ways, key=lambda pieces: (len(pieces), round(_open_joints(pieces, lines), 6)))
    return tuple(shapely.to_wkb(piece) for piece in best)


def _cut_up(shapes: Sequence[BaseGeometry], lines: BaseGeometry, frames: Sizes, work: int) -> list[BaseGeometry]:
    large = [shape for shape in shapes if frame_for(_bounds(shape), frames) is None]
    pieces = [shape for shape in shapes if frame_for(_bounds(shape), frames) is not None]
    for shape in large:
        pieces += _Cutter(shape, lines, frames, work // len(large)).pieces()
    return pieces


def _grouped(pieces: Sequence[BaseGeometry], frames: Sizes, work: int) -> list[BaseGeometry]:
    cover = fewest_lays(tuple(_bounds(piece) for piece in pieces), frames, work)
    return [_areal(shapely.union_all([pieces[place] for place in group])) for group in cover.groups]


def _between_lines(area: BaseGeometry, lines: BaseGeometry) -> list[BaseGeometry]:
    """Divide an area along the middles of the lines that cross it, into the fields that they part; else give nothing.

    Every field keeps what shows of it. What lies under lines goes to the fields beside it, which grow into it step by
    step from both sides until they meet.
    """
    if lines.is_empty:
        return []
    fields = _parts(area.difference(lines))
    under = _areal(area.intersection(lines))
    if not 2 <= len(fields) <= _MOST_CELLS or under.is_empty or _corners(fields) + _corners([under]) > _MOST_CORNERS:
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


class _TooMuch(Exception):
    """A search has had its share of work."""


class _Outline:
    """The edges of an area, of which it is asked again and again what lies along a line or in a room."""

    def __init__(self, area: BaseGeometry) -> None:
        rings = [ring for part in _parts(area) for ring in (part.exterior, *part.interiors)]
        corners = [shapely.get_coordinates(ring) for ring in rings] or [np.empty((0, 2))]
        self._starts = np.vstack([ring[:-1] for ring in corners])
        self._ends = np.vstack([ring[1:] for ring in corners])
        self._across = self._starts[np.argsort(self._starts[:, 0])]
        self._known: dict[tuple[int, float], FloatArray] = {}

    def spans(self, axis: int, place: float, low: float, high: float) -> FloatArray:
        """Where a line upright (axis 0) or level (axis 1) runs through the area: from and to, in order."""
        if (axis, place) not in self._known:
            crossed = (self._starts[:, axis] <= place) != (self._ends[:, axis] <= place)
            starts, steps = self._starts[crossed], (self._ends - self._starts)[crossed]
            share = (place - starts[:, axis]) / steps[:, axis]
            self._known[axis, place] = np.sort(starts[:, 1 - axis] + share * steps[:, 1 - axis]).reshape(-1, 2)
        spans = self._known[axis, place].clip(low, high)
        return spans[spans[:, 0] < spans[:, 1]]

    def within(self, room: Box) -> Box | None:
        """The bounds of what lies in a room, exactly, without what only touches its sides."""
        left, bottom, right, top = (*(side + _INSET for side in room[:2]), *(side - _INSET for side in room[2:]))
        from_left, to_right = np.searchsorted(self._across[:, 0], [left, right])
        column = self._across[from_left:to_right]
        points = [column[(column[:, 1] >= bottom) & (column[:, 1] <= top)]]
        for x in (left, right):
            ends = self.spans(0, x, bottom, top).ravel()
            points.append(np.column_stack([np.full(len(ends), x), ends]))
        for y in (bottom, top):
            ends = self.spans(1, y, left, right).ravel()
            points.append(np.column_stack([ends, np.full(len(ends), y)]))
        there = np.vstack(points)
        if not len(there):
            return None
        (left, bottom), (right, top) = there.min(axis=0).tolist(), there.max(axis=0).tolist()
        return (left, bottom, right, top) if right - left > _TINY and top - bottom > _TINY else None


class _Cutter:
    """Cuts one area by straight joints, upright or level, each from edge to edge of the piece that it divides.

    It counts with every mixture of frames; over a large area, or where that is too much work, with the largest frame
    laid from one side on; and where that is too much as well, with rows of the largest.
    """

    def __init__(self, area: BaseGeometry, lines: BaseGeometry, frames: Sizes, work: int) -> None:
        self._area = area
        self._outline = _Outline(area)
        self._shows = _Outline(area.difference(lines)) if not lines.is_empty else self._outline
        self._frames = frames
        self._middles = (_middles(lines, 0), _middles(lines, 1))
        self._bounded: dict[Box, Box | None] = {}
        left, bottom, right, top = area.bounds
        self._rows = min(
            (frame for frame in frames if frame[0] * frame[1] == _largest(frames)),
            key=lambda frame: ceil((right - left - _TINY) / frame[0]) * ceil((top - bottom - _TINY) / frame[1]),
        )
        self._is_large = (right - left) * (top - bottom) > 6 * _largest(frames)
        self._looks = work // (2 * (_ROOM + _corners([area]) // 100))

    def pieces(self) -> list[BaseGeometry]:
        """Give the pieces; together they are the area."""
        room = _bounds(self._area)
        for care in (1, 2) if self._is_large else (0, 1, 2):
            self._care = care
            self._known: dict[Box, int] = {}
            self._left = self._looks
            try:
                return self._cut(room, room)
            except _TooMuch:
                continue
        raise AssertionError("rows are never too much work")

    def _cut(self, room: Box, counted: Box) -> list[BaseGeometry]:
        """Cut what is in a room; counted is the part of it from which the count was made."""
        fewest = self._lays(counted)
        there = self._within(counted)
        if there is None:
            return []
        if fewest == 1:
            # A sliver along a joint, thinner than rounding, may reach farther than what was counted.
            spare = box(there[0] - _SPARE, there[1] - _SPARE, there[2] + _SPARE, there[3] + _SPARE)
            piece = _areal(self._area.intersection(box(*room)).intersection(spare))
            return [] if piece.is_empty else [piece]
        best: tuple[float, float, int, float] | None = None
        for shown, axis, place in self._places(there):
            if best is not None and shown > best[0]:
                break
            low, high = _halves(there, axis, place)
            first, second = self._lays(low), self._lays(high)
            if first and second and first + second == fewest:
                metal = self._metal(low) + self._metal(high)
                if best is None or metal < best[1]:
                    best = (shown, metal, axis, place)
        if best is None:
            raise AssertionError("the cut that was counted is among the places")
        rooms, halves = _halves(room, *best[2:]), _halves(there, *best[2:])
        return [*self._cut(rooms[0], halves[0]), *self._cut(rooms[1], halves[1])]

    def _lays(self, room: Box) -> int:
        """The fewest lays for what lies in a room, with joints at the reach of a frame from one of its ends."""
        there = self._within(room)
        if there is None:
            return 0
        if frame_for(there, self._frames, _TINY / 2) is not None:
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
        frame = None if there is None else frame_for(there, self._frames, _TINY / 2)
        return frame[0] * frame[1] if frame else 0.0

    def _within(self, room: Box) -> Box | None:
        if room not in self._bounded:
            self._left -= 1
            if self._left < 0 and self._care < 2:
                raise _TooMuch
            self._bounded[room] = self._outline.within(room)
        return self._bounded[room]

    def _tight(self, room: Box, axis: int) -> list[float]:
        """Where joints are counted: at the reaches of frames from the room's ends, on a grid finer than rounding."""
        low, high = room[axis], room[axis + 2]
        if self._care == 2:
            is_wide = room[2] - room[0] > self._rows[0] + _TINY / 2
            return [_down(low + self._rows[axis])] if is_wide == (axis == 0) else []
        reaches = {side for frame in self._frames for side in frame} if self._care == 0 else set(self._rows)
        places = {_down(low + reach) for reach in reaches}
        if self._care == 0:
            places |= {-_down(reach - high) for reach in reaches}
        return sorted(place for place in places if low + _TINY < place < high - _TINY)

    def _places(self, there: Box) -> list[tuple[float, int, float]]:
        """Where a joint may go: the inches of it that show, the axis across which it lies, and its place."""
        found = []
        for axis in (0, 1):
            ends = there[1 - axis], there[3 - axis]

            def shown(place: float, axis: int = axis, ends: tuple[float, float] = ends) -> float:
                return round(float(np.diff(self._shows.spans(axis, place, *ends)).sum()), 6)

            middles = [place for place in self._middles[axis] if there[axis] < place < there[axis + 2]]
            hiding = sorted((shown(place), axis, place) for place in middles) if self._care < 2 else []
            found += hiding[: _HIDING // (1 if self._care == 0 else 4)]
            found += [(shown(place), axis, place) for place in self._tight(there, axis)]
        return sorted(found)


def _down(place: float) -> float:
    """Round a place down to the grid of joints, so that rooms that are the same are found to be."""
    return floor(place / _GRID + 1 / 100) * _GRID


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
    return float(sum(shown.length for shown in _shown(pieces, lines)))


def _shown(pieces: Sequence[BaseGeometry], lines: BaseGeometry) -> Iterator[BaseGeometry]:
    """What shows of each joint between two pieces, where some does."""
    hidden = lines.buffer(_TINY, join_style="mitre")
    rooms = [box(*piece.bounds).buffer(4 * _TINY, join_style="mitre") for piece in pieces]
    for one, other in combinations(range(len(pieces)), 2):
        # Only near one another, for the sake of pieces with very many corners.
        both = rooms[one].intersection(rooms[other])
        near = pieces[other].intersection(both).buffer(_TINY, join_style="mitre") if not both.is_empty else both
        joint = pieces[one].boundary.intersection(both).intersection(near) if not near.is_empty else near
        seen = [line for line in shapely.get_parts(joint.difference(hidden)) if line.length > _SHOWS]
        if seen:
            yield shapely.line_merge(shapely.union_all(seen))


def _points(area: BaseGeometry, frames: Sizes) -> list[Box]:
    """Points of an area, as boxes without size: a grid, its corners, and some along its edge for each frame."""
    left, bottom, right, top = area.bounds
    across, up = np.meshgrid(np.linspace(left, right, 33), np.linspace(bottom, top, 33))
    grid = np.column_stack([across.ravel(), up.ravel()])
    inside = grid[shapely.intersects_xy(area, grid)]
    edge, longest = area.boundary, max(side for frame in frames for side in frame)
    corners = shapely.get_coordinates(edge.segmentize(max(longest, edge.length / _MOST_POINTS)))
    some = np.vstack([corners[:: ceil(len(corners) / _MOST_POINTS)], inside])
    return [(x, y, x, y) for x, y in some.tolist()]


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


def _joints(pieces: Sequence[Part], name: str, flat: LaidFlat, settings: BendaySettings) -> list[Finding]:
    """Say of one area where its joints show, the longest first and by its place."""
    shown = list(_shown([part.shape for part in pieces], _coarse(pieces[0].lines))) if len(pieces) > 1 else []
    if not shown:
        return []
    worst = max(shown, key=lambda joint: float(joint.length))
    left, bottom, right, top = worst.bounds
    left, right = flat.width - right, flat.width - left
    if right - left <= 4 * _TINY:
        where = f"upright, {length_text(left)} from the left edge, from {length_text(bottom)} to {length_text(top)} up"
    elif top - bottom <= 4 * _TINY:
        where = f"level, {length_text(bottom)} up, from {length_text(left)} to {length_text(right)} across"
    else:
        where = (
            f"between {length_text(left)} and {length_text(right)} across, {length_text(bottom)} and "
            f"{length_text(top)} up"
        )
    length = float(sum(joint.length for joint in shown))
    where = f"on the metal as the tint hand sees it, {where}"
    if len(shown) == 1:
        what = f'a joint of the tint "{name}" shows on {length_text(length)}: {where}'
    else:
        what = (
            f'{len(shown)} joints of the tint "{name}" show, on {length_text(length)} in all; the worst on '
            f"{length_text(worst.length)}: {where}"
        )
    largest = max(settings.frames, key=lambda size: size[0] * size[1])
    return [
        Finding(
            "benday.joint",
            "warn",
            f"{what}; the area fits in no frame up to {size_text(*largest)}, and no line hides "
            f"{'the joint' if len(shown) == 1 else 'them'}",
            "draw a line of the drawing there, divide the area where the drawing has one, or buy a larger frame",
            amount=length,
            unit="in",
            shape=_areal(shapely.union_all(shown).buffer(1 / 64, cap_style="square").intersection(flat.area)),
            plate=pieces[0].key[0],
        )
    ]


def _too_many(area: Part, name: str, least: int, settings: BendaySettings) -> Finding:
    largest = max(settings.frames, key=lambda size: size[0] * size[1])
    left, bottom, right, top = area.shape.bounds
    return Finding(
        "benday.too-many-lays",
        "stop",
        f'an area of the tint "{name}", {size_text(right - left, top - bottom)} in all, would take {least} lays or '
        f"more of frames up to {size_text(*largest)}, and more than {_MOST_LAYS} are no work: none is planned",
        "divide the area into several, or give the house a larger frame under [rules.benday], key frames",
        shape=_areal(area.shape),
        plate=area.key[0],
    )


def _unknown(plate: OrderedPlate, tints: Sequence[TintArea], known: dict[str, str]) -> Finding:
    pattern = tints[0].pattern
    near = difflib.get_close_matches(_plain(pattern), list(known), n=1)
    hint = f'did you mean "{known[near[0]]}"? ' if near else ""
    areas = [tint.area.intersection(plate.face) for tint in tints]
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


_Tint = TypeVar("_Tint", bound=Any)


def _by_pattern(tints: Iterable[_Tint]) -> dict[str, list[_Tint]]:
    found: dict[str, list[_Tint]] = {}
    for tint in tints:
        found.setdefault(_plain(tint.pattern), []).append(tint)
    return found


def _spelling(plain: str, first: str, settings: BendaySettings) -> str:
    """A pattern as the house writes it, or as the order first does."""
    return next((pattern for pattern in settings.patterns if _plain(pattern) == plain), first)


def _corners(shapes: Iterable[BaseGeometry]) -> int:
    return sum(int(shapely.get_num_coordinates(shape)) for shape in shapes)


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

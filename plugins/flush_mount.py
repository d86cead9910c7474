"""Flush mounting: the plate is glued to its block, without a flange; on its flush sides the image runs to the edge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Annotated, Final

from pydantic import Field
from shapely import MultiPolygon, box, get_parts, shortest_line, unary_union
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    SIDES,
    Charge,
    Film,
    Finding,
    LaidDay,
    LaidFlat,
    LaidPlate,
    Length,
    Margin,
    Money,
    OrderedPlate,
    PlateRecord,
    Rule,
    Settings,
    Sharing,
    SideName,
    Step,
    amount_text,
    hookimpl,
    shape_of,
    size_text,
)

_NAME: Final = "flush-mount"

_TINY: Final = 1e-6
"""Inches and square inches; less is rounding."""

_HAIR: Final = 1 / 10_000
"""Inches by which a disc is taken too small: a core much thinner than that is lost by rounding, and what is exactly as
wide as it should be must hold."""

_HALVINGS: Final = 14
"""Of the search for the least width: the least width of the house is found to one part in sixteen thousand."""


class FlushSettings(Settings):
    """How the house mounts flush, and what it takes for a block."""

    # Common practice: room for a finger on the sides that do not butt against anything.
    margin: Annotated[Length, Field(default=1 / 16, description="metal kept outside the sides that are not flush")]
    # Common practice: what a saw and a file leave of a true edge.
    tolerance: Annotated[Length, Field(default=1 / 64, description="how far an image may stop short of a flush side")]
    # Common practice: a narrower strip lifts when the sheet is pulled off the form.
    least_width: Annotated[
        Length, Field(default=1 / 4, description="a plate narrower than this anywhere does not hold")
    ]
    # Common practice.
    least_area: Annotated[
        float, Field(default=1.0, ge=0, description="square inches of back; with less, glue does not hold a plate")
    ]
    price: Annotated[Money, Field(default=Decimal(0), description="of one square inch of block, trimmed to the plate")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule(_NAME, "1.1", "no flange on flush plates; images run out to the flush sides", FlushSettings)


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: FlushSettings) -> Sequence[Margin]:
    """Keep the margin on the sides that are not flush."""
    if plate.mounting != "flush" or set(plate.flush) == set(SIDES):
        return []
    kept = {side: 0.0 if side in plate.flush else settings.margin for side in SIDES}
    return [
        Margin(
            "shoulder",
            kept["left"],
            kept["right"],
            kept["bottom"],
            kept["top"],
            "the margin of sides not flush",
            "margin",
        )
    ]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: FlushSettings) -> Sequence[Finding]:
    """Look at flush sides, at bleeds, and at whether glue can hold the plate."""
    if plate.mounting != "flush":
        return _bleeding_on_a_flange(plate)
    short = [finding for side in plate.flush for finding in _short(plate, side, settings.tolerance)]
    return [*short, *_bleeding_past_a_margin(plate, settings), *_glued(plate, settings)]


@hookimpl
def flatwright_charges(plate: OrderedPlate, settings: FlushSettings) -> Sequence[Charge]:
    """Charge the block that a flush plate is glued to."""
    if plate.mounting != "flush" or not settings.price:
        return []
    left, bottom, right, top = _back(plate, settings).bounds
    area = float((right - left) * (top - bottom))
    return [Charge("block", area, "sq in", settings.price, "its block is trimmed to the plate", "price")]


@hookimpl
def flatwright_sharing(plate: OrderedPlate) -> Sequence[Sharing]:
    """Wish for the plates of one block on one flat."""
    if plate.on_block is None:
        return []
    return [Sharing("near", f"{plate.job}/{plate.on_block}", "they stand on one block, and etch alike side by side")]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: FlushSettings) -> Sequence[Step]:
    """Give the finisher the size of every block, say how its wood is trimmed and what stands on it."""
    shared = {plate: block for block in _blocks(flat.of_day) for plate in block.ids}
    plates: dict[str, list[str]] = {}
    for laid in flat.plates:
        if laid.record.mounting == "flush":
            block = shared.get(laid.record.id)
            words = _block_words(laid) if block is None else block.words
            plates.setdefault(words, []).append(laid.record.id)
    return [Step("finisher", words, tuple(there)) for words, there in plates.items()]


@hookimpl
def flatwright_inspect_day(day: LaidDay, settings: FlushSettings) -> Sequence[Finding]:
    """Look at what stands together on one block: is it of one height, does it butt, is it there at all?"""
    blocks = _blocks(day.plates)
    found = [finding for block in blocks for finding in block.findings()]
    shared = {plate for block in blocks for plate in block.ids}
    return found + [
        Finding(
            "flush.block-alone",
            "note",
            f'no other plate of job {plate.job} is to stand on the block "{plate.on_block}"',
            "write the same on_block at the plates that belong on it, or leave it out",
            plate=plate.id,
        )
        for plate in day.plates.values()
        if plate.on_block is not None and plate.id not in shared
    ]


@dataclass(frozen=True, slots=True)
class _Mounted:
    """A plate on a block that it shares: its size with its margins, and the block's thickness for it alone."""

    id: str
    width: float
    height: float
    margins: dict[SideName, float]
    gauge: float
    block: float


@dataclass(frozen=True, slots=True)
class _Block:
    """A block with several plates, butted in a row or in a column, in the order in which they were ordered."""

    name: str
    plates: tuple[_Mounted, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """Of its plates."""
        return tuple(plate.id for plate in self.plates)

    @property
    def in_a_row(self) -> bool:
        """Whether they stand side by side: where that takes no more wood than one above the other."""
        row, column = self._size(True), self._size(False)
        return row[0] * row[1] <= column[0] * column[1] + _TINY

    def _size(self, in_a_row: bool) -> tuple[float, float]:
        widths, heights = [plate.width for plate in self.plates], [plate.height for plate in self.plates]
        return (sum(widths), max(heights)) if in_a_row else (max(widths), sum(heights))

    @property
    def words(self) -> str:
        """What the finisher does with it."""
        size = size_text(*self._size(self.in_a_row)).removesuffix(" in")
        thick = amount_text(min(plate.block for plate in self.plates))
        where = "side by side, from left to right" if self.in_a_row else "one above the other, from the top"
        return (
            f'Glue on one block "{self.name}" {size} x {thick}, {where}: {_listed(self.ids)}. Trim the wood to their '
            "outer edges."
        )

    def findings(self) -> Iterator[Finding]:
        """What is wrong with it."""
        first, *others = self.plates
        for plate in others:
            if abs(plate.gauge - first.gauge) > _TINY:
                yield Finding(
                    "flush.block-height",
                    "stop",
                    f"it is to stand on one block with {first.id}, whose metal is {first.gauge:.4g} in and its own "
                    f"{plate.gauge:.4g} in: one of them will not print",
                    "order both in one gauge, or mount them on blocks of their own",
                    amount=abs(plate.gauge - first.gauge),
                    unit="in",
                    plate=plate.id,
                )
        meeting: tuple[SideName, SideName] = ("right", "left") if self.in_a_row else ("bottom", "top")
        for before, after in pairwise(self.plates):
            gap = before.margins[meeting[0]] + after.margins[meeting[1]]
            if gap > _TINY:
                yield Finding(
                    "flush.block-gap",
                    "warn",
                    f"it is to butt against {before.id} on one block, and {amount_text(gap)} of margin stand between "
                    "them",
                    f"make the one flush on the {meeting[0]} and the other on the {meeting[1]} (key flush)",
                    amount=gap,
                    unit="in",
                    plate=after.id,
                )


def _blocks(plates: Mapping[str, PlateRecord]) -> list[_Block]:
    """The blocks that several plates share: of one job and name, copy by copy and colour by colour."""
    groups: dict[tuple[str, str, int, str | None], list[_Mounted]] = {}
    for plate in plates.values():
        if plate.on_block is not None:
            key = (plate.job, plate.on_block, plate.copy_number, plate.colour)
            groups.setdefault(key, []).append(_mounted(plate))
    return [_Block(name, tuple(group)) for (_, name, _, _), group in groups.items() if len(group) > 1]


def _mounted(plate: PlateRecord) -> _Mounted:
    wide = {side: _asked(plate, "bleed", side) + _asked(plate, "shoulder", side) for side in SIDES}
    return _Mounted(
        plate.id,
        plate.width + wide["left"] + wide["right"],
        plate.height + wide["bottom"] + wide["top"],
        {side: _asked(plate, "shoulder", side) for side in SIDES},
        plate.gauge,
        plate.block or 0.0,
    )


def _asked(plate: PlateRecord, kind: str, side: SideName) -> float:
    return max((float(getattr(asked, side)) for asked in plate.allowances if asked.kind == kind), default=0.0)


def _block_words(laid: LaidPlate) -> str:
    finished = unary_union([shape_of(laid.placement.outline), shape_of(laid.placement.flange)])
    left, bottom, right, top = finished.bounds
    width, height = right - left, top - bottom
    if laid.placement.turned in (90, 270):
        width, height = height, width
    thick = f" x {amount_text(laid.record.block)}" if laid.record.block else ""
    margins = {side: width for side, width in _margins(laid).items() if width > _TINY}
    outline = MultiPolygon(shape_of(laid.record.outline))
    if outline.envelope.area - outline.area > _TINY:
        trim = "saw the wood to the plate's outline"
    elif margins:
        flush = [side for side in SIDES if side not in margins]
        edges = ", ".join(f"{amount_text(width)} on the {side}" for side, width in margins.items())
        even = f"even with the plate, flush on the {_listed(flush)}; its margin is {edges}"
        trim = f"trim the wood {even}"
    else:
        trim = "trim the wood flush with the plate on all four sides"
    return f"Glue on a block {size_text(width, height).removesuffix(' in')}{thick or ' in'}; {trim}."


def _margins(laid: LaidPlate) -> dict[SideName, float]:
    """What this rule asked for on the sides that are not flush; nothing where all are."""
    asked = [margin for margin in laid.record.allowances if margin.rule == _NAME]
    return {side: max((float(getattr(margin, side)) for margin in asked), default=0.0) for side in SIDES}


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _bleeding_on_a_flange(plate: OrderedPlate) -> list[Finding]:
    if not plate.bleed or plate.mounting != "bevelled":
        return []
    return [
        Finding(
            "flush.bleed",
            "note",
            f"it bleeds on the {', '.join(plate.bleed)} and carries a flange there",
            "check that the block may stand past the page edge, or mount it flush on those sides",
            sided=True,
        )
    ]


def _bleeding_past_a_margin(plate: OrderedPlate, settings: FlushSettings) -> list[Finding]:
    """Sides that bleed but are not flush: the margin there stands past the page."""
    sides = [side for side in plate.bleed if side not in plate.flush]
    if not sides or not settings.margin:
        return []
    flush = ", ".join(f'"{side}"' for side in SIDES if side in plate.flush or side in sides)
    return [
        Finding(
            "flush.bleed-not-flush",
            "warn",
            f"it bleeds on the {_listed(sides)}, where it is not flush: {amount_text(settings.margin)} of bare metal "
            "stand there past the picture",
            f"make it flush there too: flush = [{flush}]",
            amount=settings.margin,
            unit="in",
            sided=True,
        )
    ]


# ------------------------------------------------------------------ does the image run out to the side?


def _short(plate: OrderedPlate, side: SideName, tolerance: float) -> list[Finding]:
    """Where the image stops short of a flush side, all along it or in places."""
    gap = _gap(plate, side)
    if gap > tolerance:
        return [
            Finding(
                "flush.image-short",
                "warn",
                f"the image stops {amount_text(gap)} short of the flush {side} side",
                f"run the image out to the edge, or trim the plate by {amount_text(gap)} there",
                amount=gap,
                unit="in",
                sided=True,
            )
        ]
    edge = _Edge.of(plate, side)
    bare = edge.bare(plate, tolerance)
    length = sum(far - near for near, far in bare)
    if length <= tolerance or _is_open_there(plate, edge.strip(tolerance)):
        return []
    places = unary_union([edge.inward(near, far, tolerance) for near, far in bare])
    return [
        Finding(
            "flush.image-short",
            "warn",
            f"along {amount_text(length)} of the {amount_text(edge.length)} of the flush {side} side the image stays "
            f"more than {amount_text(tolerance)} short of the edge",
            f"run the image out along the whole side, or leave {side} out of flush",
            amount=length,
            unit="in",
            shape=places.intersection(plate.face),
            sided=True,
        )
    ]


def _gap(plate: OrderedPlate, side: SideName) -> float:
    left, bottom, right, top = plate.face.bounds
    image = plate.printing.bounds
    if len(image) != 4 or plate.printing.is_empty:
        return max(right - left, top - bottom)
    return {"left": image[0] - left, "right": right - image[2],
            "bottom": image[1] - bottom, "top": top - image[3]}[side]  # fmt: skip


def _is_open_there(plate: OrderedPlate, strip: BaseGeometry) -> bool:
    """Whether what reaches a side is by its nature broken: drawn lines, or a subject without a background."""
    return any(_is_open(film) and film.image.intersects(strip) for film in plate.films)


def _is_open(film: Film) -> bool:
    return film.kind in ("silhouette", "drop-out") or (film.kind == "line" and film.art is not None)


@dataclass(frozen=True, slots=True)
class _Edge:
    """The straight parts of a plate's edge that lie on a side of its bounding rectangle, as stretches along it."""

    side: SideName
    at: float
    """Where the side lies: x of an upright one, y of a level one."""
    parts: tuple[tuple[float, float], ...]

    @classmethod
    def of(cls, plate: OrderedPlate, side: SideName) -> _Edge:
        """Find them on the face; a side that only a curve or a corner reaches has none."""
        at = dict(zip(("left", "bottom", "right", "top"), plate.face.bounds, strict=True))[side]
        parts = []
        for polygon in plate.face.geoms:
            for (x, y), (to_x, to_y) in pairwise(polygon.exterior.coords):
                across, along = ((x, to_x), (y, to_y)) if side in ("left", "right") else ((y, to_y), (x, to_x))
                if max(abs(place - at) for place in across) <= _TINY:
                    parts.append((min(along), max(along)))
        return cls(side, at, tuple(sorted(parts)))

    @property
    def length(self) -> float:
        """Of all its parts together."""
        return sum(far - near for near, far in self.parts)

    def inward(self, near: float, far: float, depth: float) -> BaseGeometry:
        """Give the strip inside a stretch of the side, so deep."""
        low, high = {"left": (self.at, self.at + depth), "right": (self.at - depth, self.at),
                     "bottom": (self.at, self.at + depth), "top": (self.at - depth, self.at)}[self.side]  # fmt: skip
        if self.side in ("left", "right"):
            return box(low, near, high, far)
        return box(near, low, far, high)

    def strip(self, depth: float) -> BaseGeometry:
        """Give the strip inside all its parts."""
        return unary_union([self.inward(near, far, depth) for near, far in self.parts])

    def bare(self, plate: OrderedPlate, tolerance: float) -> list[tuple[float, float]]:
        """Give the stretches of it from which nothing that prints is within the tolerance, straight inward.

        Where the image ends before the side does, it is short of the next side, not of this one.
        """
        first, last = (1, 3) if self.side in ("left", "right") else (0, 2)
        ends = plate.printing.bounds
        bare = []
        for part_near, part_far in self.parts:
            near, far = max(part_near, ends[first]), min(part_far, ends[last])
            if far - near <= _TINY:
                continue
            met = plate.printing.intersection(self.inward(near, far, max(tolerance, _TINY)))
            bounds = [part.bounds for part in get_parts(met) if not part.is_empty]
            place = near
            for start, end in sorted((part[first], part[last]) for part in bounds):
                if start - place > _TINY:
                    bare.append((place, start))
                place = max(place, end)
            if far - place > _TINY:
                bare.append((place, far))
        return bare


# ------------------------------------------------------------------ does glue hold it?


def _back(plate: OrderedPlate, settings: FlushSettings) -> BaseGeometry:
    """The plate's back, to be glued: its face, and the margin of a rectangle's sides that are not flush."""
    if not plate.is_rectangle:
        return plate.face
    left, bottom, right, top = plate.face.bounds
    kept = {side: 0.0 if side in plate.flush else settings.margin for side in SIDES}
    whole = box(left - kept["left"], bottom - kept["bottom"], right + kept["right"], top + kept["top"])
    return whole.difference(plate.face.envelope.difference(plate.face))


def _glued(plate: OrderedPlate, settings: FlushSettings) -> Iterator[Finding]:
    """A plate that is too small or too narrow for glue."""
    back = _back(plate, settings)
    if back.area < settings.least_area:
        yield Finding(
            "flush.small",
            "warn",
            f"glue has only {back.area:.2f} sq in to hold it by; the house wants {settings.least_area:.2f}",
            "order it larger, nail it instead, or mount it on one block together with its neighbour",
            amount=back.area,
            unit="sq in",
            shape=plate.face,
        )
    narrow = narrow_places(back, settings.least_width)
    if narrow.is_empty:
        return
    width = least_width(back, settings.least_width)
    how = f"is only {width:.3f} in wide" if width >= settings.least_width / 100 else "comes to a point"
    wanted = amount_text(settings.least_width)
    yield Finding(
        "flush.narrow",
        "warn",
        f"it {how} at its narrowest, and glue holds nothing narrower than {wanted}",
        f"order it at least {wanted} wide everywhere, or nail it instead",
        amount=width,
        unit="in",
        shape=narrow,
    )


def narrow_places(shape: BaseGeometry, width: float) -> BaseGeometry:
    """Give where a shape is narrower than a width in inches: necks, and whatever sticks out farther than that width.

    A disc of the width is moved about inside the shape. Where it cannot pass from one part to another there is a
    neck; what it cannot sweep is narrow, except close to what it does sweep: there, as in every corner, the plate
    beside it holds it down. The narrow places are empty if there are none.
    """
    radius = width / 2 - _HAIR
    if radius <= 0:
        return MultiPolygon()
    core = shape.buffer(-radius)
    if core.is_empty:
        return shape
    places = [shape.difference(core.buffer(radius + width))]
    middles = list(get_parts(core))
    if len(middles) > len(get_parts(shape)):
        # A neck lies on the shortest way between the parts of the core; only the nearest other part is asked of each.
        for middle in middles:
            other = min((part for part in middles if part is not middle), key=middle.distance)
            places.append(shortest_line(middle, other).buffer(radius).intersection(shape))
    narrow = unary_union(places)
    return narrow if narrow.area > _TINY else MultiPolygon()


def least_width(shape: BaseGeometry, largest: float) -> float:
    """Give the width in inches of the narrowest place of a shape that is narrower than ``largest`` somewhere."""
    low, high = 0.0, largest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if narrow_places(shape, middle).is_empty:
            low = middle
        else:
            high = middle
    return max(0.0, low - 2 * _HAIR)

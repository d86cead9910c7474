"""What the order file may say: jobs, their plates, and the negatives and tints of each plate.

Lengths are inches after reading. A plate is measured from the lower left corner of its bounding rectangle, x to the
right and y up, as the printed page reads. An image may lie beyond the plate only on a side that bleeds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Final, Literal, TypeAlias

from pydantic import Field, PlainValidator, PrivateAttr, ValidationError, WithJsonSchema, model_validator

from planner.forms import (
    Count,
    Form,
    Gauge,
    InputError,
    Label,
    Length,
    Note,
    Place,
    Problem,
    Size,
    problems_of,
    several,
    shortened,
)
from planner.lengths import parse_length
from planner.outlines import Outline
from planner.reading import read_tables

MetalName: TypeAlias = Literal["copper", "zinc", "magnesium"]
Mounting: TypeAlias = Literal["bevelled", "flush", "nailed", "unmounted"]
NegativeKind: TypeAlias = Literal["line", "square", "silhouette", "drop-out", "combination"]
Use: TypeAlias = Literal["base", "surprint", "reverse"]
PrintingColour: TypeAlias = Literal["yellow", "red", "blue", "black"]
SideName: TypeAlias = Literal["left", "right", "bottom", "top"]

SIDES: Final[tuple[SideName, ...]] = ("left", "right", "bottom", "top")
SCREENED: Final[frozenset[str]] = frozenset({"square", "silhouette", "drop-out", "combination"})
"""Kinds of negative that carry a halftone, and so need the plate's screen ruling."""

LARGEST_ANGLE: Final = 45.0

MOST_PLATES: Final = 20_000
"""Single plates in one order file; a shop etches some hundreds a day."""

BleedOfSide: TypeAlias = float | Literal["house"]


def _bleed(value: object) -> dict[SideName, BleedOfSide]:
    how = 'write bleed = "1/8 in" for all sides, bleed = ["left", "top"], or bleed = { left = "1/8 in" }'
    if isinstance(value, str):
        return dict.fromkeys(SIDES, _bleed_amount(value))
    if isinstance(value, (list, tuple)):
        if len(value) != len({str(side) for side in value}):
            raise ValueError(f"{shortened(value)} names a side twice; {how}")
        return {_side(side, how): "house" for side in value}
    if isinstance(value, dict):
        return {_side(side, how): _bleed_amount(amount) for side, amount in value.items()}
    raise ValueError(f"{shortened(value)} is no bleed; {how}")


def _side(value: object, how: str) -> SideName:
    for side in SIDES:
        if value == side:
            return side
    raise ValueError(f"{shortened(value)} is no side of a plate ({', '.join(SIDES)}); {how}")


def _bleed_amount(value: object) -> float:
    amount = parse_length(value)
    if amount <= 0:
        raise ValueError(f'"{value}" must be greater than zero; leave out a side that does not bleed')
    return amount


_BLEED_SCHEMA: Final = {
    "description": "an amount for all sides, a list of sides that bleed by the house's amount, or a table of sides",
    "anyOf": [
        {"type": "string"},
        {"type": "array", "items": {"enum": list(SIDES)}},
        {"type": "object", "properties": {side: {"type": "string"} for side in SIDES}, "additionalProperties": False},
    ],
}

Bleed = Annotated[
    dict[SideName, BleedOfSide],
    PlainValidator(_bleed),
    WithJsonSchema(_BLEED_SCHEMA),
]


def _angle(value: object) -> float:
    how = 'write degrees anticlockwise, like angle = 1.5 or angle = "-1.5 deg"'
    text = str(value).replace("\u00b0", "").removesuffix("deg").strip() if isinstance(value, str) else value
    try:
        degrees = float(text) if isinstance(text, (int, float, str)) and not isinstance(text, bool) else None
    except (ValueError, OverflowError):
        degrees = None
    if degrees is None or not -LARGEST_ANGLE <= degrees <= LARGEST_ANGLE:
        raise ValueError(f"{shortened(value)} is no angle up to {LARGEST_ANGLE:g} degrees either way; {how}")
    return degrees


Angle = Annotated[
    float,
    PlainValidator(_angle),
    WithJsonSchema({"type": ["number", "string"], "description": "degrees anticlockwise, at most 45 either way"}),
]


def _due(value: object) -> datetime:
    how = 'write the shop\'s own time, like due = 2026-11-26T14:00:00 or due = "2026-11-26 14:00"'
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            raise ValueError(f'"{value}" is no time; {how}') from None
    if isinstance(value, datetime):
        if value.tzinfo is not None:
            raise ValueError(f"{value.isoformat()} names a time zone; {how}")
        return value.replace(microsecond=0)
    if isinstance(value, date):
        return datetime.combine(value, time(23, 59))
    raise ValueError(f"{shortened(value)} is no time; {how}")


Due = Annotated[
    datetime,
    PlainValidator(_due),
    WithJsonSchema({"type": "string", "description": "the shop's own date and time; a date alone is its end"}),
]


def _art_file(value: object) -> str:
    how = 'write its path from the order file\'s folder, like art = "art/crest.svg"'
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{shortened(value)} is no art file; {how}")
    text = value.strip()
    if len(text) > 300 or not text.isprintable():
        raise ValueError(f"{shortened(value)} is no art file; {how}, at most 300 signs")
    path = PurePosixPath(text)
    if "\\" in text or ":" in text or path.is_absolute() or ".." in path.parts:
        raise ValueError(f'"{text}" does not stay in the order file\'s folder; {how}')
    return str(path)


ArtFile = Annotated[
    str,
    PlainValidator(_art_file),
    WithJsonSchema({"type": "string", "description": "path from the order file's folder, with forward slashes"}),
]


def _crop(value: object) -> dict[SideName, float] | Literal["even"]:
    how = 'write crop = "even", or what comes off the copy by side, like crop = { left = "1/2 in" }'
    if value == "even":
        return "even"
    if not isinstance(value, dict) or not value:
        raise ValueError(f"{shortened(value)} is no crop; {how}")
    amounts = {_side(side, how): parse_length(amount) for side, amount in value.items()}
    if min(amounts.values()) < 0:
        raise ValueError(f"{shortened(value)} takes less than nothing off a side; {how}")
    return amounts


Crop = Annotated[
    dict[SideName, float] | Literal["even"],
    PlainValidator(_crop),
    WithJsonSchema(
        {
            "description": "even: as much off both sides as the proportion asks; or amounts off the copy, by side",
            "anyOf": [
                {"const": "even"},
                {
                    "type": "object",
                    "properties": {side: {"type": "string"} for side in SIDES},
                    "additionalProperties": False,
                },
            ],
        }
    ),
]


class Negative(Form):
    """One piece of film: what it shows, what it does, how large it is and where its image lies on the plate."""

    name: Annotated[Label | None, Field(default=None, description="what people call it; needed only to refer to it")]
    kind: Annotated[NegativeKind, Field(description="line, or which kind of halftone")]
    use: Annotated[Use, Field(default="base", description="part of the base, or an overlay: surprint or reverse")]
    size: Annotated[Size | None, Field(default=None, description="the image, if a rectangle; else the whole plate")]
    outline: Annotated[Outline | None, Field(default=None, description="the image, if not a rectangle")]
    at: Annotated[
        Place | None,
        Field(default=None, description="lower left corner of the image on the plate; an overlay without a size of "
              "its own is placed by its film"),
    ]  # fmt: skip
    angle: Annotated[Angle, Field(default=0.0, description="turn about that corner, degrees anticlockwise")]
    film: Annotated[Size | None, Field(default=None, description="the film; larger than its image")]
    film_at: Annotated[
        Place | None,
        Field(
            default=None,
            description="lower left corner of the film on the plate, before turning; else centred on the image",
        ),
    ]
    on: Annotated[Label | None, Field(default=None, description="for an overlay: the illustration it lies on")]
    art: Annotated[
        ArtFile | None, Field(default=None, description="the art: SVG, PNG, TIFF, JPEG, BMP, or a page of a PDF")
    ]
    page: Annotated[int | None, Field(default=None, ge=1, le=10_000, strict=True, description="which page of a PDF")]
    copy_size: Annotated[
        Size | None, Field(default=None, description="of the whole art as it lies before the camera; else the file's")
    ]
    crop: Annotated[Crop | None, Field(default=None, description="what comes off art of another proportion")]
    threshold: Annotated[
        float | None,
        Field(default=None, gt=0, lt=1, description="what is darker prints: 0 black, 1 white; else the house's"),
    ]
    speck: Annotated[
        Length | None,
        Field(default=None, description="drop-out: lighter areas narrower than this print; else the house's"),
    ]
    light_on_dark: Annotated[bool, Field(default=False, strict=True, description="the art is light on dark")]
    mirrored: Annotated[bool, Field(default=False, strict=True, description="the art is turned over, left for right")]
    notes: Annotated[Note, Field(default="")]

    @property
    def is_overlay(self) -> bool:
        """Whether the film lies over another one instead of being part of the base."""
        return self.use != "base"

    @model_validator(mode="after")
    def _makes_sense(self) -> Negative:
        problems: list[tuple[str, str]] = []
        if self.size and self.outline:
            problems.append(("outline", "stands beside size; give one of them"))
        if self.on and not self.is_overlay:
            problems.append(("on", 'is only for an overlay; add use = "surprint" or use = "reverse"'))
        if self.is_overlay and not self.film:
            problems.append(("film", 'is missing; an overlay is measured by its film, like film = "4 x 5 in"'))
        if self.film_at and not self.film:
            problems.append(("film_at", "places a film whose size is not given; add film"))
        if self.film_at and self.is_overlay and not (self.size or self.outline):
            problems.append(("film_at", "is not needed where at already places the film; leave it out"))
        problems += self._art_problems()
        if problems:
            raise several(problems)
        return self

    def _art_problems(self) -> Iterator[tuple[str, str]]:
        if self.art is None:
            for key in ("page", "copy_size", "crop", "threshold", "speck"):
                if getattr(self, key) is not None:
                    yield key, 'is only for a negative made from an art file; add art, like art = "art/crest.svg"'
            for key in ("light_on_dark", "mirrored"):
                if getattr(self, key):
                    yield key, 'is only for a negative made from an art file; add art, like art = "art/crest.svg"'
            return
        if self.outline:
            yield "outline", "stands beside art, which has an outline of its own; give size, or leave it out"
        if self.page is not None and not self.art.lower().endswith(".pdf"):
            yield "page", f'is only for a PDF; "{self.art}" is none'
        if self.speck is not None and self.kind != "drop-out":
            yield "speck", f"is only for a drop-out; this negative is {self.kind}"
        if self.is_overlay and not self.size:
            yield "size", 'is missing; art of an overlay needs its size on the plate, like size = "2 x 3 in"'


class Tint(Form):
    """An area of a line plate that gets a mechanical pattern, by the pattern's name or number."""

    pattern: Annotated[Label, Field(description="the pattern's name or number in the shop's sample book")]
    size: Annotated[
        Size | None, Field(default=None, description="the area, if a rectangle, or the art's; else the whole plate")
    ]
    outline: Annotated[Outline | None, Field(default=None, description="the area, if not a rectangle")]
    at: Annotated[Place, Field(default=(0.0, 0.0), description="lower left corner of the area on the plate")]
    art: Annotated[
        ArtFile | None, Field(default=None, description="art whose dark parts are the area: a drawing, scan or PDF")
    ]
    page: Annotated[int | None, Field(default=None, ge=1, le=10_000, strict=True, description="which page of a PDF")]
    copy_size: Annotated[
        Size | None, Field(default=None, description="of the whole art as it was drawn or scanned; else the file's")
    ]
    threshold: Annotated[
        float | None,
        Field(default=None, gt=0, lt=1, description="what is darker is tinted: 0 black, 1 white; else the house's"),
    ]
    light_on_dark: Annotated[bool, Field(default=False, strict=True, description="the art is light on dark")]
    mirrored: Annotated[bool, Field(default=False, strict=True, description="the art is turned over, left for right")]

    @model_validator(mode="after")
    def _makes_sense(self) -> Tint:
        problems: list[tuple[str, str]] = []
        if self.size and self.outline:
            problems.append(("outline", "stands beside size; give one of them"))
        problems += self._art_problems()
        if problems:
            raise several(problems)
        return self

    def _art_problems(self) -> Iterator[tuple[str, str]]:
        if self.art is None:
            for key in ("page", "copy_size", "threshold", "light_on_dark", "mirrored"):
                if getattr(self, key):
                    yield key, 'is only for a tint made from an art file; add art, like art = "art/water.svg"'
            return
        if self.outline:
            yield "outline", "stands beside art, which has an outline of its own; give size"
        elif not self.size:
            yield "size", 'is missing; the art of a tint needs its size on the plate, like size = "2 x 3 in"'
        if self.page is not None and not self.art.lower().endswith(".pdf"):
            yield "page", f'is only for a PDF; "{self.art}" is none'


class Plate(Form):
    """One plate as ordered; with a quantity or with colours it stands for several."""

    name: Annotated[Label, Field(description="what the customer or the shop calls it, unlike any other of the job")]
    quantity: Annotated[Count, Field(default=1, description="how many alike")]
    size: Annotated[
        Size | None, Field(default=None, description="width x height of a rectangular plate, without bleed")
    ]
    outline: Annotated[Outline | None, Field(default=None, description="the plate's shape when it is no rectangle")]
    metal: Annotated[MetalName, Field(description="copper, zinc or magnesium")]
    gauge: Annotated[Gauge | None, Field(default=None, description="thickness; the house's usual if left out")]
    screen: Annotated[int | None, Field(default=None, ge=20, le=600, description="halftone screen, lines to the inch")]
    mounting: Annotated[
        Mounting | None,
        Field(default=None, description="bevelled if left out, or nailed when the outline is no rectangle"),
    ]
    flush: Annotated[
        tuple[SideName, ...],
        Field(default=(), description="sides where a flush plate runs out to the edge; all if left out"),
    ]
    on_block: Annotated[
        Label | None,
        Field(default=None, description="flush plates of the job with the same one are mounted on one block"),
    ]
    bleed: Annotated[Bleed, Field(default_factory=dict, description="how far the picture runs past the trim, by side")]
    may_turn: Annotated[bool, Field(default=True, strict=True, description="may lie turned by a quarter")]
    colours: Annotated[
        tuple[PrintingColour, ...], Field(default=(), description="a colour set: one plate for each printing colour")
    ]
    notes: Annotated[Note, Field(default="")]
    negatives: Annotated[
        tuple[Negative, ...], Field(default=(), description="the films; one over the whole plate if left out")
    ]
    tints: Annotated[tuple[Tint, ...], Field(default=(), description="areas with a mechanical pattern")]

    @model_validator(mode="after")
    def _makes_sense(self) -> Plate:
        problems = [*self._form_problems(), *self._negative_problems(), *self._tint_problems()]
        if problems:
            raise several(problems)
        return self

    def _form_problems(self) -> Iterator[tuple[str, str]]:
        if (self.size is None) == (self.outline is None):
            lack = "stand side by side; give one of them" if self.size else 'is missing; write size = "4 1/4 x 6 in"'
            yield "size", lack if self.size is None else f"and outline {lack}"
        elif self.outline is not None and len(self.outline.area.geoms) != 1:
            yield "outline", "falls into separate pieces; a plate is one piece of metal"
        for key, values in (("colours", self.colours), ("flush", self.flush)):
            for value in sorted({value for value in values if values.count(value) > 1}):
                yield key, f"names {value} twice"
        if self.flush and self.mounting != "flush":
            yield "flush", 'names sides, but the plate is not mounted flush; add mounting = "flush"'
        if self.on_block and self.mounting != "flush":
            yield "on_block", 'is only for a plate that is mounted flush; add mounting = "flush"'

    def _negative_problems(self) -> Iterator[tuple[str, str]]:
        names = [negative.name for negative in self.negatives if negative.name]
        pictures = [negative for negative in self.negatives if not negative.is_overlay and negative.kind != "line"]
        screened = [place for place, negative in enumerate(self.negatives, 1) if negative.kind in SCREENED]
        if screened and self.screen is None:
            yield "screen", f"is missing; negative {screened[0]} is a halftone, like screen = 120"
        for place, negative in enumerate(self.negatives):
            key = f"negatives.{place}"
            if negative.name and names.count(negative.name) > 1:
                yield f"{key}.name", f'"{negative.name}" is used twice on this plate'
            if not negative.is_overlay:
                continue
            if negative.on is None and len(pictures) != 1:
                many = "several illustrations" if pictures else "no illustration"
                yield f"{key}.on", f"must name the illustration it lies on, since the plate has {many}"
            elif negative.on is not None:
                yield from self._on_problems(key, negative)

    def _on_problems(self, key: str, overlay: Negative) -> Iterator[tuple[str, str]]:
        known = [negative.name for negative in self.negatives if negative.name and not negative.is_overlay]
        if overlay.on not in known:
            what = f"the named base negatives are {', '.join(known)}" if known else "no base negative has a name"
            yield f"{key}.on", f'names "{overlay.on}", which is no base negative of this plate; {what}'

    def _tint_problems(self) -> Iterator[tuple[str, str]]:
        if self.tints and self.negatives and all(negative.kind != "line" for negative in self.negatives):
            yield "tints", "belong on a plate with line work; this one has only halftones"


class Job(Form):
    """One customer's job."""

    number: Annotated[Label, Field(description="the job number, unlike any other of the day")]
    customer: Annotated[Label | None, Field(default=None)]
    due: Annotated[Due | None, Field(default=None, description="when it must be ready")]
    rush: Annotated[bool, Field(default=False, strict=True, description="goes on the first flat")]
    paper: Annotated[
        Label | None, Field(default=None, description="what it is printed on, like newsprint or super-calendered")
    ]
    notes: Annotated[Note, Field(default="")]
    plates: Annotated[tuple[Plate, ...], Field(min_length=1)]


class Orders(Form):
    """A day's orders."""

    title: Annotated[Note, Field(default="", description="what this day or batch is called on the sheets")]
    jobs: Annotated[tuple[Job, ...], Field(min_length=1)]
    _source: str = PrivateAttr("the orders")
    _folder: Path | None = PrivateAttr(None)

    @property
    def source(self) -> str:
        """The file that these orders were read from, as messages name it."""
        return self._source

    @property
    def folder(self) -> Path | None:
        """Where their art files lie; None if the orders were not read from a file."""
        return self._folder


def read_orders(path: Path) -> Orders:
    """Read and check an order file.

    Raises:
        InputError: with every problem in the file, each named by job, plate and key.
    """
    return orders_from(read_tables(path), str(path), path.parent)


def orders_from(tables: Mapping[str, Any], source: str, folder: Path | None = None) -> Orders:
    """Check the tables of an order file; ``source`` names the file in messages, ``folder`` is where art files lie.

    Raises:
        InputError: with every problem in the tables.
    """

    def describe(keys: tuple[int | str, ...]) -> str:
        return _place(tables, keys)

    problems = [*_repeats(tables), *_too_many(tables)]
    try:
        orders = Orders.model_validate(tables)
    except ValidationError as error:
        problems = [*problems_of(error, Orders, describe), *problems]
    if problems:
        raise InputError(source, list(dict.fromkeys(problems)))
    orders._source, orders._folder = source, folder
    return orders


def _repeats(tables: Mapping[str, Any]) -> Iterator[Problem]:
    """Job numbers and plate names that occur twice; looked for in the raw tables so that other slips hide none."""
    jobs = _tables(tables.get("jobs"))
    for number in _twice(jobs, "number"):
        yield Problem(f"job {number}", "stands in the file twice; put its plates under one job")
    for job in jobs:
        for name in _twice(_tables(job.get("plates")), "name"):
            yield Problem(f'job {job.get("number", "?")}, plate "{name}"', "stands in the job twice; use quantity")


def _too_many(tables: Mapping[str, Any]) -> Iterator[Problem]:
    plates = [plate for job in _tables(tables.get("jobs")) for plate in _tables(job.get("plates"))]
    count = 0
    for plate in plates:
        quantity, colours = plate.get("quantity", 1), plate.get("colours")
        count += (quantity if isinstance(quantity, int) else 1) * max(
            1, len(colours) if isinstance(colours, list) else 1
        )
    if count > MOST_PLATES:
        yield Problem(
            "", f"stands for {count} single plates; split a day of more than {MOST_PLATES} into several files"
        )


def _twice(tables: list[Mapping[str, Any]], key: str) -> list[str]:
    values = [" ".join(str(table[key]).split()) for table in tables if isinstance(table.get(key), (str, int))]
    return sorted({value for value in values if values.count(value) > 1})


def _tables(value: object) -> list[Mapping[str, Any]]:
    return [table for table in value if isinstance(table, dict)] if isinstance(value, list) else []


_NOUNS: Final = {"jobs": ("job", "number"), "plates": ("plate", "name"), "negatives": ("negative", "name"),
                 "tints": ("tint", "pattern")}  # fmt: skip


def _place(tables: Mapping[str, Any], keys: tuple[int | str, ...]) -> str:
    """Say where a key stands as a person would: job 2041, plate "Map", negative 2, key "film"."""
    words: list[str] = []
    here: Any = tables
    rest = [int(key) if isinstance(key, str) and key.isdigit() else key for key in keys]
    while len(rest) >= 2 and rest[0] in _NOUNS and isinstance(rest[1], int):
        noun, key = _NOUNS[str(rest[0])]
        entries = here.get(rest[0]) if isinstance(here, dict) else None
        here = entries[rest[1]] if isinstance(entries, list) and rest[1] < len(entries) else None
        given = here.get(key) if isinstance(here, dict) else None
        words.append(named(noun, rest[1] + 1, given))
        rest = rest[2:]
    if rest:
        words.append('key "' + ".".join(str(key + 1) if isinstance(key, int) else key for key in rest) + '"')
    return ", ".join(words)


def named(noun: str, position: int, given: object) -> str:
    """Name an entry of a list by what the order calls it, or by its place in the list, from 1."""
    if isinstance(given, (str, int)) and not isinstance(given, bool) and str(given).strip():
        text = str(given) if len(str(given)) <= 40 else f"{str(given)[:37]}..."
        return f"job {text}" if noun == "job" else f'{noun} "{text}"'
    return f"{noun} number {position} in its list"

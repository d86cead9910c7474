"""The Plan: one immutable record of a day's flats, from which every sheet is drawn and every proof is made.

Units are inches and square inches. Shapes on a flat are in the flat's frame: origin at the lower left corner of the
whole metal sheet as the stripper sees it (right-reading), x to the right, y up. A view may mirror; the record never
does. A plate's own frame has its origin at the lower left of the plate's bounding rectangle, before any turning.
"""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import Annotated, Final, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from planner.forms import InputError, Problem
from planner.orders import MetalName
from planner.reading import read_text

FORMAT: Final = "flatwright plan 1"

LARGEST_PLAN: Final = 512
"""MiB; a plan carries every shape of the day."""

Box: TypeAlias = tuple[float, float, float, float]
"""x, y, width, height: lower left corner and size."""

Ring: TypeAlias = tuple[tuple[float, float], ...]
Shape: TypeAlias = tuple[tuple[Ring, ...], ...]
"""Polygons; each a tuple of rings, the outer first, then its holes; rings are not closed."""

AreaClass: TypeAlias = Literal["printing", "routed", "flange", "trim", "kerf", "grip", "offcut", "scrap"]
AREA_CLASSES: Final[tuple[AreaClass, ...]] = (
    "printing", "routed", "flange", "trim", "kerf", "grip", "offcut", "scrap",
)  # fmt: skip
PLATE_CLASSES: Final[tuple[AreaClass, ...]] = ("printing", "routed", "flange", "trim")
"""The classes that belong to one plate; the others belong to the sheet."""


Person: TypeAlias = Literal["stripper", "etcher", "tint hand", "shear hand", "router", "finisher", "prover"]
"""Who works from the sheets."""

Scope: TypeAlias = Literal["plate", "flat", "day"]
"""What somebody looked at to find something."""

SheetOf: TypeAlias = Literal["stripper", "metal", "router"]
"""The sheets that every flat has."""


class Record(BaseModel):
    """Base of all that a plan is made of: frozen, nothing unknown, no infinities."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class Allowance(Record):
    """Metal asked for round a plate, by side, and who asked for it."""

    kind: Literal["bleed", "shoulder", "flange", "trim", "film"]
    left: float
    right: float
    bottom: float
    top: float
    rule: str
    reason: str
    setting: Annotated[str, Field(description="the key it came from, with its value")] = ""


class SharingRecord(Record):
    """With which others a rule lets, makes or wishes a plate to share a flat."""

    kind: Literal["apart", "together", "near"]
    key: Annotated[str, Field(description="plates with the same key belong to each other")]
    rule: str
    reason: str
    setting: str = ""


class StayingRecord(Record):
    """Metal of a plate that a rule keeps the router off, in square inches."""

    rule: str
    reason: str
    setting: str = ""
    area: float


class ChargeRecord(Record):
    """What a rule charges for a plate."""

    rule: str
    what: str
    quantity: float
    unit: Literal["each", "sq in", "in", "minutes"]
    rate: Annotated[str, Field(description="decimal amount for one unit, in the house's currency")]
    reason: str
    setting: str = ""


class PlateRecord(Record):
    """One plate of the day: one copy, one printing colour."""

    id: Annotated[str, Field(description="job/plate, with /colour and /copy where there are several")]
    job: str
    name: str
    copy_number: int
    copies: int
    colour: str | None
    metal: str
    gauge: float
    screen: int | None
    mounting: str
    block: Annotated[
        float | None, Field(description="thickness of the block that brings the plate to type height; null: no block")
    ]
    on_block: Annotated[
        str | None, Field(description="plates of the job with the same one are mounted on one block")
    ] = None
    may_turn: bool
    notes: str
    width: Annotated[float, Field(description="of the bounding rectangle, without bleed")]
    height: float
    outline: Annotated[Shape, Field(description="in the plate's frame, without bleed")]
    printing: Annotated[Shape, Field(description="what prints, in the plate's frame")]
    films: Annotated[int, Field(description="how many films it has")]
    blank: Annotated[Box, Field(description="the metal it needs, in the plate's frame, before turning")]
    allowances: tuple[Allowance, ...]
    share_key: Annotated[str, Field(description="plates with different keys may not share a flat")]
    together: Annotated[
        str, Field(description="plates with the same one go on one flat, the same way up, if they fit")
    ] = ""
    sharing: tuple[SharingRecord, ...] = ()
    staying: tuple[StayingRecord, ...] = ()
    charges: tuple[ChargeRecord, ...] = ()


class JobRecord(Record):
    """One job as ordered, with the number of plates that it must come out with."""

    number: str
    customer: str | None
    due: datetime | None
    rush: bool
    paper: Annotated[str | None, Field(description="what it is printed on, as ordered")] = None
    notes: str
    plates: Annotated[int, Field(description="how many single plates the job consists of")]


class ArtRecord(Record):
    """Art that one or several films are made from, read at one reproduction size.

    The art's frame: inches at reproduction size, origin at the lower left corner of the image before its film is
    turned, x right, y up.
    """

    id: Annotated[str, Field(description="unlike any other of this plan")]
    file: Annotated[str, Field(description="as the order file names it")]
    page: int | None
    digest: Annotated[str, Field(description="SHA-256 of the file")]
    kind: str
    threshold: float
    light_on_dark: bool
    mirrored: bool
    copy_size: Annotated[tuple[float, float], Field(description="of the whole copy before the camera")]
    crop: Annotated[
        tuple[float, float, float, float], Field(description="off the copy: left, right, bottom, top, in its inches")
    ]
    size: Annotated[tuple[float, float], Field(description="of the image on the plate")]
    percentage: Annotated[float, Field(description="linear; 50 makes it half as wide and half as high")]
    resolution: Annotated[float, Field(description="elements to the inch at reproduction size it was read with")]
    error: Annotated[float, Field(description="how far its outline may be off, at most")]
    area: Annotated[float, Field(description="square inches that print")]
    unit: Annotated[float, Field(description="inches of one unit of the path")]
    path: Annotated[str, Field(description="what prints: SVG path data of M, l and z, y up, even-odd, for drawing")]


class CopyRecord(Record):
    """A copy before the camera: the film of one plate, or of several plates that are alike."""

    plates: tuple[str, ...]
    film: Annotated[int, Field(description="number of the film on its plate")]
    art: Annotated[str, Field(description="id of the art")]
    percentage: float


class CameraRecord(Record):
    """Copies that are shot with one focus."""

    percentage: Annotated[float, Field(description="to focus for: the middle of what the copies ask")]
    spread: Annotated[float, Field(description="largest percentage of its copies less the smallest")]
    copies: tuple[CopyRecord, ...]


Transform: TypeAlias = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f: x' = a x + c y + e and y' = b x + d y + f, as SVG's matrix() has it."""


class FilmRecord(Record):
    """A piece of film as it lies on the flat."""

    number: Annotated[int, Field(description="place in the plate's list of negatives, from 1")]
    name: str
    kind: str
    use: Literal["base", "surprint", "reverse"]
    on: Annotated[int | None, Field(description="number of the film whose illustration an overlay lies on")]
    angle: Annotated[float, Field(description="degrees anticlockwise against the flat, quarter turns included")]
    size: Annotated[tuple[float, float], Field(description="width x height of the film before turning")]
    film: Shape
    image: Annotated[
        Shape, Field(description="what it shows; of art, with the whites filled that no cutter's clearance enters")
    ]
    art: Annotated[str | None, Field(description="id of the art it is made from")] = None
    art_transform: Annotated[
        Transform | None, Field(description="from the art's frame to the flat's, both in inches")
    ] = None


class TintRecord(Record):
    """An area of a plate that gets a mechanical pattern."""

    pattern: str
    area: Shape


class ZoneRecord(Record):
    """Dead metal: what one cutter takes, or what no cutter reaches (``cutter`` is null: hand tools)."""

    cutter: Annotated[float | None, Field(description="diameter of the cutter")]
    area: float
    shape: Shape


class StretchRecord(Record):
    """Where the edge of a zone runs close to fine detail: a line along that edge, in the plate's frame."""

    zone: Annotated[int, Field(description="number of the zone")]
    line: Ring
    length: float
    distance: Annotated[float, Field(description="from the edge of the zone to the fine detail, where it is least")]
    width: Annotated[float, Field(description="of the fine detail, where it is thinnest")]


class RouterZone(Record):
    """One connected piece of dead metal and how it is cut away; in the plate's frame.

    ``paths`` are lines of the cutter's middle, in working order: a closed line repeats its first point at its end.
    Each begins where the cutter is set down. A piece for hand tools (``cutter`` is null) has no paths.
    """

    number: Annotated[int, Field(description="in working order on this plate, from 1")]
    cutter: float | None
    depth: Annotated[float, Field(description="below the printing face")]
    depth_for: Literal["line", "halftone", "open"]
    area: float
    shape: Shape
    paths: tuple[Ring, ...]
    length: Annotated[float, Field(description="of all its paths")]
    travel: Annotated[float, Field(description="lifted: from the zone before it, and between its paths")]
    lifts: Annotated[int, Field(description="how often the cutter is set down")]
    minutes: Annotated[float | None, Field(description="cutting, travelling and lifting; null: by hand, nobody knows")]
    chips: Annotated[float, Field(description="pounds")]


class RouterRecord(Record):
    """The router's whole work on one plate, or on each of several that are alike; in the plate's frame."""

    plates: tuple[str, ...]
    zones: tuple[RouterZone, ...]
    whites: Annotated[Shape, Field(description="whites that need no routing, being narrow; clearance taken off")]
    whites_area: float
    nails: Annotated[tuple[tuple[float, float], ...], Field(description="where nails go through dead metal")]
    nail_width: Annotated[float, Field(description="diameter of what stays round a nail: its head and clearance")]
    near: Annotated[tuple[StretchRecord, ...], Field(description="edges close to fine detail, the worst first")]
    length: float
    travel: float
    travel_nearest: Annotated[
        float,
        Field(
            description="what the travel would be if the cutter always went to the nearest path next, finishing each "
            "piece before another"
        ),
    ]
    lifts: int
    minutes: float
    chips: Annotated[float, Field(description="pounds, machine and hand together")]


class Placement(Record):
    """One plate on a flat. All shapes are in the flat's frame."""

    plate: Annotated[str, Field(description="id of a plate of this plan")]
    blank: Annotated[Box, Field(description="the metal the plate needs")]
    part: Annotated[Box, Field(description="the piece of metal that the cuts leave it, at least the blank")]
    metal: Annotated[
        Shape, Field(default=(), description="on a free flat, the metal sawn out for the plate; its box is ``part``")
    ]
    turned: Annotated[Literal[0, 90, 180, 270], Field(description="degrees anticlockwise")]
    outline: Annotated[Shape, Field(description="the finished plate with its bleed, holes open")]
    printing: Annotated[Shape, Field(description="what prints: images inside the plate, and tints")]
    flange: Annotated[Shape, Field(description="flange and shoulder round the plate")]
    staying: Annotated[Shape, Field(description="metal of the plate that must stay though it does not print")]
    films: tuple[FilmRecord, ...]
    tints: tuple[TintRecord, ...]
    zones: tuple[ZoneRecord, ...]


class CutPart(Record):
    """A piece of the sheet and what becomes of it: cut in two from edge to edge, or used.

    A vertical cut stands at x = ``at``, a horizontal one at y = ``at``; ``at`` is the middle of the kerf. ``number``
    counts the cuts of the flat in the order in which they are made. ``low`` and ``high`` are the places, in the
    flat's list of parts, of what lies to the left of or below the cut and of what lies beyond it. A part without a
    cut is a plate's metal (``use`` is ``plate``), a grip margin, an offcut or scrap.
    """

    box: Box
    cut: Literal["vertical", "horizontal"] | None = None
    at: float | None = None
    kerf: float | None = None
    number: int | None = None
    low: int | None = None
    high: int | None = None
    use: Literal["plate", "grip", "offcut", "scrap"] | None = None
    plate: str | None = None


class RestRecord(Record):
    """Metal of a free flat that belongs to no plate."""

    use: Literal["grip", "offcut", "scrap"]
    shape: Shape


class PassRecord(Record):
    """Something done over the whole flat beside printing and etching it; shapes in the flat's frame."""

    rule: str
    sheet: Annotated[str, Field(description="what the page is called that it is drawn on")]
    name: str
    side: Annotated[Literal["glass", "metal"], Field(description="from where it is worked")]
    opens: Annotated[Shape, Field(description="where it acts")]
    mask: Annotated[Shape, Field(description="what is covered or stopped out meanwhile")]
    plates: tuple[str, ...]
    films: Annotated[
        tuple[tuple[str, int], ...], Field(description="what is laid: id of the plate, number of the film")
    ]
    frame: Annotated[Box | None, Field(description="where a frame lies")]
    notes: str
    reason: str


class MarkRecord(Record):
    """Something that a rule draws, in the flat's frame: lines, areas, register crosses or words at points."""

    rule: str
    kind: Literal["line", "area", "cross", "text"]
    layer: str
    words: str
    sheets: tuple[str, ...]
    plate: str | None
    area: Shape = ()
    lines: Annotated[tuple[Ring, ...], Field(description="open lines, or points of one corner each")] = ()


class StepRecord(Record):
    """What somebody has to do."""

    rule: str
    who: Person
    words: str
    plates: tuple[str, ...]


class SheetRecord(Record):
    """The metal sheet under a flat."""

    name: str
    metal: MetalName
    gauge: float
    width: float
    height: float
    price: Annotated[str | None, Field(description="decimal amount in the house's currency")]
    remnant: bool


class Flat(Record):
    """One flat: the sheet, what lies on it, and how it is cut apart."""

    number: int
    sheet: SheetRecord
    share_key: str
    grip: Annotated[float, Field(description="margin of the sheet that clamps and grips hold")]
    usable: Annotated[Box, Field(description="inside the grip margin and on the glass")]
    spots: Annotated[tuple[Box, ...], Field(description="to be kept clear: scratches and bubbles of the glass")]
    how_cut: Literal["shear", "saw"]
    kerf: float
    gap: Annotated[float, Field(description="least distance between two blanks")]
    layout: Annotated[
        Literal["straight", "free"],
        Field(
            description="straight: cut apart by cuts from edge to edge; free: each plate sawn out along its own line"
        ),
    ]
    placements: tuple[Placement, ...]
    cut_tree: Annotated[
        tuple[CutPart, ...],
        Field(description="the whole sheet first; each part before those it is cut into; empty on a free flat"),
    ]
    kerf_shape: Annotated[Shape, Field(default=(), description="on a free flat, the metal that the saw turns to chips")]
    rest: Annotated[tuple[RestRecord, ...], Field(default=(), description="on a free flat, what belongs to no plate")]
    cuts: Annotated[int, Field(description="how many cuts the tree has")]
    passes: Annotated[tuple[PassRecord, ...], Field(description="in the order in which they are done")] = ()
    marks: tuple[MarkRecord, ...] = ()
    steps: tuple[StepRecord, ...] = ()
    seams: Annotated[
        Shape, Field(description="what the stripper opaques: narrow gaps between films, and joints where they meet")
    ] = ()

    def _repr_svg_(self) -> str:
        """Show the flat in a notebook, as the stripper sees it."""
        from planner.page.picture import flat_picture  # noqa: PLC0415 - drawing reads the plan, not the other way round

        return flat_picture(self)


class OffcutRecord(Record):
    """An offcut that goes back on the rack: its name, and where to cut it."""

    name: Annotated[str, Field(description="to be written on the metal")]
    flat: int
    box: Annotated[Box, Field(description="in the flat's frame")]
    after_cut: Annotated[int | None, Field(description="the cut that frees it; null on a free flat")]


class RackRecord(Record):
    """The rack that a plan was made with."""

    day: Annotated[str, Field(description="the name under which the rack keeps this plan")]
    taken: Annotated[tuple[str, ...], Field(description="names of the rack's pieces that are sheets of this plan")]


class HeldPlate(Record):
    """A plate that is on no flat, and why."""

    plate: str
    code: Literal["too-large", "no-metal", "out-of-stock"]
    reason: str


class FindingRecord(Record):
    """A finding, with its place: in the flat's frame when ``flat`` is given, else in the plate's."""

    code: str
    severity: Literal["stop", "warn", "note"]
    rule: Annotated[str, Field(description="the rule or the check that says so")]
    plate: str | None
    flat: int | None
    message: str
    cure: str
    amount: float | None
    unit: str
    shape: Shape
    scope: Annotated[Scope, Field(description="what was looked at")] = "plate"


class Account(Record):
    """Square inches by class. For a flat they add up to its sheet."""

    printing: float
    routed: float
    flange: float
    trim: float
    kerf: float
    grip: float
    offcut: float
    scrap: float


class FlatAccount(Record):
    """The account of one flat."""

    flat: int
    sheet_area: float
    weight: Annotated[float, Field(description="of the whole sheet, in pounds")]
    areas: Account


class JobAccount(Record):
    """What the plates of one job take: only the classes that belong to plates; the others are zero."""

    job: str
    areas: Account


class Ledger(Record):
    """Every square inch of the day's metal."""

    flats: tuple[FlatAccount, ...]
    jobs: tuple[JobAccount, ...]
    total: Account


class BoundRecord(Record):
    """How far a group's flats are from the fewest that are proven possible."""

    share_key: str
    flats: int
    proven_least: Annotated[int, Field(description="no plan needs fewer flats for these plates")]
    cost: Annotated[
        float,
        Field(description="of sheets and flats; square inches and ten for each flat where no price is known"),
    ]
    least_cost: Annotated[float, Field(description="no plan costs less for these plates")]


class RuleRecord(Record):
    """A house rule that was in force."""

    name: str
    version: str
    source: Annotated[str, Field(description="the distribution or file that it came from")]


class Settings(Record):
    """What the plan was made with, so that it can be made again."""

    seed: int
    iterations: Annotated[int, Field(description="restarts of the search that were done")]
    stopped: Annotated[str, Field(description="why the search ended: bound, iterations, seconds or interrupted")]
    house: str
    currency: str
    register_tolerance: float
    clearance: float
    least_white: float
    cutters: tuple[float, ...]
    least_offcut: tuple[float, float]
    least_offcut_of: Annotated[
        dict[MetalName, tuple[float, float]],
        Field(default_factory=dict, description="of some metals, where it is another"),
    ]
    rules: tuple[RuleRecord, ...]


class Plan(Record):
    """A planned day."""

    format: Literal["flatwright plan 1"] = FORMAT
    title: str
    version: Annotated[str, Field(description="of flatwright")]
    settings: Settings
    jobs: tuple[JobRecord, ...]
    plates: tuple[PlateRecord, ...]
    flats: tuple[Flat, ...]
    held: tuple[HeldPlate, ...]
    findings: tuple[FindingRecord, ...]
    bounds: tuple[BoundRecord, ...]
    ledger: Ledger
    art: tuple[ArtRecord, ...] = ()
    camera: Annotated[tuple[CameraRecord, ...], Field(description="the camera's settings, largest first")] = ()
    router: Annotated[tuple[RouterRecord, ...], Field(description="by plate, in the order of the plates")] = ()
    offcuts: Annotated[tuple[OffcutRecord, ...], Field(description="what goes back on the rack, flat by flat")] = ()
    rack: Annotated[RackRecord | None, Field(description="null: planned without a rack")] = None

    def _repr_html_(self) -> str:
        """Show the day in a notebook: its flats with pictures, what is held, how much was found."""
        from planner.page.notebook import plan_html  # noqa: PLC0415 - drawing reads the plan, not the other way round

        return plan_html(self)


def plan_text(plan: Plan) -> str:
    """Give the plan as JSON text: the same plan always as the same bytes."""
    return json.dumps(plan.model_dump(mode="json"), ensure_ascii=False, separators=(",", ":")) + "\n"


def read_plan(path: Path) -> Plan:
    """Read a plan file.

    Raises:
        InputError: the file is not there or is no plan of this format.
    """
    text = read_text(path, LARGEST_PLAN)
    try:
        return Plan.model_validate_json(text)
    except ValidationError as error:
        slip = error.errors()[0]
        where = ".".join(str(step) for step in slip["loc"]) or "the file"
        more = f" (and {error.error_count() - 1} more)" if error.error_count() > 1 else ""
        raise InputError(
            str(path), [Problem("", f"is no plan of the format {FORMAT!r}: {where}: {slip['msg']}{more}")]
        ) from None

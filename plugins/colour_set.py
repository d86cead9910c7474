"""Colour sets: plates of one description on one flat, screens turned apart, register crosses, filters and proofs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Annotated, Final, Literal, TypeAlias

from pydantic import Field, field_validator
from shapely import MultiPoint, Point

from planner.hookspecs import (
    Finding,
    Label,
    LaidDay,
    LaidFlat,
    LaidPlate,
    Length,
    Margin,
    Mark,
    OrderedPlate,
    Rule,
    Settings,
    Sharing,
    SideName,
    Step,
    hookimpl,
    shape_of,
)

Colour: TypeAlias = Literal["yellow", "red", "blue", "black"]
Degrees: TypeAlias = Annotated[float, Field(ge=0, lt=180)]
"""Of a screen against the upright, anticlockwise."""

_COLOURS: Final[tuple[Colour, ...]] = ("yellow", "red", "blue", "black")

_AROUND: Final[tuple[SideName, ...]] = ("right", "top", "left", "bottom")
"""Sides in the order in which a quarter turn anticlockwise takes one to the place of the next."""

_OUTWARDS: Final = {"right": (1, 0), "top": (0, 1), "left": (-1, 0), "bottom": (0, -1)}

_TINY: Final = 1e-6
"""Inches and degrees; less is rounding."""


class ColourSettings(Settings):
    """How the house turns its screens, makes its colour negatives and proves its sets."""

    # Later four-colour practice: black 45, red (magenta) 75, yellow 90, blue (cyan) 105, common practice. With three
    # colours Encyclopaedia Britannica, 14th ed., "Photo-Engraving", has one at 45 and the others at 75 and 15 degrees.
    yellow_angle: Annotated[Degrees, Field(default=90.0, description="of the yellow plate's screen, in degrees")]
    red_angle: Annotated[Degrees, Field(default=75.0, description="of the red plate's screen, in degrees")]
    blue_angle: Annotated[Degrees, Field(default=105.0, description="of the blue plate's screen, in degrees")]
    black_angle: Annotated[Degrees, Field(default=45.0, description="of the black plate's screen, in degrees")]
    # ISO 12647-2 (from memory): the strong colours 30 degrees apart, yellow 15 from its neighbours.
    least_apart: Annotated[
        float, Field(default=30.0, ge=0, le=45, description="least degrees between the screens of strong colours")
    ]
    least_from_yellow: Annotated[
        float, Field(default=15.0, ge=0, le=45, description="least degrees between yellow's screen and another")
    ]
    # Encyclopaedia Britannica (as above): blue, green and red filters for yellow, red and blue. Ridgway, The
    # Preparation of Illustrations (1920), p. 79: violet, green and orange.
    yellow_filter: Annotated[Label, Field(default="blue or violet", description="of the yellow plate's negative")]
    red_filter: Annotated[Label, Field(default="green", description="of the red plate's negative")]
    blue_filter: Annotated[Label, Field(default="red or orange", description="of the blue plate's negative")]
    # Common practice.
    black_filter: Annotated[Label, Field(default="yellow or split", description="of the black plate's negative")]
    # Common practice: a register cross of 1/4 in fits.
    register_room: Annotated[
        Length, Field(default=1 / 4, description="trim round the plates of a set, for register crosses")
    ]
    # Hill, The Essentials of Illustration (1915): yellow, red, blue; black is added as the fourth.
    proofs: Annotated[
        tuple[Colour, ...], Field(default=_COLOURS, description="order in which the colours are proved and printed")
    ]

    @field_validator("proofs")
    @classmethod
    def _all_once(cls, proofs: tuple[Colour, ...]) -> tuple[Colour, ...]:
        if sorted(proofs) != sorted(_COLOURS):
            raise ValueError(f"must name each of {', '.join(_COLOURS)} once")
        return proofs

    def angle(self, colour: str) -> float:
        """Give the angle of a colour's screen, in degrees."""
        return float(getattr(self, f"{colour}_angle"))

    def filter_of(self, colour: str) -> str:
        """Name the filter of a colour's negative."""
        return str(getattr(self, f"{colour}_filter"))


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule(
        "colour-set",
        "1.1",
        "the plates of a colour set lie on one flat, the same way up, with register crosses at the same places",
        ColourSettings,
    )


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: ColourSettings) -> Sequence[Margin]:
    """Ask for room for register crosses in the metal that is cut away."""
    if plate.colour is None or not settings.register_room:
        return []
    reason = "room for the register crosses of a colour set, cut away once it is proved"
    return [Margin.all_round("trim", settings.register_room, reason, "register_room")]


@hookimpl
def flatwright_sharing(plate: OrderedPlate) -> Sequence[Sharing]:
    """Keep the printing colours of one copy together."""
    if plate.colour is None:
        return []
    key = f"{plate.job}/{plate.name}/{plate.copy_number}"
    return [
        Sharing("together", key, "its colours must fall on each other, and metal etched apart does not stretch alike")
    ]


@hookimpl
def flatwright_marks(flat: LaidFlat, settings: ColourSettings) -> Sequence[Mark]:
    """Draw register crosses in the middle of each plate's four sides, outside its face, at the same places on all."""
    words = "register cross of a colour set"
    return [
        Mark("cross", MultiPoint(crosses), "Register", words, ("stripper", "metal"), laid.record.id)
        for laid in flat.plates
        if laid.record.colour is not None and laid.record.together and (crosses := _crosses(laid))
    ]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: ColourSettings) -> Sequence[Step]:
    """Say how the sets of a flat are laid, etched, proved and parted from their crosses."""
    named: dict[tuple[str, str], list[Mapping[str, LaidPlate]]] = {}
    for (job, name, _), plates in _sets(flat).items():
        named.setdefault((job, name), []).append(plates)
    return [step for sets in named.values() for step in _steps(sets, settings)]


@hookimpl
def flatwright_inspect_day(day: LaidDay, settings: ColourSettings) -> Sequence[Finding]:
    """Look at the angles of halftone sets, at crosses that would not meet, and at sets of which a part is held."""
    laid = {plate.record.id: plate for flat in day.flats for plate in flat.plates}
    held = {plate.plate for plate in day.held}
    found: list[Finding] = []
    seen: set[tuple[str, str]] = set()
    for (job, name, _), plates in _whole_sets(day).items():
        found += _held(plates, held)
        found += _unlike(plates, laid)
        if (job, name) not in seen:
            # All copies of a plate have the same screens.
            seen.add((job, name))
            found += _angles(plates, day.plates[next(iter(plates.values()))].screen, settings)
    return found


def separation(first: float, second: float) -> float:
    """Give the degrees between two screens; a crossline screen looks the same after a quarter turn."""
    apart = abs(first - second) % 90
    return min(apart, 90 - apart)


def moire_period(ruling: float, degrees: float) -> float:
    """Give the period in inches of the pattern of two screens of one ruling, turned against each other.

    The lines of two gratings of period p that cross under the angle a are p / (2 sin(a / 2)) apart: Amidror, The Theory
    of the Moire Phenomenon, on gratings of equal period (from memory; it follows from the rhombus that the lines form,
    whose sides are p / sin a). Infinite for screens that lie alike.
    """
    sine = math.sin(math.radians(degrees) / 2)
    return 1 / (2 * ruling * sine) if sine > 0 else math.inf


# ------------------------------------------------------------------ sets

_SetKey: TypeAlias = tuple[str, str, int]


def _sets(flat: LaidFlat) -> dict[_SetKey, dict[str, LaidPlate]]:
    """The sets of a flat, or what of them lies on it: by colour, in the order in which they are numbered."""
    sets: dict[_SetKey, dict[str, LaidPlate]] = {}
    for laid in flat.plates:
        record = laid.record
        if record.colour is not None and record.together:
            sets.setdefault((record.job, record.name, record.copy_number), {})[record.colour] = laid
    return sets


def _whole_sets(day: LaidDay) -> dict[_SetKey, dict[str, str]]:
    """All sets of the day: the ids of their plates by colour, held ones too."""
    sets: dict[_SetKey, dict[str, str]] = {}
    for plate in day.plates.values():
        if plate.colour is not None and plate.together:
            sets.setdefault((plate.job, plate.name, plate.copy_number), {})[plate.colour] = plate.id
    return sets


def _held(plates: Mapping[str, str], held: set[str]) -> Iterator[Finding]:
    missing = [colour for colour, plate in plates.items() if plate in held]
    there = [colour for colour, plate in plates.items() if plate not in held]
    if not missing or not there:
        return
    yield Finding(
        "colour.held",
        "warn",
        f"of its set {_listed(there)} {_are(there)} laid and {_listed(missing)} {_are(missing)} on no flat: etched "
        "another day, they will hardly fall on each other",
        "hold the whole set until all of it can be laid, or make room for what is missing",
        plate=plates[there[0]],
    )


def _unlike(plates: Mapping[str, str], laid: Mapping[str, LaidPlate]) -> Iterator[Finding]:
    """Crosses that other rules' margins, asked for some colours only, have pushed away."""
    crosses = {colour: _crosses_of_plate(laid[plate]) for colour, plate in plates.items() if plate in laid}
    if len(set(crosses.values())) > 1:
        first, *others = crosses
        other = next(colour for colour in others if crosses[colour] != crosses[first])
        yield Finding(
            "colour.register",
            "warn",
            f"the register crosses of {first} and {other} would not meet: the two plates have other margins",
            "ask for the same margins round every plate of the set",
            plate=plates[first],
        )


def _angles(plates: Mapping[str, str], ruling: int | None, settings: ColourSettings) -> Iterator[Finding]:
    if ruling is None:
        return
    near = {
        pair: apart
        for pair in combinations(plates, 2)
        if (apart := _apart(pair, settings)) < _least(pair, settings) - _TINY
    }
    if not near:
        return
    said = "; ".join(
        f"{_listed(pair)} {apart:g} degrees, a pattern of {_pattern_words(ruling, apart)}"
        for pair, apart in near.items()
    )
    yield Finding(
        "colour.angles",
        "warn",
        f"screens of its set stand too near to each other: {said}",
        f"turn strong colours {settings.least_apart:g} degrees apart and yellow {settings.least_from_yellow:g} from "
        "them ([rules.colour-set], keys like red_angle)",
        amount=min(near.values()),
        unit="deg",
        plate=next(iter(plates.values())),
    )


def _apart(pair: tuple[str, str], settings: ColourSettings) -> float:
    first, second = pair
    return separation(settings.angle(first), settings.angle(second))


def _least(pair: tuple[str, str], settings: ColourSettings) -> float:
    return settings.least_from_yellow if "yellow" in pair else settings.least_apart


def _pattern_words(ruling: int, degrees: float) -> str:
    period = moire_period(ruling, degrees)
    if math.isinf(period):
        return "no end"
    return f"{period * ruling:.1f} dots ({period:.3f} in)"


# ------------------------------------------------------------------ crosses


def _crosses(laid: LaidPlate) -> list[tuple[float, float]]:
    """Places of a plate's crosses on the flat: off the middles of its sides, in what is cut away, else on the flange.

    A side without any metal outside the face has none; so has one where a free saw cut leaves none.
    """
    left, bottom, right, top = shape_of(laid.placement.outline).bounds
    middle_x, middle_y = (left + right) / 2, (bottom + top) / 2
    quarters = laid.placement.turned // 90
    metal = shape_of(laid.placement.metal)
    places = []
    for number, of_plate in enumerate(_AROUND):
        outside = _outside(laid, of_plate)
        if outside is None:
            continue
        across, up = _OUTWARDS[_AROUND[(number + quarters) % 4]]
        x = middle_x + across * ((right - left) / 2 + outside)
        y = middle_y + up * ((top - bottom) / 2 + outside)
        if metal.is_empty or metal.covers(Point(x, y)):
            places.append((x, y))
    return places


def _crosses_of_plate(laid: LaidPlate) -> tuple[tuple[float, float], ...]:
    """The same places from the middle of the face, as the plate reads, in whole millionths of an inch."""
    left, bottom, right, top = shape_of(laid.placement.outline).bounds
    quarters = laid.placement.turned // 90
    places = []
    for x, y in _crosses(laid):
        across, up = x - (left + right) / 2, y - (bottom + top) / 2
        for _ in range(quarters):
            across, up = up, -across
        places.append((round(across, 6) + 0.0, round(up, 6) + 0.0))
    return tuple(places)


def _outside(laid: LaidPlate, side: SideName) -> float | None:
    """How far outside its face a plate's cross lies on a side of the plate; None without room."""
    shoulder, flange, trim = (_widest(laid, kind, side) for kind in ("shoulder", "flange", "trim"))
    if trim > _TINY:
        return shoulder + flange + trim / 2
    return shoulder + flange / 2 if flange > _TINY else None


def _widest(laid: LaidPlate, kind: str, side: SideName) -> float:
    """The widest margin of a kind that any rule asks for: that is what the metal has."""
    return max((float(getattr(asked, side)) for asked in laid.record.allowances if asked.kind == kind), default=0.0)


# ------------------------------------------------------------------ steps


def _steps(sets: Sequence[Mapping[str, LaidPlate]], settings: ColourSettings) -> Iterator[Step]:
    """What is done with the sets of one name on a flat."""
    colours = [colour for colour in settings.proofs if any(colour in plates for plates in sets)]
    ids = tuple(plates[colour].record.id for plates in sets for colour in colours if colour in plates)
    first = next(iter(sets[0].values())).record
    name = f'"{first.name}" of job {first.job}'
    turned = ""
    if first.screen is not None:
        turned = f" Screens: {', '.join(f'{colour} {settings.angle(colour):g}' for colour in colours)} degrees."
    filters = "; ".join(f"{colour}: {settings.filter_of(colour)}" for colour in colours)
    yield Step(
        "stripper",
        f"Colour set {name}: lay {_listed(colours)} the same way up, in register.{turned} Its negatives come through "
        f"these filters: {filters}.",
        ids,
    )
    yield Step("etcher", f"Colour set {name}: etch all alike, and leave the register crosses standing.", ids)
    yield Step("prover", f"Colour set {name}: {_proof_words(colours)}{_expected(colours, first.screen, settings)}", ids)
    yield Step("finisher", f"Colour set {name}: cut away no register cross before the set is proved.", ids)


def _proof_words(colours: Sequence[str]) -> str:
    if len(colours) == 1:
        return f"prove the {colours[0]} plate alone; the others are on other flats."
    singles = ", ".join(colours)
    built = "; ".join(_listed(colours[:count]) for count in range(2, len(colours) + 1))
    return f"progressive proofs in the order {singles}: each alone, then {built}."


def _expected(colours: Sequence[str], ruling: int | None, settings: ColourSettings) -> str:
    """The widest pattern that the screens make with each other."""
    if ruling is None or len(colours) < 2:
        return ""
    pair = min(combinations(colours, 2), key=lambda pair: _apart(pair, settings))
    words = _pattern_words(ruling, _apart(pair, settings))
    return (
        f" At {ruling} lines expect a pattern of {words}, of {_listed(pair)}; a wider one means a screen turned wrong."
    )


def _are(words: Sequence[str]) -> str:
    return "is" if len(words) == 1 else "are"


def _listed(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)

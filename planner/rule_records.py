"""What a house rule hands back: frozen records, each with its reason and, where there is one, the setting behind it.

Lengths are inches, areas square inches. ``reason`` is a phrase that ends the sentence "because ..." or "for ...";
``setting`` names the key of the rule's own settings that the figure came from, so that `flatwright why` can show it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal, TypeAlias

from shapely import Point
from shapely.geometry.base import BaseGeometry

from planner.forms import Form as Settings
from planner.geometry import grown
from planner.plan import Box, Person, SheetOf

INTERFACE: Final = 1
"""The version of the hook interface; it grows when a rule made for the older one would no longer do."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What a rule is: its name, its version, one line about it, and the settings a house may give it.

    ``settings`` is a pydantic model built on `Settings`; every field needs a default and a description. The house
    writes it under ``[rules.<name>]``. ``interface`` is the version of the hooks that the rule was written for.
    Rules are called by ``order``, the smallest first, and those of one order by name.
    """

    name: str
    version: str
    description: str
    settings: type[Settings] = Settings
    interface: int = 1
    order: int = 0


MarginKind: TypeAlias = Literal["shoulder", "flange", "trim"]


@dataclass(frozen=True, slots=True)
class Margin:
    """Metal asked for round a plate, in inches a side, with the reason in words.

    From the plate outwards lie its shoulder, its flange, and the trim that is cut away.
    """

    kind: MarginKind
    left: float
    right: float
    bottom: float
    top: float
    reason: str
    setting: str = ""

    @classmethod
    def all_round(cls, kind: MarginKind, width: float, reason: str, setting: str = "") -> Margin:
        """Ask for the same width on all four sides."""
        return cls(kind, width, width, width, width, reason, setting)


@dataclass(frozen=True, slots=True)
class Sharing:
    """With which other plates a plate may, must or would like to share a flat.

    ``apart``: only plates with the same key may lie on one flat; plates without one keep to themselves. The key is
    written on the flat's sheets, with commas between several rules' keys, so it has none.
    ``together``: plates with the same key go on one flat, the same way up, if they fit on one.
    ``near``: plates with the same key go on one flat where that costs no metal.
    """

    kind: Literal["apart", "together", "near"]
    key: str
    reason: str
    setting: str = ""


@dataclass(frozen=True, slots=True)
class StayingMetal:
    """Metal of a plate that the router must leave though it does not print."""

    shape: BaseGeometry
    reason: str
    setting: str = ""


@dataclass(frozen=True, slots=True)
class NailSpot:
    """A place where a nail goes through dead metal: its middle, and the diameter of the metal that stays round it."""

    x: float
    y: float
    width: float
    reason: str
    setting: str = ""

    @property
    def shape(self) -> BaseGeometry:
        """The metal that stays round the nail; never less than the true disc."""
        return grown(Point(self.x, self.y), self.width / 2)


@dataclass(frozen=True, slots=True)
class Pass:
    """Something done over a whole flat beside printing and etching it: a second exposure, the lay of a tint.

    Shapes are in the flat's frame. ``opens`` is where it acts, ``mask`` what is covered or stopped out meanwhile: they
    may not overlap, and a mask that is not empty covers all that is not opened. Passes with the same ``sheet`` are
    drawn on one page, in the order returned. ``side`` says from where it is worked: ``glass`` pages read right,
    ``metal`` pages are their mirror image. ``frame`` is where a frame or a film lies, if one does. ``films`` names what
    is laid: id of the plate and number of the film.
    """

    sheet: str
    name: str
    side: Literal["glass", "metal"]
    opens: BaseGeometry
    mask: BaseGeometry
    reason: str
    plates: tuple[str, ...] = ()
    films: tuple[tuple[str, int], ...] = ()
    frame: Box | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """Something to draw on a flat's sheets, in the flat's frame; each view mirrors it as it mirrors the rest.

    ``line``: lines; ``area``: areas, hatched; ``cross``: register crosses, one at each point of the shape; ``text``:
    ``words`` beside a point. ``words`` of the other kinds stand in the legend. Marks of one layer are drawn as one.
    ``sheets`` are those it is drawn on; besides the planner's own, the ``sheet`` of a `Pass`.
    """

    kind: Literal["line", "area", "cross", "text"]
    shape: BaseGeometry
    layer: str
    words: str
    sheets: tuple[SheetOf | str, ...]
    plate: str | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """Something that somebody does, as a sentence for the job sheets; ``plates`` are those it is about."""

    who: Person
    words: str
    plates: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Charge:
    """Something to be charged for a plate: how many of what unit, at which rate in the house's currency."""

    what: str
    quantity: float
    unit: Literal["each", "sq in", "in", "minutes"]
    rate: Decimal
    reason: str
    setting: str = ""

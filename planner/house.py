"""What the house file may say: the metal on hand, the glass, the tools and the habits of one shop.

Every value has a default, so that an order file alone is enough. The defaults are common practice of the trade where
no published figure exists; each is a setting because every house differs.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Final, Literal

from pydantic import Field, model_validator

from planner.forms import (
    Form,
    Gauge,
    Label,
    Length,
    Money,
    Place,
    PositiveLength,
    Size,
    checked,
    several,
)
from planner.orders import MetalName
from planner.prices import Prices, in_one_currency
from planner.printer import Printer
from planner.reading import read_tables


class Sheet(Form):
    """One kind of metal sheet on hand."""

    name: Annotated[Label | None, Field(default=None, description="what the rack calls it; made up if left out")]
    metal: Annotated[MetalName, Field(description="copper, zinc or magnesium")]
    gauge: Annotated[Gauge, Field(default=0.064, description="thickness")]
    size: Annotated[Size, Field(description="width x height of the whole sheet")]
    count: Annotated[
        int | None,
        Field(
            default=None,
            ge=0,
            le=100_000,
            strict=True,
            description="how many; if left out no limit, and one of a remnant",
        ),
    ]
    price: Annotated[Money | None, Field(default=None, description="of one sheet; by its area if none has a price")]
    remnant: Annotated[bool, Field(default=False, strict=True, description="an offcut from an earlier day")]

    @property
    def on_hand(self) -> int | None:
        """How many there are; None for as many as wanted."""
        return 1 if self.count is None and self.remnant else self.count


class BuyableSheet(Form):
    """One kind of metal sheet that could be bought."""

    name: Annotated[Label | None, Field(default=None, description="what it is called; made up if left out")]
    metal: Annotated[MetalName, Field(description="copper, zinc or magnesium")]
    gauge: Annotated[Gauge, Field(default=0.064, description="thickness")]
    size: Annotated[Size, Field(description="width x height of the whole sheet")]
    price: Annotated[Money, Field(description="of one sheet")]
    lead: Annotated[int, Field(default=0, ge=0, le=999, strict=True, description="days until it is here")]
    pack: Annotated[int, Field(default=1, ge=1, le=10_000, strict=True, description="sold so many at a time")]
    count: Annotated[
        int | None, Field(default=None, ge=1, le=100_000, strict=True, description="no more than so many can be had")
    ]

    @model_validator(mode="after")
    def _makes_sense(self) -> BuyableSheet:
        if self.count is not None and self.count < self.pack:
            raise several([("count", f"is less than one pack of {self.pack}")])
        return self


class RackHabits(Form):
    """What an offcut on the rack counts for (plan --rack)."""

    # Common practice: an offcut is worth having only for less than new metal.
    worth: Annotated[
        float,
        Field(
            default=0.5, ge=0, le=1,
            description="times its part of the price of the sheet that it was cut from; never less than it brings as "
            "scrap",
        ),
    ]  # fmt: skip


class Spot(Form):
    """A scratch or a bubble in the glass: no plate is laid over it."""

    at: Annotated[Place, Field(description="its lower left corner on the glass, whose first side lies across")]
    size: Annotated[Size, Field(description="width x height of the spot")]


class Glass(Form):
    """The glass that carries the flat, and the metal's margin that tools hold."""

    size: Annotated[Size, Field(default=(30.0, 40.0), description="of the plate glass; either way round")]
    grip: Annotated[Length, Field(default=0.5, description="margin of every sheet lost to clamps and grips")]
    spots: Annotated[
        tuple[Spot, ...],
        Field(default=(), description='scratches, like { at = "2, 3 in", size = "1 x 1 in" }'),
    ]

    @model_validator(mode="after")
    def _makes_sense(self) -> Glass:
        problems = [
            (f"spots.{number}", "lies off the glass")
            for number, spot in enumerate(self.spots)
            if min(spot.at) < 0
            or spot.at[0] + spot.size[0] > self.size[0] + 1e-9
            or spot.at[1] + spot.size[1] > self.size[1] + 1e-9
        ]
        if problems:
            raise several(problems)
        return self


class Cutting(Form):
    """How the etched sheet is cut apart into plates."""

    how: Annotated[Literal["shear", "saw"], Field(default="shear", description="shear, or saw with its kerf")]
    kerf: Annotated[Length | None, Field(default=None, description="metal lost in a cut: shear 0, saw 1/16 in")]
    gap: Annotated[Length, Field(default=1 / 8, description="least distance between two blanks")]
    trim: Annotated[Length, Field(default=1 / 16, description="allowance round every plate for cutting it true")]
    layout: Annotated[
        Literal["best", "straight"],
        Field(default="best", description="with a saw, best: plates may be sawn out freely where that saves metal"),
    ]
    longest_cut: Annotated[
        PositiveLength | None, Field(default=None, description="longest cut the shear makes inside the grip margin")
    ]
    least_strip: Annotated[
        PositiveLength | None, Field(default=None, description="narrowest strip that can be held and cut again")
    ]
    stages: Annotated[
        int | None,
        Field(default=None, ge=2, le=20, strict=True, description="how often the way of cutting may change"),
    ]

    @model_validator(mode="after")
    def _makes_sense(self) -> Cutting:
        if self.how == "shear" and self.kerf:
            raise several([("kerf", 'is for a saw; a shear loses no metal: leave it out or write how = "saw"')])
        return self

    @property
    def kerf_width(self) -> float:
        """Inches of metal that one cut turns to chips."""
        return (0.0 if self.how == "shear" else 1 / 16) if self.kerf is None else self.kerf

    @property
    def spacing(self) -> float:
        """Inches between two blanks: the gap, or the kerf where that is wider."""
        return max(self.gap, self.kerf_width)


class FilmHabits(Form):
    """How film is cut and how true it can be laid."""

    safe_edge: Annotated[Length, Field(default=1 / 4, description="how far film runs past its image if not said")]
    register_tolerance: Annotated[
        Length, Field(default=1 / 32, description="how far off an overlay may come to lie; it must still cover")
    ]


class LeastOffcuts(Form):
    """The smallest offcut of a metal that goes back on the rack, where it is another than least_offcut."""

    copper: Annotated[Size | None, Field(default=None, description="least_offcut if left out")]
    zinc: Annotated[Size | None, Field(default=None, description="the same of zinc")]
    magnesium: Annotated[Size | None, Field(default=None, description="the same of magnesium")]


class Flats(Form):
    """When a flat is due, and what is worth keeping of its metal."""

    due: Annotated[
        Literal["first", "metal"],
        Field(default="first", description="first: no plate waits for a later flat to save metal; metal: it may"),
    ]
    least_offcut: Annotated[Size, Field(default=(6.0, 8.0), description="smallest offcut that goes back on the rack")]
    least_of: Annotated[LeastOffcuts, Field(default_factory=LeastOffcuts)]

    def least_offcut_of(self, metal: MetalName) -> tuple[float, float]:
        """Give the smallest offcut of a metal that goes back on the rack, either way round."""
        own: tuple[float, float] | None = getattr(self.least_of, metal)
        return self.least_offcut if own is None else own


class Art(Form):
    """How art files are read."""

    threshold: Annotated[float, Field(default=0.5, gt=0, lt=1, description="what is darker prints: 0 black, 1 white")]
    tolerance: Annotated[
        PositiveLength, Field(default=1 / 500, description="how far a line read from art may be from where it is")
    ]
    speck: Annotated[
        Length, Field(default=1 / 16, description="drop-outs: lighter areas narrower than this print all the same")
    ]

    @model_validator(mode="after")
    def _makes_sense(self) -> Art:
        if self.tolerance < 1 / 5000:
            raise several([("tolerance", "is finer than 1/5000 in, which no camera holds")])
        return self


class Camera(Form):
    """The copy camera."""

    tolerance: Annotated[
        float,
        Field(
            default=0.25, ge=0, le=10,
            description="copies whose percentages differ by no more per cent of their size share one focus",
        ),
    ]  # fmt: skip


class Depths(Form):
    """How deep below the printing face the router goes."""

    line: Annotated[PositiveLength, Field(default=1 / 32, description="between line work")]
    halftone: Annotated[PositiveLength, Field(default=1 / 64, description="on plates with a halftone")]
    open: Annotated[PositiveLength, Field(default=3 / 64, description="in open areas")]
    open_width: Annotated[PositiveLength, Field(default=1.0, description="dead metal at least this wide is open area")]


class Routing(Form):
    """How dead metal is cut away."""

    clearance: Annotated[Length, Field(default=1 / 32, description="metal left standing round everything that prints")]
    least_white: Annotated[Length, Field(default=3 / 8, description="narrower whites need no routing")]
    cutters: Annotated[
        tuple[PositiveLength, ...],
        Field(default=(1 / 4, 1 / 8, 1 / 16), description="diameters of the router's cutters"),
    ]
    step_over: Annotated[
        float, Field(default=0.5, gt=0, le=0.9, description="from one pass to the next, as a part of the diameter")
    ]
    feed: Annotated[
        PositiveLength, Field(default=30.0, description="how far the cutter goes in a minute while it cuts")
    ]
    travel: Annotated[PositiveLength, Field(default=200.0, description="how far it goes in a minute lifted")]
    lift_seconds: Annotated[
        float, Field(default=3.0, ge=0, le=600, description="to lift the cutter and set it down again")
    ]
    depth: Annotated[Depths, Field(default_factory=Depths)]
    near: Annotated[
        Length, Field(default=1 / 16, description="where the cutter comes this near to fine detail, it is marked")
    ]
    fine: Annotated[Length, Field(default=1 / 64, description="image parts thinner than this are fine detail")]

    @model_validator(mode="after")
    def _makes_sense(self) -> Routing:
        if len(set(self.cutters)) != len(self.cutters):
            raise several([("cutters", "names one diameter twice")])
        return self


_PRICED: Final = ("sheets", "buyable")
"""Lists of sheets, each with a price."""

_USUAL: Final = ({"metal": "copper", "size": "18 x 24 in"}, {"metal": "copper", "size": "24 x 36 in"},
                 {"metal": "zinc", "size": "18 x 24 in"}, {"metal": "zinc", "size": "24 x 36 in"},
                 {"metal": "magnesium", "size": "24 x 36 in"})  # fmt: skip


def _usual_sheets() -> tuple[Sheet, ...]:
    return tuple(Sheet.model_validate(sheet) for sheet in _USUAL)


class House(Form):
    """A shop: its metal, its tools, its habits, its rules."""

    name: Annotated[Label, Field(default="the house", description="the shop's name, for the sheets")]
    usual_gauge: Annotated[Gauge, Field(default=0.064, description="of a plate whose order names none")]
    # Ridgway 1920, p. 74; Stewart, Type, 1918: American type is 0.918 in high.
    type_height: Annotated[PositiveLength, Field(default=0.918, description="of a plate and its block together")]
    bleed: Annotated[PositiveLength, Field(default=1 / 8, description="where an order names the side, not the amount")]
    glass: Annotated[Glass, Field(default_factory=Glass)]
    cutting: Annotated[Cutting, Field(default_factory=Cutting)]
    film: Annotated[FilmHabits, Field(default_factory=FilmHabits)]
    flats: Annotated[Flats, Field(default_factory=Flats)]
    art: Annotated[Art, Field(default_factory=Art)]
    camera: Annotated[Camera, Field(default_factory=Camera)]
    routing: Annotated[Routing, Field(default_factory=Routing)]
    printer: Annotated[Printer, Field(default_factory=Printer)]
    prices: Annotated[Prices, Field(default_factory=Prices)]
    rack: Annotated[RackHabits, Field(default_factory=RackHabits)]
    sheets: Annotated[
        tuple[Sheet, ...], Field(default_factory=_usual_sheets, description="metal on hand, each kind of sheet")
    ]
    buyable: Annotated[
        tuple[BuyableSheet, ...], Field(default=(), description="sheets that could be bought, for `flatwright compare`")
    ]
    rules: Annotated[
        dict[str, dict[str, Any]],
        Field(default_factory=dict, description="settings of house rules; enabled = false switches a rule off"),
    ]

    @model_validator(mode="before")
    @classmethod
    def _one_currency(cls, tables: Any) -> Any:  # noqa: ANN401 - whatever the file holds
        """Take the house's own sign off the prices of sheets, and mark any other."""
        if not isinstance(tables, Mapping):
            return tables
        prices = tables.get("prices")
        currency = str(prices.get("currency", "$")).strip() if isinstance(prices, Mapping) else "$"
        lists = {name: in_one_currency(tables[name], ("price",), currency) for name in _PRICED if name in tables}
        return {**tables, **lists}

    @model_validator(mode="after")
    def _makes_sense(self) -> House:
        problems: list[tuple[str, str]] = []
        names = [name for name in (*(one.name for one in self.sheets), *(one.name for one in self.buyable)) if name]
        for name in sorted({name for name in names if names.count(name) > 1}):
            problems.append(("sheets", f'has two kinds of sheet called "{name}"'))
        for metal in sorted({sheet.metal for sheet in self.sheets}):
            priced = [sheet.price is not None for sheet in self.sheets if sheet.metal == metal]
            if any(priced) and not all(priced):
                problems.append(("sheets", f"have a price for some {metal} sheets only; price all of a metal or none"))
        if 0 < self.glass.grip <= self.cutting.kerf_width:
            problems.append(("glass.grip", "must be 0 in or wider than the saw's kerf, which cuts it away"))
        for metal in sorted({sheet.metal for sheet in self.sheets if sheet.price is None}):
            if self.prices.flat:
                problems.append(("prices.flat", f"can only be weighed against prices; give the {metal} sheets a price"))
        problems += self._sheets_that_cannot_be()
        if problems:
            raise several(problems)
        return self

    def _sheets_that_cannot_be(self) -> Iterator[tuple[str, str]]:
        for key, sheets in (("sheets", self.sheets), ("buyable", self.buyable)):
            for place, (size, gauge) in enumerate((sheet.size, sheet.gauge) for sheet in sheets):
                if min(size) <= 2 * self.glass.grip:
                    yield f"{key}.{place}.size", "leaves no metal inside the grip margin (glass.grip)"
                if gauge >= self.type_height:
                    yield f"{key}.{place}.gauge", "is as thick as type is high (type_height)"


def read_house(path: Path | None) -> House:
    """Read and check a house file; without one, the defaults are in force.

    Raises:
        InputError: with every problem in the file, each named by table and key.
    """
    return house_from({}, "the defaults") if path is None else house_from(read_tables(path), str(path))


def house_from(tables: Mapping[str, Any], source: str) -> House:
    """Check the tables of a house file; ``source`` names the file in messages.

    Raises:
        InputError: with every problem in the tables.
    """
    return checked(House, tables, source, place_in_house)


def place_in_house(keys: tuple[int | str, ...]) -> str:
    """Say where a key stands in a house file: table [cutting], key "gap"; or sheet 2 of [[sheets]], key "size"."""
    steps = [int(key) if isinstance(key, str) and key.isdigit() else key for key in keys]
    if len(steps) >= 2 and steps[0] in _PRICED and isinstance(steps[1], int):
        place, rest = [f"sheet {steps[1] + 1} of [[{steps[0]}]]"], steps[2:]
    elif len(steps) >= 3 and steps[0] == "rules":
        place, rest = [f"table [rules.{steps[1]}]"], steps[2:]
    elif len(steps) >= 2:
        place, rest = [f"table [{steps[0]}]"], steps[1:]
    else:
        place, rest = [], steps
    if rest:
        place.append('key "' + ".".join(str(key + 1) if isinstance(key, int) else key for key in rest) + '"')
    return ", ".join(place)

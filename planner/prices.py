"""What may the house file say about money? Metal, scrap, the price table of plates, and who pays for waste.

Amounts are decimals in the house's one currency; prices by the inch are for a square inch.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, Final, Literal, TypeAlias

from pydantic import Field, PlainValidator, WithJsonSchema, model_validator

from planner.forms import Form, Label, Money, OtherCurrency, several, shortened

Method: TypeAlias = Literal["area", "alone", "marginal"]
METHODS: Final[tuple[Method, ...]] = ("area", "alone", "marginal")

_SIGN: Final = r"[^\d.,+=-]*[^\s\d.,+=-]"
"""Words or signs beside an amount."""
_WITH_SIGN: Final = re.compile(rf"\s*(?P<before>{_SIGN})?\s*(?P<amount>-?\d[\d.]*)\s*(?P<after>{_SIGN})?\s*")
_STEP: Final = re.compile(r"\s*(?P<area>\d+(?:\.\d+)?)\s*=\s*(?P<price>\d+(?:\.\d+)?)\s*")


def _number(value: object, what: str) -> Decimal:
    try:
        number = Decimal(str(value).strip()) if not isinstance(value, bool) else None
    except InvalidOperation:
        number = None
    if number is None or not number.is_finite() or not 0 <= number <= 10_000:
        raise ValueError(f"{shortened(value)} is no {what}; write a number from 0 to 10000, like 1.25")
    return number


def _factor(value: object) -> Decimal:
    return _number(value, "factor")


def _square_inches(value: object) -> Decimal:
    return _number(value, "number of square inches")


def _pounds(value: object) -> Decimal:
    return _number(value, "weight in pounds")


_NUMBER_SCHEMA: Final = {"type": ["number", "string"]}
Factor = Annotated[
    Decimal, PlainValidator(_factor), WithJsonSchema({**_NUMBER_SCHEMA, "description": "1 changes nothing"})
]
SquareInches = Annotated[
    Decimal, PlainValidator(_square_inches), WithJsonSchema({**_NUMBER_SCHEMA, "description": "square inches"})
]
Pounds = Annotated[Decimal, PlainValidator(_pounds), WithJsonSchema({**_NUMBER_SCHEMA, "description": "pounds"})]


def _step(value: object) -> str:
    found = _STEP.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise ValueError(f'{shortened(value)} is no step of a scale; write square inches = price, like "24 = 5.38"')
    return f"{found['area']} = {found['price']}"


Step = Annotated[
    str,
    PlainValidator(_step),
    WithJsonSchema({"type": "string", "description": 'square inches = price, like "24 = 5.38"'}),
]


class MetalPrices(Form):
    """What the house is paid for a pound of waste metal."""

    copper: Annotated[Money | None, Field(default=None, description="for a pound; nothing if left out")]
    zinc: Annotated[Money | None, Field(default=None, description="for a pound")]
    magnesium: Annotated[Money | None, Field(default=None, description="for a pound")]


class SharingPrices(Form):
    """Who pays for what a flat wastes."""

    method: Annotated[
        Method,
        Field(default="area", description="area: by blank area; alone: by the waste a job would make alone; marginal: "
              "by what each job adds, on average over all orders of arrival"),
    ]  # fmt: skip
    never_more_than_alone: Annotated[
        bool, Field(default=False, strict=True, description="no job pays more than it would on sheets of its own")
    ]
    offcuts: Annotated[
        Literal["house", "jobs"],
        Field(default="house", description="who pays for offcuts that go back to the rack"),
    ]
    orders: Annotated[
        int,
        Field(
            default=50, ge=10, le=100_000, strict=True,
            description="marginal: about how many orders of arrival are tried where more than eight jobs share a flat",
        ),
    ]  # fmt: skip


class Counting(Form):
    """Which square inches of a plate are charged, and how fractions count."""

    area: Annotated[
        Literal["plate", "etched", "printing"],
        Field(default="plate", description="the rectangle round the plate with its flange, round its etched face, or "
              "round all that prints"),
    ]  # fmt: skip
    fractions: Annotated[
        Literal["exact", "quarter", "half", "whole"],
        Field(default="exact", description="rounded up to the next quarter, half or whole"),
    ]
    of: Annotated[
        Literal["area", "sides"], Field(default="area", description="what is rounded up: square inches, or each side")
    ]
    minimum_on: Annotated[
        Literal["total", "rate"],
        Field(default="total", description="the least price is for all that goes by the inch, or for the rate alone"),
    ]


class Rate(Form):
    """What plates of this kind cost."""

    rate: Annotated[Money | None, Field(default=None, description="for a square inch; not made if left out")]
    minimum: Annotated[Money, Field(default=Decimal(0), description="least price of a plate")]
    minimum_area: Annotated[
        SquareInches, Field(default=Decimal(0), description="smaller plates count as so many square inches")
    ]
    each: Annotated[Money, Field(default=Decimal(0), description="for every plate beside its area")]
    copper_factor: Annotated[Factor, Field(default=Decimal(1), description="times the price by the inch on copper")]
    zinc_factor: Annotated[Factor, Field(default=Decimal(1), description="the same on zinc")]
    magnesium_factor: Annotated[Factor, Field(default=Decimal(1), description="the same on magnesium")]
    scale: Annotated[
        tuple[Step, ...],
        Field(default=(), description='instead of a rate, prices by size: ["24 = 5.38", "35 = 6.17"]; the next larger '
              "counts, beyond the last its price by the inch"),
    ]  # fmt: skip

    @model_validator(mode="after")
    def _makes_sense(self) -> Rate:
        if self.scale and self.rate is not None:
            raise several([("scale", "stands beside rate; give one of them")])
        steps = self.steps
        for (area, price), (next_area, next_price) in itertools.pairwise(steps):
            if next_area <= area or next_price < price:
                raise several([("scale", f"must rise from step to step, and {next_area} = {next_price} does not")])
        if steps and steps[0][0] == 0:
            raise several([("scale", "begins at no square inches; begin with the smallest plate")])
        return self

    @property
    def steps(self) -> list[tuple[Decimal, Decimal]]:
        """The scale as square inches and price, smallest first."""
        pairs = (step.split(" = ") for step in self.scale)
        return [(Decimal(area), Decimal(price)) for area, price in pairs]

    @property
    def is_made(self) -> bool:
        """Whether the house prices plates of this kind at all."""
        return self.rate is not None or bool(self.scale)

    def price_of(self, area: Decimal) -> Decimal:
        """Give the price of so many square inches before any factor, extra or minimum, not rounded.

        Raises:
            ValueError: the house does not price this kind.
        """
        if self.rate is not None:
            return self.rate * area
        for step, price in self.steps:
            if area <= step:
                return price
        if not self.steps:
            raise ValueError("plates of this kind have no price")
        step, price = self.steps[-1]
        return price / step * area


class Extra(Form):
    """Charged beside the price by size, where it applies."""

    each: Annotated[Money, Field(default=Decimal(0), description="for every one")]
    per_sq_in: Annotated[Money, Field(default=Decimal(0), description="for a square inch of it")]
    factor: Annotated[Factor, Field(default=Decimal(1), description="times the price by the inch")]


class FineScreen(Extra):
    """Halftones in a finer screen."""

    finer_than: Annotated[
        int | None,
        Field(default=None, ge=20, le=600, strict=True, description="lines to the inch; never if left out"),
    ]


class Extras(Form):
    """What is charged beside the price by size."""

    fine_screen: Annotated[FineScreen, Field(default_factory=FineScreen)]
    tint: Annotated[Extra, Field(default_factory=Extra, description="Benday tints, by the area that they cover")]
    double_print: Annotated[Extra, Field(default_factory=Extra, description="a surprint or a reverse, each")]
    silhouette: Annotated[Extra, Field(default_factory=Extra, description="silhouette halftones")]
    drop_out: Annotated[Extra, Field(default_factory=Extra, description="drop-out halftones")]
    bevel: Annotated[Extra, Field(default_factory=Extra, description="plates with a bevel")]
    flush: Annotated[Extra, Field(default_factory=Extra, description="plates that are mounted flush")]
    block: Annotated[Extra, Field(default_factory=Extra, description="the block under a plate that is mounted")]
    yellow: Annotated[Extra, Field(default_factory=Extra, description="a plate printed in yellow")]
    red: Annotated[Extra, Field(default_factory=Extra, description="a plate printed in red")]
    blue: Annotated[Extra, Field(default_factory=Extra, description="a plate printed in blue")]
    black: Annotated[Extra, Field(default_factory=Extra, description="the black plate of a colour set")]
    further_original: Annotated[
        Extra,
        Field(default_factory=Extra, description="the second and each further identical original; its factor is of "
              "the price with its minimum"),
    ]  # fmt: skip


class Prices(Form):
    """What things cost the house, and what it charges."""

    currency: Annotated[Label, Field(default="$")]
    flat: Annotated[Money, Field(default=Decimal(0), description="making up and etching one flat, beside its metal")]
    valid_days: Annotated[
        int, Field(default=30, ge=1, le=366, strict=True, description="how long a quotation holds, in days")
    ]
    scrap: Annotated[MetalPrices, Field(default_factory=MetalPrices)]
    chips: Annotated[
        MetalPrices,
        Field(default_factory=MetalPrices, description="What a pound of chips brings; as scrap if left out."),
    ]
    sharing: Annotated[SharingPrices, Field(default_factory=SharingPrices)]
    counting: Annotated[Counting, Field(default_factory=Counting)]
    line: Annotated[Rate, Field(default_factory=Rate, description="Plates of line work alone.")]
    halftone: Annotated[Rate, Field(default_factory=Rate, description="Plates of halftones alone.")]
    combination: Annotated[Rate, Field(default_factory=Rate, description="Line and halftone on one plate.")]
    colour_set: Annotated[
        Rate, Field(default_factory=Rate, description="All plates of a colour set together, by the size of one.")
    ]
    extras: Annotated[Extras, Field(default_factory=Extras)]

    @model_validator(mode="before")
    @classmethod
    def _one_currency(cls, tables: Any) -> Any:  # noqa: ANN401 - whatever the file holds
        """Take the house's own sign off amounts, and refuse any other."""
        if not isinstance(tables, Mapping):
            return tables
        currency = str(tables.get("currency", "$")).strip()
        problems: list[tuple[str, str]] = []
        plain = {key: _without_sign(value, currency, key, problems) for key, value in tables.items()}
        if problems:
            raise several(problems)
        return plain

    def scrap_price(self, metal: str) -> Decimal | None:
        """Give what a pound of solid scrap of a metal brings; None if the house does not say."""
        price: Decimal | None = getattr(self.scrap, metal)
        return price

    def chips_price(self, metal: str) -> Decimal | None:
        """Give what a pound of chips of a metal brings; None if the house does not say."""
        price: Decimal | None = getattr(self.chips, metal)
        return self.scrap_price(metal) if price is None else price

    @property
    def has_table(self) -> bool:
        """Whether any kind of plate has a price."""
        return any(rate.is_made for rate in (self.line, self.halftone, self.combination, self.colour_set))


_WORDS: Final = ("currency", "method", "offcuts", "area", "fractions", "of", "minimum_on", "scale")
"""Keys whose values are no amounts."""


def _without_sign(value: Any, currency: str, key: str, problems: list[tuple[str, str]]) -> Any:  # noqa: ANN401
    if isinstance(value, Mapping):
        return {name: _without_sign(inner, currency, f"{key}.{name}", problems) for name, inner in value.items()}
    if not isinstance(value, str) or key.rsplit(".", 1)[-1] in _WORDS:
        return value
    amount, other = amount_and_sign(value, currency)
    if other is not None:
        problems.append((key, f'"{shortened(value)[1:-1]}" is in {other}, and the house counts in {currency}'))
    return amount


def in_one_currency(tables: Any, keys: tuple[str, ...], currency: str) -> Any:  # noqa: ANN401 - whatever a file holds
    """Take a file's own currency sign off these amounts of a list of tables, and mark those that bear another."""
    if not isinstance(tables, (list, tuple)):
        return tables
    return [
        {key: _own_amount(value, currency) if key in keys else value for key, value in table.items()}
        if isinstance(table, Mapping)
        else table
        for table in tables
    ]


def _own_amount(value: Any, currency: str) -> Any:  # noqa: ANN401 - whatever a file holds
    if not isinstance(value, str):
        return value
    amount, other = amount_and_sign(value, currency)
    return amount if other is None else OtherCurrency(value, other, currency)


def amount_and_sign(text: str, currency: str) -> tuple[str, str | None]:
    """Give an amount without the house's own currency sign, and any other currency that it names.

    ``"$ 3.50"`` is ``("3.50", None)`` in a house that counts in dollars; ``"12 EUR"`` is ``("12 EUR", "EUR")`` there.
    """
    found = _WITH_SIGN.fullmatch(text)
    if found is None:
        return text, None
    signs = [sign.strip() for sign in found.group("before", "after") if sign]
    for sign in signs:
        if sign != currency:
            return text, sign
    return found["amount"] if signs else text, None

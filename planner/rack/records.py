"""What does a rack file say? Its pieces, which a person may add and take away, and its history, which nobody may.

A piece is a rectangle of metal; its size is rounded down to 1/64 in, so that no metal comes from nowhere.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, Final, Literal

from pydantic import Field, model_validator

from planner.forms import Form, Gauge, InputError, Label, Money, Problem, Size, several
from planner.orders import MetalName
from planner.prices import in_one_currency

FORMAT: Final = "flatwright rack 1"


class Piece(Form):
    """An offcut on the rack."""

    name: Annotated[Label, Field(description="written on the metal; no two pieces ever bear the same")]
    metal: Annotated[MetalName, Field(description="copper, zinc or magnesium")]
    gauge: Annotated[Gauge, Field(default=0.064, description="thickness")]
    size: Annotated[Size, Field(description="width x height")]
    worth: Annotated[
        Money | None,
        Field(default=None, description="its part of the price of the sheet that it was cut from"),
    ]

    @property
    def area(self) -> float:
        """Square inches."""
        return self.size[0] * self.size[1]


class Entry(Form):
    """What one plan, or somebody by hand, took off the rack and put on it."""

    by: Annotated[Literal["plan", "hand"], Field(description="who")]
    day: Annotated[str, Field(description="the name of the plan's day")] = ""
    plan: Annotated[str, Field(description="digest of the plan.json")] = ""
    onto: Annotated[str, Field(description="digest of the plan that late jobs were added to")] = ""
    jobs: Annotated[tuple[str, ...], Field(description="numbers of its jobs")] = ()
    taken: Annotated[tuple[Piece, ...], Field(description="pieces that left the rack")] = ()
    added: Annotated[tuple[Piece, ...], Field(description="pieces that came to it")] = ()
    seal: Annotated[str, Field(description="digest of this entry and all before it")] = ""

    @property
    def who(self) -> str:
        """Who did it, for people."""
        if self.by == "hand":
            return "by hand"
        return f"{self.day}, late jobs" if self.onto else self.day


class RackForm(Form):
    """A rack file."""

    format: Annotated[Literal["flatwright rack 1"], Field(default=FORMAT)]
    currency: Annotated[Label | None, Field(default=None, description="of every worth; the house's if left out")]
    seal: Annotated[str, Field(default="", description="of the last entry of the history")]
    pieces: Annotated[tuple[Piece, ...], Field(default=(), description="what lies there; may be changed by hand")]
    history: Annotated[tuple[Entry, ...], Field(default=(), description="who took and added what; not to be changed")]

    @model_validator(mode="before")
    @classmethod
    def _one_currency(cls, tables: Any) -> Any:  # noqa: ANN401 - whatever the file holds
        if not isinstance(tables, Mapping) or "pieces" not in tables:
            return tables
        currency = str(tables.get("currency", "$")).strip()
        return {**tables, "pieces": in_one_currency(tables["pieces"], ("worth",), currency)}

    @model_validator(mode="after")
    def _makes_sense(self) -> RackForm:
        twice = [name for name, count in Counter(piece.name for piece in self.pieces).items() if count > 1]
        problems = [("pieces", f'has two pieces called "{name}"; give one of them another name') for name in twice]
        if problems:
            raise several(problems)
        return self


@dataclass(frozen=True, slots=True)
class Rack:
    """What lies on a rack, and all that was ever taken and added; the entries add up to the pieces."""

    source: str
    currency: str | None
    pieces: tuple[Piece, ...]
    history: tuple[Entry, ...]
    by_hand: bool = False
    """Whether the last entry tells of changes by hand that the file does not know yet."""
    digest: str | None = None
    """Of the file as it was read; None where there is none yet."""

    @property
    def names(self) -> set[str]:
        """Every name that a piece ever bore."""
        known = {piece.name for entry in self.history for piece in (*entry.taken, *entry.added)}
        return known | {piece.name for piece in self.pieces}


def text_digest(text: str) -> str:
    """Give the digest under which the rack knows a plan's text."""
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def exact_worth(amount: Decimal | None) -> str | None:
    """Write a worth so that it reads back as the same amount."""
    return None if amount is None else f"{amount:f}"


def refusal(source: str, message: str, where: str = "") -> InputError:
    """Make the error of one problem with a rack file."""
    return InputError(source, [Problem(where, message)])

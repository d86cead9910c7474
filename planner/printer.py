"""What may the house file say about its printer? The paper, the edge it cannot print on, and how true it prints.

Sizes of paper: A-series as in ISO 216; Letter, Legal and Tabloid, and Arch and ANSI sizes as ANSI/ASME Y14.1 and common
practice have them. X is across the narrow side of the paper and Y along its long side, however a page is turned, since
it is the printer that stretches, not the page; on a plotter X is across the page as it reads.
"""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field, PlainValidator, WithJsonSchema

from planner.forms import Form, Length, shortened
from planner.lengths import INCH_IN_MILLIMETRES, LengthError, parse_length, parse_size

PLOTTER: Final = "plotter"
"""The name of paper that is as large as the sheet."""

RULE: Final = 10.0
"""Inches that a check rule shows where the paper has room."""

MOST_OFF: Final = 0.05
"""Share by which a printer may be off; what is further off is a slip, or a page that was printed fitted."""

_ISO_216: Final = {"A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297),
                   "A5": (148, 210)}  # fmt: skip
_INCHES: Final = {"Letter": (8.5, 11.0), "Legal": (8.5, 14.0), "Tabloid": (11.0, 17.0), "ANSI C": (17.0, 22.0),
                  "ANSI D": (22.0, 34.0), "ANSI E": (34.0, 44.0), "Arch C": (18.0, 24.0), "Arch D": (24.0, 36.0),
                  "Arch E": (36.0, 48.0)}  # fmt: skip

PAPERS: Final[dict[str, tuple[float, float]]] = {
    **{name: (float(w / INCH_IN_MILLIMETRES), float(h / INCH_IN_MILLIMETRES)) for name, (w, h) in _ISO_216.items()},
    **_INCHES,
}
"""Width and height in inches of paper with a name, the narrow side first."""


def _paper(value: object) -> str:
    names = {name.casefold(): name for name in (PLOTTER, *PAPERS)}
    how = f'write {PLOTTER}, {", ".join(PAPERS)}, or a size like "13 x 19 in"'
    if not isinstance(value, str):
        raise ValueError(f"{shortened(value)} is no paper; {how}")
    plain = " ".join(value.split())
    known = names.get(plain.casefold())
    if known is None:
        try:
            parse_size(plain)
        except LengthError:
            raise ValueError(f"{shortened(value)} is no paper known here; {how}") from None
    return known or plain


def _measured(value: object) -> float:
    text, _, shown = str(value).partition(" of ") if isinstance(value, str) else (value, "", "")
    length, rule = parse_length(text), parse_length(shown) if shown else RULE
    if length <= 0 or rule <= 0:
        raise ValueError(f"{shortened(value)} is no measured length; it must be greater than zero")
    if abs(length / rule - 1) > MOST_OFF:
        raise ValueError(
            f"{shortened(value)} is more than {MOST_OFF * 100:g} % off the {rule:g} in of the rule; see that the"
            ' printer fits no page to the paper, and measure again; a shorter rule is given as "6.98 in of 7 in"'
        )
    return length * RULE / rule


Paper = Annotated[
    str, PlainValidator(_paper), WithJsonSchema({"type": "string", "description": f"{PLOTTER}, A4, Letter, or a size"})
]
Measured = Annotated[
    float,
    PlainValidator(_measured),
    WithJsonSchema({"type": "string", "description": 'a length, or "6.98 in of 7 in" for a shorter rule'}),
]


class Printer(Form):
    """The printer that sheets are printed on at true size."""

    paper: Annotated[
        Paper,
        Field(default=PLOTTER, description="plotter: as large as each sheet; or tiled over A4, Letter, 13 x 19 in"),
    ]
    margin: Annotated[Length, Field(default=1 / 4, description="edge of the paper that the printer cannot print on")]
    overlap: Annotated[Length, Field(default=1 / 2, description="how far one tile runs on below the next, for glue")]
    measured_x: Annotated[
        Measured, Field(default=RULE, description="what rule X of 10 in measured on a page printed unstretched")
    ]
    measured_y: Annotated[Measured, Field(default=RULE, description="what rule Y of 10 in measured there")]

    @property
    def size(self) -> tuple[float, float] | None:
        """Narrow and long side of the paper in inches; None for paper as large as the sheet."""
        if self.paper == PLOTTER:
            return None
        width, height = PAPERS.get(self.paper) or parse_size(self.paper)
        return min(width, height), max(width, height)

    @property
    def stretch(self) -> tuple[float, float]:
        """By what a page must be multiplied along X and Y for this printer to print it true."""
        return RULE / self.measured_x, RULE / self.measured_y

"""The drawing language: how each kind of line, area and text looks, and what the legend calls it.

Lines are of few kinds, after the idea of technical drawings (ISO 128-2: what is seen, hidden, cut, a centre or a limit
is told by dashes and by two widths). Every kind of area can be told from the others in black and white by its hatch or
its tone; colour (from a set that the colour-blind can tell apart) only helps. Texts are as large as the distance asks
that they are read from. The sheet ``key.svg`` shows it all. All sizes in inches.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Final

from planner.lengths import amount_text
from planner.sheets.svg import Paint

BLACK: Final = "#000000"
GREY: Final = "#5a5a5a"
BLUE: Final = "#0072b2"
ORANGE: Final = "#d55e00"
GREEN: Final = "#00735a"
PURPLE: Final = "#9b4a7f"
WHITE: Final = "#ffffff"
TONE: Final = "#d4d4d4"
MIDDLE: Final = "#a6a6a6"
FAINT: Final = "#efefef"

CAPITAL: Final = 0.716
"""Height of a capital, in sizes of the text: Arial's, by its own measures (1466 of 2048 units)."""
LEAST_ANGLE: Final = math.radians(16 / 60)
"""How large a capital must look to be read without effort: 16 minutes of arc (ISO 9241-303, quoted from memory)."""
ARMS_LENGTH: Final = 24.0
"""From the eye to a sheet at arm's length (common practice)."""

SMALLEST_TEXT: Final = 0.09
"""Of labels in crowded places: read bent over the drawing."""
DESK_TEXT: Final = 0.135
"""Of lists that are held in the hand."""
LIST_TEXT: Final = 0.16
"""Of lists beside a drawing: read at arm's length."""
HEADING_TEXT: Final = 0.19
TITLE_TEXTS: Final = (0.24, 0.2, 0.2)
"""Of the lines below the view's name: what it is, how urgent, whose."""
NAME_TEXT: Final = 0.44
"""Of the view's name: read from across the room."""


def read_from(size: float) -> float:
    """Give from how far away, in inches, a text of a size is read without effort."""
    return size * CAPITAL / math.tan(LEAST_ANGLE)


@dataclass(frozen=True, slots=True)
class Hatch:
    """Ruled lines at one or more angles (degrees, as seen on the page), or dots; over a thin wash of ``ground``."""

    spacing: float
    angles: tuple[float, ...] = ()
    width: float = 0.007
    dot: float = 0.0
    colour: str = BLACK
    ground: str | None = None
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Look:
    """One kind of thing on a sheet. The legend shows it as an area, or as a ``line`` or a ``ring`` where it is one."""

    words: str
    paint: Paint = field(default_factory=Paint)
    hatch: Hatch | None = None
    line: bool = False
    ring: bool = False
    cross: bool = False
    """A ring with arms."""


@dataclass(frozen=True, slots=True)
class Line:
    """A kind of line: what it tells, how wide it is, its dashes and gaps."""

    words: str
    width: float
    dash: tuple[float, ...] = ()

    def of(self, colour: str = BLACK) -> Paint:
        """Give the paint of such a line."""
        return Paint(colour, self.width, self.dash)


LINES: Final[dict[str, Line]] = {
    "edge": Line("the edge of the metal", 0.03),
    "visible": Line("visible: the edge of what is finished", 0.02),
    "thin": Line("thin: how far something reaches; leaders, ticks, dimensions", 0.008),
    "hidden": Line("hidden: what comes to lie under something else", 0.012, (0.14, 0.07)),
    "over": Line("over: what is laid over something else", 0.02, (0.08, 0.035)),
    "cut": Line("cut: here the blade goes", 0.024, (0.3, 0.05, 0.05, 0.05)),
    "centre": Line("centre: the middle of an edge", 0.009, (0.16, 0.03, 0.03, 0.03)),
    "limit": Line("limit: nothing goes beyond", 0.013, (0.3, 0.05, 0.03, 0.05, 0.03, 0.05)),
    "dotted": Line("dotted: what is taken out of something else", 0.022, (0.022, 0.04)),
    "place": Line("blocks: a place to look at", 0.036, (0.09, 0.09)),
}
"""The kinds of lines. Wide ones are twice as wide as narrow ones, as in technical drawings."""


LOOKS: Final[dict[str, Look]] = {
    "sheet": Look("edge of the metal sheet", LINES["edge"].of(), line=True),
    "grip": Look(
        "grip margin: clamps hold here, keep clear",
        Paint(GREY, 0.01),
        Hatch(0.25, (150,), 0.008, colour=MIDDLE, ground=FAINT),
    ),
    "usable": Look("usable area ends here", LINES["limit"].of(), line=True),
    "spot": Look(
        "spot: scratch in the glass, keep clear", Paint(PURPLE, 0.022), Hatch(0.1, (115,), 0.022, colour=PURPLE)
    ),
    "blank": Look("blank: the metal one plate needs", LINES["thin"].of(GREY), line=True),
    "part": Look("piece of metal the cuts leave a plate", LINES["thin"].of(), line=True),
    "metal": Look("metal sawn out for one plate", LINES["thin"].of(GREY), line=True),
    "outline": Look("outline of the finished plate", LINES["visible"].of(), line=True),
    "printing": Look("metal that prints", Paint(fill=TONE)),
    "filled": Look("small whites within the image: they stay", Paint(fill=TONE)),
    "art-line": Look("art that prints solid: line copy", Paint(fill=BLACK)),
    "art-halftone": Look("art that prints in dots: halftone copy", Paint(fill=MIDDLE)),
    "art-surprint": Look("art of a surprint: prints solid over the halftone", Paint(BLUE, 0.006, fill=BLUE)),
    "art-reverse": Look("art of a reverse: white in the halftone", Paint(ORANGE, 0.014, fill=WHITE)),
    "film-base": Look("film: negative, laid first", LINES["hidden"].of(GREY), line=True),
    "film-surprint": Look("film: SURPRINT, second exposure (tag S)", LINES["over"].of(BLUE), line=True),
    "film-reverse": Look("film: REVERSE, over the halftone (tag R)", LINES["dotted"].of(ORANGE), line=True),
    "seam": Look(
        "seam: opaque it, 1/64 in onto the films", Paint(GREEN, 0.005), Hatch(0.045, (135,), 0.014, colour=GREEN)
    ),
    "tick": Look("ticks: film's left and lower edge", Paint(BLACK, 0.012), line=True),
    "centre": Look("centre ticks: middle of the metal, of a plate", LINES["centre"].of(), line=True),
    "image-line": Look("image: line", Paint(BLACK, 0.006), Hatch(0.09, (45,))),
    "image-square": Look("image: square halftone", Paint(BLACK, 0.006), Hatch(0.1, (45, 135), 0.006)),
    "image-silhouette": Look("image: silhouette halftone", Paint(BLACK, 0.006), Hatch(0.09, (135,))),
    "image-drop-out": Look("image: drop-out halftone", Paint(BLACK, 0.006), Hatch(0.08, dot=0.013)),
    "image-combination": Look("image: line and halftone combined", Paint(BLACK, 0.006), Hatch(0.08, (90,))),
    "image-other": Look("image", Paint(BLACK, 0.006), Hatch(0.09, (0,))),
    "image-surprint": Look("lettering of a surprint", Paint(BLUE, 0.012), Hatch(0.09, (90,), 0.014, colour=BLUE)),
    "image-reverse": Look(
        "lettering of a reverse", Paint(ORANGE, 0.012), Hatch(0.08, (0,), 0.012, colour=ORANGE, ground=WHITE)
    ),
    "tint": Look("tint, keyed T1, T2 ...", Paint(PURPLE, 0.014, (0.08, 0.03)), Hatch(0.14, dot=0.022, colour=PURPLE)),
    "hand": Look("dead metal no cutter reaches: HAND TOOLS", Paint(ORANGE, 0.01), Hatch(0.03, (45, 135), 0.008)),
    "flange": Look("flange or shoulder: keep the router off", Paint(GREY, 0.006), Hatch(0.055, (0,), 0.006)),
    "staying": Look("metal that must stay, though it does not print", Paint(BLACK, 0.01), Hatch(0.09, (0, 90), 0.009)),
    "cut": Look("cut, edge to edge, circle: its number in order", LINES["cut"].of(ORANGE), line=True),
    "kerf": Look("kerf: metal the saw takes, true width", Paint(BLACK, 0.005, fill="#efaf80")),
    "offcut": Look("offcut: back on the rack", Paint(GREEN, 0.01), Hatch(0.2, (60,), 0.008, colour=GREEN)),
    "scrap": Look("scrap", Paint(GREY, 0.006), Hatch(0.12, (0,), 0.01, colour=GREY, dash=(0.12, 0.12))),
    "white": Look("white left standing: too narrow to need routing", Paint(GREY, 0.008, (0.012, 0.028), fill=FAINT)),
    "nail": Look("nail: the cross; its metal stays: the ring", Paint(BLACK, 0.016, fill=WHITE), ring=True, cross=True),
    "way": Look("way of the cutter's middle", Paint(BLACK, 0.009), line=True),
    "entry": Look("here the cutter is set down", Paint(BLACK, 0.01, fill=WHITE), ring=True),
    "near": Look("SLOW: the cutter's edge is close to fine detail", Paint(ORANGE, 0.055), line=True),
    "close": Look("close to fine detail too, less so: no number", Paint(ORANGE, 0.02), line=True),
    "place": Look("place of a finding", LINES["place"].of(PURPLE), line=True),
}

AFTER_ZONES: Final = "hand"
"""The kind before which the legend lists the zones of the cutters."""

_ZONES: Final[tuple[Hatch, ...]] = (
    Hatch(0.11, (45,), 0.01, colour=BLUE),
    Hatch(0.07, (135,), 0.008, colour=BLUE),
    Hatch(0.055, (90,), 0.009, colour=BLUE),
    Hatch(0.07, (30, 150), 0.007, colour=BLUE),
    Hatch(0.055, dot=0.012, colour=BLUE),
    Hatch(0.045, (60,), 0.008, colour=BLUE, dash=(0.06, 0.04)),
)


def zone_kind(place: int | None) -> str:
    """Give the kind of a dead-metal zone by its cutter's place in the house's list; None is hand tools."""
    return "hand" if place is None else f"zone-{place + 1}"


def zone_letter(place: int) -> str:
    """Give the letter by which a cutter's zones are tagged."""
    return chr(ord("A") + place) if place < 26 else f"Z{place - 24}"


def zone_look(place: int, cutter: float) -> Look:
    """Give the look of the zones of one cutter."""
    hatch = _ZONES[place % len(_ZONES)]
    turns = place // len(_ZONES)
    if turns:
        hatch = replace(hatch, spacing=hatch.spacing * 1.7**turns, width=hatch.width * 1.4**turns)
    return Look(f"{zone_letter(place)}: rout with the {amount_text(cutter)} cutter", Paint(BLUE, 0.008), hatch)

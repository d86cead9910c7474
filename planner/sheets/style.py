"""How each kind of line and area looks: line kind, hatch, tone, and what the legend calls it.

Every kind can be told from the others in black and white by its line or its hatch; colour (from a set that the
colour-blind can tell apart) only helps. All sizes in inches.
"""

from __future__ import annotations

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

SMALLEST_TEXT: Final = 0.09
LIST_TEXT: Final = 0.135


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


LOOKS: Final[dict[str, Look]] = {
    "sheet": Look("edge of the metal sheet", Paint(BLACK, 0.03), line=True),
    "grip": Look("grip margin: clamps hold here, keep clear", Paint(GREY, 0.01, fill=FAINT)),
    "usable": Look("usable area ends here", Paint(BLACK, 0.014, (0.3, 0.06, 0.05, 0.06)), line=True),
    "spot": Look(
        "spot: scratch in the glass, keep clear", Paint(PURPLE, 0.022), Hatch(0.1, (115,), 0.022, colour=PURPLE)
    ),
    "blank": Look("blank: the metal one plate needs", Paint(GREY, 0.008), line=True),
    "part": Look("piece of metal the cuts leave a plate", Paint(GREY, 0.006, (0.02, 0.05)), line=True),
    "metal": Look("metal sawn out for one plate", Paint(GREY, 0.008), line=True),
    "outline": Look("outline of the finished plate", Paint(BLACK, 0.02), line=True),
    "printing": Look("metal that prints", Paint(fill=TONE)),
    "filled": Look("small whites within the image: they stay", Paint(fill=TONE)),
    "art-line": Look("art that prints solid: line copy", Paint(fill=BLACK)),
    "art-halftone": Look("art that prints in dots: halftone copy", Paint(fill=MIDDLE)),
    "art-surprint": Look("art of a surprint: prints solid over the halftone", Paint(BLUE, 0.006, fill=BLUE)),
    "art-reverse": Look("art of a reverse: white in the halftone", Paint(ORANGE, 0.014, fill=WHITE)),
    "film-base": Look("film: negative, laid first", Paint(GREY, 0.012, (0.14, 0.07)), line=True),
    "film-surprint": Look(
        "film: SURPRINT, second exposure (tag S)", Paint(BLUE, 0.018, (0.26, 0.06, 0.05, 0.06)), line=True
    ),
    "film-reverse": Look("film: REVERSE, over the halftone (tag R)", Paint(ORANGE, 0.02, (0.05, 0.05)), line=True),
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
    "cut": Look("cut, edge to edge, circle: its number in order", Paint(ORANGE, 0.02, (0.3, 0.06)), line=True),
    "kerf": Look("kerf: metal the saw takes, true width", Paint(BLACK, 0.005, fill="#f3b58a")),
    "offcut": Look("offcut: back on the rack", Paint(GREEN, 0.01), Hatch(0.2, (60,), 0.008, colour=GREEN)),
    "scrap": Look("scrap", Paint(GREY, 0.006), Hatch(0.14, (0,), 0.01, colour=GREY, dash=(0.03, 0.11))),
    "white": Look("white left standing: too narrow to need routing", Paint(GREY, 0.008, (0.012, 0.028), fill=FAINT)),
    "nail": Look("nail: the cross; its metal stays: the ring", Paint(BLACK, 0.016, fill=WHITE), ring=True),
    "way": Look("way of the cutter's middle", Paint(BLACK, 0.009), line=True),
    "entry": Look("here the cutter is set down", Paint(BLACK, 0.01, fill=WHITE), ring=True),
    "near": Look("SLOW: the cutter's edge is close to fine detail", Paint(ORANGE, 0.055), line=True),
    "close": Look("close to fine detail too, less so: no number", Paint(ORANGE, 0.02), line=True),
    "place": Look("place of a finding", Paint(PURPLE, 0.028, (0.03, 0.05)), line=True),
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

"""What the sheets warn of. A plan is advice: they defer to machine makers, data sheets, local codes and practice."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

ALL: Final = (
    "This plan is advice. Follow the machine's maker, the safety data sheet of every bath and metal, your local codes "
    "and licensed practice. The person at the machine decides.",
)

STRIPPER: Final = (
    "Exposure: keep eyes and skin from the lamp; the frame's vacuum must hold before the light goes on.",
    "Etching: ferric chloride and nitric acid burn, nitric fumes poison. Dichromate in a sensitiser causes cancer and "
    "skin allergy. Gloves, apron, face shield, exhaust on, wash bottle within reach.",
)

SURPRINT: Final = ("Second exposure: mask all other metal before the surprint films are exposed.",)

ROUTER: Final = (
    "Router and bevel: eye and hearing protection, chip guard down, no gloves and no loose sleeves near a spindle. "
    "Let the spindle stop before you reach in.",
)

SHEAR: Final = ("Shear and saw: guards and hold-downs in place, hands behind the guard, cut edges are sharp.",)

FINISHER: Final = (
    "Bevel and trimmer: eye and hearing protection, guards in place, no gloves near the blade. Nailing: eye "
    "protection, edges and flanges are sharp.",
)

CAMERA: Final = (
    "Camera lamps: keep eyes and skin from the light, air the room if they burn carbons; hot housings burn, and power "
    "comes off before anybody opens one.",
)

METAL: Final = (*ROUTER, *SHEAR)

MAGNESIUM: Final = (
    "MAGNESIUM: chips and dust burn. NEVER put water on them. Class D extinguishing agent within reach, no sparks, "
    "no mixed swarf; sweep up often and keep chips dry in a covered steel bin.",
)


def stripper_cautions(surprint: bool, metal: str) -> tuple[str, ...]:
    """Give the cautions for the stripper's sheet."""
    own = ("MAGNESIUM: its own baths only; no chips or dust near flame, never water on a fire.",)
    return (*(SURPRINT if surprint else ()), *STRIPPER, *(own if metal == "magnesium" else ()), *ALL)


def metal_cautions(metal: str) -> tuple[str, ...]:
    """Give the cautions for the sheet that goes to shear, router and bevel."""
    return (*(MAGNESIUM if metal == "magnesium" else ()), *METAL, *ALL)


def shear_cautions(metal: str) -> tuple[str, ...]:
    """Give the cautions for the sheet that hangs over the shear."""
    return (*(MAGNESIUM if metal == "magnesium" else ()), *SHEAR, *ALL)


def mounting_cautions(metals: Iterable[str]) -> tuple[str, ...]:
    """Give the cautions for the list by which plates of these metals are bevelled, trimmed and mounted."""
    return (*(MAGNESIUM if "magnesium" in metals else ()), *FINISHER, *ALL)


def camera_cautions() -> tuple[str, ...]:
    """Give the cautions for the list that lies by the camera."""
    return (*CAMERA, *ALL)


def router_cautions(metal: str) -> tuple[str, ...]:
    """Give the cautions for the sheets that hang over the router."""
    return (*(MAGNESIUM if metal == "magnesium" else ()), *ROUTER, *ALL)

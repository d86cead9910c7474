"""Is each copy before the camera in exactly one of its settings, at the percentage of its art?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeAlias

from planner.plan import CameraRecord, Plan
from planner.proof.report import Check, Tally
from planner.proof.shapes import LaidFlat

_ROUNDING: Final = 1e-6
"""Per cent."""

_Film: TypeAlias = tuple[str, int]
"""A plate and the number of a film on it."""


def check_camera(plan: Plan, flats: Sequence[LaidFlat]) -> Check:
    """Each film made from art is a copy of exactly one setting; a setting's figures follow from its copies."""
    tally = Tally("camera", "copies")
    percentages = {art.id: art.percentage for art in plan.art}
    made = _made(flats)
    films = {plate.id: plate.films for plate in plan.plates}
    laid = {plate.placement.plate for flat in flats for plate in flat.plates}
    shot: set[_Film] = set()
    for number, setting in enumerate(plan.camera, 1):
        where = f"camera setting {number}"
        for copy in setting.copies:
            tally.look()
            _check_percentage(f"{where}, art {copy.art}", copy.percentage, percentages.get(copy.art), tally)
            if not copy.plates:
                tally.wrong(f"{where}, art {copy.art}: the copy is for no plate.")
            for name in copy.plates:
                one, film = f"{where}, plate {name}, film {copy.film}", (name, copy.film)
                if film in shot:
                    tally.wrong(f"{one}: it is shot more than once.")
                shot.add(film)
                if not 1 <= copy.film <= films.get(name, 0):
                    tally.wrong(f"{one}: the plan has no such film.")
                elif name in laid and made.get(film, ("", ""))[0] != copy.art:
                    tally.wrong(f"{one}: it is not made from art {copy.art}.")
        _check_focus(where, setting, tally)
    for (name, number), (_, where) in made.items():
        if (name, number) not in shot:
            tally.wrong(f"{where}: its film {number} is made from art, and no camera setting has it.")
    return tally.done()


def _made(flats: Sequence[LaidFlat]) -> dict[_Film, tuple[str, str]]:
    """Give the films on flats that are made from art: of which, and the plate's name in a sentence."""
    return {
        (plate.placement.plate, film.record.number): (film.record.art, plate.where)
        for flat in flats
        for plate in flat.plates
        for film in plate.films
        if film.record.art is not None
    }


def _check_focus(where: str, setting: CameraRecord, tally: Tally) -> None:
    asked = [copy.percentage for copy in setting.copies]
    if not asked:
        tally.wrong(f"{where} has no copies.")
        return
    smallest, largest = min(asked), max(asked)
    if not abs(setting.spread - (largest - smallest)) <= _ROUNDING:
        tally.wrong(f"{where}: its copies are {largest - smallest:.6g} per cent apart, not {setting.spread:.6g}.")
    if not abs(setting.percentage - (largest + smallest) / 2) <= _ROUNDING:
        tally.wrong(
            f"{where}: it is for {setting.percentage:.6g} per cent, and the middle of its copies is "
            f"{(largest + smallest) / 2:.6g}."
        )


def _check_percentage(where: str, said: float, known: float | None, tally: Tally) -> None:
    if known is None:
        tally.wrong(f"{where}: the plan does not have this art.")
    elif not abs(said - known) <= _ROUNDING:
        tally.wrong(f"{where}: the copy is to be shot at {said:.6g} per cent, the art is for {known:.6g}.")

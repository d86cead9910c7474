"""Why does one plate need the metal it needs, lie where it lies, and what was found on it? And who says so?

Reads nothing but the plan, which carries every allowance, constraint, charge and finding with its author.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator
from typing import Any, Final

from planner.forms import InputError, Problem
from planner.lengths import amount_text, size_text
from planner.plan import Allowance, Flat, HeldPlate, Placement, Plan, PlateRecord

KINDS: Final = {
    "bleed": "bleed",
    "shoulder": "shoulder",
    "flange": "flange",
    "trim": "trim, cut away",
    "film": "films",
}


def reason_lines(plan: Plan, wanted: str, source: str) -> Iterator[str]:
    """Say it as a person would, one line after the other; ``source`` names the plan's file.

    Raises:
        InputError: no plate, or more than one, is meant by ``wanted``.
    """
    plate = plate_named(plan, wanted, source)
    width, height = plate.blank[2:]
    yield f"{plate.id} needs {size_text(_up(width), _up(height))} of {plate.metal} {amount_text(plate.gauge)}."
    yield ""
    yield f"  {size_text(plate.width, plate.height):24} the plate as ordered"
    for asked in plate.allowances:
        said = f"{KINDS[asked.kind]}: {asked.reason}{who_said(asked.rule, asked.setting)}"
        if _adds(asked, plate):
            yield f"  {widths_words(asked):24} {said}"
        else:
            narrow = f"({widths_words(asked).removeprefix('+ ')})"
            yield f"  {narrow:24} {said}; not added, as another asks for as much of it"
    rest = _rounding(plate)
    if rest > 1e-9:
        yield f"  {'under 1/1024 in':24} rounded up to the next 1/1024 in, in which the nesting counts"
    yield ""
    yield from _where(plan, plate)
    for shared in plate.sharing:
        yield f'  {SHARES[shared.kind]} "{shared.key}": {shared.reason}{who_said(shared.rule, shared.setting)}'
    for stays in plate.staying:
        said = who_said(stays.rule, stays.setting)
        yield f"  {stays.area:.3f} sq in stay though they do not print: {stays.reason}{said}"
    for charge in plate.charges:
        each = f"{charge.quantity:g} {charge.unit} at {plan.settings.currency}{charge.rate}"
        yield f"  charged: {charge.what}, {each}: {charge.reason}{who_said(charge.rule, charge.setting)}"
    findings = [finding for finding in plan.findings if finding.plate == plate.id]
    yield ""
    yield "Nothing was found against it." if not findings else "Found:"
    for finding in findings:
        yield f"  {finding.severity}: {finding.message} [{finding.code}, {finding.rule}]"
        if finding.cure:
            yield f"      cure: {finding.cure}"


SHARES: Final = {
    "apart": "it shares a flat only with",
    "together": "it belongs on one flat, the same way up, with its set",
    "near": "it would like to lie near",
}


def reason_table(plan: Plan, wanted: str, source: str) -> dict[str, Any]:
    """The same for machines.

    Raises:
        InputError: no plate, or more than one, is meant by ``wanted``.
    """
    plate = plate_named(plan, wanted, source)
    flat, placement = _place(plan, plate) or (None, None)
    return {
        "format": "flatwright why 1",
        "plate": plate.id,
        "size": [plate.width, plate.height],
        "blank": list(plate.blank[2:]),
        "flat": None if flat is None else flat.number,
        "at": None if placement is None else list(placement.blank[:2]),
        "held": next((held.reason for held in plan.held if held.plate == plate.id), None),
        "share_key": plate.share_key,
        "allowances": [asked.model_dump(mode="json") for asked in plate.allowances],
        "sharing": [shared.model_dump(mode="json") for shared in plate.sharing],
        "staying": [stays.model_dump(mode="json") for stays in plate.staying],
        "charges": [charge.model_dump(mode="json") for charge in plate.charges],
        "findings": [
            finding.model_dump(mode="json", exclude={"shape"}) for finding in plan.findings if finding.plate == plate.id
        ],
    }


def plate_named(plan: Plan, wanted: str, source: str) -> PlateRecord:
    """Give the plate with this id, or the only one whose id holds these words.

    Raises:
        InputError: there is none, or there are several.
    """
    for plate in plan.plates:
        if plate.id == wanted:
            return plate
    holding = [plate for plate in plan.plates if wanted.strip() and wanted.lower() in plate.id.lower()]
    if len(holding) == 1:
        return holding[0]
    names = [plate.id for plate in holding or plan.plates]
    if holding:
        shown = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
        raise InputError(source, [Problem("", f'"{wanted}" may be {shown}; write the whole name')])
    near = difflib.get_close_matches(wanted, names, n=1, cutoff=0.4)
    hint = f'did you mean "{near[0]}"?' if near else f"the first is {names[0]}" if names else "it holds no plates"
    raise InputError(source, [Problem("", f'holds no plate "{wanted}"; {hint}')])


def widths_words(asked: Allowance) -> str:
    """Say how wide an allowance is on which sides."""
    sides = {"left": asked.left, "right": asked.right, "bottom": asked.bottom, "top": asked.top}
    given = {side: width for side, width in sides.items() if width > 0}
    if len(given) == 4 and max(given.values()) - min(given.values()) < 1e-9:
        return f"+ {amount_text(asked.left)} all round"
    return "+ " + ", ".join(f"{amount_text(width)} {side}" for side, width in given.items())


def _adds(asked: Allowance, plate: PlateRecord) -> bool:
    """Whether it makes the plate's metal larger: of one kind the widest counts on each side, the first of equals."""
    place = plate.allowances.index(asked)
    alike = [(number, other) for number, other in enumerate(plate.allowances) if other.kind == asked.kind]
    return any(
        width > 0 and all(getattr(other, side) < width or (getattr(other, side) == width and number >= place)
                          for number, other in alike)
        for side in ("left", "right", "bottom", "top") if (width := getattr(asked, side)) is not None
    )  # fmt: skip


def _up(inches: float) -> float:
    """Round up to the next 1/64 in, as whoever looks for metal must; what rounding has left over does not count."""
    return math.ceil(inches * 64 - 1e-6) / 64


def _rounding(plate: PlateRecord) -> float:
    """How much of the blank nobody asked for."""
    across = plate.width + sum(_widest(plate, kind, "left") + _widest(plate, kind, "right") for kind in KINDS)
    up = plate.height + sum(_widest(plate, kind, "bottom") + _widest(plate, kind, "top") for kind in KINDS)
    return max(plate.blank[2] - across, plate.blank[3] - up)


def _widest(plate: PlateRecord, kind: str, side: str) -> float:
    return max((getattr(asked, side) for asked in plate.allowances if asked.kind == kind), default=0.0)


def _where(plan: Plan, plate: PlateRecord) -> Iterator[str]:
    place = _place(plan, plate)
    if place is None:
        held: HeldPlate | None = next((held for held in plan.held if held.plate == plate.id), None)
        yield f"It is on no flat: it {held.reason}." if held else "It is on no flat."
    else:
        flat, placement = place
        x, y = placement.blank[:2]
        turned = f", turned {placement.turned} degrees anticlockwise" if placement.turned else ""
        yield (
            f"It lies on flat {flat.number} ({flat.sheet.name}), its lower left corner {amount_text(x)} from the left "
            f"and {amount_text(y)} from the bottom{turned}."
        )
        for one in flat.passes:
            if plate.id in one.plates:
                yield f"  {one.name} is laid over it: {one.reason}{who_said(one.rule, '')}"
    yield f'  only plates of "{plate.share_key}" may lie beside it; metal and gauge always keep plates apart'


def _place(plan: Plan, plate: PlateRecord) -> tuple[Flat, Placement] | None:
    for flat in plan.flats:
        for placement in flat.placements:
            if placement.plate == plate.id:
                return flat, placement
    return None


def who_said(rule: str, setting: str) -> str:
    """Name the rule and the setting behind a figure, in brackets after a blank."""
    who = {"house": "the house", "order": "the order"}.get(rule, f"rule {rule}")
    return f" ({who}{', ' + setting if setting else ''})"

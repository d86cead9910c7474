"""The comparison told: lines of text with bars for the estimator, JSON for other programs, and a page to be printed.

Keys of the JSON (``name[]`` is a list, ``name{}`` a table whose keys are names of the day):

    .: format title house currency cost cost_without_buying lead interrupted missing[] materials[]
    .materials: material plates held[] mixes proven_cheapest choices[] offers[]
    .materials.mixes: all laid ruled_out exhaustive
    .materials.choices: name size[] price to_buy lead pack from_rack
    .materials.offers: sheets[] cost paid flats metal plates kept waste lead left_out on_hand
    .materials.offers.sheets: name count
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, Final

from planner.estimate.comparing import Comparison, MaterialOffers, Offer
from planner.estimate.mixes import MOST_CHOICES
from planner.estimate.telling import money
from planner.sheets.comparison import Bar, ComparisonPage, Group

FORMAT: Final = "flatwright comparison 1"
_SHOWN: Final = 10
"""Mixes of each metal that are shown; single sizes and the sheets on hand are shown beside them in any case."""
_BAR: Final = 24
_ADVICE: Final = (
    "Straight cuts are reckoned with, and plates are laid by their blanks alone. Sheets on hand count at their own "
    "price, bought ones in whole packs; offcuts that are worth keeping are not taken off the cost."
)


def compare_lines(found: Comparison) -> Iterator[str]:
    """Give a comparison as lines of text."""
    yield f"{found.title or 'The day'} on every choice of sheets:"
    for material in found.materials:
        shown = _shown(material)
        yield ""
        yield f"{material_words(material)}: {_count(material.plates, 'plate')}"
        longest = _scale(shown)
        rows = [("", "cost", "flats", "waste", "kept", "lead", "sheets")]
        for place, offer in shown:
            rows.append((f"{place}.", _cost(offer), str(offer.flats), f"{offer.waste / offer.metal:.0%}",
                         f"{offer.kept:.0f}", _lead(offer), _words(material, offer)))  # fmt: skip
        widths = [max(len(row[column]) for row in rows) for column in range(6)]
        for number, row in enumerate(rows):
            figures = "  ".join(word.rjust(width) for word, width in zip(row[:6], widths, strict=True))
            bar = "" if not number else "#" * max(1, round(_BAR * _height(shown[number - 1][1]) / longest))
            yield f"  {figures}  {bar:<{_BAR}}  {row[6]}".rstrip()
        yield from (f"  {sentence}" for sentence in _sentences(material, found.currency))
    yield ""
    yield from _ending(found)


def compare_table(found: Comparison) -> dict[str, Any]:
    """Give the same as plain data; the keys never vary."""
    cost, before = totals(found)
    return {
        "format": FORMAT,
        "title": found.title,
        "house": found.house,
        "currency": found.currency,
        "cost": None if cost is None else str(cost),
        "cost_without_buying": None if before is None else str(before),
        "lead": max(material.best.lead for material in found.materials),
        "interrupted": found.interrupted,
        "missing": list(found.missing),
        "materials": [
            {
                "material": material.material,
                "plates": material.plates,
                "held": list(material.held),
                "mixes": {
                    "all": material.mixes,
                    "laid": material.laid,
                    "ruled_out": material.ruled_out,
                    "exhaustive": material.exhaustive,
                },
                "proven_cheapest": material.proven,
                "choices": [
                    {
                        "name": choice.name,
                        "size": [choice.width, choice.height],
                        "price": None if choice.price is None else str(choice.price),
                        "to_buy": choice.to_buy,
                        "lead": choice.lead,
                        "pack": choice.pack,
                        "from_rack": choice.from_rack,
                    }
                    for choice in material.choices
                ],
                "offers": [_offer_table(offer) for offer in material.offers],
            }
            for material in found.materials
        ],
    }


def compare_page(found: Comparison) -> ComparisonPage:
    """Give the comparison as a page to be printed."""
    groups = []
    for material in found.materials:
        shown = _shown(material)
        longest = _scale(shown)
        bars = tuple(
            Bar(
                (f"{place}.", _cost(offer), str(offer.flats), f"{offer.waste / offer.metal:.0%}", _lead(offer)),
                _words(material, offer), _height(offer) / longest, place == 1, offer.on_hand,
            )
            for place, offer in shown
        )  # fmt: skip
        heading = f"{material_words(material)}: {_count(material.plates, 'plate')}"
        groups.append(Group(heading, bars, tuple(_sentences(material, found.currency))))
    cost, _ = totals(found)
    return ComparisonPage(
        lines=(
            (f"the cheapest: {money(cost, found.currency)}" if cost is not None else "by square inches", True),
            ("bars show cost; green: nothing is to be bought", False),
            ("  \u2014  ".join(word for word in (found.house, found.title) if word), False),
        ),
        head=("", "cost", "flats", "waste", "lead"),
        groups=tuple(groups),
        sentences=tuple(_ending(found)),
    )


def totals(found: Comparison) -> tuple[Decimal | None, Decimal | None]:
    """Give the day's cost on the cheapest mixes, and on the sheets on hand alone; None where that is not known."""
    best = [material.best.cost for material in found.materials]
    own = [material.without_buying for material in found.materials]
    holds = [
        offer.cost if offer is not None and offer.left_out <= material.best.left_out else None
        for offer, material in zip(own, found.materials, strict=True)
    ]
    return _sum(best), _sum(holds)


def material_words(material: MaterialOffers) -> str:
    """Give a material for people: zinc of 0.064 in."""
    metal, gauge = material.material.rsplit(" ", 1)
    return f"{metal} of {gauge} in"


def _sum(amounts: Sequence[Decimal | None]) -> Decimal | None:
    known = [amount for amount in amounts if amount is not None]
    return sum(known, Decimal(0)) if len(known) == len(amounts) else None


def _shown(material: MaterialOffers) -> list[tuple[int, Offer]]:
    """The cheapest offers with their places, and beside them single sizes and what is on hand."""
    own = material.without_buying
    on_rack = {choice.name for choice in material.choices if choice.from_rack}
    return [
        (place, offer)
        for place, offer in enumerate(material.offers, 1)
        if place <= _SHOWN or sum(name not in on_rack for name, _ in offer.used) == 1 or offer is own
    ]


def _scale(shown: Sequence[tuple[int, Offer]]) -> float:
    return max((_height(offer) for _, offer in shown), default=0.0) or 1.0


def _height(offer: Offer) -> float:
    return offer.metal if offer.cost is None else float(offer.cost)


def _cost(offer: Offer) -> str:
    return f"{offer.metal:,.0f} sq in" if offer.cost is None else f"{offer.cost:,.2f}"


def _lead(offer: Offer) -> str:
    return "on hand" if offer.on_hand else "at once" if not offer.lead else _count(offer.lead, "day")


def _words(material: MaterialOffers, offer: Offer) -> str:
    choices = {choice.name: choice for choice in material.choices}
    words = ", ".join(f"{count} x {name}" for name, count in offer.used)
    packs = [name for name, count in offer.used if choices[name].to_buy and count % choices[name].pack]
    more = f" (whole packs of {', '.join(packs)} are paid)" if packs else ""
    out = f"; {_count(offer.left_out, 'plate')} left without metal" if offer.left_out else ""
    return f"{words}{more}{out}"


def _sentences(material: MaterialOffers, currency: str) -> Iterator[str]:
    best = material.best
    what = _words(material, best)
    cost = "" if best.cost is None else f" for {money(best.cost, currency)}"
    if material.proven:
        yield f"Cheapest: {what}{cost}. It is proven that straight cuts cannot do it for less."
    elif best.left_out:
        yield f"No mix that was laid holds all plates; most do on {what}."
    else:
        yield f"Cheapest found: {what}{cost}. It is not proven that nothing is cheaper."
    if material.exhaustive:
        out = f", {material.ruled_out} without being laid" if material.ruled_out else ""
        yield f"All {material.mixes} mixes were compared{out}."
    elif not material.finished:
        yield f"{material.laid} of {material.mixes} mixes were laid before the interruption."
    elif not material.proven:
        hint = (
            "All would take too long; --every-mix lays them."
            if len(material.choices) <= MOST_CHOICES
            else "There are too many to look through."
        )
        yield (
            f"{material.laid} of {material.mixes} mixes were laid: single sizes, pairs, and what is one change away "
            f"from the best. {hint}"
        )
    own = material.without_buying
    if own is not None and own is not best and own.cost is not None and best.cost is not None and not own.left_out:
        yield f"Buying nothing costs {money(own.cost, currency)}, {money(own.cost - best.cost, currency)} more."
    if best.paid:
        yield f"To be paid to the supplier: {money(best.paid, currency)}; all of it is here {_here(best)}."
    if material.held:
        yield f"None of these sheets holds {', '.join(material.held)}."


def _here(offer: Offer) -> str:
    return f"in {_count(offer.lead, 'day')}" if offer.lead else "at once"


def _ending(found: Comparison) -> Iterator[str]:
    cost, before = totals(found)
    if cost is not None:
        beside = "" if before is None or before == cost else f"; on the sheets on hand {money(before, found.currency)}"
        yield f"The day's metal: {money(cost, found.currency)}{beside}."
    if found.missing:
        yield f"There is no sheet of their metal and gauge, on hand or to be bought: {', '.join(found.missing)}."
    if found.interrupted:
        yield "Interrupted: this is the best of what was laid by then."
    yield _ADVICE
    on_rack = sum(choice.from_rack for material in found.materials for choice in material.choices)
    if on_rack:
        yield f"{_count(on_rack, 'piece')} of the rack may be used in every mix, for what a plan would count them."


def _offer_table(offer: Offer) -> dict[str, Any]:
    return {
        "sheets": [{"name": name, "count": count} for name, count in offer.used],
        "cost": None if offer.cost is None else str(offer.cost),
        "paid": str(offer.paid),
        "flats": offer.flats,
        "metal": round(offer.metal, 3),
        "plates": round(offer.plates, 3),
        "kept": round(offer.kept, 3),
        "waste": round(offer.waste, 3),
        "lead": offer.lead,
        "left_out": offer.left_out,
        "on_hand": offer.on_hand,
    }


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"

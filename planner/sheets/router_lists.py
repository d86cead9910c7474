"""What the router's sheets say in words: which cutter when, how deep, how long, where to go slow.

Figures come from the plan; here they are only put in rows, and added up where a row stands for several.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from planner.lengths import amount_text, fraction_text
from planner.plan import Flat, RouterRecord, RouterZone, StretchRecord
from planner.sheets.bench import Job, plates_words, runs_words
from planner.sheets.columns import Block, Row
from planner.sheets.desk import Desk
from planner.sheets.style import zone_letter
from planner.sheets.text import tied

HAND: Final = "H"
"""The letter of what no cutter reaches."""

MOST_NUMBERED: Final = 24
"""Close stretches that get a number, the worst first; the others are drawn thin and without."""

_SINGLE: Final = 30
"""Zones of a plate up to which each has a row of its own."""
_LARGEST: Final = 14
"""Zones that have a row of their own where there are more."""

_CRUMB: Final = 0.01
"""Square inches; what hand tools take and is smaller has no number on the drawing and no row of its own."""

_ZONE_STOPS: Final = (0.0, 1.0, 1.9, 3.3, 4.0, 4.5, 5.15)
_ZONE_HEAD: Final = ("zones", "cutter", "depth", "sq in", "paths", "min", "lb")


def letter_of(desk: Desk, cutter: float | None) -> str:
    """Give the letter by which the zones of a cutter are tagged."""
    place = desk.cutter_place(cutter)
    return HAND if place is None else zone_letter(place)


def minutes_text(minutes: float) -> str:
    """Say how long something takes: to a tenth of a minute, and never that something takes no time."""
    return f"{minutes:.1f}" if minutes >= 0.05 or minutes == 0 else tied("< 0.1")


def inches_text(length: float) -> str:
    """Say how long a way is, in inches: a short one to a tenth, and never that there is none of what there is."""
    if length >= 9.95:
        return f"{length:.0f}"
    return f"{length:.1f}" if length >= 0.05 or length == 0 else tied("< 0.1")


def pounds_text(pounds: float) -> str:
    """Say what chips weigh."""
    return f"{pounds:.3f}" if pounds >= 0.0005 or pounds == 0 else tied("< 0.001")


def area_text(area: float) -> str:
    """Say an area in square inches, small ones with more decimals."""
    return f"{area:.2f}" if area >= 0.095 else f"{area:.4f}"


def ratio_text(travel: float, nearest: float) -> str:
    """Say the lifted travel as a share of what it would be by always going to the nearest path next."""
    return f"{travel / nearest:.2f}" if nearest > 0 else "-"


def zones_list(desk: Desk, zones: Sequence[RouterZone]) -> Block:
    """Give the zones in working order; of very many the large ones singly, the others by cutter and depth."""
    groups = _grouped(zones)
    rows = []
    for group in groups:
        first = group[0]
        cut = [zone.minutes for zone in group if zone.minutes is not None]
        cutter = "hand" if first.cutter is None else f"{letter_of(desk, first.cutter)} {amount_text(first.cutter)}"
        count = f" ({len(group)})" if len(group) > 1 else ""
        rows.append(
            Row(
                (
                    runs_words(zone.number for zone in group) + count,
                    cutter,
                    f"{amount_text(first.depth)} {first.depth_for}",
                    area_text(sum(zone.area for zone in group)),
                    str(sum(len(zone.paths) for zone in group)) if first.cutter is not None else "",
                    minutes_text(sum(cut)) if cut else "",
                    pounds_text(sum(zone.chips for zone in group)),
                )
            )
        )
    return Block("zones", f"ZONES IN WORKING ORDER: {len(zones)}", rows, _ZONE_STOPS, _ZONE_HEAD)


def is_crumb(zone: RouterZone) -> bool:
    """Say whether a zone is so small a piece for hand tools that its hatch says all there is to say of it."""
    return zone.cutter is None and zone.area < _CRUMB


def _grouped(zones: Sequence[RouterZone]) -> list[list[RouterZone]]:
    told = sorted((zone for zone in zones if not is_crumb(zone)), key=lambda zone: (-zone.area, zone.number))
    large = {zone.number for zone in (told if len(told) <= _SINGLE else told[:_LARGEST])}
    groups: dict[tuple[object, ...], list[RouterZone]] = {}
    for zone in zones:
        key = (zone.number,) if zone.number in large else (zone.cutter, zone.depth, zone.depth_for)
        groups.setdefault(key, []).append(zone)
    return sorted(groups.values(), key=lambda group: group[0].number)


def work_list(desk: Desk, record: RouterRecord) -> Block:
    """Say what the whole work on one plate comes to, cutter by cutter."""
    rows = []
    for cutter, zones in by_cutter(record.zones).items():
        area = area_text(sum(zone.area for zone in zones))
        count = f"{len(zones)} zone{'s' if len(zones) > 1 else ''}, {area} sq in"
        if cutter is None:
            rows.append(Row(("hand tools", count)))
            continue
        length = sum(zone.length for zone in zones)
        minutes = minutes_text(sum(zone.minutes or 0.0 for zone in zones))
        words = f"{count}; {inches_text(length)} in of cut, {minutes} min"
        rows.append(Row((f"{letter_of(desk, cutter)} {amount_text(cutter)} cutter", words)))
    if record.minutes or record.length:
        all_of_it = f"{minutes_text(record.minutes)} min; {inches_text(record.length)} in of cut"
        rows.append(Row(("ALL", all_of_it), bold=True))
        ratio = ratio_text(record.travel, record.travel_nearest)
        times = f"{record.lifts} time{'s' if record.lifts != 1 else ''}"
        words = f"set down {times}, {inches_text(record.travel)} in of travel"
        rows.append(Row(("lifted", f"{words}; {ratio} of always going to the nearest path next")))
    rows.append(Row(("chips", f"{pounds_text(record.chips)} lb, by machine and by hand")))
    if record.whites_area > 0:
        rows.append(Row(("whites", f"{area_text(record.whites_area)} sq in are narrow and stay: not routed")))
    if record.nails:
        spots = f"{len(record.nails)} spot{'s' if len(record.nails) > 1 else ''}"
        rows.append(Row(("nails", f"{spots}, {amount_text(record.nail_width)} across: leave the metal there")))
    return Block("work", "THE WORK ON ONE PLATE", rows, (0.0, 1.55))


def near_list(near: Sequence[StretchRecord]) -> Block:
    """List where the cutter runs close to fine detail, the worst first."""
    rows = []
    for number, stretch in enumerate(near[:MOST_NUMBERED], start=1):
        cells = ("", str(stretch.zone), near_text(stretch.distance), near_text(stretch.width), f"{stretch.length:.2f}")
        rows.append(Row(cells, symbol=("near", str(number))))
    more = len(near) - len(rows)
    if more > 0:
        rows.append(Row(("", f"{more}", "more, less close:", "thin lines, no number", "")))
    head = ("", "zone", "cutter to detail", "detail's width", "inches long")
    return Block("near", f"GO SLOW: CLOSE TO FINE DETAIL: {len(near)}", rows, (0.0, 0.5, 1.2, 3.05, 4.7), head)


def near_text(inches: float) -> str:
    """Say a small distance both ways: to the nearest 1/64 in, and in thousandths."""
    sixtyfourths = fraction_text(inches)
    return f"{inches:.3f} in" if sixtyfourths == "0" else f"{sixtyfourths} in, {inches:.3f}"


def by_cutter(zones: Iterable[RouterZone]) -> dict[float | None, list[RouterZone]]:
    """Give the zones of each cutter, cutters in the order in which they are first used, hand tools last."""
    found: dict[float | None, list[RouterZone]] = {}
    for zone in zones:
        found.setdefault(zone.cutter, []).append(zone)
    hand = found.pop(None, None)
    return found if hand is None else {**found, None: hand}


def flat_work_list(desk: Desk, jobs: Sequence[Job]) -> list[Block]:
    """Give the router's work on a flat, plate by plate, with its totals; then what all the flat's cutters do."""
    flat = desk.flat
    rows, total = [], [0, 0.0, 0.0, 0, 0.0, 0.0, 0.0]
    pages = []
    for number, job in plates_on(flat, jobs):
        record = job.record
        letters = " ".join(letter_of(desk, cutter) for cutter in by_cutter(record.zones))
        rows.append(Row((str(number), letters, *_figures(len(record.zones), record))))
        sums = (len(record.zones), record.minutes, record.length, record.lifts, record.chips)
        total = [one + other for one, other in zip(total, (*sums, record.travel, record.travel_nearest), strict=True)]
        pages.append((job, number))
    zones, minutes, length, lifts, chips, travel, nearest = total
    figures = (minutes_text(minutes), inches_text(length), str(lifts), ratio_text(travel, nearest), pounds_text(chips))
    rows.append(Row(("ALL", "", str(zones), *figures), bold=True))
    head = ("plate", "cutters", "zones", "min", "cut, in", "lifts", "travel", "chips, lb")
    stops = (0.0, 0.6, 1.7, 2.3, 2.95, 3.7, 4.35, 5.05)
    hint = (
        "Cutters in the order of their work, H for hand tools. Travel: lifted, as a share of what it would be by "
        "always going to the nearest path next. Each plate has a page of its own, on which its zones are numbered."
    )
    return [
        Block("router-hint", f"ROUTER'S WORK: {len(pages)} PLATE{'S' if len(pages) != 1 else ''}", [Row((hint,))]),
        Block("router", "Plate by plate", rows, stops, head),
        Block("pages", "Pages", _pages(flat, jobs), (0.0, 3.05)),
    ]


def _figures(zones: int, record: RouterRecord) -> tuple[str, ...]:
    return (
        str(zones), minutes_text(record.minutes), inches_text(record.length), str(record.lifts),
        ratio_text(record.travel, record.travel_nearest), pounds_text(record.chips),
    )  # fmt: skip


def _pages(flat: Flat, jobs: Sequence[Job]) -> list[Row]:
    rows = []
    for job in jobs:
        here = [(flat.number, number) for where, number in job.all_plates if where == flat.number]
        if here:
            rows.append(Row((f"{plates_words(here, flat.number)}:", f"{job.stem}.svg")))
    return rows


def plates_on(flat: Flat, jobs: Sequence[Job]) -> list[tuple[int, Job]]:
    """Give the plates of a flat that have work, by number, each with its job."""
    mine = [(number, job) for job in jobs for where, number in job.all_plates if where == flat.number]
    return sorted(mine, key=lambda one: one[0])

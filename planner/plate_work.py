"""What of each plate's metal must stay, and what is the router's work on it? The rules are asked between the two.

The heavy parts, bare metal before the rules and zones after them, go to the crew; copies and colours share them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from shapely.geometry import MultiPolygon

from planner.art_records import ArtOfTheDay
from planner.blanks import Blank
from planner.crew import Crew
from planner.flats import Work
from planner.geometry import area_of, union_of
from planner.house import House, Routing
from planner.plan import ChargeRecord, StayingRecord
from planner.plates import OrderedPlate
from planner.routing import Metal, Nails, RouterWork, metal_of, router_work
from planner.rule_records import NailSpot
from planner.rules import Rules

_Entry: TypeAlias = tuple[str, str]
"""Job and name of a plate as ordered, which copies and colours have in common."""


@dataclass(frozen=True, slots=True)
class _Staying:
    """What of a plate's metal must stay, and who says so."""

    metal: MultiPolygon
    nails: Nails
    records: tuple[StayingRecord, ...]

    def on_plate(self, plate: OrderedPlate) -> MultiPolygon:
        """All of it; discs of nails are a hair larger than true, so what reaches over the edge is cut off."""
        return area_of(union_of([self.metal, self.nails.discs]).intersection(plate.face))


@dataclass(frozen=True, slots=True)
class _BareTask:
    plate: OrderedPlate
    routing: Routing


@dataclass(frozen=True, slots=True)
class _RouterTask:
    plate: OrderedPlate
    flange: MultiPolygon
    staying: MultiPolygon
    nails: Nails
    metal: Metal
    house: House = field(repr=False)


def works_for(blanks: Mapping[str, Blank], art: ArtOfTheDay, rules: Rules, house: House, crew: Crew) -> dict[str, Work]:
    """Give all that plates bring to their flats, by their ids.

    Raises:
        RuleFailure: a rule failed.
    """
    bare = _bare(blanks, house, crew)
    staying = {plate_id: _staying(blank.plate, bare[_entry(blank)], rules) for plate_id, blank in blanks.items()}
    routed = _routed(blanks, bare, staying, house, crew)
    return {
        plate_id: Work(
            blank=blank,
            staying=staying[plate_id].on_plate(blank.plate),
            router=routed[plate_id],
            art=art.by_plate.get(plate_id, {}),
            asked_to_stay=staying[plate_id].records,
            charges=_charges(blank.plate, routed[plate_id], rules),
        )
        for plate_id, blank in blanks.items()
    }


def _entry(blank: Blank) -> _Entry:
    return blank.plate.job, blank.plate.name


def _has_art(plate: OrderedPlate) -> bool:
    return any(film.art for film in plate.films)


def _bare(blanks: Mapping[str, Blank], house: House, crew: Crew) -> dict[_Entry, Metal]:
    tasks: dict[_Entry, _BareTask] = {}
    for blank in blanks.values():
        tasks.setdefault(_entry(blank), _BareTask(blank.plate, house.routing))
    heavy = [_has_art(task.plate) for task in tasks.values()]
    return dict(zip(tasks, crew.does(_bare_metal, list(tasks.values()), heavy), strict=True))


def _bare_metal(task: _BareTask) -> Metal:
    return metal_of(task.plate, task.routing)


def _staying(plate: OrderedPlate, bare: Metal, rules: Rules) -> _Staying:
    """Ask the rules one after the other; each sees what those before it have left."""
    metal, nails, records = MultiPolygon(), list[NailSpot](), list[StayingRecord]()
    for rule in rules.active:
        if not rule.answers("flatwright_staying_metal"):
            continue
        named = union_of([metal, *(nail.shape for nail in nails)])
        left = bare.without(named) if records else bare
        for one in rule.staying_metal(plate, left.dead, left.whites, named):
            if isinstance(one, NailSpot):
                nails.append(one)
            else:
                metal = union_of([metal, one.shape.intersection(plate.face)])
            setting = rule.setting_text(one.setting)
            records.append(StayingRecord(rule=rule.name, reason=one.reason, setting=setting, area=one.shape.area))
    places = Nails(tuple((nail.x, nail.y) for nail in nails), max((nail.width for nail in nails), default=0.0))
    return _Staying(area_of(metal), places, tuple(_joined(records)))


def _joined(records: list[StayingRecord]) -> list[StayingRecord]:
    """One record for each reason: a plate's nails are said once."""
    areas: dict[tuple[str, str, str], float] = {}
    for one in records:
        key = (one.rule, one.reason, one.setting)
        areas[key] = areas.get(key, 0.0) + one.area
    return [
        StayingRecord(rule=rule, reason=reason, setting=setting, area=area)
        for (rule, reason, setting), area in areas.items()
    ]


def _routed(
    blanks: Mapping[str, Blank],
    bare: Mapping[_Entry, Metal],
    staying: Mapping[str, _Staying],
    house: House,
    crew: Crew,
) -> dict[str, RouterWork]:
    """By plate; those with the same films, flange and staying metal share one work."""
    tasks: dict[tuple[_Entry, bytes, bytes, Nails], _RouterTask] = {}
    keys = {}
    for plate_id, blank in blanks.items():
        stays = staying[plate_id]
        key = keys[plate_id] = (_entry(blank), stays.metal.wkb, blank.flange.wkb, stays.nails)
        if key not in tasks:
            metal = bare[_entry(blank)]
            tasks[key] = _RouterTask(blank.plate, blank.flange, stays.metal, stays.nails, metal, house)
    heavy = [_has_art(task.plate) for task in tasks.values()]
    made = dict(zip(tasks, crew.does(_route, list(tasks.values()), heavy), strict=True))
    return {plate_id: made[key] for plate_id, key in keys.items()}


def _route(task: _RouterTask) -> RouterWork:
    return router_work(task.plate, task.flange, task.staying, task.house, task.nails, task.metal)


def _charges(plate: OrderedPlate, router: RouterWork, rules: Rules) -> tuple[ChargeRecord, ...]:
    return tuple(
        ChargeRecord(
            rule=rule.name, what=one.what, quantity=float(one.quantity), unit=one.unit, rate=str(one.rate),
            reason=one.reason, setting=rule.setting_text(one.setting),
        )
        for rule in rules.active
        for one in rule.charges(plate, router)
    )  # fmt: skip

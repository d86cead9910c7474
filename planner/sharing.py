"""With which others may, must and would each plate like to share a flat, when all rules have been asked?

Metal and gauge keep plates apart by themselves. Every key by which a rule keeps plates apart must agree; plates that
chains of rules want together form one set; wishes are only handed on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from planner.forms import InputError, Problem
from planner.plan import SharingRecord
from planner.plates import OrderedPlate
from planner.rules import Rules


@dataclass(frozen=True, slots=True)
class Share:
    """What decides with which others one plate lies."""

    key: str
    """Plates with different keys may not share a flat."""
    together: str
    """Plates with the same one go on one flat, the same way up; empty for none."""
    near: tuple[str, ...]
    """Wishes."""
    asked: tuple[SharingRecord, ...] = ()
    """What the rules asked for."""


def material_words(plate: OrderedPlate) -> str:
    """Name the metal that keeps plates apart whatever the rules say."""
    return f"{plate.metal}, {plate.gauge:.4g} in"


def shares_of(plates: Sequence[OrderedPlate], rules: Rules) -> dict[str, Share]:
    """Ask every rule for every plate; gives each plate's share by its id.

    Raises:
        InputError: a rule failed, two rules give one name to different groups, or one rule wants plates together that
            another, or their metal, keeps apart.
    """
    asked = {plate.id: tuple(_asked(plate, rules)) for plate in plates}
    _refuse_one_name_for_two(asked)
    keys = {
        plate.id: ", ".join(
            [material_words(plate), *sorted({one.key for one in asked[plate.id] if one.kind == "apart"})]
        )
        for plate in plates
    }
    sets = _sets(asked)
    _refuse_conflicts(plates, asked, keys, sets)
    return {
        plate.id: Share(
            key=keys[plate.id],
            together=sets.get(plate.id, ""),
            near=tuple(sorted({f"{one.rule}: {one.key}" for one in asked[plate.id] if one.kind == "near"})),
            asked=asked[plate.id],
        )
        for plate in plates
    }


def _asked(plate: OrderedPlate, rules: Rules) -> Iterable[SharingRecord]:
    for rule in rules.active:
        for one in rule.sharing(plate):
            yield SharingRecord(
                kind=one.kind, key=one.key, rule=rule.name, reason=one.reason, setting=rule.setting_text(one.setting)
            )


def _refuse_one_name_for_two(asked: Mapping[str, tuple[SharingRecord, ...]]) -> None:
    """A flat is known by its keys: the same words of two rules would make one group out of two."""
    owners: dict[str, str] = {}
    for records in asked.values():
        for one in records:
            if one.kind == "apart" and owners.setdefault(one.key, one.rule) != one.rule:
                raise InputError(
                    "house rules",
                    [Problem("", f'the rules {owners[one.key]} and {one.rule} both keep plates apart as "{one.key}"; '
                                 "switch one of them off")],
                )  # fmt: skip


def _sets(asked: Mapping[str, tuple[SharingRecord, ...]]) -> dict[str, str]:
    """By plate, the name of the set it is in: the first key that joined it, in the order of the plates."""
    members: dict[tuple[str, str], list[str]] = {}
    for plate, records in asked.items():
        for one in records:
            if one.kind == "together":
                members.setdefault((one.rule, one.key), []).append(plate)
    leader = {plate: plate for plate in asked}

    def lead(plate: str) -> str:
        while leader[plate] != plate:
            leader[plate] = leader[leader[plate]]
            plate = leader[plate]
        return plate

    order = {plate: place for place, plate in enumerate(asked)}
    for plates in members.values():
        for plate in plates[1:]:
            first, second = sorted((lead(plates[0]), lead(plate)), key=order.__getitem__)
            leader[second] = first
    names: dict[str, str] = {}
    for (rule, key), plates in members.items():
        if lead(plates[0]) not in names:
            names[lead(plates[0])] = f"{key} ({rule})" if key in names.values() else key
    sizes: dict[str, int] = {}
    for plate in asked:
        sizes[lead(plate)] = sizes.get(lead(plate), 0) + 1
    return {plate: names[lead(plate)] for plate in asked if sizes[lead(plate)] > 1}


def _refuse_conflicts(
    plates: Sequence[OrderedPlate],
    asked: Mapping[str, tuple[SharingRecord, ...]],
    keys: Mapping[str, str],
    sets: Mapping[str, str],
) -> None:
    first: dict[str, OrderedPlate] = {}
    problems = []
    for plate in plates:
        name = sets.get(plate.id)
        if name is None:
            continue
        other = first.setdefault(name, plate)
        if keys[plate.id] != keys[other.id]:
            problems.append(Problem(f"plates {other.id} and {plate.id}", _conflict(other, plate, asked)))
    if problems:
        raise InputError("house rules", problems)


def _conflict(plate: OrderedPlate, other: OrderedPlate, asked: Mapping[str, tuple[SharingRecord, ...]]) -> str:
    together = _joining(plate.id, other.id, asked)
    wants = f"the rule {together.rule} wants them on one flat ({together.reason})"
    if material_words(plate) != material_words(other):
        return f"{wants}, but one is of {material_words(plate)} and the other of {material_words(other)}"
    ours, theirs = ([one for one in asked[each.id] if one.kind == "apart"] for each in (plate, other))
    shared = {(one.rule, one.key) for one in ours} & {(one.rule, one.key) for one in theirs}
    apart = next(one for one in (*ours, *theirs) if (one.rule, one.key) not in shared)
    return (
        f"{wants}, and the rule {apart.rule} keeps them apart ({apart.reason}); switch one of the two rules off for "
        "this day, or order the plates so that both can be had"
    )


def _joining(plate: str, other: str, asked: Mapping[str, tuple[SharingRecord, ...]]) -> SharingRecord:
    """What joins a plate to the first of its set: a key that both have, or else one that it has with any plate."""
    wanted = [one for one in asked[other] if one.kind == "together"]

    def joins(one: SharingRecord, plates: Iterable[str]) -> bool:
        records = (record for each in plates if each != other for record in asked[each])
        return any((record.kind, record.rule, record.key) == (one.kind, one.rule, one.key) for record in records)

    both = (one for one in wanted if joins(one, [plate]))
    return next(both, None) or next(one for one in wanted if joins(one, asked))

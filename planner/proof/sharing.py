"""Does every plate lie only with those that the rules let it lie with, and every set together or found apart?"""

from __future__ import annotations

from collections.abc import Iterable

from planner.plan import Plan, PlateRecord, SharingRecord
from planner.proof.report import Check, Tally

_APART_CODES = {"together.apart", "together.turned"}


def check_sharing(plan: Plan) -> Check:
    """Compare what each plate's rules asked with who lies beside it."""
    tally = Tally("sharing", "wishes and demands of rules")
    records = {plate.id: plate for plate in plan.plates}
    for plate in plan.plates:
        tally.look(len(plate.sharing))
        _check_record(plate, tally)
    for flat in plan.flats:
        here = [records[placement.plate] for placement in flat.placements if placement.plate in records]
        if here:
            first = _keys(here[0].sharing)
            for plate in here[1:]:
                if _keys(plate.sharing) != first:
                    tally.wrong(f"flat {flat.number}: a rule keeps plates {here[0].id} and {plate.id} apart.")
    _check_sets(plan, tally)
    return tally.done()


def _keys(sharing: Iterable[SharingRecord]) -> frozenset[tuple[str, str]]:
    return frozenset((one.rule, one.key) for one in sharing if one.kind == "apart")


def _check_record(plate: PlateRecord, tally: Tally) -> None:
    for one in plate.sharing:
        if one.kind == "apart" and one.key not in plate.share_key.split(", "):
            tally.wrong(
                f"Plate {plate.id}: the rule {one.rule} keeps it to {one.key}, its own record to something else."
            )
    wanted = any(one.kind == "together" for one in plate.sharing)
    if plate.together and not wanted:
        tally.wrong(f"Plate {plate.id}: it is in the set {plate.together}, which no rule asked for.")


def _check_sets(plan: Plan, tally: Tally) -> None:
    """The plates that a rule joins are of one set; a set in several places has a finding that says so."""
    joined: dict[tuple[str, str], list[PlateRecord]] = {}
    for plate in plan.plates:
        for one in plate.sharing:
            if one.kind == "together":
                joined.setdefault((one.rule, one.key), []).append(plate)
    for (rule, key), plates in joined.items():
        if len(plates) > 1 and (len({plate.together for plate in plates}) > 1 or not plates[0].together):
            tally.wrong(f"The rule {rule} wants the plates of {key} together, and they are not of one set.")
    places: dict[str, set[tuple[int, int]]] = {}
    records = {plate.id: plate for plate in plan.plates}
    for flat in plan.flats:
        for placement in flat.placements:
            record = records.get(placement.plate)
            if record is not None and record.together:
                places.setdefault(record.together, set()).add((flat.number, placement.turned))
    said = {records[one.plate].together for one in plan.findings if one.code in _APART_CODES and one.plate in records}
    for name, where in places.items():
        if len(where) > 1 and name not in said:
            tally.wrong(f"The set {name} lies in several places or ways, and no finding says so.")

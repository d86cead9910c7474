"""A late job enters yesterday's plan, and nothing that is laid moves."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings

from planner.cli import main
from planner.flats import Search
from planner.forms import InputError
from planner.house import House, read_house
from planner.late import add_to_plan
from planner.orders import orders_from, read_orders
from planner.plan import Plan
from planner.proof import prove

from .days import a_day, a_house, days, houses, planned, rules_of
from .proof.quick import prove as prove_quickly


def late_day(*plates: dict[str, Any]) -> dict[str, Any]:
    tables = a_day(*plates)
    tables["jobs"][0]["number"] = "late"
    return tables


def added(plan: Plan, tables: dict[str, Any], house: House | None = None, finished: tuple[int, ...] = ()) -> Plan:
    house = house or a_house()
    return add_to_plan(plan, orders_from(tables, ""), house, rules_of(house), Search(iterations=5), finished)


def test_a_late_plate_goes_into_open_space_and_moves_nothing() -> None:
    before = planned(a_day({"size": "8 x 10 in", "quantity": 2}))
    after = added(before, late_day({"size": "3 x 4 in"}))
    assert len(after.flats) == len(before.flats) == 1
    laid = {placement.plate: placement for placement in after.flats[0].placements}
    assert all(laid[placement.plate] == placement for placement in before.flats[0].placements)
    assert "late/P1" in laid
    assert prove(after).clean


def test_what_finds_no_open_space_goes_on_a_new_flat() -> None:
    before = planned(a_day({"size": "8 x 10 in", "quantity": 2}))
    after = added(before, late_day({"size": "14 x 20 in"}))
    assert after.flats[0] == before.flats[0]
    assert [flat.number for flat in after.flats] == [1, 2]
    assert prove(after).clean


def test_a_finished_flat_does_not_change() -> None:
    before = planned(a_day({"size": "8 x 10 in"}))
    after = added(before, late_day({"size": "3 x 4 in"}), finished=(1,))
    assert after.flats[0] == before.flats[0]
    assert len(after.flats) == 2
    with pytest.raises(InputError, match="there is no flat 7"):
        added(before, late_day({"size": "3 x 4 in"}), finished=(7,))


def test_open_space_is_only_for_what_may_share_the_flat() -> None:
    before = planned(a_day({"size": "8 x 10 in"}))
    after = added(before, late_day({"size": "3 x 4 in", "screen": 65}))
    assert after.flats[0] == before.flats[0]
    assert after.flats[1].share_key.endswith("screens to 100")


def test_sheets_that_the_plan_used_are_off_the_rack() -> None:
    house = a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in", "count": 1}])
    before = planned(a_day({"size": "12 x 16 in"}), house)
    after = added(before, late_day({"size": "12 x 16 in"}), house)
    assert [held.code for held in after.held] == ["out-of-stock"]
    assert prove(after).clean


def test_a_known_job_number_and_another_way_of_cutting_are_refused() -> None:
    before = planned(a_day({"size": "8 x 10 in"}))
    with pytest.raises(InputError, match="job 7: is in the plan already"):
        added(before, a_day({"size": "3 x 4 in"}))
    with pytest.raises(InputError, match="differs from how flat 1 was cut"):
        added(before, late_day({"size": "3 x 4 in"}), a_house(cutting={"how": "saw"}))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(first=days(), late=days(), tables=houses())
def test_any_late_day_proves_clean_and_moves_nothing(
    first: dict[str, Any], late: dict[str, Any], tables: dict[str, Any]
) -> None:
    house = a_house(**tables)
    before = planned(first, house, iterations=3)
    for job in late["jobs"]:
        job["number"] += " late"
    after = added(before, late, house)
    result = prove_quickly(after)
    assert result.clean, [violation for check in result.checks for violation in check.violations]
    for old, new in zip(before.flats, after.flats, strict=False):
        assert new.placements[: len(old.placements)] == old.placements
    assert len(after.plates) == len(before.plates) + sum(job.plates for job in after.jobs[len(before.jobs) :])


def test_the_example_takes_a_late_job_without_moving_anything(monday: Plan, example: Path) -> None:
    house = read_house(example / "house.toml")
    tuesday = add_to_plan(monday, read_orders(example / "late.toml"), house, rules_of(house), Search())
    for old, new in zip(monday.flats, tuesday.flats, strict=False):
        assert new.placements[: len(old.placements)] == old.placements
    late_plates = sum(entry.quantity for job in read_orders(example / "late.toml").jobs for entry in job.plates)
    assert len(tuesday.plates) == len(monday.plates) + late_plates


def test_finished_without_onto_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(main, ["plan", "x.toml", "--finished", "1"])
    assert result.exit_code == 2
    assert "give --onto as well" in result.stderr

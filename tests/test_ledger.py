"""The account against areas worked by hand."""

from __future__ import annotations

import pytest

from planner.plan import AREA_CLASSES

from .days import a_day, a_house, planned


def test_one_bevelled_plate_by_hand() -> None:
    house = a_house(
        film={"safe_edge": "0 in"},
        glass={"grip": "1/2 in"},
        cutting={"how": "saw", "kerf": "1/16 in", "gap": "1/8 in", "trim": "1/16 in"},
        sheets=[{"metal": "zinc", "size": "11 x 11 in"}],
        flats={"least_offcut": "5 x 9 in"},
    )
    plan = planned(a_day({"size": "3 x 4 in", "may_turn": False, "mounting": "bevelled"}), house)
    areas = plan.ledger.flats[0].areas
    assert areas.printing == pytest.approx(12)
    assert areas.routed == 0
    flange = (3 + 5 / 16) * (4 + 5 / 16) - 12
    assert areas.flange == pytest.approx(flange)
    blank_width, blank_height = 3 + 7 / 16, 4 + 7 / 16
    beside = 1 / 32  # half of the gap that the kerf does not take
    part = (blank_width + beside) * (blank_height + beside)
    assert areas.trim == pytest.approx(part - 12 - flange)
    # Four cuts take the grip margin off, each with its kerf in the margin.
    grip_kerf = (11 + 11 + 10 + 10) / 16
    assert areas.grip == pytest.approx(121 - 100 - grip_kerf)
    assert areas.kerf > grip_kerf
    assert sum(getattr(areas, name) for name in AREA_CLASSES) == pytest.approx(121, abs=1e-9)


def test_a_job_takes_the_plates_classes_of_its_plates() -> None:
    tables = a_day({"size": "3 x 4 in", "quantity": 2, "negatives": [{"kind": "line", "size": "1 x 1 in"}]})
    tables["jobs"].append({"number": "8", "plates": [{"name": "R", "size": "2 x 2 in", "metal": "zinc"}]})
    ledger = planned(tables).ledger
    first, second = ledger.jobs
    assert (first.job, second.job) == ("7", "8")
    assert second.areas.printing == pytest.approx(4)
    assert first.areas.printing + first.areas.routed == pytest.approx(24)
    for name in ("printing", "routed", "flange", "trim"):
        assert getattr(first.areas, name) + getattr(second.areas, name) == pytest.approx(getattr(ledger.total, name))
    assert (first.areas.kerf, first.areas.scrap) == (0, 0)


def test_a_held_plate_takes_no_metal() -> None:
    ledger = planned(a_day({"size": "60 x 60 in"})).ledger
    assert ledger.flats == ()
    assert ledger.jobs[0].areas.printing == 0

from __future__ import annotations

import flatwright_job_tag as rule

from planner.testing import a_day, allowances_of, findings_of, marks_of, planned, sheets_of, steps_of


def test_a_plate_gets_a_tag_at_its_foot() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}), rule)
    (tag,) = allowances_of(plan, "7/P1", rule="job-tag")
    assert (tag.bottom, tag.top, tag.left, tag.right) == (0.375, 0, 0, 0)
    assert tag.setting == '[rules.job-tag] height = "3/8 in"'


def test_the_tag_lies_outside_the_finished_plate_whichever_way_it_is_turned() -> None:
    sheets = [{"metal": "zinc", "size": "9 x 5 in"}]
    for may_turn in (True, False):
        size = "3 x 7 in" if may_turn else "7 x 3 in"
        plate = {"size": size, "may_turn": may_turn, "mounting": "unmounted"}
        plan = planned(a_day(plate), rule, house={"sheets": sheets})
        (placement,) = plan.flats[0].placements
        assert placement.turned == (90 if may_turn else 0)
        (area,) = [mark.area for mark in marks_of(plan, "job-tag") if mark.kind == "area"]
        xs, ys = zip(*area[0][0], strict=True)
        corners = [corner for polygon in placement.outline for ring in polygon for corner in ring]
        inside = [(x, y) for x, y in corners if min(xs) < x < max(xs) and min(ys) < y < max(ys)]
        assert inside == []


def test_a_narrow_plate_gets_none_and_that_is_said() -> None:
    plan = planned(a_day({"size": "3/4 x 4 in"}), rule)
    assert allowances_of(plan, "7/P1", rule="job-tag") == []
    assert [found.code for found in findings_of(plan, rule="job-tag")] == ["tag.none"]


def test_it_is_charged_ordered_and_drawn() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}), rule, settings={"charge": "0.25"})
    assert [charge.rate for charge in plan.plates[0].charges] == ["0.25"]
    assert [step.who for step in steps_of(plan, "job-tag")] == ["shear hand", "finisher"]
    assert "tag with the job number" in sheets_of(plan)["flat-01-metal.svg"]

"""Copies that share a focus: the fewest settings, none wider than the tolerance, every copy in exactly one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from planner.camera import settings_for
from planner.plan import CopyRecord


def a_copy(number: int, percentage: float) -> CopyRecord:
    return CopyRecord(plates=(f"7/P{number}",), film=1, art=f"art-{number}", percentage=percentage)


def fewest(percentages: list[float], tolerance: float) -> int:
    """The least number of groups, by trying every way to part the sorted list."""
    ordered = sorted(percentages)
    least = [0] + [len(ordered)] * len(ordered)
    for end in range(1, len(ordered) + 1):
        for start in range(end):
            if ordered[end - 1] <= ordered[start] * (1 + tolerance / 100) * (1 + 1e-12):
                least[end] = min(least[end], least[start] + 1)
    return least[-1]


PERCENTAGES = st.lists(st.integers(1000, 1100).map(lambda value: value / 20), max_size=12)


@given(PERCENTAGES, st.sampled_from([0.0, 0.25, 1.0, 3.0]))
def test_settings_are_the_fewest_and_lose_no_copy(percentages: list[float], tolerance: float) -> None:
    copies = [a_copy(number, percentage) for number, percentage in enumerate(percentages)]
    settings = settings_for(copies, tolerance)
    assert len(settings) == fewest(percentages, tolerance)
    assert sorted(copy.art for setting in settings for copy in setting.copies) == sorted(copy.art for copy in copies)
    for setting in settings:
        of_setting = [copy.percentage for copy in setting.copies]
        assert setting.spread == max(of_setting) - min(of_setting)
        assert setting.spread <= min(of_setting) * tolerance / 100 * (1 + 1e-9) + 1e-9
        assert min(of_setting) <= setting.percentage <= max(of_setting)
    focused = [setting.percentage for setting in settings]
    assert focused == sorted(focused, reverse=True)


def test_the_same_reduction_is_one_setting() -> None:
    settings = settings_for([a_copy(1, 66.7), a_copy(2, 50.0), a_copy(3, 66.6667)], 0.25)
    assert [[copy.art for copy in setting.copies] for setting in settings] == [["art-1", "art-3"], ["art-2"]]

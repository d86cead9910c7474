"""The shortest strip."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from planner.nesting import saw_separate
from planner.nesting.saw import SawOptions, Shape, lay_in_strip

from .judging import judge_sheet

DART = ((0.0, 0.0), (3.0, 1.0), (6.0, 0.0), (3.0, 5.0))
OPTIONS = SawOptions(spacing=0.05, iterations=30, spyrrow=False)


def darts(number: int) -> list[Shape]:
    return [Shape(f"dart {index}", (DART,), (0, 180)) for index in range(number)]


def test_spacing_is_kept_after_the_exact_slide() -> None:
    shapes = darts(9)
    strip = lay_in_strip(shapes, 10.3, OPTIONS)
    judge_sheet({shape.name: shape for shape in shapes}, strip.placements, strip.length, 10.3, 0.05)
    assert len(strip.placements) == 9
    assert strip.density == pytest.approx(9 * 12 / (strip.length * 10.3))
    assert strip.density > 0.5


def test_a_strip_cannot_be_shorter_than_its_only_shape() -> None:
    plank = Shape("plank", (((0, 0), (5, 0), (5, 1), (0, 1)),), (0, 90))
    assert lay_in_strip([plank], 4.0, OPTIONS).length == pytest.approx(5)
    assert lay_in_strip([plank], 6.0, OPTIONS).length == pytest.approx(1)


def test_same_seed_same_strip() -> None:
    assert lay_in_strip(darts(6), 10.3, OPTIONS) == lay_in_strip(darts(6), 10.3, OPTIONS)


def test_too_tall_is_refused() -> None:
    with pytest.raises(ValueError, match="taller"):
        lay_in_strip(darts(1), 4.9, OPTIONS)


def test_empty_strip() -> None:
    assert lay_in_strip([], 1.0, OPTIONS).length == 0


@pytest.mark.parametrize("calls", [0, 4, 60])
def test_interruption_returns_the_best_so_far(monkeypatch: pytest.MonkeyPatch, calls: int) -> None:
    shapes = darts(7)
    original: Callable[..., object] = saw_separate.Separator.grid
    left = [calls]

    def grid(*arguments: object) -> object:
        left[0] -= 1
        if left[0] < 0:
            raise KeyboardInterrupt
        return original(*arguments)

    monkeypatch.setattr(saw_separate.Separator, "grid", grid)
    strip = lay_in_strip(shapes, 10.3, OPTIONS)
    assert len(strip.placements) == 7
    judge_sheet({shape.name: shape for shape in shapes}, strip.placements, strip.length, 10.3, 0.05)


def test_spyrrow_lays_as_well_when_installed() -> None:
    pytest.importorskip("spyrrow")
    shapes = darts(6)
    strip = lay_in_strip(shapes, 10.3, SawOptions(spacing=0.05, iterations=None, seconds=1.0, spyrrow=True))
    judge_sheet({shape.name: shape for shape in shapes}, strip.placements, strip.length, 10.3, 0.05)

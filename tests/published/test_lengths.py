"""Lengths against definitions from outside: units of measure, the printer's point, and the words of the trade."""

from __future__ import annotations

import pint
import pytest

from planner.lengths import parse_length, parse_size


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(cache_folder=None)


def test_point_is_the_american_printers_point() -> None:
    """0.013837 in exactly.

    Sources: Unified Code for Units of Measure (Regenstrief Institute), unit [pnt_pr]; L. Boyd Benton in
    F. H. Hitchcock (ed.), The Building of a Book, 1906; D. E. Knuth, The TeXbook, 1984, p. 58, after National Bureau
    of Standards Circular 570.
    """
    assert parse_length("1 pt") == 0.013837
    assert parse_length("1 point") == 0.013837
    assert parse_length("1000 pt") == pytest.approx(13.837, abs=1e-12)


def test_pica_is_twelve_points() -> None:
    """0.166044 in, or 4.2175176 mm. Source: Unified Code for Units of Measure, unit [pca_pr], is 12 [pnt_pr]."""
    assert parse_length("1 pica") == pytest.approx(0.166044, abs=1e-15)
    assert parse_length("1p") == parse_length("12 pt")
    assert parse_length("1p0") == pytest.approx(parse_length("4.2175176 mm"), abs=1e-12)


def test_six_picas_fall_short_of_an_inch() -> None:
    """72 points are 0.996264 in, not an inch. Source: 72 times the point of UCUM, [pnt_pr]."""
    assert parse_length("6p0") == pytest.approx(0.996264, abs=1e-12)
    assert parse_length("72 pt") == parse_length("6 picas")


def test_points_to_the_inch_as_tex_counts_them() -> None:
    """72.27 points to the inch. Source: D. E. Knuth, The TeXbook, 1984, p. 58 (0.013837 was rounded to fit)."""
    assert parse_length("72.27 pt") == pytest.approx(1.0, abs=2e-8)


def test_eighty_three_picas_are_about_thirty_five_centimetres() -> None:
    """The proposal of 1886 on which the American point rests; the point as legalised misses it by 0.016 %.

    Source: GNU Units, definitions.units 3.22 (2024), comment on the printer's point.
    """
    assert parse_length("83 picas") == pytest.approx(parse_length("35 cm"), rel=2e-4)
    assert parse_length("83 picas") == pytest.approx(parse_length("350.054 mm"), abs=1e-4)


def test_picas_and_points_are_written_with_a_p() -> None:
    """26p6 is 26 picas and 6 points, half of 53 picas. Source: common practice."""
    assert parse_length("26p6") == pytest.approx(318 * 0.013837, abs=1e-12)
    assert parse_length("26p6") == parse_length("26.5 picas") == parse_length("318 pt")
    assert parse_length("0p5.5") == parse_length("5 1/2 pt")


def test_agate_is_near_the_fourteenth_of_an_inch() -> None:
    """Fourteen agate lines are a column inch, and agate is about five and a half points.

    Source: A. A. Stewart, Type, Typographic Technical Series no. 1, United Typothetae of America, 1918. "About" is
    generous: a fourteenth of an inch is 5.16 points, between the five-point body and the five-and-a-half.
    """
    line = parse_length("1/14 in")
    assert parse_length("5 pt") < line < parse_length("5 1/2 pt")
    assert parse_length("5 1/2 pt") == pytest.approx(line, rel=0.07)


def test_inch_is_exact_in_millimetres() -> None:
    """25.4 mm exactly, since the international yard and pound agreement of 1959.

    Sources: Unified Code for Units of Measure, unit [in_i]; GNU Units, definitions.units 3.22, "inch".
    """
    assert parse_length("25.4 mm") == parse_length("2.54 cm") == parse_length('1"') == 1.0
    assert parse_length("0.1 mm") == pytest.approx(1 / 254, rel=1e-15)


@pytest.mark.parametrize("number", ["1", "0.918", "3", "12.7", "108", "210", "297", "594.0", "0.351"])
@pytest.mark.parametrize("unit", ["in", "mm", "cm"])
def test_metric_and_inches_agree_with_pint(registry: pint.UnitRegistry, number: str, unit: str) -> None:
    """Source: pint 0.24 or later, its default registry of units."""
    asked = registry.Quantity(float(number), unit).to("inch").magnitude
    assert parse_length(f"{number} {unit}") == pytest.approx(asked, rel=1e-14)


def test_points_do_not_agree_with_pint(registry: pint.UnitRegistry) -> None:
    """Pint takes the printer's point for 1/72 in, which is the point of screens and page description files.

    Source: pint 0.24 or later, default registry, "point" and "printers_point". So pint is no authority for the shop's
    point; the two lie 0.375 % apart, a sixteenth of an inch in 17 inches.
    """
    screen_point = registry.Quantity(1, "point").to("inch").magnitude
    assert screen_point == pytest.approx(1 / 72, rel=1e-12)
    assert screen_point / parse_length("1 pt") == pytest.approx(1.00375, abs=1e-5)


@pytest.mark.parametrize(
    ("metric", "inches"),
    [("594 x 841 mm", (23.386, 33.110)), ("297 x 420 mm", (11.693, 16.535)), ("210 x 297 mm", (8.268, 11.693))],
)
def test_paper_sizes_in_inches(metric: str, inches: tuple[float, float]) -> None:
    """A1, A3 and A4. Sources: ISO 216 for the millimetres; the inches rounded to 0.001, from memory."""
    assert parse_size(metric) == pytest.approx(inches, abs=0.0006)

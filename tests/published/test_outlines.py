"""Areas of written outlines against the SVG specification, closed formulas, and another reader of path data."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest
import resvg_py
from numpy.polynomial import Polynomial
from skimage import data, measure
from skimage import io as pictures

from planner.outlines import Outline

from .rasters import coins, from_corner, horse, path_data


def area(path: str, unit: str = "in") -> float:
    return Outline.model_validate({"path": path, "unit": unit}).area.area


def drawn_area(path: str, window: tuple[float, float, float, float], dots: int = 1000) -> float:
    """Let resvg read the path, fill it by the even-odd rule, and add up how much of each dot is covered."""
    left, top, width, height = window
    wide = round(dots * width / max(width, height))
    high = round(dots * height / max(width, height))
    markup = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" preserveAspectRatio="none" '
        f'viewBox="{left} {top} {width} {height}"><path fill-rule="evenodd" d="{path}"/></svg>'
    )
    picture = pictures.imread(io.BytesIO(resvg_py.svg_to_bytes(svg_string=markup, skip_system_fonts=True)))
    return float(picture[..., 3].sum()) / 255 * width * height / (wide * high)


# SVG 1.1 (Second Edition), W3C Recommendation 2011, chapter 8 "Paths"; sections from memory.
GRAMMAR = [
    ("8.1 the triangle of the introduction", "M 100 100 L 300 100 L 200 300 z", 20000.0),
    ("8.3.1 a command letter may be left out when repeated", "M 100 100 L 300 100 200 300 z", 20000.0),
    ("8.3.2 pairs after a moveto are linetos", "M 100 100 300 100 200 300 z", 20000.0),
    ("8.3.2 pairs after a relative moveto are relative", "m 100 100 200 0 -100 200 z", 20000.0),
    ("8.3.4 h and v, absolute and relative", "M100 100H300V300h-200z", 40000.0),
    ("8.3.4 repeated h keeps the last", "M0 0H2 4V2 4H0z", 16.0),
    ("8.3.9 a second point or a minus begins a number", "M.5.5l-1e-1-2l3 0z", 3.0),
    ("8.3.9 a minus separates coordinates", "M100-200L200-100L100-100z", 5000.0),
    ("8.3.9 exponents", "M0 0H1e1V1E+1H0z", 100.0),
    ("8.3.3 after closepath m is relative to the start", "m1 1 2 0 0 2-2 0z m5 0 2 0 0 2-2 0z", 8.0),
    ("8.3.3 after closepath a drawing command starts where the subpath did", "M0 0H1V1H0Z H-1V-1H0Z", 2.0),
    ("8.2 an open subpath is filled as if closed", "M0 0H4V4H0", 16.0),
    ("11.3 even-odd: a hole drawn the same way round", "M0 0H4V4H0zM1 1H3V3H1z", 12.0),
    ("11.3 even-odd: a hole drawn the other way round", "M0 0H4V4H0zM1 1V3H3V1z", 12.0),
    ("11.3 even-odd: an island in the hole", "M0 0H4V4H0zM1 1H3V3H1zM1.5 1.5h1v1h-1z", 13.0),
    ("8.3.8 arc flags need no separator", "M1 1a1 1 0 012 0a1 1 0 01-2 0z", math.pi),
    ("8.3.8 repeated arcs", "M1 1a1 1 0 0 1 2 0 1 1 0 0 1-2 0z", math.pi),
    ("8.3.8 the pie of the arc example", "M300,200 h-150 a150,150 0 1,0 150,-150 z", 3 / 4 * math.pi * 150**2),
    ("F.6.2 a radius of nothing is a straight line", "M0 0A0 1 0 0 1 4 0L2 3z", 6.0),
    ("F.6.6 a minus before a radius is dropped", "M0 0A-2-2 0 0 1 4 0z", 2 * math.pi),
    ("F.6.6 radii too small are scaled up", "M0 0A1 1 0 0 1 4 0z", 2 * math.pi),
]


@pytest.mark.parametrize(("rule", "path", "expected"), GRAMMAR, ids=[rule for rule, _, _ in GRAMMAR])
def test_path_data_means_what_the_specification_says(rule: str, path: str, expected: float) -> None:
    """Source: SVG 1.1 (Second Edition), W3C, 2011; the clause stands in each case, from memory."""
    # One unit is a millimetre where a figure of the specification is hundreds of units wide.
    if expected > 1000:
        assert area(path, "mm") * 25.4**2 == pytest.approx(expected, rel=1e-3), rule
    else:
        assert area(path) == pytest.approx(expected, rel=5e-4), rule


READ_ALIKE = [
    ("compressed numbers", "M.5.5l-1e-1-2l3 0z", (0, -2, 4, 3)),
    ("closepath, then a line", "M0 0H1V1H0Z H-1V-1H0Z", (-2, -2, 4, 4)),
    ("mirrored cubic", "M0 0C0 1 2 1 2 0S4-1 4 0V3H0z", (-1, -1, 6, 5)),
    ("smooth cubic without one before it", "M0 0S1 2 2 0V-1H0z", (-1, -2, 4, 4)),
    ("mirrored quadratic", "M0 0Q1 2 2 0T4 0V-3H0z", (-1, -4, 6, 6)),
    ("relative curves", "m1 1c0-1 2-1 2 0s2 1 2 0q1 1 0 3t-1 1h-3z", (0, -1, 8, 8)),
    ("turned ellipse", "M1 3a3 1.5 30 1 0 5 0a3 1.5 30 1 0-5 0z", (-1, -1, 9, 9)),
    ("large and small arcs", "M2 2A2 2 0 1 1 4 4L3 3z", (-1, -2, 8, 8)),
    ("half a loop and a hole", "M0 0a2 2 0 0 0 4 0zM1.5.3a.5.5 0 0 0 1 0z", (-1, -1, 6, 5)),
]


@pytest.mark.parametrize(("what", "path", "window"), READ_ALIKE, ids=[what for what, _, _ in READ_ALIKE])
def test_path_data_is_read_as_resvg_reads_it(what: str, path: str, window: tuple[float, float, float, float]) -> None:
    """Source: resvg (resvg_py 0.5 or later), a reader of SVG that shares no code with the one used here."""
    assert area(path) == pytest.approx(drawn_area(path, window), rel=2e-3), what


@pytest.mark.parametrize("radius", [0.25, 1.0, 6.0])
def test_circle_drawn_with_arcs(radius: float) -> None:
    """Pi r squared. Chords lie within 1/2000 in of the arc, so the area is short of it by less than that rim.

    Source: Archimedes, Measurement of a Circle, proposition 1.
    """
    path = f"M{radius} 0A{radius} {radius} 0 0 1 {-radius} 0A{radius} {radius} 0 0 1 {radius} 0z"
    assert 0 <= math.pi * radius**2 - area(path) <= 2 * math.pi * radius / 2000


def test_ellipse_drawn_with_arcs_and_turned() -> None:
    """Pi a b, whichever way it is turned. Source: Archimedes, On Conoids and Spheroids, propositions 4-6."""
    half = 2.5
    across, up = half * math.cos(math.radians(25)), half * math.sin(math.radians(25))
    path = f"M{across} {up}A{half} 1 25 0 1 {-across} {-up}A{half} 1 25 0 1 {across} {up}z"
    assert area(path) == pytest.approx(math.pi * half, rel=1e-3)


@pytest.mark.parametrize(
    "corners",
    [
        ((0, 0), (0, 2), (3, 2), (3, 0)),
        ((0, 0), (1, 4), (5, 3), (6, 0)),
        ((0, 0), (-2, 3), (4, 5), (3, 0)),
    ],
)
def test_cubic_curve_by_greens_theorem(corners: tuple[tuple[float, float], ...]) -> None:
    """The area under a Bezier curve and its chord is half the integral of x dy - y dx.

    Sources: G. Green, An Essay on the Application of Mathematical Analysis, 1828; the integral is taken exactly with
    numpy.polynomial (NumPy 2).
    """
    t = Polynomial([0, 1])
    weights = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3]
    x = sum((weight * corner[0] for weight, corner in zip(weights, corners, strict=True)), Polynomial([0]))
    y = sum((weight * corner[1] for weight, corner in zip(weights, corners, strict=True)), Polynomial([0]))
    integral = ((x * y.deriv() - y * x.deriv()) / 2).integ()
    # The chord back to the start adds its own share of the boundary integral.
    chord = (corners[3][0] * corners[0][1] - corners[0][0] * corners[3][1]) / 2
    expected = abs(integral(1) - integral(0) + chord)
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    assert area(f"M{x0} {y0}C{x1} {y1} {x2} {y2} {x3} {y3}z") == pytest.approx(expected, rel=1e-3)


def test_outline_of_the_horse_has_the_area_of_its_dots() -> None:
    """Source: scikit-image, `skimage.data.horse`, its black dots counted by `skimage.measure.regionprops`."""
    picture = measure.label(~data.horse())
    largest = max(measure.regionprops(picture), key=lambda region: region.area)
    dots = float(np.asarray(largest.area_filled)) / (400 / 3.0) ** 2
    points = [f"{x} in, {y} in" for x, y in horse(3.0)]
    outline = Outline.model_validate({"points": points})
    assert outline.area.area == pytest.approx(dots, rel=0.01)
    assert outline.area.bounds[:2] == (0.0, 0.0)


def test_coins_as_one_path_have_the_area_that_resvg_fills() -> None:
    """Source: scikit-image, `skimage.data.coins`, its outlines filled by resvg (resvg_py 0.5 or later)."""
    rings = from_corner(coins())
    path = path_data(rings)
    assert len(rings) > 20
    assert area(path) == pytest.approx(drawn_area(path, (-0.1, -4.1, 4.2, 4.2)), rel=2e-3)

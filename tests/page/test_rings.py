"""Paths drawn with no more corners than there are dots, and in strips: the same picture as the whole path gives."""

from __future__ import annotations

import json
from importlib import resources
from typing import Any

import pytest

from tests.page.benchmark_page import art_path

COMPARE = """(text, matrix, strip) => {
  const [width, height] = [500, 400];
  const drawn = (act) => {
    const canvas = Object.assign(document.createElement('canvas'), { width, height });
    const pen = canvas.getContext('2d', { willReadFrequently: true });
    act(pen);
    return pen.getImageData(0, 0, width, height).data;
  };
  const rings = new Rings(text);
  rings.read();
  const exact = drawn((pen) => { pen.setTransform(...matrix); pen.fill(new Path2D(text), 'evenodd'); });
  const whole = drawn((pen) => {
    pen.setTransform(...matrix);
    pen.fill(rings.path(Math.hypot(matrix[0], matrix[1])), 'evenodd');
  });
  const strips = drawn((pen) => {
    const [highest, lowest] = rings.reach(matrix);
    for (let top = Math.max(0, Math.floor(highest)); top < Math.min(height, lowest); top += strip) {
      pen.save();
      pen.setTransform(1, 0, 0, 1, 0, 0);
      pen.beginPath();
      pen.rect(0, top, width, strip);
      pen.clip();
      pen.setTransform(...matrix);
      pen.fill(rings.between(matrix, [-2, top - 2, width + 2, top + strip + 2]), 'evenodd');
      pen.restore();
    }
  });
  const off = (one, other) => {
    let [most, dots, black] = [0, 0, 0];
    for (let place = 3; place < one.length; place += 4) {
      const by = Math.abs(one[place] - other[place]);
      most = Math.max(most, by);
      if (by > 40) dots += 1;
      if (one[place] > 127) black += 1;
    }
    return { most, dots, black };
  };
  return { simplified: off(exact, whole), strips: off(whole, strips) };
}"""


@pytest.fixture(scope="module")
def rings(browser: Any) -> Any:
    """An empty page that knows how rings are drawn, and nothing else of the day's page."""
    page = browser.new_page()
    page.goto("about:blank")
    script = resources.files("planner.page").joinpath("rings.js").read_text(encoding="utf-8")
    page.evaluate(f"() => {{ const tag = document.createElement('script'); tag.textContent = "
                  f"{json.dumps(script + 'window.Rings = Rings;')}; document.head.append(tag); }}")  # fmt: skip
    yield page
    page.close()


@pytest.mark.parametrize(
    "matrix",
    [
        [0.13, 0, 0, -0.13, 50, 395],  # small: most corners are left out
        [-1.1, 0, 0, -1.1, 1500, 1700],  # mirrored, close to, beyond the paper all round
        [0, 0.2, 0.2, 0, -40, -100],  # turned by a quarter
        [0.19, 0.05, 0.05, -0.19, 20, 350],  # askew
    ],
)
def test_strips_are_the_whole(rings: Any, matrix: list[float]) -> None:
    text = art_path(5, 90_000)
    found = rings.evaluate(f"({COMPARE})({json.dumps(text)}, {matrix}, 23)")
    assert found["strips"]["black"] > 10_000
    # Other sums of the same edges: a few dots differ by a shade, none by a line.
    assert found["strips"]["dots"] < 10
    # Corners nearer than half a dot are left out.
    assert found["simplified"]["dots"] < 0.02 * found["simplified"]["black"]


def test_thousands_of_rings_take_time_by_their_number_and_not_by_its_square(rings: Any) -> None:
    """Timed against itself: eight times the rings; by the square it would be sixty-four times as long."""
    took = rings.evaluate(
        """() => {
          const ring = (place) => `M${place % 97 * 9} ${place % 89 * 9}l5 0 0 5 -5 0z`;
          const text = (many) => Array.from({ length: many }, (_, place) => ring(place)).join('');
          const least = (many) => {
            const rings = new Rings(text(many));
            rings.read();
            let best = Infinity;
            for (let turn = 0; turn < 5; turn++) {
              const begun = performance.now();
              rings.draw(0);
              best = Math.min(best, performance.now() - begun);
            }
            return best;
          };
          return [least(2500), least(20000)];
        }"""
    )
    assert took[1] < 30 * max(took[0], 0.3)

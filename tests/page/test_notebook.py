"""Plans and flats show themselves in notebooks."""

from __future__ import annotations

import base64
import io
import re

import numpy as np
import resvg_py
from defusedxml.ElementTree import fromstring
from PIL import Image

from planner.plan import Plan
from tests.page.conftest import a_hostile_plan

MARGIN = 0.1
DPI = 20


def test_a_flat_shows_its_plates_where_they_lie(page_day: Plan) -> None:
    flat = page_day.flats[0]
    text = flat._repr_svg_()
    root = fromstring(text)
    assert root.get("width") == f"{flat.sheet.width + 0.2:g}in"
    png = resvg_py.svg_to_bytes(svg_string=text, dpi=DPI, background="#ffffff")
    seen = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)

    def at(x: float, y: float) -> list[int]:
        return list(seen[int((flat.sheet.height - y + MARGIN) * DPI), int((x + MARGIN) * DPI)])

    for placed in flat.placements:
        x, y, width, height = placed.blank
        # Between the corner of the blank and its middle a plate prints or is bare; beside it lies the sheet's own tone.
        assert at(x + width * 0.22, y + height * 0.22) != at(flat.sheet.width - 1.5, flat.sheet.height - 1.5)
    words = {one.text for one in root.iter("{http://www.w3.org/2000/svg}text")}
    assert words == {str(number) for number in range(1, len(flat.placements) + 1)}


def test_a_plan_shows_its_flats_and_what_is_held(page_day: Plan) -> None:
    text = page_day._repr_html_()
    assert "501/Barn" in text
    pictures = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', text)
    assert [base64.b64decode(one).decode() for one in pictures] == [flat._repr_svg_() for flat in page_day.flats]


def test_hostile_words_do_no_harm_in_a_notebook() -> None:
    plan = a_hostile_plan()
    text = plan._repr_html_()
    assert "<script" not in text
    assert "<img src=x" not in text
    fromstring(plan.flats[0]._repr_svg_())

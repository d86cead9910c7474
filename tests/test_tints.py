"""What an order may say of a tint's art, and the area that becomes of it."""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw
from shapely import box

from planner.crew import Crew
from planner.forms import InputError
from planner.geometry import area_of
from planner.orders import Orders, orders_from, read_orders
from planner.plates import OrderedPlate, plates_of

from .days import a_day, a_house

BAR = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="8in" height="4in" viewBox="0 0 8 4">'
    '<rect x="1" y="1" width="2" height="1"/></svg>'
)
"""A drawing of 8 x 4 in with a bar of 2 x 1 in, 1 in from the left and from the top."""

HALF = box(1.0, 1.75, 2.0, 2.25)
"""The bar where art of 4 x 2 in at 1/2, 3/4 in has it: half as large, 1/2 in from the art's left and top."""


def orders_in(folder: Path, *tints: dict[str, Any], **plate: Any) -> Orders:
    (folder / "water.svg").write_text(BAR)
    named = [{"pattern": "No. 7 lines", **tint} for tint in tints]
    (folder / "orders.json").write_text(json.dumps(a_day({"size": "5 x 3 in", "tints": named, **plate})))
    return read_orders(folder / "orders.json")


def the_plate(folder: Path, *tints: dict[str, Any]) -> OrderedPlate:
    return plates_of(orders_in(folder, *tints), a_house())[0]


def refusal(**tint: Any) -> str:
    with pytest.raises(InputError) as caught:
        orders_from(a_day({"size": "4 x 2 in", "tints": [{"pattern": "No. 7 lines", **tint}]}), "orders.toml")
    return str(caught.value)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"art": "a.svg"}, "size on the plate"),
        ({"art": "a.svg", "size": "1 x 1 in", "page": 2}, '"a.svg" is none'),
        ({"threshold": 0.4}, "add art"),
        ({"copy_size": "4 x 4 in"}, "add art"),
        ({"mirrored": True}, "add art"),
        ({"light_on_dark": True}, "add art"),
        ({"art": "a.svg", "size": "1 x 1 in", "threshold": 1.5}, "must be less than 1"),
        ({"art": "a.svg", "outline": {"points": ["0, 0 in", "1, 0 in", "1, 1 in"]}}, "stands beside art"),
        ({"art": "../a.svg", "size": "1 x 1 in"}, "does not stay in the order file's folder"),
    ],
)
def test_a_slip_about_a_tints_art_is_named(keys: dict[str, Any], said: str) -> None:
    text = refusal(**keys)
    assert said in text
    assert 'job 7, plate "P1", tint "No. 7 lines", key' in text


def test_what_is_dark_in_the_art_is_the_area(tmp_path: Path) -> None:
    (tint,) = the_plate(tmp_path, {"art": "water.svg", "size": "4 x 2 in", "at": "1/2, 3/4 in"}).tints
    # The outline of art is true to 1/500 in; the area holds all of the bar, and no more than that round it.
    assert area_of(tint.area.difference(HALF.buffer(0.004))).is_empty
    assert area_of(HALF.buffer(-0.004).difference(tint.area)).is_empty


def test_mirrored_art_and_light_art_are_read_as_such(tmp_path: Path) -> None:
    plate = the_plate(
        tmp_path,
        {"art": "water.svg", "size": "4 x 2 in", "mirrored": True},
        {"art": "water.svg", "size": "4 x 2 in", "light_on_dark": True},
    )
    # Turned over, the half-size bar lies 1/2 in from the right instead of the left.
    assert plate.tints[0].area.bounds == pytest.approx((2.5, 1.0, 3.5, 1.5), abs=0.004)
    assert plate.tints[1].area.area == pytest.approx(4 * 2 - 1 * 0.5, abs=0.02)


def test_the_threshold_decides_what_of_a_scan_is_tinted(tmp_path: Path) -> None:
    picture = Image.new("L", (400, 200), 255)
    draw = ImageDraw.Draw(picture)
    draw.rectangle((0, 0, 99, 199), fill=0)
    draw.rectangle((100, 0, 199, 199), fill=150)
    picture.save(tmp_path / "wash.png", dpi=(100, 100))
    keys = {"art": "wash.png", "size": "4 x 2 in"}
    black, grey = the_plate(tmp_path, {**keys, "threshold": 0.3}, {**keys, "threshold": 0.8}).tints
    assert black.area.area == pytest.approx(2, abs=0.05)
    assert grey.area.area == pytest.approx(4, abs=0.05)


def test_art_without_a_size_of_its_own_takes_that_of_the_order(tmp_path: Path) -> None:
    picture = Image.new("L", (400, 200), 255)
    ImageDraw.Draw(picture).rectangle((0, 0, 199, 199), fill=0)
    picture.save(tmp_path / "wash.png")
    keys = {"art": "wash.png", "size": "4 x 2 in"}
    with pytest.raises(InputError, match=r'tint "No\. 7 lines", key "art": "wash\.png"'):
        the_plate(tmp_path, keys)
    (tint,) = the_plate(tmp_path, {**keys, "copy_size": "8 x 4 in"}).tints
    assert tint.area.area == pytest.approx(4, abs=0.05)


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"art": "gone.svg", "size": "4 x 2 in"}, 'key "art": "gone.svg" is not there'),
        ({"art": "water.svg", "size": "4 x 3 in"}, 'key "size": has another proportion than "water.svg"'),
        ({"art": "white.svg", "size": "4 x 2 in"}, 'key "art": nothing of "white.svg" is darker'),
    ],
)
def test_art_that_makes_no_tint_is_named_with_job_plate_and_tint(
    tmp_path: Path, keys: dict[str, Any], said: str
) -> None:
    (tmp_path / "white.svg").write_text(BAR.replace("<rect", '<rect fill="#fff"'))
    with pytest.raises(InputError) as caught:
        the_plate(tmp_path, keys)
    assert f'job 7, plate "P1", tint "No. 7 lines", {said}' in str(caught.value)


def test_another_proportion_is_refused_with_the_size_that_takes_all_of_it(tmp_path: Path) -> None:
    # 8 x 4 in of art in 4 x 3 in: as high as asked it is 6 in wide.
    with pytest.raises(InputError, match=r'write size = "6\.0000 x 3\.0000 in"'):
        the_plate(tmp_path, {"art": "water.svg", "size": "4 x 3 in"})


class Posting(Crew):
    """Sends work and results through the post, as processes do, and notes what was worth handing out."""

    def __init__(self) -> None:
        super().__init__(1)
        self.heavy: list[bool] = []

    def does(self, task: Callable[[Any], Any], works: Sequence[Any], heavy: Sequence[bool]) -> list[Any]:
        self.heavy = list(heavy)
        return [pickle.loads(pickle.dumps(task(pickle.loads(pickle.dumps(work))))) for work in works]


def test_another_process_reads_tints_as_this_one_does(tmp_path: Path) -> None:
    orders = orders_in(tmp_path, {"art": "water.svg", "size": "4 x 2 in"})
    crew = Posting()
    (there,), (here,) = plates_of(orders, a_house(), crew=crew), plates_of(orders, a_house())
    assert there.tints[0].area.wkb == here.tints[0].area.wkb
    assert crew.heavy == [True]

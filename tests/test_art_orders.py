"""What an order may say of art, where the file may lie, and what becomes of it in the plan."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from planner.flats import Search
from planner.forms import InputError
from planner.orders import Orders, orders_from, read_orders
from planner.plan import Plan
from planner.planning import make_plan
from planner.plates import plates_of

from .days import a_day, a_house, rules_of

BAR = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="8in" height="4in" viewBox="0 0 8 4">'
    '<rect x="1" y="1" width="2" height="1"/></svg>'
)
"""A copy of 8 x 4 in on which a bar of 2 x 1 in prints, 1 in from the left and from the top."""


def orders_in(folder: Path, *negatives: dict[str, Any], **plate: Any) -> Orders:
    tables = a_day({"size": "4 x 2 in", "negatives": list(negatives), **plate})
    (folder / "orders.json").write_text(json.dumps(tables))
    return read_orders(folder / "orders.json")


def planned_with(orders: Orders, processes: int = 1, **house: Any) -> Plan:
    shop = a_house(**house)
    return make_plan(orders, shop, rules_of(shop), Search(), processes)


def refusal(*negatives: dict[str, Any], **plate: Any) -> str:
    with pytest.raises(InputError) as caught:
        orders_from(a_day({"size": "4 x 2 in", "negatives": list(negatives), **plate}), "orders.toml")
    return str(caught.value)


@pytest.mark.parametrize("name", ["../crest.svg", "/etc/passwd", "a\\b.svg", "C:/x.svg", "art/../../x.svg", ""])
def test_art_stays_in_the_folder_of_the_order_file(name: str) -> None:
    assert 'key "art"' in refusal({"kind": "line", "art": name})


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"page": 2, "art": "a.svg"}, '"a.svg" is none'),
        ({"threshold": 0.4}, "add art"),
        ({"mirrored": True}, "add art"),
        ({"art": "a.svg", "speck": "1/8 in"}, "is only for a drop-out"),
        ({"art": "a.svg", "threshold": 1.5}, "must be less than 1"),
        ({"art": "a.svg", "crop": {"left": "-1 in"}}, "less than nothing"),
        ({"art": "a.svg", "crop": {"up": "1 in"}}, "is no side of a plate"),
        ({"art": "a.svg", "outline": {"points": ["0, 0 in", "1, 0 in", "1, 1 in"]}}, "stands beside art"),
    ],
)
def test_a_slip_about_art_is_named(keys: dict[str, Any], said: str) -> None:
    assert said in refusal({"kind": "line", **keys})


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inside = tmp_path / "day"
    inside.mkdir()
    (tmp_path / "secret.svg").write_text(BAR)
    (inside / "crest.svg").symlink_to(tmp_path / "secret.svg")
    with pytest.raises(InputError, match=r'negative "crest", key "art": "crest\.svg" is a link that leads out'):
        plates_of(orders_in(inside, {"kind": "line", "name": "crest", "art": "crest.svg"}), a_house())


@pytest.mark.parametrize(("name", "said"), [("gone.svg", "is not there"), ("folder", "is no file")])
def test_art_that_is_not_there_is_named_with_its_negative(tmp_path: Path, name: str, said: str) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputError, match=f'job 7, plate "P1", negative number 1 in its list, key "art": .*{said}'):
        plates_of(orders_in(tmp_path, {"kind": "line", "art": name}), a_house())


def test_orders_that_came_from_no_file_know_no_folder() -> None:
    orders = orders_from(a_day({"size": "4 x 2 in", "negatives": [{"kind": "line", "art": "a.svg"}]}), "these orders")
    with pytest.raises(InputError, match="were not read from a file"):
        plates_of(orders, a_house())


def test_art_is_scaled_placed_and_turned(tmp_path: Path) -> None:
    (tmp_path / "bar.svg").write_text(BAR)
    plan = planned_with(orders_in(tmp_path, {"kind": "line", "art": "bar.svg"}, may_turn=False))
    (art,) = plan.art
    assert (art.file, art.copy_size, art.size) == ("bar.svg", (8.0, 4.0), (4.0, 2.0))
    assert art.percentage == pytest.approx(50)
    assert art.area == pytest.approx(0.5, abs=0.01)
    placement = plan.flats[0].placements[0]
    left, bottom = placement.outline[0][0][0]
    xs, ys = zip(*placement.printing[0][0], strict=True)
    # Half size: the bar begins 1/2 in from the left and from the top of the plate.
    found = (min(xs) - left, min(ys) - bottom, max(xs) - left, max(ys) - bottom)
    assert found == pytest.approx((0.5, 1.0, 1.5, 1.5), abs=0.003)
    film = placement.films[0]
    assert film.art == art.id
    assert film.art_transform == pytest.approx((1, 0, 0, 1, left, bottom))
    assert [copy.plates for copy in plan.camera[0].copies] == [("7/P1",)]


def test_a_turned_plate_turns_its_art(tmp_path: Path) -> None:
    (tmp_path / "bar.svg").write_text(BAR)
    orders = orders_in(tmp_path, {"kind": "line", "art": "bar.svg"})
    plan = planned_with(orders, sheets=[{"metal": "zinc", "size": "4 x 24 in"}])
    placement = plan.flats[0].placements[0]
    assert placement.turned == 90
    a, b, c, d, e, f = placement.films[0].art_transform or (0.0,) * 6
    assert (a, b, c, d) == (0, 1, -1, 0)
    xs, ys = zip(*placement.printing[0][0], strict=True)
    corners = [(a * x + c * y + e, b * x + d * y + f) for x, y in ((0.5, 1.0), (1.5, 1.5))]
    assert (min(xs), max(xs)) == pytest.approx(sorted(x for x, _ in corners), abs=0.003)
    assert (min(ys), max(ys)) == pytest.approx(sorted(y for _, y in corners), abs=0.003)


def test_copies_share_their_art_and_several_processes_change_nothing(tmp_path: Path) -> None:
    for number in range(4):
        image = Image.new("L", (1200, 600), 255)
        ImageDraw.Draw(image).ellipse((100 + 50 * number, 100, 700, 500), fill=0)
        image.save(tmp_path / f"{number}.png", dpi=(300, 300))
    plates = [
        {"size": "4 x 2 in", "quantity": 2, "negatives": [{"kind": "line", "art": f"{number}.png"}]}
        for number in range(4)
    ]
    (tmp_path / "orders.json").write_text(json.dumps(a_day(*plates)))
    orders = read_orders(tmp_path / "orders.json")
    alone = planned_with(orders)
    assert [art.file for art in alone.art] == [f"{number}.png" for number in range(4)]
    assert [record.plates for record in alone.router] == [(f"7/P{n}/1", f"7/P{n}/2") for n in range(1, 5)]
    assert planned_with(orders, processes=2) == alone


def test_art_of_another_proportion_is_found_with_both_cures(tmp_path: Path) -> None:
    (tmp_path / "bar.svg").write_text(BAR)
    plan = planned_with(orders_in(tmp_path, {"kind": "line", "art": "bar.svg"}, size="4 x 3 in"))
    (finding,) = [finding for finding in plan.findings if finding.code == "art.proportion"]
    # 4 : 3 of a copy 4 in high is 5 1/3 in of its width: 1 1/3 in comes off each side; or 6 x 3 in, or 4 x 2 in.
    assert "1.3333 in" in finding.cure
    assert "6 x 3 in" in finding.cure
    told = planned_with(orders_in(tmp_path, {"kind": "line", "art": "bar.svg", "crop": "even"}, size="4 x 3 in"))
    assert not [finding for finding in told.findings if finding.code == "art.proportion"]
    assert told.art[0].crop == pytest.approx((4 / 3, 4 / 3, 0, 0), abs=1e-6)


def test_coarse_and_empty_art_is_found(tmp_path: Path) -> None:
    Image.new("L", (100, 50), 0).save(tmp_path / "coarse.png", dpi=(25, 25))
    Image.new("L", (3000, 1500), 255).save(tmp_path / "empty.png", dpi=(600, 600))
    coarse = planned_with(orders_in(tmp_path, {"kind": "line", "art": "coarse.png"}))
    assert "art.coarse" in {finding.code for finding in coarse.findings}
    empty = planned_with(orders_in(tmp_path, {"kind": "line", "art": "empty.png"}))
    assert {"art.empty", "image.none"} <= {finding.code for finding in empty.findings}


def test_grey_at_the_threshold_is_found_and_a_threshold_beside_it_cures_it(tmp_path: Path) -> None:
    grey = '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="2in"><rect width="192" height="96"/>{}</svg>'
    (tmp_path / "grey.svg").write_text(grey.format('<rect x="192" width="96" height="96" fill="#7f7f7f"/>'))
    found = planned_with(orders_in(tmp_path, {"kind": "line", "art": "grey.svg"}))
    (finding,) = [finding for finding in found.findings if finding.code == "art.tone"]
    assert "0.99 sq in" in finding.message  # But for a margin of one element.
    assert finding.amount == pytest.approx(1, rel=0.01)
    assert "0.45 or 0.55" in finding.cure
    for threshold in (0.45, 0.55):
        cured = planned_with(orders_in(tmp_path, {"kind": "line", "art": "grey.svg", "threshold": threshold}))
        assert "art.tone" not in {finding.code for finding in cured.findings}


def test_outlines_are_no_grey_at_the_threshold(tmp_path: Path) -> None:
    """Every level of grey lies somewhere along a slanting outline, but nowhere in an area."""
    (tmp_path / "slant.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="2in"><path d="M0 0L384 7V192L0 160z"/></svg>'
    )
    found = planned_with(orders_in(tmp_path, {"kind": "line", "art": "slant.svg"}))
    assert "art.tone" not in {finding.code for finding in found.findings}

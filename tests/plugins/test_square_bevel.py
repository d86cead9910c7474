from __future__ import annotations

from typing import Any

import pytest
from flatwright_rules import square_bevel
from flatwright_rules.square_bevel import BevelSettings

from ..days import a_plate

SETTINGS = BevelSettings.model_validate({})


def codes(**plate: Any) -> list[str]:
    return [finding.code for finding in square_bevel.flatwright_inspect_plate(a_plate(**plate), SETTINGS)]


def test_shoulder_and_flange_lie_on_all_four_sides() -> None:
    shoulder, flange = square_bevel.flatwright_margins(a_plate(size="3 x 4 in"), SETTINGS)
    assert (shoulder.kind, shoulder.left, shoulder.top) == ("shoulder", 1 / 32, 1 / 32)
    assert (flange.kind, flange.right, flange.bottom) == ("flange", 1 / 8, 1 / 8)


@pytest.mark.parametrize("mounting", ["flush", "nailed", "unmounted"])
def test_other_mountings_get_no_flange(mounting: str) -> None:
    assert square_bevel.flatwright_margins(a_plate(size="3 x 4 in", mounting=mounting), SETTINGS) == []
    assert codes(size="3 x 4 in", mounting=mounting) == []


def test_a_bevel_needs_four_square_edges() -> None:
    notched = {"points": ["0, 0 in", "4, 0 in", "4, 1 in", "2, 1 in", "2, 3 in", "0, 3 in"]}
    plate = a_plate(outline=notched, mounting="bevelled")
    assert square_bevel.flatwright_margins(plate, SETTINGS) == []
    (finding,) = square_bevel.flatwright_inspect_plate(plate, SETTINGS)
    assert (finding.code, finding.severity) == ("bevel.not-square", "stop")
    assert finding.cure == "mount it flush, or square it up to 4 x 3 in"


def test_a_mortise_inside_does_not_hinder_a_bevel() -> None:
    frame = {
        "points": ["0, 0 in", "4, 0 in", "4, 4 in", "0, 4 in"],
        "holes": [["1, 1 in", "3, 1 in", "3, 3 in", "1, 3 in"]],
    }
    assert codes(outline=frame, mounting="bevelled") == []


def test_a_bevel_is_never_cut_through_an_image() -> None:
    negatives = [{"kind": "line", "name": "map", "size": "3 x 4 in", "at": "1/8, 0 in"}]
    (finding,) = square_bevel.flatwright_inspect_plate(a_plate(size="3 x 4 in", negatives=negatives), SETTINGS)
    assert finding.code == "bevel.through-image"
    assert finding.amount == pytest.approx(1 / 8)
    assert finding.shape is not None
    assert finding.shape.area == pytest.approx(0.5)


def test_a_surprints_lettering_is_an_image_too_and_a_bleed_may_run_on() -> None:
    under = {"kind": "square", "name": "picture"}
    lettering = {"kind": "line", "use": "surprint", "size": "2 x 1 in", "at": "2, 1 in", "film": "9 x 9 in"}
    assert codes(size="3 x 4 in", screen=120, negatives=[under, lettering]) == ["bevel.through-image"]
    further = [{"kind": "line", "size": "3 1/2 x 4 in", "at": "-1/2, 0 in"}]
    assert codes(size="3 x 4 in", bleed=["left"], negatives=further) == []

from __future__ import annotations

from typing import Any

import pytest
from shapely import box

from planner.forms import InputError
from planner.glass import spots_on
from planner.proof import prove

from .days import a_day, a_house, planned


def scratched(*spots: tuple[str, str], **tables: Any) -> dict[str, Any]:
    glass = {"size": "30 x 40 in", "grip": "1/2 in", "spots": [{"at": at, "size": size} for at, size in spots]}
    return {"glass": glass, **tables}


def test_the_glass_lies_in_the_middle_and_its_spots_with_it() -> None:
    house = a_house(**scratched(("15, 20 in", "1 x 2 in")))
    assert spots_on(20, 24, house) == ((10, 12, 1, 2),)


def test_a_turned_glass_turns_its_spots_a_quarter_anticlockwise() -> None:
    house = a_house(**scratched(("0, 0 in", "3 x 2 in")))
    # A 39 x 29 in sheet wants the glass lying 40 x 30 in; its lower left corner comes to the lower right.
    (spot,) = spots_on(39, 29, house)
    assert spot == (37.5, 0.5, 1.0, 2.0)


def test_plates_keep_clear_of_spots_and_the_proof_looks() -> None:
    house = a_house(**scratched(("10, 12 in", "2 x 2 in"), ("18, 20 in", "1/2 x 1/2 in")))
    plan = planned(a_day({"size": "4 x 5 in", "quantity": 9}), house)
    for flat in plan.flats:
        assert flat.spots
        for placement in flat.placements:
            x, y, width, height = placement.blank
            for spot_x, spot_y, across, up in flat.spots:
                spot = box(spot_x, spot_y, spot_x + across, spot_y + up)
                assert box(x, y, x + width, y + height).intersection(spot).area < 1e-9
    assert prove(plan).clean


def test_a_spot_off_the_glass_is_refused() -> None:
    with pytest.raises(InputError, match="lies off the glass"):
        a_house(**scratched(("29, 1 in", "2 x 2 in")))

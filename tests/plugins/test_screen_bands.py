from __future__ import annotations

import pytest
from flatwright_rules.screen_bands import BandSettings, flatwright_sharing

from ..days import a_plate


@pytest.mark.parametrize(
    ("screen", "band"),
    [
        (None, "line"),
        (65, "screens to 100"),
        (100, "screens to 100"),
        (101, "screens 101 to 150"),
        (175, "screens over 150"),
    ],
)
def test_screen_bands_decide_what_may_share_a_flat(screen: int | None, band: str) -> None:
    keys = {"size": "3 x 4 in"} | ({"screen": screen} if screen else {})
    (sharing,) = flatwright_sharing(a_plate(**keys), BandSettings())
    assert (sharing.kind, sharing.key) == ("apart", band)

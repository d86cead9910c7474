from __future__ import annotations

from typing import Any

import pytest
from flatwright_rules import flush_mount
from flatwright_rules.flush_mount import FlushSettings

from ..days import a_plate

SETTINGS = FlushSettings.model_validate({})


def found(**plate: Any) -> list[Any]:
    return list(flush_mount.flatwright_inspect_plate(a_plate(**plate), SETTINGS))


def test_a_plate_flush_all_round_keeps_no_margin() -> None:
    assert flush_mount.flatwright_margins(a_plate(size="3 x 4 in", mounting="flush"), SETTINGS) == []


def test_sides_that_are_not_flush_keep_their_margin() -> None:
    (margin,) = flush_mount.flatwright_margins(a_plate(size="3 x 4 in", mounting="flush", flush=["left"]), SETTINGS)
    assert (margin.left, margin.right, margin.bottom, margin.top) == (0, 1 / 16, 1 / 16, 1 / 16)


def test_an_image_that_stops_short_of_a_flush_side_is_found() -> None:
    negatives = [{"kind": "line", "size": "2 7/8 x 4 in", "at": "0, 0 in"}]
    (finding,) = found(size="3 x 4 in", mounting="flush", negatives=negatives)
    assert (finding.code, finding.amount) == ("flush.image-short", pytest.approx(1 / 8))
    assert "right" in finding.message
    assert found(size="3 x 4 in", mounting="flush", flush=["left", "top"], negatives=negatives) == []


def test_a_bleed_behind_a_flange_is_worth_a_note() -> None:
    assert [finding.code for finding in found(size="3 x 4 in", bleed=["left"])] == ["flush.bleed"]
    assert found(size="3 x 4 in", bleed=["left"], mounting="flush") == []

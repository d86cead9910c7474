"""No number of a plan can be changed without the proof taking notice, and none makes it fall over."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pydantic import ValidationError

from planner.plan import Plan

from .quick import prove
from .tiny import tiny_tables

Path = tuple[int | str, ...]

# Nothing else in the record says how large a nail spot is; that it is spared is all that can be proven. Where art lies
# is known to its error only; a nail may stand, and a cutter go, anywhere that is clear.
UNWITNESSED = frozenset({"staying", "art_transform", "nails", "nail_width", "paths", "near", "travel_nearest"})
FIGURES = (("offcuts",), ("flats", 0, "placements"), ("flats", 0, "cut_tree"), ("ledger",), ("camera",), ("router",))


def numbers(table: Any, path: Path = ()) -> Iterator[Path]:
    if isinstance(table, dict):
        for key, value in table.items():
            if key not in UNWITNESSED:
                yield from numbers(value, (*path, key))
    elif isinstance(table, list):
        for place, value in enumerate(table):
            yield from numbers(value, (*path, place))
    elif isinstance(table, int | float) and not isinstance(table, bool):
        yield path


def at(tables: Any, path: Path) -> Any:
    for step in path:
        tables = tables[step]
    return tables


TABLES = tiny_tables()
ALL = list(numbers(TABLES))
WITNESSED = [path for figures in FIGURES for path in numbers(at(TABLES, figures), figures)]


def changed(path: Path, value: float) -> Plan | None:
    tables = tiny_tables()
    at(tables, path[:-1])[path[-1]] = value
    try:
        return Plan.model_validate_json(json.dumps(tables))
    except ValidationError:
        return None


def is_noticed(path: Path, value: float) -> bool:
    """Whether the proof without its raster, which is too coarse for a little, takes notice."""
    plan = changed(path, value)
    return plan is None or not prove(plan, elements=0).clean


@pytest.mark.parametrize("change", [-0.0011, 0.0011])
def test_no_number_can_be_changed_by_a_little(change: float) -> None:
    unnoticed = [path for path in WITNESSED if not is_noticed(path, at(TABLES, path) + change)]
    assert not unnoticed


@given(st.sampled_from(WITNESSED), st.floats(allow_nan=False, allow_infinity=False) | st.integers(-20, 20))
def test_no_number_can_be_changed_by_any_amount(path: Path, change: float) -> None:
    old = at(TABLES, path)
    assume(abs(change) > 1e-3)
    # A film that is turned by whole turns lies as it lay.
    assume(path[-1] != "angle" or abs(math.remainder(old + change - old, 360)) > 1e-3)
    assert is_noticed(path, old + change)


@given(st.sampled_from(ALL), st.floats(allow_nan=False, allow_infinity=False) | st.integers())
def test_no_number_makes_the_proof_fall_over(path: Path, value: float) -> None:
    plan = changed(path, value)
    if plan is not None:
        prove(plan)

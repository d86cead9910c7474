from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from planner.plan import plan_text
from planner.schemas import NAMES, schema_file, schema_text

from .days import a_day, a_house, planned, rules_of

ROOT = Path(__file__).parent.parent
EXAMPLE = ROOT / "examples" / "tallow-lane"


def schema(name: str) -> Any:
    return json.loads((ROOT / "schemas" / schema_file(name)).read_text())


@pytest.mark.parametrize("name", NAMES)
def test_the_schemas_kept_are_the_schemas_made(name: str) -> None:
    made = schema_text(name, rules_of(a_house()))
    kept = (ROOT / "schemas" / schema_file(name)).read_text()
    assert kept == made, "write them anew with: flatwright schema --write schemas"


@pytest.mark.parametrize("name", NAMES)
def test_each_is_a_valid_schema(name: str) -> None:
    jsonschema.Draft202012Validator.check_schema(schema(name))


def as_json(path: Path) -> Any:
    return json.loads(json.dumps(tomllib.loads(path.read_text()), default=str))


def test_the_example_agrees_with_the_schemas_and_a_slip_does_not() -> None:
    jsonschema.validate(as_json(EXAMPLE / "house.toml"), schema("house"))
    orders = as_json(EXAMPLE / "orders.toml")
    jsonschema.validate(orders, schema("order"))
    orders["jobs"][0]["plates"][0]["siz"] = "1 x 1 in"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(orders, schema("order"))


def test_a_plan_agrees_with_its_schema() -> None:
    plan = planned(a_day({"size": "3 x 4 in", "quantity": 3}, {"size": "60 x 60 in"}))
    jsonschema.validate(json.loads(plan_text(plan)), schema("plan"))

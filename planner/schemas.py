"""JSON Schemas of the files that people write or read and of the plan, made from the records themselves."""

from __future__ import annotations

import json
from typing import Any, Final

from pydantic import BaseModel

from planner.estimate.choices import Sizes
from planner.house import House
from planner.orders import Orders
from planner.plan import Plan
from planner.rack.records import RackForm
from planner.rules import Habits, Rules

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
NAMES: Final = ("order", "house", "plan", "rack", "sizes")


def schema_text(name: str, rules: Rules) -> str:
    """Give one of the schemas as JSON text; the house's has every active rule's settings.

    Raises:
        KeyError: there is no schema of that name.
    """
    models: dict[str, type[BaseModel]] = {
        "order": Orders, "house": House, "plan": Plan, "rack": RackForm, "sizes": Sizes,
    }  # fmt: skip
    schema: dict[str, Any] = models[name].model_json_schema()
    if name == "house":
        _add_rules(schema, rules)
    head = {"$schema": DIALECT, "$id": f"urn:flatwright:schema:{name}:1"}
    return json.dumps({**head, **schema}, indent=2, ensure_ascii=False) + "\n"


def schema_file(name: str) -> str:
    """Give the file name under which a schema is kept."""
    return f"{name}-1.schema.json"


def _add_rules(schema: dict[str, Any], rules: Rules) -> None:
    settings: dict[str, Any] = {}
    for active in rules.active:
        own = active.rule.settings.model_json_schema()
        schema.setdefault("$defs", {}).update(own.pop("$defs", {}))
        own["properties"] = {**Habits.model_json_schema()["properties"], **own.get("properties", {})}
        settings[active.rule.name] = own
    schema["properties"]["rules"] = {
        "type": "object",
        "description": "settings of house rules; enabled = false switches a rule off",
        "properties": settings,
        "additionalProperties": {"type": "object"},
    }

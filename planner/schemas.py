"""JSON Schemas of the order file, the house file and the plan, made from the records themselves."""

from __future__ import annotations

import json
from typing import Any, Final

from pydantic import BaseModel

from planner.house import House
from planner.orders import Orders
from planner.plan import Plan
from planner.rules import Habits, Rules

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
NAMES: Final = ("order", "house", "plan")


def schema_text(name: str, rules: Rules) -> str:
    """Give one schema (``order``, ``house`` or ``plan``) as JSON text; the house's has every active rule's settings.

    Raises:
        KeyError: there is no schema of that name.
    """
    models: dict[str, type[BaseModel]] = {"order": Orders, "house": House, "plan": Plan}
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

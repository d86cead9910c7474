"""The house file in force as TOML with comments, ready to edit and to be read back to the same house."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from planner.house import House
from planner.rules import Habits, Rules
from planner.toml_values import entry_text, value_text

_HEAD = """\
# House file for flatwright: the metal, tools and habits of one shop.
# Every value may be left out; then the one printed by `flatwright house` is in force.
# Lengths carry their unit: "4 1/4 in", "108 mm", "26p6" (picas and points), "14 pt".
"""


def house_text(house: House, rules: Rules) -> str:
    """Write a house and the settings of its rules as a TOML file with a comment on every key."""
    lines = [_HEAD]
    tables: list[str] = []
    for name, info in House.model_fields.items():
        value = getattr(house, name)
        if name == "rules":
            continue
        if isinstance(value, BaseModel):
            tables.append(_table(name, value, (type(value).__doc__ or "").splitlines()[0]))
        elif name in ("sheets", "buyable"):
            tables += [_table(f"[{name}]", sheet, info.description or "") for sheet in value]
            if not value:
                lines += _entries({name: ([], info)})
        else:
            lines += _entries({name: (value, info)})
    for active in rules.active:
        tables.append(_table(f"rules.{active.name}", active.settings, active.rule.description, _habits(active.habits)))
    known = {active.name for active in rules.active}
    for idle in rules.idle:
        if not idle.broken and idle.name not in known:
            file = house.rules.get(idle.name, {}).get("file")
            where = f"file = {value_text(file)}\n" if file else ""
            tables.append(f"\n# {idle.reason}\n[rules.{idle.name}]\nenabled = false\n{where}")
    return "\n".join(lines) + "\n" + "".join(tables)


def _habits(habits: Habits) -> str:
    """How the house uses a rule; a file only where one is named."""
    fields = {key: (getattr(habits, key), info) for key, info in Habits.model_fields.items()}
    return "".join(
        f"{line}\n" for line in _entries({key: entry for key, entry in fields.items() if entry[0] is not None})
    )


def _table(name: str, model: BaseModel, about: str, first: str = "") -> str:
    fields = {key: (getattr(model, key), info) for key, info in type(model).model_fields.items()}
    inner = "".join(
        _table(f"{name}.{key}", value, info.description or (type(value).__doc__ or "").splitlines()[0])
        for key, (value, info) in fields.items()
        if isinstance(value, BaseModel)
    )
    own = {key: entry for key, entry in fields.items() if not isinstance(entry[0], BaseModel)}
    return f"\n# {about}\n[{name}]\n{first}" + "\n".join(_entries(own)) + f"\n{inner}"


def _entries(fields: dict[str, tuple[Any, FieldInfo]]) -> Iterator[str]:
    for key, (value, info) in fields.items():
        about = f"  # {info.description}" if info.description else ""
        if value is None:
            yield f"# {key} = ...{about}"
        else:
            yield f"{key} = {entry_text(value, info)}{about}"

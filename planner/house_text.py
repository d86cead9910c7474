"""The house file in force as TOML with comments, ready to edit and to be read back to the same house."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any, get_args

from annotated_types import Ge, Gt
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from planner.house import House
from planner.lengths import exact_text
from planner.rules import Rules

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
        elif name == "sheets":
            tables += [_table("[sheets]", sheet, info.description or "") for sheet in value]
            if not value:
                lines += _entries({"sheets": ([], info)})
        else:
            lines += _entries({name: (value, info)})
    for active in rules.active:
        tables.append(_table(f"rules.{active.rule.name}", active.settings, active.rule.description, "enabled = true\n"))
    for idle in rules.idle:
        if not idle.broken:
            tables.append(f"\n# {idle.reason}\n[rules.{idle.name}]\nenabled = false\n")
    return "\n".join(lines) + "\n" + "".join(tables)


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
            yield f"{key} = {_entry(value, info)}{about}"


def _entry(value: Any, info: FieldInfo) -> str:  # noqa: ANN401 - any value that a house file may hold
    if get_args(info.annotation) == (float, float):
        return _size(value)
    # Lengths are checked by a parser of their own; a plain number has limits.
    is_number = any(isinstance(part, (Ge, Gt)) for part in info.metadata)
    return repr(value) if isinstance(value, float) and is_number else _value(value)


def _value(value: Any) -> str:  # noqa: ANN401 - any value that a house file may hold
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f'"{exact_text(value)}"'
    if isinstance(value, int):
        return str(value)
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        return "{ " + ", ".join(f"{key} = {_place_or_size(getattr(value, key), key)}" for key in fields) + " }"
    if isinstance(value, (tuple, list)):
        return "[" + ", ".join(_value(part) for part in value) + "]"
    # A JSON string is a TOML basic string; both escape alike.
    return json.dumps(str(value), ensure_ascii=False)


def _place_or_size(value: tuple[float, float], key: str) -> str:
    return _size(value) if key == "size" else _size(value).replace(" x ", ", ")


def _size(size: tuple[float, float]) -> str:
    width, height = (exact_text(side) for side in size)
    return f'"{width.removesuffix(" in")} x {height}"'

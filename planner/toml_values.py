"""How is a value written in the house file, so that reading it gives the same value?"""

from __future__ import annotations

import json
from typing import Any, get_args

from annotated_types import Ge, Gt
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from planner.lengths import exact_text


def entry_text(value: Any, info: FieldInfo) -> str:  # noqa: ANN401 - any value that a house file may hold
    """Write the value of a field as TOML."""
    if _is_size(info.annotation):
        return size_value(value)
    if _is_list_of_sizes(info.annotation):
        return "[" + ", ".join(size_value(size) for size in value) + "]"
    # Lengths are checked by a parser of their own; a plain number has limits.
    is_number = any(isinstance(part, (Ge, Gt)) for part in info.metadata)
    return repr(value) if isinstance(value, float) and is_number else value_text(value)


def _is_size(annotation: Any) -> bool:  # noqa: ANN401 - a type expression has no narrower type
    """Say whether a field holds a size, or a size or nothing."""
    parts = get_args(annotation)
    if type(None) in parts:
        return any(_is_size(get_args(part)[0]) for part in parts if get_args(part))
    return parts == (float, float)


def _is_list_of_sizes(annotation: Any) -> bool:  # noqa: ANN401 - a type expression has no narrower type
    listed = get_args(annotation)
    if len(listed) != 2 or listed[1] is not Ellipsis:
        return False
    inner = get_args(listed[0])
    return inner == (float, float) or (bool(inner) and get_args(inner[0]) == (float, float))


def value_text(value: Any) -> str:  # noqa: ANN401 - any value that a house file may hold
    """Write a value as TOML; a plain float is a length in inches."""
    if isinstance(value, int):
        return str(value).lower()  # A truth value is a whole number to Python, and small letters to TOML.
    if isinstance(value, float):
        return f'"{exact_text(value)}"'
    if isinstance(value, BaseModel):
        fields = type(value).model_fields
        return "{ " + ", ".join(f"{key} = {_place_or_size(getattr(value, key), key)}" for key in fields) + " }"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(str(key))} = {value_text(part)}" for key, part in value.items()) + " }"
    if isinstance(value, (tuple, list)):
        return "[" + ", ".join(value_text(part) for part in value) + "]"
    # A JSON string is a TOML basic string; both escape alike.
    return json.dumps(str(value), ensure_ascii=False)


def _place_or_size(value: tuple[float, float], key: str) -> str:
    return size_value(value) if key == "size" else size_value(value).replace(" x ", ", ")


def size_value(size: tuple[float, float]) -> str:
    """Write a size as TOML, so that reading it gives the same floats."""
    width, height = (exact_text(side) for side in size)
    return f'"{width.removesuffix(" in")} x {height}"'

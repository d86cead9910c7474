"""From a file on disk to plain tables: TOML or JSON, refused with one sentence when it is neither."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from planner.forms import InputError, Problem

LARGEST: Final = 16
"""MiB; a day's orders are a few thousand lines, so a larger file is a mistake."""


class _TwoMeaningsError(ValueError):
    """JSON that its reader would take, though it says nothing certain."""


def read_all(*readers: Callable[[], Any]) -> list[Any]:
    """Read every file before complaining, so that one run names what is wrong with all of them.

    Raises:
        InputError: with the problems of every reader that failed.
    """
    results, slips = [], []
    for read in readers:
        try:
            results.append(read())
        except InputError as error:
            slips.append(error)
    if slips:
        raise InputError.joined(slips)
    return results


def read_tables(path: Path) -> dict[str, Any]:
    """Read a TOML or JSON file (by its ending; TOML when in doubt) into plain tables.

    Raises:
        InputError: the file is not there, is too large, is no text, or is not well formed.
    """
    text = read_text(path)
    try:
        tables = _json(text) if path.suffix.lower() == ".json" else tomllib.loads(text)
    except json.JSONDecodeError as error:
        raise _refusal(path, f"is not valid JSON: {error.msg} at line {error.lineno}, column {error.colno}") from None
    except tomllib.TOMLDecodeError as error:
        raise _refusal(path, f"is not valid TOML: {error}") from None
    except RecursionError:
        raise _refusal(path, "nests its tables too deeply; an order file goes four levels down") from None
    except _TwoMeaningsError as error:
        raise _refusal(path, str(error)) from None
    except ValueError:
        raise _refusal(path, "holds a number of thousands of digits, which no order or house needs") from None
    if _has_giant(tables):
        raise _refusal(path, "holds a whole number of more than 64 bits, which no order or house needs")
    if not isinstance(tables, dict):
        raise _refusal(path, "must hold a table of keys, not a list or a single value")
    return tables


def read_text(path: Path, largest: int = LARGEST) -> str:
    """Read a whole text file in UTF-8, of at most ``largest`` MiB.

    Raises:
        InputError: the file is not there, cannot be read, is too large, or is no UTF-8 text.
    """
    try:
        if path.is_dir():
            raise _refusal(path, "is a folder, not a file")
        with path.open("rb") as file:
            data = file.read(largest * 1024 * 1024 + 1)
    except FileNotFoundError:
        raise _refusal(path, "there is no such file") from None
    except (OSError, ValueError) as error:
        raise _refusal(path, f"cannot be read: {getattr(error, 'strerror', None) or error}") from None
    if len(data) > largest * 1024 * 1024:
        raise _refusal(path, f"is larger than {largest} MiB, which is more than it should be")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refusal(path, f"is not UTF-8 text: the byte at position {error.start} belongs to no letter") from None


def _json(text: str) -> Any:  # noqa: ANN401 - whatever the file holds; the caller looks
    return json.loads(text, object_pairs_hook=_table_without_repeats, parse_constant=_no_constant)


def _table_without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for key, value in pairs:
        if key in table:
            raise _TwoMeaningsError(f'holds the key "{key}" twice in one table')
        table[key] = value
    return table


def _no_constant(name: str) -> Any:  # noqa: ANN401 - never returns
    raise _TwoMeaningsError(f"holds {name}, which is no number")


def _has_giant(tables: object) -> bool:
    waiting = [tables]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            waiting += value.values()
        elif isinstance(value, list):
            waiting += value
        elif isinstance(value, int) and value.bit_length() > 64:
            return True
    return False


def _refusal(path: Path, message: str) -> InputError:
    return InputError(str(path), [Problem("", message)])

"""What every form that people write has in common: strict keys, frozen values, lengths with units.

A *form* is the order file or the house file. Everything that is wrong with a form is collected as `Problem` records,
each with the place where a person would look for it, so that one reading names all slips at once.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from types import UnionType
from typing import Annotated, Any, Final, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationError, WithJsonSchema
from pydantic_core import ErrorDetails, PydanticCustomError

from planner.lengths import parse_length, parse_point, parse_size

_Model = TypeVar("_Model", bound=BaseModel)

_LENGTH_PATTERN: Final = r"^\s*-?\s*[0-9.\u00bc-\u00be\u215b-\u215e].*$"
_SAID_KEYS: Final = 12

GAUGE_DIGITS: Final = 4
"""Decimals of an inch to which a gauge counts, so that 0.064 in and 1.626 mm are the same metal."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with a file: where it stands, and a sentence that says what would be right."""

    where: str
    message: str

    def __str__(self) -> str:
        return printable(f"{self.where}: {self.message}" if self.where else self.message)


class InputError(Exception):
    """A file or a request that cannot be used; nothing has been written. Carries every problem that was found."""

    def __init__(self, source: str, problems: Sequence[Problem]) -> None:
        self.source = source
        self.problems = tuple(problems)
        super().__init__("\n".join(self.lines))

    @property
    def lines(self) -> list[str]:
        """One line for each problem; what files hold cannot break or colour a line."""
        return [f"{printable(self.source)}: {problem}" if self.source else str(problem) for problem in self.problems]

    @classmethod
    def joined(cls, errors: Sequence[InputError]) -> InputError:
        """Make one error out of those of several files."""
        return cls("", [Problem(error.source, str(problem)) for error in errors for problem in error.problems])


def printable(text: str) -> str:
    """Write signs that print nothing, such as line breaks, as their escapes."""
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text)


def shortened(value: object) -> str:
    """Show a value in a message, at most some forty signs of it."""
    text = f'"{value}"' if isinstance(value, str) else repr(value)
    return text if len(text) <= 60 else f"{text[:40]}..."


class Form(BaseModel):
    """Base of all written records: unknown keys refused, values frozen, no silent change of type."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=False, allow_inf_nan=False)


def _length_schema(what: str) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "pattern": _LENGTH_PATTERN, "description": what})


def _positive(value: object) -> float:
    length = parse_length(value)
    if length <= 0:
        raise ValueError(f'"{value}" must be greater than zero')
    return length


def _not_negative(value: object) -> float:
    length = parse_length(value)
    if length < 0:
        raise ValueError(f'"{value}" must not be negative')
    return length


def _gauge(value: object) -> float:
    return round(_positive(value), GAUGE_DIGITS)


Length = Annotated[float, PlainValidator(_not_negative), _length_schema("a length with its unit, zero or more")]
PositiveLength = Annotated[float, PlainValidator(_positive), _length_schema("a length with its unit, more than zero")]
Gauge = Annotated[
    float, PlainValidator(_gauge), _length_schema("a thickness with its unit; counts to the tenth of a thousandth inch")
]
Size = Annotated[tuple[float, float], PlainValidator(parse_size), _length_schema("width x height, like 4 1/4 x 6 in")]
Place = Annotated[tuple[float, float], PlainValidator(parse_point), _length_schema("across, up, like 1/2, 3/4 in")]


def _label(value: object) -> str:
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str) or not value.strip():
        raise ValueError("must be a word or a number that people can read")
    text = " ".join(value.split())
    if len(text) > 80:
        raise ValueError(f"is {len(text)} characters long; 80 is the most that fits on a sheet")
    if "/" in text or not text.isprintable():
        raise ValueError("may hold no slash and no control characters")
    return text


Label = Annotated[
    str,
    PlainValidator(_label),
    WithJsonSchema({"type": ["string", "integer"], "description": "a name or number, at most 80 characters"}),
]


def _note(value: object) -> str:
    if not isinstance(value, str) or len(value) > 2000:
        raise ValueError("must be a text of at most 2000 characters")
    return "".join(sign if sign.isprintable() else " " for sign in value).strip()


Note = Annotated[str, PlainValidator(_note), WithJsonSchema({"type": "string", "maxLength": 2000})]


@dataclass(frozen=True, slots=True)
class OtherCurrency:
    """Stands in a form for an amount that is in another currency than the file counts in, until it is refused."""

    amount: str
    theirs: str
    ours: str


def _money(value: object) -> Decimal:
    if isinstance(value, OtherCurrency):
        written = shortened(value.amount)[1:-1]
        raise ValueError(f'"{written}" is in {value.theirs}, and this file counts in {value.ours}: write it in that')
    how = 'write an amount like 31.50 or "31.50", zero or more'
    if isinstance(value, bool) or not isinstance(value, (int, float, str, Decimal)):
        raise ValueError(f"{shortened(value)} is no price; {how}")
    try:
        amount = Decimal(str(value).strip())
    except InvalidOperation:
        raise ValueError(f"{shortened(value)} is no price; {how}") from None
    if not amount.is_finite() or not 0 <= amount <= 1_000_000:
        raise ValueError(f"{shortened(value)} is no price; {how}")
    return amount


Money = Annotated[
    Decimal,
    PlainValidator(_money),
    WithJsonSchema({"type": ["number", "string"], "description": "an amount in the house's currency"}),
]

Count = Annotated[int, Field(ge=1, le=999, strict=True)]


def several(problems: Sequence[tuple[str, str]]) -> PydanticCustomError:
    """Make one pydantic error out of several (key, message) problems; `problems_of` takes it apart again."""
    return PydanticCustomError("several", "{count} problems", {"count": len(problems), "problems": list(problems)})


def checked(
    form: type[_Model], tables: Mapping[str, Any], source: str, describe: Callable[[tuple[int | str, ...]], str]
) -> _Model:
    """Check the tables of a file by a form; ``source`` names the file, ``describe`` the place of a key in it.

    Raises:
        InputError: with every problem in the tables, each once.
    """
    try:
        return form.model_validate(tables)
    except ValidationError as error:
        raise InputError(source, list(dict.fromkeys(problems_of(error, form, describe)))) from None


def problems_of(
    error: ValidationError, form: type[BaseModel], describe: Callable[[tuple[int | str, ...]], str]
) -> list[Problem]:
    """Turn pydantic's findings into problems that a person can look up.

    ``describe`` turns a path of keys and list positions into words (``job 2041, plate "Map"``).
    """
    return [problem for details in error.errors() for problem in _problems(details, form, describe)]


def _problems(
    details: ErrorDetails, form: type[BaseModel], describe: Callable[[tuple[int | str, ...]], str]
) -> Iterator[Problem]:
    path, kind, context = details["loc"], details["type"], details.get("ctx", {})
    if kind == "several":
        for key, message in context["problems"]:
            yield Problem(describe((*path, *key.split("."))) if key else describe(path), message)
        return
    if kind == "extra_forbidden":
        known = sorted(_known_keys(form, path[:-1]))
        yield Problem(describe(path), f"is not a key here; {_nearest(str(path[-1]), known)}")
        return
    if kind == "missing":
        yield Problem(describe(path), f"is missing{_meaning(form, path)}")
        return
    if kind == "too_short" and details["input"]:
        return  # entries stand there, each with a problem of its own
    yield Problem(describe(path), _sentence(details))


def _meaning(form: type[BaseModel], path: tuple[int | str, ...]) -> str:
    for model in _models_at(form, path[:-1]):
        field = model.model_fields.get(str(path[-1]))
        if field is not None and field.description:
            return f": {field.description}"
    return ""


def _nearest(word: str, known: Sequence[str]) -> str:
    near = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.5)
    if near:
        return f'did you mean "{near[0]}"?'
    if not known:
        return "nothing may stand here"
    return f"known keys are {', '.join(known[:_SAID_KEYS])}"


def _sentence(details: ErrorDetails) -> str:
    kind, context, given = details["type"], details.get("ctx", {}), details["input"]
    if kind == "value_error":
        return str(context["error"])
    shown = shortened(given)
    if kind == "literal_error":
        expected = re.findall(r"'([^']*)'", context["expected"])
        near = difflib.get_close_matches(str(given).lower(), expected, n=1, cutoff=0.6)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        return f"must be one of {context['expected']}, not {shown}{hint}"
    wanted: Mapping[str, str] = {
        "bool_type": "must be true or false",
        "bool_parsing": "must be true or false",
        "int_type": "must be a whole number",
        "int_parsing": "must be a whole number",
        "int_from_float": "must be a whole number",
        "string_type": "must be text in quotation marks",
        "list_type": "must be a list",
        "tuple_type": "must be a list",
        "dict_type": "must be a table",
        "model_type": "must be a table of keys",
        "model_attributes_type": "must be a table of keys",
        "too_short": f"needs at least {context.get('min_length', 1)} entry",
        "greater_than_equal": f"must be {context.get('ge')} or more",
        "greater_than": f"must be more than {context.get('gt')}",
        "less_than_equal": f"must be {context.get('le')} or less",
        "less_than": f"must be less than {context.get('lt')}",
    }
    if kind in wanted:
        return f"{wanted[kind]}, not {shown}"
    return f"{details['msg'][0].lower()}{details['msg'][1:]}, not {shown}"


def _known_keys(form: type[BaseModel], path: tuple[int | str, ...]) -> set[str]:
    return {name for model in _models_at(form, path) for name in model.model_fields}


def _models_at(form: type[BaseModel], path: tuple[int | str, ...]) -> set[type[BaseModel]]:
    models: set[type[BaseModel]] = {form}
    for step in path:
        if isinstance(step, int):
            continue
        found: set[type[BaseModel]] = set()
        for model in models:
            field = model.model_fields.get(step)
            if field is not None:
                found |= _models_in(field.annotation)
        models = found or models
    return models


def _models_in(annotation: Any) -> set[type[BaseModel]]:  # noqa: ANN401 - a type expression has no narrower type
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return {annotation}
    if get_origin(annotation) in (Union, UnionType, tuple, list, dict, Annotated):
        return set().union(*(_models_in(part) for part in get_args(annotation)))
    return set()

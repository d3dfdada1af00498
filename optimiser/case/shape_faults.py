"""From the validator's errors to faults: the pointer, what was found, what is right in plain words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from functools import cache
from itertools import islice
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from optimiser.case.one_of import is_tag
from optimiser.case.plain_data import unreadable
from optimiser.case.pointer import pointer
from optimiser.case.say_expected import Schema, fields_at, say_expected
from optimiser.case.say_found import say_found
from optimiser.case.unit_of_field import unit_of_field
from optimiser.errors import Fault, InputError

ShapeT = TypeVar("ShapeT", bound=BaseModel)
Keys = tuple[str | int, ...]
_NO_ENTRY = object()
_MOST_FAULTS = 200
_MOST_LOOKED_AT = 20_000
"""The validator makes a record of each before the first can be told; a million would take a minute."""


def validated(shape: type[ShapeT], data: object) -> ShapeT:
    """The data in this shape; InputError with a fault for each place that does not fit."""
    try:
        return shape.model_validate(data)
    except ValidationError as error:
        if error.error_count() > _MOST_LOOKED_AT:
            raise unreadable(f"{error.error_count()} things that do not fit", "a document of the right kind") from error
        schema = _schema(shape)
        details = (detail for detail in error.errors(include_url=False) if not _is_echo(detail))
        faults = [_fault(schema, data, detail) for detail in islice(details, _MOST_FAULTS)]
        raise InputError(dict.fromkeys(faults)) from error


@cache
def _schema(shape: type[BaseModel]) -> Schema:
    return shape.model_json_schema()


def _is_echo(detail: ErrorDetails) -> bool:
    """A list that only counts as too short because entries of it failed; those are reported themselves."""
    found = detail["input"]
    return (
        detail["type"] == "too_short"
        and isinstance(found, Sequence)
        and len(found) >= detail["ctx"]["min_length"]
    )


def _fault(schema: Schema, data: object, detail: ErrorDetails) -> Fault:
    keys = _keys(data, detail)
    path, found = pointer(*keys), say_found(detail["input"])
    match detail["type"]:
        case "missing":
            return Fault(path=path, found="nothing", expected=say_expected(schema, keys))
        case "extra_forbidden":
            return _unknown_field(path, str(keys[-1]), fields_at(schema, keys[:-1]))
        case "value_error":
            return Fault(path=path, found=found, expected=str(detail["ctx"]["error"]))
        case "union_tag_not_found" | "union_tag_invalid":
            return _no_alternative(schema, keys, detail)
        case kind:
            remedy = _remedy(kind, keys, detail["input"])
            return Fault(path=path, found=found, expected=say_expected(schema, keys), remedy=remedy)


def _unknown_field(path: str, field: str, alternatives: list[list[str]]) -> Fault:
    known = list(dict.fromkeys(name for fields in alternatives if field not in fields for name in fields))
    listed = ", ".join(known) or "no field at all"
    if any(field in fields for fields in alternatives):
        return Fault(path=path, found="a field of another kind of entry", expected=f"only {listed}")
    close = get_close_matches(field, known, n=1)
    remedy = f"did you mean '{close[0]}'?" if close else ""
    return Fault(path=path, found="an unknown field", expected=f"one of {listed}", remedy=remedy)


def _no_alternative(schema: Schema, keys: Keys, detail: ErrorDetails) -> Fault:
    """The entry fits none of its kinds, told apart by a field such as 'kind' or by which key is there."""
    found, field = detail["input"], detail["ctx"]["discriminator"].strip("'")
    if isinstance(found, Mapping) and any(field in fields for fields in fields_at(schema, keys)):
        keys, found = (*keys, field), found.get(field, _NO_ENTRY)
    said = "nothing" if found is _NO_ENTRY else say_found(found)
    return Fault(path=pointer(*keys), found=said, expected=say_expected(schema, keys))


def _keys(data: object, detail: ErrorDetails) -> Keys:
    """The location without the tags of alternatives, which are words of the shape and not of the document."""
    keys: list[str | int] = []
    value, location = data, detail["loc"]
    for place, key in enumerate(location):
        last = place == len(location) - 1
        below = _entry(value, key)
        if below is not _NO_ENTRY:
            value = below
        elif not (last and detail["type"] == "missing"):
            if not (is_tag(key) or key == "[key]" or _names_kind(value, key)):
                break
            continue
        keys.append(key)
    return tuple(keys)


def _entry(value: object, key: str | int) -> object:
    if isinstance(value, Mapping):
        return value.get(key, _NO_ENTRY)
    if isinstance(value, list | tuple) and isinstance(key, int) and key < len(value):
        return value[key]
    return _NO_ENTRY


def _names_kind(value: object, key: str | int) -> bool:
    """Whether the key is the tag that a `kind` or `law` field of the mapping carries."""
    return isinstance(value, Mapping) and key in (value.get("kind"), value.get("law"))


def _remedy(kind: str, keys: Keys, found: object) -> str:
    if kind == "string_type" and isinstance(found, int | float):
        return "put it in quotes: it is a name"
    if kind in ("float_type", "int_type") and isinstance(found, str):
        return "write the number alone, without quotes or unit, with a point for decimals"
    field = next((key for key in reversed(keys) if isinstance(key, str)), "")
    out_of_range = kind in ("greater_than_equal", "less_than_equal")
    return f"check the unit: {unit_of_field(field)}" if out_of_range and unit_of_field(field) else ""

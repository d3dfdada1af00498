"""From the validator's errors to faults: the pointer, what was found, what is right in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from difflib import get_close_matches
from functools import cache
from itertools import islice
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from optimiser.case.one_of import is_tag
from optimiser.case.plain_data import unreadable
from optimiser.case.pointer import pointer
from optimiser.case.say_expected import NO_ENTRY, Schema, entry, fields_at, fields_of_kind, say_expected
from optimiser.case.say_found import say_found
from optimiser.case.unit_of_field import unit_of_field
from optimiser.errors import Fault, InputError

ShapeT = TypeVar("ShapeT", bound=BaseModel)
Keys = tuple[str | int, ...]
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
        raise InputError(shape_faults(shape, data, error.errors(include_url=False))) from error


def shape_faults(shape: type[BaseModel], data: object, details: Iterable[ErrorDetails]) -> list[Fault]:
    """What the validator found in the data, each once, in our words."""
    schema = _schema(shape)
    told = (detail for detail in details if not _is_echo(detail))
    return list(dict.fromkeys(_fault(schema, data, detail) for detail in islice(told, _MOST_FAULTS)))


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
            return Fault(path=path, found="nothing", expected=say_expected(schema, keys, data))
        case "extra_forbidden":
            return _unknown_field(schema, keys, data)
        case "value_error":
            return Fault(path=path, found=found, expected=str(detail["ctx"]["error"]))
        case "union_tag_not_found" | "union_tag_invalid":
            return _no_alternative(schema, keys, detail)
        case kind:
            remedy = _remedy(kind, keys, detail["input"])
            return Fault(path=path, found=found, expected=say_expected(schema, keys, data), remedy=remedy)


def _unknown_field(schema: Schema, keys: Keys, data: object) -> Fault:
    path, field = pointer(*keys), str(keys[-1])
    of_kind = fields_of_kind(schema, keys[:-1], data)
    known = list(dict.fromkeys(name for fields in of_kind if field not in fields for name in fields))
    listed = ", ".join(known) or "no field at all"
    if any(field in fields for fields in fields_at(schema, keys[:-1])):
        return Fault(path=path, found="a field of another kind of entry", expected=f"only {listed}")
    close = get_close_matches(field, known, n=1)
    remedy = f"did you mean '{close[0]}'?" if close else ""
    return Fault(path=path, found="an unknown field", expected=f"one of {listed}", remedy=remedy)


def _no_alternative(schema: Schema, keys: Keys, detail: ErrorDetails) -> Fault:
    """The entry fits none of its kinds, told apart by a field such as 'kind' or by which key is there."""
    found, field = detail["input"], detail["ctx"]["discriminator"].strip("'")
    if isinstance(found, Mapping) and any(field in fields for fields in fields_at(schema, keys)):
        keys, found = (*keys, field), found.get(field, NO_ENTRY)
    said = "nothing" if found is NO_ENTRY else say_found(found)
    return Fault(path=pointer(*keys), found=said, expected=say_expected(schema, keys))


def _keys(data: object, detail: ErrorDetails) -> Keys:
    """The location without the tags of alternatives, which are words of the shape and not of the document."""
    keys: list[str | int] = []
    value, location = data, detail["loc"]
    for place, key in enumerate(location):
        last = place == len(location) - 1
        below = entry(value, key)
        if below is not NO_ENTRY:
            value = below
        elif not (last and detail["type"] == "missing"):
            if not (is_tag(key) or key == "[key]" or _names_kind(value, key)):
                break
            continue
        keys.append(key)
    return tuple(keys)


def _names_kind(value: object, key: str | int) -> bool:
    """Whether the key is the tag that a `kind` or `law` field of the mapping carries."""
    return isinstance(value, Mapping) and key in (value.get("kind"), value.get("law"))


def _remedy(kind: str, keys: Keys, found: object) -> str:
    if kind == "string_type" and isinstance(found, int | float):
        return "put it in quotes: it is a name"
    if kind in ("float_type", "int_type") and isinstance(found, str):
        decimals = ", with a point for decimals" if kind == "float_type" else ""
        return f"write the number alone, without quotes or unit{decimals}"
    field = next((key for key in reversed(keys) if isinstance(key, str)), "")
    out_of_range = kind in ("greater_than_equal", "less_than_equal")
    return f"check the unit: {unit_of_field(field)}" if out_of_range and unit_of_field(field) else ""

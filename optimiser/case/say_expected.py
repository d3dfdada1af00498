"""What a schema wants at one place of a document, in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from optimiser.case.unit_of_field import unit_of_field

Schema = dict[str, Any]
NO_ENTRY = object()


def say_expected(root: Schema, keys: Sequence[str | int], data: object = None) -> str:
    """For example 'a number from 3 to 100 mm (Inner diameter of the line in the bag)'.

    data: the document; where it says of which kind an entry is, nothing is said of other kinds.
    """
    places = _places(root, keys, data)
    if not places:
        return "no such field"
    field = next((key for key in reversed(keys) if isinstance(key, str)), "")
    wants = dict.fromkeys(_want(place, unit_of_field(field)) for place in places)
    told = dict.fromkeys(place.get("description", "") for place in places if place.get("type") != "null")
    about = next(iter(told)) if len(told) == 1 else ""
    return " or ".join(wants) + (f" ({' '.join(about.split()).rstrip('.')})" if about else "")


def fields_at(root: Schema, keys: Sequence[str | int]) -> list[list[str]]:
    """Names of the fields that may stand in the mapping at this place, one list for each alternative."""
    return _fields(_places(root, keys, None))


def fields_of_kind(root: Schema, keys: Sequence[str | int], data: object) -> list[list[str]]:
    """As `fields_at`, of those alternatives alone that the mapping in the document can be."""
    value = data
    for key in keys:
        value = entry(value, key)
    return _fields(_of_kind(_places(root, keys, data), value))


def entry(value: object, key: str | int) -> object:
    """What stands under the key; NO_ENTRY where nothing does."""
    if isinstance(value, Mapping):
        return value.get(key, NO_ENTRY)
    if isinstance(value, list | tuple) and isinstance(key, int) and key < len(value):
        return value[key]
    return NO_ENTRY


def _fields(places: Iterable[Schema]) -> list[list[str]]:
    return [list(place.get("properties", {})) for place in places]


def _places(root: Schema, keys: Sequence[str | int], data: object) -> list[Schema]:
    places, value = list(_alternatives(root, root)), data
    for key in keys:
        places = [
            found
            for place in _of_kind(places, value)
            for below in _below(place, key)
            for found in _alternatives(root, below)
        ]
        value = entry(value, key)
    return places


def _of_kind(places: list[Schema], value: object) -> list[Schema]:
    """What the mapping is by its `kind` or `law`, or by the first key that one kind alone must have; else all."""
    if len(places) < 2 or not isinstance(value, Mapping):
        return places
    for place in places:
        fields: Schema = place.get("properties", {})
        if any("const" in field and value.get(name) == field["const"] for name, field in fields.items()):
            return [place]
    needed = [set(place.get("required", [])) for place in places]
    for k, place in enumerate(places):
        if value.keys() & needed[k].difference(*needed[:k], *needed[k + 1 :]):
            return [place]
    return places


def _below(place: Schema, key: str | int) -> Iterator[Schema]:
    if isinstance(key, int):
        ordered = place.get("prefixItems", [])
        if key < len(ordered):
            yield ordered[key]
        elif isinstance(place.get("items"), dict):
            yield place["items"]
    elif key in place.get("properties", {}):
        yield place["properties"][key]
    elif isinstance(place.get("additionalProperties"), dict):
        yield place["additionalProperties"]


def _alternatives(root: Schema, place: Schema) -> Iterator[Schema]:
    """The schemas that this one stands for, references followed; what stands beside a reference wins."""
    beside = {name: value for name, value in place.items() if name not in ("$ref", "anyOf", "oneOf", "allOf")}
    if "$ref" in place:
        target = root["$defs"][place["$ref"].rsplit("/", 1)[1]]
        yield from ({**found, **beside} for found in _alternatives(root, target))
        return
    choices = [choice for word in ("anyOf", "oneOf", "allOf") for choice in place.get(word, [])]
    if not choices:
        yield place
    for choice in choices:
        yield from ({**found, **beside} for found in _alternatives(root, choice))


def _want(place: Schema, unit: str) -> str:
    if "const" in place:
        return _said(place["const"])
    if "enum" in place:
        return "one of " + ", ".join(_said(value) for value in place["enum"])
    match place.get("type"):
        case "number" | "integer" as kind:
            noun = "a whole number" if kind == "integer" else "a number"
            return " ".join(word for word in (noun, _range(place, "minimum", "maximum"), unit) if word)
        case "string":
            size = _range(place, "minLength", "maxLength")
            return f"text, {size} characters long" if size else "text"
        case "array":
            size = _range(place, "minItems", "maxItems")
            return f"a list, {size} long" if size else "a list"
        case "object":
            names = ", ".join(place.get("required", []))
            return f"a mapping with {names}" if names else "a mapping"
        case "boolean":
            return "true or false"
        case "null":
            return "null"
        case _:
            return "another value"


def _range(place: Schema, least: str, most: str) -> str:
    if least in place and most in place:
        same = place[least] == place[most]
        return f"{place[least]:g}" if same else f"from {place[least]:.10g} to {place[most]:.10g}"
    if least in place:
        return f"at least {place[least]:.10g}"
    return f"at most {place[most]:.10g}" if most in place else ""


def _said(value: object) -> str:
    return f"'{value}'" if isinstance(value, str) else str(value).lower()

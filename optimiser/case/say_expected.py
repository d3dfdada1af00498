"""What a schema wants at one place of a document, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from optimiser.case.unit_of_field import unit_of_field

Schema = dict[str, Any]


def say_expected(root: Schema, keys: Sequence[str | int]) -> str:
    """For example 'a number from 3 to 100 mm (Inner diameter of the line in the bag)'."""
    places = _places(root, keys)
    if not places:
        return "no such field"
    field = next((key for key in reversed(keys) if isinstance(key, str)), "")
    wants = dict.fromkeys(_want(place, unit_of_field(field)) for place in places)
    about = next((place["description"] for place in places if "description" in place), "")
    return " or ".join(wants) + (f" ({' '.join(about.split()).rstrip('.')})" if about else "")


def fields_at(root: Schema, keys: Sequence[str | int]) -> list[list[str]]:
    """Names of the fields that may stand in the mapping at this place, one list for each alternative."""
    return [list(place.get("properties", {})) for place in _places(root, keys)]


def _places(root: Schema, keys: Sequence[str | int]) -> list[Schema]:
    places = list(_alternatives(root, root))
    for key in keys:
        places = [
            found for place in places for below in _below(place, key) for found in _alternatives(root, below)
        ]
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

"""The JSON Schema of what a user may write: fields that have an assumed value may be left out of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from optimiser.case.assumed import ASSUMED, BLOCK_THAT_MAY_BE_LEFT_OUT, Assumed
from optimiser.case.case_document import CaseDocument
from optimiser.case.sequence_document import SequenceDocument

Schema = dict[str, Any]


def case_schema() -> Schema:
    """JSON Schema 2020-12 of the case document."""
    root = CaseDocument.model_json_schema()
    root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    root["required"].remove(BLOCK_THAT_MAY_BE_LEFT_OUT)
    for assumed in ASSUMED:
        *keys, field = assumed.path.split("/")[1:]
        for parent in _places(root, root, keys):
            if field in parent.get("properties", {}):
                _make_optional(parent, field, assumed)
    return root


def sequence_schema() -> Schema:
    """JSON Schema 2020-12 of a sequence."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **SequenceDocument.model_json_schema()}


def _make_optional(parent: Schema, field: str, assumed: Assumed) -> None:
    parent["required"] = [name for name in parent["required"] if name != field]
    described = parent["properties"][field]
    taken = f"Left out: as {assumed.same_as}" if assumed.same_as else f"Left out: {assumed.why}"
    described["description"] = f"{described.get('description', '')} {taken}.".strip()
    if assumed.same_as is None:
        described["default"] = assumed.value


def _places(root: Schema, place: Schema, keys: list[str]) -> Iterator[Schema]:
    if "$ref" in place:
        yield from _places(root, root["$defs"][place["$ref"].rsplit("/", 1)[1]], keys)
        return
    for choice in (*place.get("anyOf", []), *place.get("oneOf", [])):
        yield from _places(root, choice, keys)
    if not keys:
        yield place
        return
    below = [place.get("properties", {}).get(keys[0])]
    if keys[0] == "*":
        below = [place.get("items"), place.get("additionalProperties")]
    for found in below:
        if isinstance(found, dict):
            yield from _places(root, found, keys[1:])

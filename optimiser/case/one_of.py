"""Telling alternatives apart by the one key that only one of them has."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping

from pydantic import BaseModel


def is_tag(word: object) -> bool:
    """Brackets keep the tag of an alternative apart from the keys of a document in error locations."""
    return isinstance(word, str) and word.startswith("⟨") and word.endswith("⟩")


def one_key_of(*keys: str) -> Callable[[object], str | None]:
    """A discriminator: the tag ⟨key⟩ of the alternative whose key is there, None where none of them is."""

    def tag(value: object) -> str | None:
        if isinstance(value, Mapping):
            there: Container[object] = value
        elif isinstance(value, BaseModel):
            there = type(value).model_fields
        else:
            return None
        return next((f"⟨{key}⟩" for key in keys if key in there), None)

    return tag

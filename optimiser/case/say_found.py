"""What stands in a document, said short enough for a message and safe to print."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

MOST_CHARACTERS: Final = 60


def say_found(value: object) -> str:
    match value:
        case None:
            return "null"
        case bool():
            return "true" if value else "false"
        case int() | float():
            return f"{value:.15g}" if isinstance(value, float) or abs(value) < 10**15 else "a huge number"
        case str():
            return _quoted(value)
        case Mapping():
            return _said_mapping(value)
        case list() | tuple():
            return f"a list of {len(value)}" if value else "an empty list"
        case _:
            return f"a value of type {type(value).__name__}"


def printable(text: str) -> str:
    """The text with everything that could upset a terminal or an encoding written as an escape."""
    return "".join(
        letter if letter.isprintable() else letter.encode("unicode_escape").decode("ascii") for letter in text
    )


def _quoted(text: str) -> str:
    short = text if len(text) <= MOST_CHARACTERS else text[: MOST_CHARACTERS - 3] + "..."
    return f"'{printable(short)}'"


def _said_mapping(value: Mapping[object, object]) -> str:
    if not value:
        return "an empty mapping"
    keys = ", ".join(printable(str(key)[:20]) for key in list(value)[:4])
    return f"a mapping with {keys}" + (" and more" if len(value) > 4 else "")

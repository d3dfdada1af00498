"""YAML 1.2, core schema, to plain data, built from parser events so that no depth or alias can run away.

Not read, because a case needs none of it: anchors and aliases, tags, several documents in one text, keys
that are not text. Keys are taken as they are written: `01:` is the key '01'.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Final, Protocol

import yaml

from optimiser.case.plain_data import (
    DEEPEST_NESTING,
    MOST_VALUES,
    mapping_of,
    too_deep,
    too_many,
    unreadable,
)
from optimiser.case.say_found import printable

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_CONSTANTS: Final = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_BEFORE_VALUES: Final = (",", "- ", ": ")
"""Counted before anything is parsed, which takes seconds where there are millions."""
_END: Final = yaml.CollectionEndEvent()
_NUMBER: Final = re.compile(
    r"(?P<whole>[-+]?[0-9]+)"
    r"|(?P<decimal>[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?)"
    r"|(?P<endless>[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN))"
)


class _Mark(Protocol):
    line: int
    column: int


def data_of_yaml(text: str) -> object:
    """Plain data; InputError for text that is not one plain YAML document within the limits."""
    if sum(map(text.count, _BEFORE_VALUES)) > MOST_VALUES:
        raise too_many()
    try:
        return _only_document(_events(text))
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise unreadable(
            f"{error.problem or 'a slip'}{_place(mark)}",
            "a document in YAML",
            "look at the indentation, the colons and the brackets of that line and the one before",
        ) from error
    except (yaml.YAMLError, ValueError) as error:
        raise unreadable(printable(str(error))[:200], "a document in YAML") from error


def _events(text: str) -> Iterator[Any]:
    """What the parser sees, with one and the same end for every mapping and list."""
    for count, event in enumerate(iter(_LOADER(text).get_event, None)):
        if count > 2 * MOST_VALUES:
            raise too_many()
        yield _END if isinstance(event, yaml.CollectionEndEvent) else event


def _only_document(events: Iterator[Any]) -> object:
    documents = [_value(event, events, 0) for event in events if isinstance(event, yaml.NodeEvent)]
    if len(documents) != 1:
        raise unreadable(f"{len(documents)} documents", "one document in one text")
    return documents[0]


def _value(event: Any, events: Iterator[Any], depth: int) -> object:
    """The value that begins with this event; takes from the others those that belong to it."""
    _refuse_extras(event)
    if isinstance(event, yaml.ScalarEvent):
        return _plain(event.value) if event.implicit[0] else event.value
    if depth >= DEEPEST_NESTING:
        raise too_deep()
    inside = iter(events.__next__, _END)
    if isinstance(event, yaml.SequenceStartEvent):
        return [_value(entry, events, depth + 1) for entry in inside]
    return mapping_of([(_key(key), _value(next(events), events, depth + 1)) for key in inside])


def _key(event: Any) -> str:
    _refuse_extras(event)
    if not isinstance(event, yaml.ScalarEvent):
        raise unreadable(f"a key that is not text{_place(event.start_mark)}", "keys that are text")
    return str(event.value)


def _plain(text: str) -> object:
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    number = _NUMBER.fullmatch(text)
    if number is None:
        return text
    match number.lastgroup:
        case "whole" if len(text) < 20:
            return int(text)
        case "endless":
            return float(text.replace(".", ""))
        case _:
            return float(text)


def _refuse_extras(event: Any) -> None:
    if event.anchor is not None:  # an alias has one too
        raise unreadable(f"an anchor or alias{_place(event.start_mark)}", "YAML without & and *", "write the value out")
    if event.tag is not None:
        raise unreadable(f"a tag{_place(event.start_mark)}", "YAML without ! tags", "leave the tag out")


def _place(mark: _Mark | None) -> str:
    return f" at line {mark.line + 1}, column {mark.column + 1}" if mark is not None else ""

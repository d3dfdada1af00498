"""YAML 1.2, core schema, to plain data, built from parser events so that no depth or alias can run away.

Not read, because a case needs none of it: anchors and aliases, tags, several documents in one text, keys
that are not text. Keys are taken as they are written: `01:` is the key '01'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Protocol

import yaml

from optimiser.case.plain_data import (
    DEEPEST_NESTING,
    MOST_VALUES,
    ReadMapping,
    too_deep,
    too_many,
    unreadable,
)
from optimiser.case.say_found import printable
from optimiser.errors import InputError

_LOADER: Final = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_CONSTANTS: Final = {
    **dict.fromkeys(("", "~", "null", "Null", "NULL"), None),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
_WHOLE: Final = re.compile(r"[-+]?[0-9]+")
_NUMBER: Final = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_ENDLESS: Final = re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)")


class _Mark(Protocol):
    line: int
    column: int


@dataclass
class _Open:
    """A mapping or list whose end has not come yet."""

    node: ReadMapping | list[object]
    key: str | None = None
    """In a mapping: the key whose value comes next."""


def data_of_yaml(text: str) -> object:
    """Plain data; InputError for text that is not one plain YAML document within the limits."""
    try:
        return _built(text)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        raise unreadable(
            f"{error.problem or 'a slip'}{_place(mark)}",
            "a document in YAML",
            "look at the indentation, the colons and the brackets of that line and the one before",
        ) from error
    except (yaml.YAMLError, ValueError) as error:
        raise unreadable(printable(str(error))[:200], "a document in YAML") from error


def _built(text: str) -> object:
    stack: list[_Open] = []
    documents: list[object] = []
    for count, event in enumerate(yaml.parse(text, Loader=_LOADER)):
        if count > 2 * MOST_VALUES:
            raise too_many()
        _refuse_extras(event)
        match event:
            case yaml.MappingStartEvent() | yaml.SequenceStartEvent():
                if len(stack) >= DEEPEST_NESTING:
                    raise too_deep()
                if stack and isinstance(stack[-1].node, ReadMapping) and stack[-1].key is None:
                    raise _key_not_text(event)
                stack.append(_Open(ReadMapping() if isinstance(event, yaml.MappingStartEvent) else []))
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                _place_value(stack.pop().node, stack, documents)
            case yaml.ScalarEvent():
                _place_scalar(event, stack, documents)
    if len(documents) != 1:
        raise unreadable(f"{len(documents)} documents", "one document in one text")
    return documents[0]


def _place_scalar(event: yaml.ScalarEvent, stack: list[_Open], documents: list[object]) -> None:
    if stack and isinstance(stack[-1].node, ReadMapping) and stack[-1].key is None:
        stack[-1].key = event.value
    else:
        _place_value(_plain(event.value) if event.implicit[0] else event.value, stack, documents)


def _place_value(value: object, stack: list[_Open], documents: list[object]) -> None:
    if not stack:
        documents.append(value)
        return
    top = stack[-1]
    if isinstance(top.node, list):
        top.node.append(value)
    elif top.key is not None:
        top.node.put(top.key, value)
        top.key = None


def _plain(text: str) -> object:
    if text in _CONSTANTS:
        return _CONSTANTS[text]
    if _WHOLE.fullmatch(text) and len(text) < 20:
        return int(text)
    if _NUMBER.fullmatch(text):
        return float(text)
    if _ENDLESS.fullmatch(text):
        return float(text.replace(".", ""))
    return text


def _refuse_extras(event: yaml.Event) -> None:
    if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None) is not None:
        raise unreadable(
            f"an anchor or alias{_place(event.start_mark)}", "YAML without & and *", "write the value out"
        )
    if getattr(event, "tag", None) is not None:
        raise unreadable(f"a tag{_place(event.start_mark)}", "YAML without ! tags", "leave the tag out")


def _key_not_text(event: yaml.Event) -> InputError:
    return unreadable(f"a key that is not text{_place(event.start_mark)}", "keys that are text")


def _place(mark: _Mark | None) -> str:
    return f" at line {mark.line + 1}, column {mark.column + 1}" if mark is not None else ""

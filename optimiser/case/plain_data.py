"""Plain data is what JSON can say: mappings keyed by text, lists, text, finite numbers, true, false, null."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.errors import Fault, InputError

MOST_BYTES: Final = 10_000_000
MOST_VALUES: Final = 1_000_000
DEEPEST_NESTING: Final = 100
LARGEST_NUMBER: Final = 1e15
_MOST_FAULTS: Final = 50


class ReadMapping(dict[str, object]):
    """A mapping as it was read, which remembers the keys that stood in it more than once."""

    def __init__(self) -> None:
        super().__init__()
        self.doubled: list[str] = []

    def put(self, key: str, value: object) -> None:
        if key in self:
            self.doubled.append(key)
        else:
            self[key] = value


def unreadable(found: str, expected: str, remedy: str = "") -> InputError:
    """The document as a whole cannot be read."""
    return InputError([Fault(path="", found=found, expected=expected, remedy=remedy)])


def too_deep() -> InputError:
    return unreadable(f"nesting deeper than {DEEPEST_NESTING} levels", "a case, a sequence or a plan")


def too_many() -> InputError:
    return unreadable(f"more than {MOST_VALUES} values", "a smaller document", "a coarser surface")


def refuse_odd_values(data: object) -> None:
    """InputError naming every value that is not plain data, every doubled key and every absurd number."""
    faults: list[Fault] = []
    waiting: list[tuple[str, object, int]] = [("", data, 0)]
    seen = 1
    while waiting and len(faults) < _MOST_FAULTS:
        path, value, depth = waiting.pop()
        seen += len(value) if isinstance(value, Mapping | list | tuple) else 0
        if depth > DEEPEST_NESTING:
            raise too_deep()
        if seen > MOST_VALUES:
            raise too_many()
        faults.extend(_own_faults(path, value))
        waiting.extend(reversed([(path + step, child, depth + 1) for step, child in _children(value)]))
    if faults:
        raise InputError(faults)


def _children(value: object) -> Iterator[tuple[str, object]]:
    if isinstance(value, Mapping):
        yield from ((pointer(key), child) for key, child in value.items() if isinstance(key, str))
    elif isinstance(value, list | tuple):
        yield from ((f"/{index}", child) for index, child in enumerate(value))


def _own_faults(path: str, value: object) -> Iterator[Fault]:
    match value:
        case None | bool() | list() | tuple():
            return
        case int() | float():
            if not abs(value) <= LARGEST_NUMBER:  # so that a NaN is odd too
                yield Fault(path=path, found=say_found(value), expected="a number of sensible size")
        case str():
            if not _encodable(value):
                yield Fault(path=path, found=say_found(value), expected="text without broken characters")
        case Mapping():
            yield from _mapping_faults(path, value)
        case _:
            yield Fault(path=path, found=say_found(value), expected="text, a number, a list or a mapping")


def _mapping_faults(path: str, mapping: Mapping[object, object]) -> Iterator[Fault]:
    for key in mapping:
        if not isinstance(key, str) or not _encodable(key):
            yield Fault(path=path, found=f"the key {say_found(key)}", expected="keys that are text")
    if isinstance(mapping, ReadMapping):
        for key in dict.fromkeys(mapping.doubled):
            yield Fault(
                path=path + pointer(key),
                found="this key more than once",
                expected="each key once in its mapping",
                remedy="rename or remove one; only the first would count",
            )


def _encodable(text: str) -> bool:
    return "\0" not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)

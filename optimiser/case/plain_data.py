"""Plain data is what JSON can say: mappings keyed by text, lists, text, finite numbers, true, false, null."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final, TypeGuard

from optimiser.case.pointer import pointer
from optimiser.case.say_found import say_found
from optimiser.errors import Fault, InputError

MOST_BYTES: Final = 10_000_000
MOST_VALUES: Final = 1_000_000
MOST_KEYS: Final = 10_000
"""Of one mapping. Each that is unknown would be a fault, and a text of 10 MB has a million."""
DEEPEST_NESTING: Final = 100
LARGEST_NUMBER: Final = 1e15
_MOST_FAULTS: Final = 50
_BROKEN: Final = re.compile("[\0\ud800-\udfff]")
"""NUL, and half of a surrogate pair, which no encoding can write."""

Pairs = list[tuple[str, object]]


class DoubledKeys(dict[str, object]):
    """A mapping in whose text some keys stand more than once; the first value of each is kept."""

    def __init__(self, pairs: Pairs) -> None:
        super().__init__()
        self.doubled: list[str] = []
        for key, value in pairs:
            if key in self:
                self.doubled.append(key)
            else:
                self[key] = value


def mapping_of(pairs: Pairs) -> dict[str, object]:
    """The mapping that was read as these keys and values; it remembers the keys read more than once."""
    if len(pairs) > MOST_KEYS:
        raise unreadable(f"a mapping with {len(pairs)} keys", f"mappings with at most {MOST_KEYS} keys")
    mapping = dict(pairs)
    return mapping if len(mapping) == len(pairs) else DoubledKeys(pairs)


def unreadable(found: str, expected: str, remedy: str = "") -> InputError:
    """The document as a whole cannot be read."""
    return InputError([Fault(path="", found=found, expected=expected, remedy=remedy)])


def too_deep() -> InputError:
    return unreadable(f"nesting deeper than {DEEPEST_NESTING} levels", "a case, a sequence or a plan")


def too_many() -> InputError:
    return unreadable(f"more than {MOST_VALUES} values", "a smaller document", "a coarser surface")


def refuse_odd_values(data: object) -> None:
    """InputError naming every value that is not plain data, every doubled key and every absurd number."""
    if _is_all_plain(data):
        return
    walk = _Walk()
    walk.look_at(data)
    if walk.faults:
        raise InputError(walk.faults)


def _is_all_plain(data: object) -> bool:
    """Whether nothing in it is odd, within the limits; quick, as it looks level by level and does not know places."""
    keys: set[object] = set()
    level: list[Any] = [data]
    values, depth = 1, 0
    while level:
        below: list[Any] = []
        for value in level:
            kind = type(value)
            if kind is float or kind is int:
                if not -LARGEST_NUMBER <= value <= LARGEST_NUMBER:
                    return False
            elif kind is list:
                below += value
            elif kind is dict:
                keys.update(value)
                below += value.values()
            elif not _is_plain(value):
                return False
        values, depth = values + len(below), depth + 1
        if values > MOST_VALUES or depth > DEEPEST_NESTING:
            return False
        level = below
    return all(isinstance(key, str) and not _BROKEN.search(key) for key in keys)


class _Walk:
    """Goes through the data in document order, within the limits. A pointer is built only where a fault is."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.keys: list[object] = []
        """Those that lead to the value now looked at."""
        self.values = 1
        """How many there are, as far as they have been seen."""

    def look_at(self, value: object) -> None:
        match value:
            case list() | tuple():
                self._count(value)
                for place, child in enumerate(value):
                    if not _is_plain(child):
                        self._look_at(place, child)
            case Mapping():
                self._count(value)
                self._look_at_keys(value)
                for key, child in value.items():
                    if not _is_plain(child) and _can_be_named(key):
                        self._look_at(key, child)
            case _ if not _is_plain(value):
                self._note(Fault(path=pointer(*self.keys), found=say_found(value), expected=_right_instead_of(value)))

    def _look_at(self, key: str | int, value: object) -> None:
        self.keys.append(key)
        self.look_at(value)
        self.keys.pop()

    def _look_at_keys(self, mapping: Mapping[object, object]) -> None:
        for key in mapping:
            if not _can_be_named(key):
                found = f"the key {say_found(key)}"
                self._note(Fault(path=pointer(*self.keys), found=found, expected="keys that are text"))
        if isinstance(mapping, DoubledKeys):
            for key in filter(_can_be_named, dict.fromkeys(mapping.doubled)):
                self._note(
                    Fault(
                        path=pointer(*self.keys, key),
                        found="this key more than once",
                        expected="each key once in its mapping",
                        remedy="rename or remove one; only the first would count",
                    )
                )

    def _count(self, container: Mapping[object, object] | Sequence[object]) -> None:
        self.values += len(container)
        if self.values > MOST_VALUES:
            raise too_many()
        if container and len(self.keys) >= DEEPEST_NESTING:
            raise too_deep()

    def _note(self, fault: Fault) -> None:
        self.faults.append(fault)
        if len(self.faults) == _MOST_FAULTS:
            raise InputError(self.faults)


def _can_be_named(key: object) -> TypeGuard[str]:
    """Whether a pointer through this key could be written down."""
    return isinstance(key, str) and not _BROKEN.search(key)


def _is_plain(value: object) -> bool:
    """Whether it is a value that holds no others and is not odd."""
    match value:
        case float() | int():
            return abs(value) <= LARGEST_NUMBER  # a NaN is not
        case str():
            return not _BROKEN.search(value)
        case _:
            return value is None


def _right_instead_of(value: object) -> str:
    match value:
        case float() | int():
            return "a number of sensible size"
        case str():
            return "text without broken characters"
        case _:
            return "text, a number, a list or a mapping"

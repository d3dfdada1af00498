"""A document with a thing or two changed in it, as plain data."""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Callable, Iterator
from typing import Any, Final

from benchmarks.malformed import nonsense

Data = dict[str, Any]
Place = tuple[Any, Any]
"""A mapping or list, and the key or index in it."""

_LARGEST_SCALED: Final = 1e200
_MANY_POINTS: Final = (1_000, 10_000, 10_001)


def changed(original: Data, dice: random.Random, port: int) -> Data:
    """A copy with one to four changes."""
    data = copy.deepcopy(original)
    for _ in range(dice.choice((1, 1, 1, 2, 4))):
        places = list(_places(data))
        if places:
            dice.choice(_CHANGES)(dice.choice(places), dice, port, data)
    return data


def with_all_texts(original: Data, text: str) -> Data:
    """A copy in which every text is this one."""
    data = copy.deepcopy(original)
    for container, key in list(_places(data)):
        if isinstance(container[key], str):
            container[key] = text
    return data


def _places(node: Any) -> Iterator[Place]:
    keys = list(node) if isinstance(node, dict) else range(len(node))
    for key in keys:
        yield node, key
        if isinstance(node[key], dict | list):
            yield from _places(node[key])


def _replace(place: Place, dice: random.Random, port: int, _data: Data) -> None:
    container, key = place
    container[key] = nonsense.value(dice, port)


def _remove(place: Place, _dice: random.Random, _port: int, _data: Data) -> None:
    container, key = place
    del container[key]


def _rename(place: Place, dice: random.Random, port: int, _data: Data) -> None:
    container, key = place
    if isinstance(container, dict):
        name = nonsense.value(dice, port)
        container[name if isinstance(name, str) else f"{key}x"] = container.pop(key)


def _add(place: Place, dice: random.Random, port: int, _data: Data) -> None:
    container, key = place
    if isinstance(container, dict):
        container[dice.choice(("note", "kind", "$ref", "<<", "__class__", f"{key}_mm"))] = nonsense.value(dice, port)
    else:
        container.insert(dice.randint(0, len(container)), nonsense.value(dice, port))


def _repeat(place: Place, dice: random.Random, _port: int, _data: Data) -> None:
    container, key = place
    if isinstance(container, list):
        container.extend([copy.deepcopy(container[key])] * dice.choice((1, 50)))


def _swap(place: Place, dice: random.Random, _port: int, data: Data) -> None:
    container, key = place
    other, other_key = dice.choice(list(_places(data)))
    container[key] = copy.deepcopy(other[other_key])


def _scale(place: Place, dice: random.Random, _port: int, _data: Data) -> None:
    container, key = place
    if type(container[key]) in (int, float) and abs(container[key]) < _LARGEST_SCALED:
        container[key] = container[key] * dice.choice((-1, 0, 1e-9, 1e-3, 1e3, 1e9))


def _draw(_place: Place, dice: random.Random, _port: int, data: Data) -> None:
    """Another shape in place of a border, a hole or a run."""
    drawn = [(c, k) for c, k in _places(data) if isinstance(k, str) and k.endswith("_mm") and _is_line(c[k])]
    if drawn:
        container, key = dice.choice(drawn)
        container[key] = dice.choice(_SHAPES)(container[key], dice)


def _is_line(value: Any) -> bool:
    return isinstance(value, list) and len(value) > 1 and all(map(_is_point, value))


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) > 1 and all(type(number) in (int, float) for number in value)


def _crossed(points: list[Any], dice: random.Random) -> list[Any]:
    return dice.sample(points, len(points))


def _flat(points: list[Any], _dice: random.Random) -> list[Any]:
    return [[place, 0] for place in range(len(points))]


def _one_place(points: list[Any], _dice: random.Random) -> list[Any]:
    return [points[0]] * len(points)


def _star(_points: list[Any], dice: random.Random) -> list[Any]:
    corners = dice.choice((5, 999))
    turns = [2 * math.pi * place * (corners // 2) / corners for place in range(corners)]
    return [[500 + 400 * math.cos(turn), 500 + 400 * math.sin(turn)] for turn in turns]


def _many(_points: list[Any], dice: random.Random) -> list[Any]:
    number = dice.choice(_MANY_POINTS)
    turns = [2 * math.pi * place / number for place in range(number)]
    return [[round(500 + 400 * math.cos(turn), 6), round(500 + 400 * math.sin(turn), 6)] for turn in turns]


def _comb(_points: list[Any], dice: random.Random) -> list[Any]:
    teeth = dice.choice((10, 1_000))
    there = [[place, 600 * (place % 2)] for place in range(2 * teeth)]
    return [*there, [2 * teeth, -10], [0, -10]]


def _back_and_forth(points: list[Any], _dice: random.Random) -> list[Any]:
    return [*points, *reversed(points)]


def _hair(points: list[Any], _dice: random.Random) -> list[Any]:
    return [[points[0][0], points[0][1] + 1e-9 * place] for place in range(len(points))]


_SHAPES: Final = (_crossed, _flat, _one_place, _star, _many, _comb, _back_and_forth, _hair)
_CHANGES: Final[tuple[Callable[[Place, random.Random, int, Data], None], ...]] = (
    _replace, _replace, _replace, _remove, _rename, _add, _repeat, _swap, _scale, _draw, _draw,
)  # fmt: skip

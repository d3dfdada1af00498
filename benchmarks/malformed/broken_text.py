"""From plain data to bytes, and what can happen to them on the way."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from typing import Any, Final

import yaml

_DEPTH: Final = 10_000
_BOMB: Final = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n" for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)


def as_json(data: Any) -> bytes:
    """With NaN and lone surrogates where they are in the data."""
    return json.dumps(data).encode()


def as_yaml(data: Any) -> bytes:
    """Without anchors, as a person writes it; what YAML cannot say goes as JSON."""
    try:
        return yaml.dump(data, Dumper=_Plain, allow_unicode=True, sort_keys=False).encode()
    except (yaml.YAMLError, UnicodeEncodeError, RecursionError):
        return as_json(data)


class _Plain(yaml.CSafeDumper):
    def ignore_aliases(self, _data: Any) -> bool:
        return True


def broken(text: bytes, dice: random.Random) -> bytes:
    """The text, no longer whole or no longer alone."""
    return dice.choice(_BREAKS)(text, dice)


def _cut(text: bytes, dice: random.Random) -> bytes:
    return text[: dice.randint(0, max(0, len(text) - 1))]


def _flip(text: bytes, dice: random.Random) -> bytes:
    flipped = bytearray(text)
    for _ in range(dice.choice((1, 3, 30))):
        flipped[dice.randrange(len(flipped))] ^= 1 << dice.randrange(8)
    return bytes(flipped)


def _random_bytes(text: bytes, dice: random.Random) -> bytes:
    return dice.randbytes(dice.choice((1, 100, len(text))))


def _byte_order_mark(text: bytes, dice: random.Random) -> bytes:
    return b"\xef\xbb\xbf" * dice.choice((1, 2)) + text


def _other_encoding(text: bytes, dice: random.Random) -> bytes:
    return text.decode().encode(dice.choice(("utf-16", "utf-16-le", "utf-32", "cp037", "utf-7")))


def _overlong(text: bytes, _dice: random.Random) -> bytes:
    return text.replace(b"e", b"\xc1\xa5", 1)


def _nul_inside(text: bytes, dice: random.Random) -> bytes:
    at = dice.randint(0, len(text))
    return text[:at] + dice.choice((b"\0", b"\\u0000", b"\\ud800", b"\x1a", b"\xff")) + text[at:]


def _doubled_key(text: bytes, dice: random.Random) -> bytes:
    lines = text.replace(b", ", b",\n").splitlines(keepends=True)
    at = dice.randrange(len(lines))
    return b"".join([*lines[: at + 1], lines[at], *lines[at + 1 :]])


def _twice(text: bytes, dice: random.Random) -> bytes:
    return dice.choice((b"", b"\n", b"\n---\n", b"\n...\n", b",")).join([text, text])


def _deep(text: bytes, dice: random.Random) -> bytes:
    opened = dice.choice((b"[", b'{"a":', b"- ", b"? ", b"{a: ", b"[[["))
    return opened * _DEPTH + dice.choice((b"", text))


def _yaml_extras(text: bytes, dice: random.Random) -> bytes:
    extras = (
        _BOMB.encode(),
        b"a: &a {b: 1}\nc:\n  <<: *a\n",
        b"name: !!python/object/apply:os.system ['true']\n",
        b"name: !!binary aGVsbG8=\n",
        b"name: !include /etc/passwd\n",
        b"%YAML 9.9\n---\na: 1\n",
        b"%TAG ! tag:example.org,2000:\n---\n!a b\n",
        b"? [1, 2]\n: 3\n",
        b"a: *missing\n",
        b"&a [*a]\n",
        b"a: |\n" + b"  x\n" * 100_000,
        b"\t- a\n",
        b"a: 'never closed\n",
    )
    return dice.choice(extras) + dice.choice((b"", text))


def _long_number(text: bytes, dice: random.Random) -> bytes:
    digits = b"9" * dice.choice((30, 5_000, 200_000))
    return text.replace(b": 1", b": " + digits, 1)


def _blanks(text: bytes, dice: random.Random) -> bytes:
    return dice.choice((b" ", b"\n", b"\t", b"#")) * dice.choice((1, 500_000)) + dice.choice((b"", text))


_BREAKS: Final[tuple[Callable[[bytes, random.Random], bytes], ...]] = (
    _cut, _cut, _flip, _flip, _flip, _random_bytes, _byte_order_mark, _other_encoding, _overlong, _nul_inside,
    _doubled_key, _doubled_key, _twice, _deep, _yaml_extras, _yaml_extras, _long_number, _blanks,
)  # fmt: skip

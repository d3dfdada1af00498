"""Texts just below the longest that is read, made to cost as much as they can."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Final

_BYTES: Final = 9_500_000


def too_much(dice: random.Random) -> bytes:
    """Any of them, whole or a tenth of it."""
    return dice.choice(_TEXTS)(_BYTES // dice.choice((1, 10)))


def _filled(begin: bytes, piece: bytes, end: bytes) -> Callable[[int], bytes]:
    return lambda length: begin + piece * (length // len(piece)) + end


def _keys(length: int) -> bytes:
    return b"{" + b",".join(b'"k%d":1' % number for number in range(length // 13)) + b"}"


def _lines_of_keys(length: int) -> bytes:
    return b"".join(b"k%d: 1\n" % number for number in range(length // 12))


def _stairs(length: int) -> bytes:
    return b"".join(b" " * step + b"a:\n" for step in range(int((2 * length) ** 0.5) - 2))


_TEXTS: Final[tuple[Callable[[int], bytes], ...]] = (
    _keys,
    _lines_of_keys,
    _stairs,
    _filled(b'{"a":[', b"1,", b"1]}"),
    _filled(b'{"a":[', b"{},", b"1]}"),
    _filled(b'{"name":"', b"x", b'"}'),
    _filled(b'{"name":"', b"\\u00e9", b'"}'),
    _filled(b'{"name":"', b"\\\\", b""),
    _filled(b"{", b'"k":1,', b'"k":1}'),
    _filled(b"", b"- 1\n", b""),
    _filled(b"a: [", b"[],", b"]"),
    _filled(b"a: ", b"x ", b""),
    _filled(b'a: "', b"x\n", b'"'),
    _filled(b"a: |\n", b" x\n", b""),
    _filled(b"", b"#\n", b"a: 1"),
    _filled(b"", b"? a\n", b""),
    _filled(b"", b":", b""),
    _filled(b"", b"'", b"'"),
    _filled(b"", b"&a ", b""),
)

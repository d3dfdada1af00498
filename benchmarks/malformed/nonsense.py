"""Values that stand where others should."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, Final

Value = Any

PATHS: Final = (
    "/etc/passwd",
    "../../../etc/passwd",
    "/proc/self/environ",
    "/dev/zero",
    "C:\\windows\\win.ini",
    "~",
    "-",
)
_TEXTS: Final = (
    "",
    " ",
    "\0",
    "a\0b",
    "\ud800",
    "\udfff\ud800",
    "\ufeff",
    "\u202e\u2066 turned",
    "é" * 100,
    "\x1b[31m",
    "\r\nX-Injected: yes",
    "' OR 1=1 --",
    "%00%0d%0a",
    "{{7*7}}${7*7}",
    "<script>alert(1)</script>",
    "=HYPERLINK(1)",
    "NaN",
    "1e3",
    "١٢٣",
    "no",
    "12:30:00",
    "0x1F",
    "null",
)
_NUMBERS: Final = (
    0,
    -0.0,
    -1,
    1,
    2**31,
    2**63,
    -(2**63) - 1,
    10**400,
    0.1 + 0.2,
    1e-320,
    1e15,
    1e16,
    1e308,
    -1e308,
    float("nan"),
    float("inf"),
    float("-inf"),
)
_OTHERS: Final[tuple[Value, ...]] = (None, True, False, [], {}, [[]], [{}], {"": ""}, [None], {"a": {"b": []}})


def urls(port: int) -> tuple[str, ...]:
    """Addresses where somebody listens who must hear nothing."""
    return (
        f"http://127.0.0.1:{port}/",
        f"https://localhost:{port}/case.yaml",
        f"http://[::ffff:127.0.0.1]:{port}/",
        f"//127.0.0.1:{port}/share",
        f"ftp://127.0.0.1:{port}/a",
        f"gopher://127.0.0.1:{port}/_",
        "file:///etc/passwd",
        "file://localhost/etc/passwd",
    )


def value(dice: random.Random, port: int) -> Value:
    """Any of them, or one that is large or deep."""
    kinds: tuple[Callable[[], Value], ...] = (
        lambda: dice.choice(_TEXTS),
        lambda: dice.choice(_NUMBERS),
        lambda: dice.choice(_OTHERS),
        lambda: dice.choice(PATHS),
        lambda: dice.choice(urls(port)),
        lambda: "x" * dice.choice((61, 1_000, 100_000)),
        lambda: deep(dice.choice((99, 101, 500))),
        lambda: [dice.choice(_NUMBERS)] * dice.choice((2, 3, 1_000)),
        lambda: {str(key): key for key in range(dice.choice((1, 1_000)))},
        lambda: dice.uniform(-1e6, 1e6),
        lambda: dice.randint(-1000, 1000),
    )
    return dice.choice(kinds)()


def deep(levels: int) -> Value:
    """Lists within lists."""
    inside: Value = 1
    for _ in range(levels):
        inside = [inside]
    return inside

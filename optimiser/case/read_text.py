"""From bytes or a file to plain data: YAML or JSON, within limits.

A text that begins with { or [ is read as JSON, any other as YAML 1.2: 'no', 'on' and '12:30' are text, and
010 is ten.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import numpy as np

from optimiser.case.plain_data import (
    DEEPEST_NESTING,
    MOST_BYTES,
    refuse_odd_values,
    too_deep,
    unreadable,
)
from optimiser.case.read_json import data_of_json
from optimiser.case.read_yaml import data_of_yaml
from optimiser.case.say_found import printable

_STRING: Final = re.compile(rb'"[^"\\]*+(?:\\.[^"\\]*+)*+\\?(?:"|\Z)', re.DOTALL)
"""A string without an end runs to the end of the text, so that no text makes the search start over."""
_STEP_OF_LETTER: Final = np.zeros(256, dtype=np.int8)
_STEP_OF_LETTER[list(b"[{")], _STEP_OF_LETTER[list(b"]}")] = 1, -1


def read_data(source: Path | bytes) -> object:
    """Plain data (mappings, lists, text, numbers, true, false, null) from a file or its bytes.

    InputError for anything that is not one readable document within the limits; nothing else is raised.
    """
    text = _text(_bytes(source))
    if text.lstrip()[0] in "{[":
        _refuse_deep_json(text)
        data = data_of_json(text, expected="JSON, as the text begins with a bracket")
    else:
        data = data_of_yaml(text)
    refuse_odd_values(data)
    return data


def _bytes(source: Path | bytes) -> bytes:
    raw = source if isinstance(source, bytes) else _file_bytes(source)
    if len(raw) > MOST_BYTES:
        raise unreadable(f"more than {MOST_BYTES // 10**6} MB", f"at most {MOST_BYTES // 10**6} MB of text")
    return raw


def _file_bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "no such file"
        raise unreadable(f"{reason} ({printable(str(path))})", "a file that can be read") from error


def _text(raw: bytes) -> str:
    if b"\0" in raw:
        raise unreadable(f"a NUL byte at byte {raw.index(0)}", "text in UTF-8, not a binary file")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise unreadable(
            f"a byte at {error.start} that is not UTF-8", "text in UTF-8", "save the file as UTF-8"
        ) from error
    if not text.strip():
        raise unreadable("nothing", "a document in YAML or JSON")
    return text


def _refuse_deep_json(text: str) -> None:
    """Before the parser, which goes as deep as the text does."""
    letters = np.frombuffer(_STRING.sub(b"", text.encode()), dtype=np.uint8)
    steps = _STEP_OF_LETTER[letters]
    if np.cumsum(steps, dtype=np.int32).max(initial=0) > DEEPEST_NESTING:
        raise too_deep()

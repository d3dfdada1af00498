"""From JSON text to plain data; keys that stand twice are remembered, for `refuse_odd_values` to name them."""

from __future__ import annotations

import json
import re

from optimiser.case.plain_data import MOST_VALUES, mapping_of, too_deep, too_many, unreadable

_BETWEEN_VALUES = ",[{"
"""One of them stands before every value but those of keys; all are counted before any value takes memory."""
_MANY_DIGITS = re.compile(r"[0-9]{20}")


def data_of_json(text: str, *, expected: str = "JSON") -> object:
    """Plain data; InputError for text that is not one JSON document."""
    if sum(map(text.count, _BETWEEN_VALUES)) > MOST_VALUES:
        raise too_many()
    try:
        # a look at the text is a tenth of what a call for each number takes
        parse_int = _whole if _MANY_DIGITS.search(text) else None
        return json.loads(text, object_pairs_hook=mapping_of, parse_int=parse_int)
    except json.JSONDecodeError as error:
        raise unreadable(f"a slip at line {error.lineno}, column {error.colno} ({error.msg})", expected) from error
    except RecursionError as error:
        raise too_deep() from error


def _whole(digits: str) -> int | float:
    """Endless digits become a float, which then fails the check of size."""
    return int(digits) if len(digits) < 20 else float(digits)

"""From JSON text to plain data; keys that stand twice are remembered, for `refuse_odd_values` to name them."""

from __future__ import annotations

import json

from optimiser.case.plain_data import mapping_of, too_deep, unreadable


def data_of_json(text: str, *, expected: str = "JSON") -> object:
    """Plain data; InputError for text that is not one JSON document."""
    try:
        return json.loads(text, object_pairs_hook=mapping_of, parse_int=_whole)
    except json.JSONDecodeError as error:
        raise unreadable(f"a slip at line {error.lineno}, column {error.colno} ({error.msg})", expected) from error
    except RecursionError as error:
        raise too_deep() from error


def _whole(digits: str) -> int | float:
    """Endless digits become a float, which then fails the check of size."""
    return int(digits) if len(digits) < 20 else float(digits)

"""A name that stands for nothing in the document."""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches

from optimiser.case.say_found import say_found
from optimiser.errors import Fault

_MOST_LISTED = 20


def unknown_name(path: str, name: str, known: Collection[str], *, noun: str) -> Fault:
    """Says which names of this kind there are and which one may have been meant."""
    listed = ", ".join(sorted(known)[:_MOST_LISTED]) or "none defined"
    close = get_close_matches(name, known, n=1)
    return Fault(
        path=path,
        found=f"the unknown {noun} {say_found(name)}",
        expected=f"one of: {listed}",
        remedy=f"did you mean '{close[0]}'?" if close else "",
    )

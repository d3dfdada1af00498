"""A name that stands for nothing in the document."""

from __future__ import annotations

from collections.abc import Collection
from difflib import get_close_matches
from heapq import nsmallest

from optimiser.case.say_found import say_found
from optimiser.errors import Fault

_MOST_LISTED = 20
_MOST_COMPARED = 30
"""Comparing letter by letter is slow: only with the names that are made of most nearly the same letters."""


def unknown_name(path: str, name: str, known: Collection[str], *, noun: str) -> Fault:
    """Says which names of this kind there are and which one may have been meant."""
    letters = set(name)
    listed = ", ".join(nsmallest(_MOST_LISTED, known)) or "none defined"
    likely = nsmallest(_MOST_COMPARED, known, key=lambda other: len(letters.symmetric_difference(other)))
    close = get_close_matches(name, likely, n=1)
    return Fault(
        path=path,
        found=f"the unknown {noun} {say_found(name)}",
        expected=f"one of: {listed}",
        remedy=f"did you mean '{close[0]}'?" if close else "",
    )

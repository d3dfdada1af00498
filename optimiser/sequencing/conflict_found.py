"""Demands of the user that cannot be kept together, as the search says it; whoever reads it needs no solver."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Conflict:
    """On the zone graph, fields as JSON pointers into the case."""

    fields: tuple[str, ...]
    """Cannot be kept together, but without any one of them the others can; empty: not even a shot without any
    demand is possible there."""
    smallest: bool
    """No smaller set of fields is in conflict. False: the solver's effort ended before that was proven."""
    left_out: tuple[tuple[str, ...], ...]
    """Sets of fields without which all the rest can be kept, fewest fields first."""

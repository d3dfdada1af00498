"""A check before the shot, as it is printed."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Check:
    """One thing to look at, with room for the reading."""

    what: str
    planned: str
    blank: str
    """Unit or words after the blank; empty: a tick is enough."""


@dataclass(frozen=True, kw_only=True)
class CheckGroup:
    """What is looked at before one moment of the morning."""

    head: str
    rows: tuple[Check, ...]

"""What a check did and saw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from random import Random

from benchmarks.durability.place import Place


@dataclass(frozen=True, kw_only=True)
class Finding:
    times: int
    """How often the harm was done."""
    seen: str
    """Counts, in words."""
    wrong: tuple[str, ...]
    """What must not be; empty: nothing was lost, doubled or stuck."""


@dataclass(frozen=True, kw_only=True)
class Check:
    """One way to do harm."""

    what: str
    times: int
    """How often, in a whole run."""
    do: Callable[[Place, int, Random], Finding]
    engines: tuple[str, ...] = ("SQLite", "PostgreSQL")

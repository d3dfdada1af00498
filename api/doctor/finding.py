"""What a check has found, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class State(StrEnum):
    OK = "ok"
    WARNING = "warning"
    """It works, and will not for ever."""
    TROUBLE = "trouble"
    """Something does not work, or work may be lost."""


@dataclass(frozen=True, kw_only=True)
class Finding:
    what: str
    """The thing that was looked at."""
    state: State
    found: str
    do: str = ""
    """What the person who runs the service can do; empty where all is well."""


def ok(what: str, found: str) -> Finding:
    return Finding(what=what, state=State.OK, found=found)


def warning(what: str, found: str, do: str) -> Finding:
    return Finding(what=what, state=State.WARNING, found=found, do=do)


def trouble(what: str, found: str, do: str) -> Finding:
    return Finding(what=what, state=State.TROUBLE, found=found, do=do)


def worst(states: Iterable[State]) -> State:
    """OK where there are none."""
    order = list(State)
    return max(states, key=order.index, default=State.OK)

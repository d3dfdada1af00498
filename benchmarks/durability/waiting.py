"""Waits that end, far beyond what anything takes on a machine with other work."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

LONGEST_S = 180.0


class WaitedInVainError(Exception):
    """What had to come did not."""


def wait_for(look: Callable[[], T | None], what: str, *, longest_s: float = LONGEST_S, every_s: float = 0.02) -> T:
    """The first thing that `look` finds; False and 0 are things too."""
    ends_s = time.monotonic() + longest_s
    while time.monotonic() < ends_s:
        if (found := look()) is not None:
            return found
        time.sleep(every_s)
    raise WaitedInVainError(f"waited {longest_s:g} s for {what}")


def wait_until(holds: Callable[[], bool], what: str, *, longest_s: float = LONGEST_S, every_s: float = 0.02) -> None:
    wait_for(lambda: True if holds() else None, what, longest_s=longest_s, every_s=every_s)

"""A store that is locked, restarted or gone for a while: requests are told to come again, and everything recovers."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from random import Random

import pytest

from benchmarks.durability.absent_servers import take_away
from benchmarks.durability.busy_stores import BUSY_TIMEOUT_S, hold_lock, serve_through
from benchmarks.durability.finding import Finding
from benchmarks.durability.place import Place, engines
from benchmarks.durability.services import forked_service

START = partial(forked_service, busy_timeout_s=BUSY_TIMEOUT_S)


def lock_once(place: Place, times: int, lots: Random) -> Finding:
    return serve_through(place, times, lots, lambda: hold_lock(place, lots), start=START)


def take_server_away(place: Place, times: int, lots: Random) -> Finding:
    return take_away(place, times, lots, least_s=0.0, most_s=3.0, start=START)


HARMS = {"SQLite": (lock_once, 1), "PostgreSQL": (take_server_away, 2)}


@pytest.mark.parametrize("engine", engines())
def test_what_is_refused_while_the_store_is_away_is_accepted_later(
    engine: str, embedded_place: Place, bears: Callable[..., Finding]
) -> None:
    """A locked file; a server that is restarted, crashes, or is gone for longer than a request waits.

    Refusals are problem documents with Retry-After; sent again with their keys, the requests are accepted once each.
    """
    harm, times = HARMS[engine]
    bears(harm, embedded_place, times)

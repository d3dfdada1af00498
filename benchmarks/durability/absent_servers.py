"""A PostgreSQL server that is restarted under load, or is gone for a while."""

from __future__ import annotations

import time
from collections.abc import Callable
from random import Random

from benchmarks.durability.busy_stores import serve_through, working_service
from benchmarks.durability.finding import Finding
from benchmarks.durability.own_server import own_server
from benchmarks.durability.place import Place, new_place
from benchmarks.durability.services import Running

_MINUTE_S = 60.0
_WAYS = ("fast", "immediate")
"""In good order, and as if it crashed."""


def restart_server(place: Place, times: int, lots: Random) -> Finding:
    return take_away(place, times, lots, least_s=0.0, most_s=0.0)


def leave_for_a_moment(place: Place, times: int, lots: Random) -> Finding:
    """About as long as a request waits."""
    return take_away(place, times, lots, least_s=1.0, most_s=4.0)


def leave_for_a_minute(place: Place, times: int, lots: Random) -> Finding:
    return take_away(place, times, lots, least_s=_MINUTE_S, most_s=_MINUTE_S)


def take_away(
    place: Place,
    times: int,
    lots: Random,
    *,
    least_s: float,
    most_s: float,
    start: Callable[[Place], Running] = working_service,
) -> Finding:
    """A server of the check's own, so that none of others is taken away."""
    with own_server() as server, new_place("PostgreSQL", place.folder / "absent", server_url=server.url) as own:

        def harm() -> None:
            server.stop(lots.choice(_WAYS))
            time.sleep(lots.uniform(least_s, most_s))
            server.start()

        return serve_through(own, times, lots, harm, start=start)

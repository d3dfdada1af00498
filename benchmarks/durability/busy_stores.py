"""The store kept by another process, or taken away, while requests come in and jobs are worked on."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from http.client import HTTPConnection, HTTPException
from random import Random

from benchmarks.durability.asking_client import AskingClient
from benchmarks.durability.finding import Finding
from benchmarks.durability.holder import is_empty
from benchmarks.durability.holders import drain
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.place import Place
from benchmarks.durability.services import Running, tapcall_serve
from benchmarks.durability.sound import count_outcomes, wrong_in
from benchmarks.durability.waiting import wait_until

_CLIENTS = 2
_PAUSE_S = 0.3
"""Of a client, between two requests."""
BUSY_TIMEOUT_S = 1.0


def lock_the_file(place: Place, times: int, lots: Random) -> Finding:
    """Another process writes for longer than anybody waits for it."""
    return serve_through(place, times, lots, lambda: hold_lock(place, lots), start=working_service)


def hold_lock(place: Place, lots: Random) -> None:
    with closing(sqlite3.connect(place.folder / "tapcall.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        time.sleep(lots.uniform(2.0, 4.0))
        other.execute("ROLLBACK")


def working_service(place: Place) -> Running:
    """The command, which also works on the jobs."""
    return tapcall_serve(place, job_processes=1, busy_timeout_s=BUSY_TIMEOUT_S)


def serve_through(
    place: Place, times: int, lots: Random, harm: Callable[[], None], *, start: Callable[[Place], Running]
) -> Finding:
    """The service under load, harmed so many times, and left alone at last; it is not started again."""
    made = keep_plans(place, 1)
    clients = [AskingClient(number, _CLIENTS) for number in range(_CLIENTS)]
    service = start(place)
    enough = threading.Event()
    asking = [threading.Thread(target=_ask_on, args=(client, service, enough)) for client in clients]
    for thread in asking:
        thread.start()
    for _ in range(times):
        time.sleep(lots.uniform(0.2, 2.0))
        harm()
    time.sleep(0.5)
    enough.set()
    for thread in asking:
        thread.join()
    for client in clients:
        client.settle(service)
    database = place.open()
    if start is working_service:
        wait_until(lambda: is_empty(database), "the service to do all jobs", longest_s=1800.0, every_s=0.2)
    service.stop()
    drain(place.settings())
    promised = {job_id for client in clients for job_id in client.jobs.values()}
    wrong = (*(said for client in clients for said in client.wrong), *wrong_in(database, {*made, *promised}))
    statuses, ended = sum((client.statuses for client in clients), Counter[int]()), count_outcomes(database)
    database.close()
    seen = (
        f"{statuses[202]} requests accepted, {statuses[503]} answered with 503 and Retry-After, then accepted; "
        f"{ended['abandoned'] + ended['lost']} attempts cut off"
    )
    return Finding(times=times, seen=seen, wrong=wrong)


def _ask_on(client: AskingClient, service: Running, enough: threading.Event) -> None:
    """What is refused for now is asked again, with the same key; the connection must never break."""
    connection = HTTPConnection(service.host, service.port, timeout=120.0)
    while not enough.wait(_PAUSE_S):
        try:
            client.ask_once(connection)
        except (OSError, HTTPException) as error:
            client.wrong.append(f"no answer at all: {error!r}")
            connection.close()
    connection.close()

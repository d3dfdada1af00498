"""kill -9 of the service within requests, at random moments or between commit and reply; they are then sent again with
the same key."""

from __future__ import annotations

import json
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from random import Random

from sqlalchemy import select

from api.store.database import Database
from api.store.tables import revalidations
from benchmarks.durability.asking_client import AskingClient
from benchmarks.durability.finding import Finding
from benchmarks.durability.holders import drain
from benchmarks.durability.looked_at_plans import keep_plans
from benchmarks.durability.place import Place
from benchmarks.durability.services import Running, forked_service, tapcall_serve
from benchmarks.durability.sound import wrong_in
from benchmarks.durability.waiting import wait_until

_CLIENTS = 3
_FRESH_ANSWERS = 4
_LONGEST_S = 0.06
"""From the first answer to the kill: a few requests of each client."""


def kill_forked_services(place: Place, times: int, lots: Random) -> Finding:
    return _kill_services(place, times, lots, forked_service)


def kill_tapcall_serve(place: Place, times: int, lots: Random) -> Finding:
    return _kill_services(place, times, lots, tapcall_serve)


def kill_between_commit_and_reply(place: Place, times: int, lots: Random) -> Finding:
    """Each time at least one accepted request has no answer, so that its repetition must be answered as before."""

    def serve_until_it_dies(clients: list[AskingClient]) -> None:
        service = forked_service(place, dies_at=lots.randint(1, _FRESH_ANSWERS))
        asking = _asking(clients, service)
        service.wait()
        for thread in asking:
            thread.join()

    found = _ask_and_kill(place, times, serve_until_it_dies, forked_service)
    too_few = [f"only {found.lost_replies} answers were lost in {times} kills"] if found.lost_replies < times else []
    return found.told("answers lost after their commit and given again", too_few)


def _kill_services(place: Place, times: int, lots: Random, start: Callable[[Place], Running]) -> Finding:
    def serve_and_kill(clients: list[AskingClient]) -> None:
        _serve_and_kill(start(place), clients, lots.uniform(0.0, _LONGEST_S))

    return _ask_and_kill(place, times, serve_and_kill, start).told()


@dataclass(frozen=True, kw_only=True)
class _Asked:
    times: int
    keys: int
    lost_replies: int
    """Answers made before a kill and given again after it."""
    wrong: tuple[str, ...]

    def told(self, lost: str = "kills between commit and reply", wrong: Iterable[str] = ()) -> Finding:
        seen = f"{self.keys} keys, {self.lost_replies} {lost}"
        return Finding(times=self.times, seen=seen, wrong=(*self.wrong, *wrong))


def _ask_and_kill(
    place: Place, times: int, until_killed: Callable[[list[AskingClient]], None], start: Callable[[Place], Running]
) -> _Asked:
    made = keep_plans(place, 1)
    clients = [AskingClient(number, _CLIENTS) for number in range(_CLIENTS)]
    for _ in range(times):
        until_killed(clients)
    last = start(place)
    for client in clients:
        client.ask_until_it_breaks(last, most=1)
    last.stop()
    promised = {asked: job_id for client in clients for asked, job_id in client.jobs.items()}
    drain(place.settings())
    database = place.open()
    accepted = {*made, *promised.values()}
    wrong = (*_wrong_answers(clients), *_wrong_runs(database, promised), *wrong_in(database, accepted))
    database.close()
    lost_replies = sum(client.replayed for client in clients)
    return _Asked(times=times, keys=len(promised), lost_replies=lost_replies, wrong=tuple(wrong))


def _serve_and_kill(service: Running, clients: list[AskingClient], after_s: float) -> None:
    before = _answers(clients)
    asking = _asking(clients, service)
    wait_until(lambda: _answers(clients) > before, "the first answer", every_s=0.002)
    time.sleep(after_s)
    service.kill()
    for thread in asking:
        thread.join()


def _asking(clients: list[AskingClient], service: Running) -> list[threading.Thread]:
    asking = [threading.Thread(target=client.ask_until_it_breaks, args=(service,)) for client in clients]
    for thread in asking:
        thread.start()
    return asking


def _answers(clients: Iterable[AskingClient]) -> int:
    return sum(client.statuses.total() for client in clients)


def _wrong_answers(clients: Iterable[AskingClient]) -> list[str]:
    return [said for client in clients for said in client.wrong]


def _wrong_runs(database: Database, promised: dict[float, str]) -> list[str]:
    """Each request made exactly one run, the one whose job was promised."""
    with database.read() as connection:
        rows = connection.execute(select(revalidations.c.change, revalidations.c.job_id)).all()
    kept = [(json.loads(row.change)["gel_test"]["gel_time_min"], row.job_id) for row in rows]
    wrong = [f"a key made {count} runs: {asked}" for asked, count in Counter(a for a, _ in kept).items() if count != 1]
    if dict(kept) != promised:
        wrong.append(f"{len(kept)} runs are kept, and other {len(promised)} were promised")
    return wrong

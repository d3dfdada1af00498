"""Jobs followed over HTTP as server-sent events, from a real server in a thread of this process."""

from __future__ import annotations

import json
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import httpx
import pytest
import uvicorn
from fastapi import FastAPI
from sse_starlette.sse import AppStatus

from api.http import job_events
from api.http.identify import Identify
from api.http.job_events import JobStreams
from api.http.outermost import Outermost
from api.http.problem_handlers import install_problem_handlers
from api.http.request_limit import RequestLimit
from api.http.routes import job_events as routes
from api.jobs.attempt import cancel, claim, note_progress
from api.keys.key_ring import KeyRing
from api.keys.keys import make, revoke
from api.keys.scopes import Scope
from api.settings import Settings
from api.store.database import Database

Ask = Callable[..., str]
WaitFor = Callable[..., Any]


@dataclass(frozen=True, kw_only=True)
class Event:
    name: str
    id: int | None
    data: dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Served:
    server: uvicorn.Server
    thread: threading.Thread
    streams: JobStreams
    client: httpx.Client

    @contextmanager
    def events(self, job_id: str, *, after: int | None = None) -> Iterator[Iterator[Event]]:
        headers = {} if after is None else {"Last-Event-ID": str(after)}
        with self.client.stream("GET", f"/v1/jobs/{job_id}/events", headers=headers) as answer:
            assert answer.status_code == 200, answer.read()
            yield read_events(answer.iter_lines())

    def all_events(self, job_id: str, *, after: int | None = None) -> list[Event]:
        with self.events(job_id, after=after) as events:
            return list(events)

    def stop(self) -> None:
        """As SIGTERM does; a thread gets no signals."""
        self.server.handle_exit(signal.SIGTERM, None)
        self.thread.join()


def read_events(lines: Iterator[str]) -> Iterator[Event]:
    """Fields up to an empty line are an event; a line that begins with a colon is a comment."""
    fields: dict[str, str] = {}
    for line in lines:
        if line:
            name, _, value = line.partition(":")
            fields[name] = value.removeprefix(" ")
            continue
        if "data" in fields:
            number = int(fields["id"]) if "id" in fields else None
            yield Event(name=fields["event"], id=number, data=json.loads(fields["data"]))
        fields = {}


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Look for news much more often than a service does."""
    monkeypatch.setattr(job_events, "_POLL_S", 0.02)


@pytest.fixture
def serve(store: Database, quick: None, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., Served]]:  # noqa: ARG001
    """Serves the route alone, on a free port; set to stop at the end of the test."""
    monkeypatch.setattr(AppStatus, "should_exit", False)  # what one stop leaves behind in this process
    started: list[Served] = []

    def start(*, most: int = 200, keys: bool = False) -> Served:
        app = FastAPI()
        app.include_router(routes.router)
        install_problem_handlers(app)
        app.state.settings = Settings(keys=False)
        app.state.keys = ring = KeyRing(store, cache_s=0.0)
        app.add_middleware(Identify, keys=ring if keys else None, limit=RequestLimit(0))
        app.add_middleware(Outermost, only_loopback=True)
        app.state.job_streams = streams = JobStreams(store, most=most)
        config = uvicorn.Config(app, port=0, log_config=None, lifespan="off", timeout_graceful_shutdown=5)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run)
        thread.start()
        while not server.started:
            time.sleep(0.005)
        port = server.servers[0].sockets[0].getsockname()[1]
        client = httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=20)
        started.append(Served(server=server, thread=thread, streams=streams, client=client))
        return started[-1]

    yield start
    for served in started:
        served.client.close()
        served.stop()


def run(store: Database) -> str:
    """Start the job that has waited longest; returns the token of its attempt."""
    taken = claim(store, lease_s=60.0)
    assert taken is not None
    return taken.token


def cancelled(store: Database, job_id: str) -> None:
    with store.write() as connection:
        cancel(connection, job_id)


def test_a_stream_tells_every_change_of_state_in_order_and_ends_with_the_job(
    store: Database, ask: Ask, serve: Callable[..., Served]
) -> None:
    """States carry rising ids, progress carries none; after the last state the answer is complete."""
    job_id = ask(store)
    with serve().events(job_id) as events:
        assert next(events).data["state"] == "queued"
        assert next(events) == Event(
            name="progress", id=None, data={"phase": "waiting", "fraction": 0.0, "best_wet_out_s": None}
        )
        token = run(store)
        assert next(events).data["state"] == "running"
        assert next(events).data["phase"] == "starting"
        note_progress(store, token, phase="searching", fraction=0.5, best_wet_out_s=1200.0)
        assert next(events).data == {"phase": "searching", "fraction": 0.5, "best_wet_out_s": 1200.0}
        cancelled(store, job_id)
        (last,) = events
    assert (last.name, last.data["state"], last.data["from"], last.data["done"]) == (
        "state",
        "cancelled",
        "running",
        True,
    )


def test_a_stream_goes_on_where_an_earlier_one_broke_off(
    store: Database, ask: Ask, serve: Callable[..., Served]
) -> None:
    """Last-Event-ID leaves out what was told before; nothing is missing, nothing comes twice."""
    served, job_id = serve(), ask(store)
    with served.events(job_id) as events:
        first = next(events)
    run(store)
    cancelled(store, job_id)
    states = [event.data["state"] for event in served.all_events(job_id, after=first.id)]
    assert states == ["running", "cancelled"]
    ids = [event.id for event in served.all_events(job_id) if event.id is not None]
    assert ids == sorted(set(ids))
    assert ids[0] == first.id


def test_a_client_that_knows_the_end_is_told_not_to_come_again(
    store: Database, ask: Ask, serve: Callable[..., Served]
) -> None:
    """204 ends the reconnecting of an EventSource (WHATWG HTML, 9.2.3, from memory)."""
    served, job_id = serve(), ask(store)
    cancelled(store, job_id)
    last = served.all_events(job_id)[-1]
    answer = served.client.get(f"/v1/jobs/{job_id}/events", headers={"Last-Event-ID": str(last.id)})
    assert (answer.status_code, answer.content) == (204, b"")


def test_a_job_that_is_not_there_is_a_problem_and_not_a_stream(serve: Callable[..., Served]) -> None:
    """404 as everywhere; a Last-Event-ID that is none of ours is 422."""
    served = serve()
    unknown = served.client.get(f"/v1/jobs/job_{0:032x}/events")
    odd = served.client.get(f"/v1/jobs/job_{0:032x}/events", headers={"Last-Event-ID": "x"})
    assert (unknown.status_code, odd.status_code) == (404, 422)
    assert unknown.headers["content-type"] == "application/problem+json"
    assert served.streams.open == 0


def test_the_head_of_a_stream_ends_without_an_error(
    store: Database, ask: Ask, serve: Callable[..., Served], wait_for: WaitFor, caplog: pytest.LogCaptureFixture
) -> None:
    """200 and nothing more, whether the job goes on or has ended; no trace in the log, and the place is free."""
    served, job_id = serve(), ask(store)
    address = f"/v1/jobs/{job_id}/events"
    goes_on = served.client.head(address)
    cancelled(store, job_id)
    for answer in (goes_on, served.client.head(address), served.client.head(address)):
        assert (answer.status_code, answer.content) == (200, b"")
    assert [record for record in caplog.records if record.levelname in ("WARNING", "ERROR")] == []
    wait_for(lambda: served.streams.open == 0 or None, "the places to be free")


def test_more_streams_than_there_are_places_are_refused_for_the_moment(
    store: Database, ask: Ask, serve: Callable[..., Served], wait_for: WaitFor
) -> None:
    """503 with Retry-After; a place that is left can be taken again."""
    served, job_id = serve(most=2), ask(store)
    with served.events(job_id) as one, served.events(job_id) as two:
        assert next(one) == next(two)
        refused = served.client.get(f"/v1/jobs/{job_id}/events")
        assert (refused.status_code, refused.headers["retry-after"]) == (503, "5")
    wait_for(lambda: served.streams.open == 0 or None, "the places to be free")
    with served.events(job_id) as events:
        assert next(events).data["state"] == "queued"


def test_streams_that_were_dropped_leave_nothing_behind(
    store: Database, ask: Ask, serve: Callable[..., Served], wait_for: WaitFor
) -> None:
    """200 of them opened and dropped: no place, no connection to the store, no thread stays."""
    served, job_id = serve(), ask(store)
    pool: Any = store._engine.pool  # the count of connections has no other door

    def open_and_drop(count: int) -> None:
        for _ in range(count):
            with served.events(job_id) as events:
                next(events)

    open_and_drop(10)
    threads = threading.active_count()
    open_and_drop(200)
    wait_for(lambda: served.streams.open == 0 or None, "the streams to end")
    wait_for(lambda: not served.server.server_state.connections or None, "the connections to end")
    assert served.streams._news == {}
    assert pool.checkedout() == 0
    assert threading.active_count() <= threads


def test_many_streams_share_one_look_at_the_store(
    store: Database, ask: Ask, serve: Callable[..., Served], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twenty streams on two jobs for half a second: about as many reads as one stream would make, in one thread."""
    reads: list[str] = []
    read_news = job_events._read_news

    def counted(*arguments: Any) -> Any:
        reads.append(threading.current_thread().name)
        return read_news(*arguments)

    monkeypatch.setattr(job_events, "_read_news", counted)
    monkeypatch.setattr(job_events, "_POLL_S", 0.1)
    served, job_ids = serve(), [ask(store, 1), ask(store, 2)]
    threads = threading.active_count()
    opened = [served.events(job_ids[number % 2]) for number in range(20)]
    streams = [each.__enter__() for each in opened]
    firsts = [next(stream).data["state"] for stream in streams]
    reads.clear()
    time.sleep(0.5)
    assert firsts == ["queued"] * 20
    assert len(reads) <= 6
    assert threading.active_count() <= threads + 1
    for job_id in job_ids:
        cancelled(store, job_id)
    assert {list(stream)[-1].data["state"] for stream in streams} == {"cancelled"}
    for each in opened:
        each.__exit__(None, None, None)


def test_a_comment_keeps_a_silent_stream_open(
    store: Database, ask: Ask, serve: Callable[..., Served], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Comments come while the job has no news, and are no events."""
    monkeypatch.setattr(job_events, "_HEARTBEAT_S", 0.05)
    served, job_id = serve(), ask(store)
    with served.client.stream("GET", f"/v1/jobs/{job_id}/events") as answer:
        comments = (line for line in answer.iter_lines() if line.startswith(":"))
        assert next(comments)
        assert next(comments)


def test_a_stream_ends_with_the_key_that_opened_it(
    serve: Callable[..., Served], store: Database, ask: Ask
) -> None:
    """The job goes on."""
    job_id, served = ask(store, 1), serve(keys=True)
    with store.write() as connection:
        key = make(connection, name="crane", scopes=[Scope.READ])
    served.client.headers["Authorization"] = f"Bearer {key.text}"
    with served.events(job_id) as events:
        assert next(events).data["state"] == "queued"
        with store.write() as connection:
            revoke(connection, key.id)
        assert all(event.name == "progress" for event in events)


def test_open_streams_do_not_keep_the_service_from_stopping(
    store: Database, ask: Ask, serve: Callable[..., Served]
) -> None:
    """They end in good order, so that a client can go on with another service where it was."""
    served, job_id = serve(), ask(store)
    with served.events(job_id) as events:
        next(events)
        began_s = time.monotonic()
        stopping = threading.Thread(target=served.stop)
        stopping.start()
        assert [event.name for event in events] in ([], ["progress"])
        stopping.join()
    # Half a second until the signal is seen, and what a machine under load takes.
    assert time.monotonic() - began_s < 3.0

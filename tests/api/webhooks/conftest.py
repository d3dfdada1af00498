"""A receiver on loopback, and a store whose deliveries are carried to it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Row, select, update

from api.settings import Settings
from api.store.database import Database
from api.store.instants import now
from api.store.tables import deliveries
from api.webhooks.deliver import Courier
from api.webhooks.due import Due, take
from api.webhooks.events import WebhookEvent
from api.webhooks.outbox import announce
from api.webhooks.webhooks import Secret, add

LINKS = {"self": "/v1/jobs/job_1"}


class Receiver:
    """A web server on loopback that keeps what it is sent; `answer` may be changed at any time."""

    def __init__(self) -> None:
        self.got: list[tuple[dict[str, str], str]] = []
        self.most_at_once = self._at_once = 0
        self.answer: Callable[[Any], None] = Receiver.answering(204)
        receiver = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                receiver.take(self)

            def log_message(self, *_arguments: object) -> None:
                """Nothing is said."""

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.port = self.server.server_address[1]
        self.url = f"http://127.0.0.1:{self.port}/told"
        self._thread = threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.01})
        self._thread.start()

    def take(self, handler: BaseHTTPRequestHandler) -> None:
        body = handler.rfile.read(int(handler.headers["Content-Length"])).decode()
        self._at_once += 1
        self.most_at_once = max(self.most_at_once, self._at_once)
        self.got.append((dict(handler.headers), body))
        try:
            self.answer(handler)
        except (BrokenPipeError, ConnectionResetError):
            pass  # the sender has gone, as some tests want it
        finally:
            self._at_once -= 1

    def ids(self) -> list[str]:
        return [headers["webhook-id"] for headers, _ in self.got]

    def close(self) -> None:
        self.server.shutdown()
        self._thread.join()
        self.server.server_close()

    @staticmethod
    def answering(
        status: int, *, after: threading.Event | None = None, **headers: str
    ) -> Callable[[BaseHTTPRequestHandler], None]:
        def answer(handler: BaseHTTPRequestHandler) -> None:
            if after is not None:
                after.wait()
            handler.send_response(status)
            for name, value in headers.items():
                handler.send_header(name, value)
            handler.send_header("Content-Length", "0")
            handler.end_headers()

        return answer


@pytest.fixture
def new_receiver() -> Iterator[Callable[[], Receiver]]:
    made: list[Receiver] = []

    def make() -> Receiver:
        made.append(Receiver())
        return made[-1]

    yield make
    for receiver in made:
        receiver.close()


@pytest.fixture
def receiver(new_receiver: Callable[[], Receiver]) -> Receiver:
    return new_receiver()


@dataclass(frozen=True, kw_only=True)
class Office:
    """A store with deliveries in it."""

    store: Database
    settings: Settings

    def listening(self, url: str, *events: WebhookEvent) -> Secret:
        """A new webhook."""
        with self.store.write() as connection:
            return add(connection, url=url, events=events, by=None)

    def told(self, event: WebhookEvent = WebhookEvent.JOB_SUCCEEDED, *, times: int = 1) -> None:
        with self.store.write() as connection:
            for _ in range(times):
                announce(connection, event=event, subject_id="job_1", data={"state": "succeeded", "links": LINKS})

    def kept(self) -> list[Row[Any]]:
        """All deliveries in the store."""
        rows = select(deliveries).order_by(deliveries.c.created_at, deliveries.c.id)
        with self.store.read() as connection:
            return list(connection.execute(rows).all())

    def make_due(self) -> None:
        """As if the pause before the next try, or the lease of a taker, had passed."""
        waiting = update(deliveries).where(deliveries.c.due_at.is_not(None))
        with self.store.write() as connection:
            connection.execute(waiting.values(due_at=now() - timedelta(seconds=1)))

    def taken(self) -> Due:
        due = take(self.store, besides=frozenset())
        assert due is not None
        return due

    def is_delivered(self) -> bool | None:
        """All of it; None where not, so that it can be waited for."""
        return all(row.delivered_at is not None for row in self.kept()) or None

    def answer(self) -> str | None:
        """The last one to the first delivery."""
        return self.kept()[0].last_answer  # type: ignore[no-any-return]

    @contextmanager
    def couriered(self, **changed: Any) -> Iterator[None]:
        """With a courier at work, under changed settings if wanted."""
        courier = Courier(self.store, self.settings.model_copy(update=changed))
        courier.start()
        try:
            yield
        finally:
            courier.stop()
        assert not courier.is_alive


@pytest.fixture
def office(store: Database, tmp_path: Path) -> Office:
    """May send to this machine."""
    return Office(store=store, settings=Settings(data=tmp_path, poll_s=0.02, webhooks_to_private=True))

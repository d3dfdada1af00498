"""What the service does with requests that are not as HTTP wants them, or that do not come to their end."""

from __future__ import annotations

import json
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
import uvicorn
from fastapi import FastAPI, Request

from api.http.outermost import Outermost
from api.http.problem_handlers import install_problem_handlers
from api.http.unreadable import MOST_HEAD_BYTES, ProblemProtocol

LONGEST_WAIT_S = 20.0
SHORT_S = 0.3
"""In place of the limits of the service, which are longer than a test may take."""


def small_app() -> FastAPI:
    """Two routes behind the outermost layer: one reads a body, one answers with 20 MB."""
    app = FastAPI(openapi_url=None, redirect_slashes=False)

    @app.post("/length")
    async def length(request: Request) -> int:
        return len(await request.body())

    @app.post("/json")
    def read(said: dict[str, Any]) -> int:
        return len(said)

    @app.get("/long")
    def long() -> str:
        return "x" * 20_000_000

    install_problem_handlers(app)
    app.add_middleware(Outermost, only_loopback=True)
    return app


@dataclass(frozen=True, kw_only=True)
class Answer:
    status: int
    head: str
    body: bytes
    waited_s: float

    @property
    def type(self) -> str:
        return str(json.loads(self.body)["type"])


@dataclass(frozen=True, kw_only=True)
class Port:
    """A real server of the small application."""

    number: int

    def connect(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.number), timeout=LONGEST_WAIT_S)

    def send(self, *pieces: bytes, pause_s: float = 0.0) -> Answer:
        """The pieces one after the other, then all that comes back until the server closes the connection."""
        began_s = time.monotonic()
        with self.connect() as connection:
            for piece in pieces:
                connection.sendall(piece)
                time.sleep(pause_s)
            with connection.makefile("rb") as stream:
                head, _, body = stream.read().partition(b"\r\n\r\n")
        waited_s = time.monotonic() - began_s
        status = int(head.split(b" ", 2)[1]) if head else 0
        return Answer(status=status, head=head.decode("latin-1").lower(), body=body, waited_s=waited_s)


@contextmanager
def served(**more: Any) -> Iterator[tuple[Port, uvicorn.Server]]:
    listener = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(small_app(), http=ProblemProtocol, log_config=None, access_log=False, **more)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]})
    thread.start()
    yield Port(number=listener.getsockname()[1]), server
    server.should_exit = True
    thread.join()
    listener.close()


@pytest.fixture(scope="module")
def port() -> Iterator[Port]:
    with served() as (port, _):
        yield port


def get(target: str = "/nothing", host: str = "localhost", more: str = "") -> bytes:
    return f"GET {target} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{more}\r\n".encode("latin-1")


def post(path: str, more: str, body: bytes = b"") -> bytes:
    return f"POST {path} HTTP/1.1\r\nHost: localhost\r\n{more}\r\n".encode() + body


# ---- two lengths -------------------------------------------------------------------------------------------------

CHUNKED = "Transfer-Encoding: chunked\r\n"
HIDDEN = b"0\r\n\r\nGET /long HTTP/1.1\r\nHost: localhost\r\n\r\n"
"""Whoever goes by the chunks sees the end of a body and a second request; whoever goes by the length, one body."""


@pytest.mark.parametrize(
    "sent",
    [post("/length", f"Content-Length: {len(HIDDEN)}\r\n{CHUNKED}", HIDDEN),
     post("/length", f"{CHUNKED}Content-Length: 0\r\n", HIDDEN),
     post("/length", CHUNKED, HIDDEN).replace(b"HTTP/1.1", b"HTTP/1.0", 1),
     post("/length", f"{CHUNKED}{CHUNKED}", HIDDEN), post("/length", "Transfer-Encoding: gzip, chunked\r\n", HIDDEN),
     post("/length", "Content-Length: 5\r\nContent-Length: 6\r\n", HIDDEN),
     post("/length", "Content-Length: 5, 6\r\n", HIDDEN), post("/length", "Content-Length: +5\r\n", HIDDEN),
     post("/length", "Content-Length: -1\r\n", HIDDEN)],
    ids=["length and chunks", "chunks and length", "chunks in HTTP/1.0", "chunks twice", "another coding",
         "two lengths", "two lengths in one header", "a sign", "a negative length"],
)  # fmt: skip
def test_a_body_of_unclear_length_is_refused_and_nothing_after_it_is_read(port: Port, sent: bytes) -> None:
    """400 and the connection closed (RFC 9112, 6.1 and 6.3), so that no second request hides in the body."""
    answer = port.send(sent)
    assert (answer.status, answer.type) == (400, "/v1/problems/malformed-request")
    assert "connection: close" in answer.head
    assert answer.body.count(b"HTTP/1.1") == 0


@pytest.mark.parametrize(
    ("more", "body"),
    [("Content-Length: 5\r\n", b"abcde"), (CHUNKED, b"5\r\nabcde\r\n0\r\n\r\n")],
    ids=["length", "chunks"],
)
def test_a_body_of_clear_length_is_read(port: Port, more: str, body: bytes) -> None:
    """Either way alone."""
    answer = port.send(post("/length", f"Connection: close\r\n{more}", body))
    assert (answer.status, answer.body) == (200, b"5")


def test_what_stands_behind_a_body_in_chunks_is_passed_over(port: Port) -> None:
    """Trailer fields may be dropped (RFC 9110, 6.5.1), for they must not change what the head has said."""
    body = b"5\r\nabcde\r\n0\r\nHost: evil.example\r\nX: y\r\n\r\n"
    answer = port.send(post("/length", f"Connection: close\r\n{CHUNKED}", body))
    assert (answer.status, answer.body) == (200, b"5")


@pytest.mark.parametrize(
    ("begin", "status", "kind"),
    [(b"GET /", 431, "head-too-long"), (get(more="X: ")[:-4], 431, "head-too-long"),
     (post("/length", CHUNKED, b"1\r\na\r\n0\r\nX: "), 400, "malformed-request"),
     (post("/length", CHUNKED, b"1;"), 400, "malformed-request")],
    ids=["a line", "a header", "a trailer", "the extension of a chunk"],
)  # fmt: skip
def test_what_has_no_end_is_not_kept(port: Port, begin: bytes, status: int, kind: str) -> None:
    """After 64 kB of it 431 for a head (RFC 6585, 5), 400 for what is none, and the connection closed."""
    answer = port.send(begin, *[b"a" * (MOST_HEAD_BYTES // 4)] * 4, b"a", pause_s=0.02)
    assert (answer.status, answer.type) == (status, f"/v1/problems/{kind}")


# ---- hosts, texts ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host",
    ["localhost:x", "localhost:99999", "localhost:123456", "localhost:-1", "localhost:80:80", "[::1", "::1", "[::1]x",
     "[localhost]:x", "a b", "user@localhost", "localhost/", "localhost, localhost", "local\xffhost", "localhost:８0"],
)  # fmt: skip
def test_a_host_that_is_none_is_a_malformed_request(port: Port, host: str) -> None:
    """400 (RFC 9112, 3.2)."""
    answer = port.send(get(host=host.encode().decode("latin-1")))
    assert (answer.status, answer.type) == (400, "/v1/problems/malformed-request")


@pytest.mark.parametrize(
    "hosts", ["", "Host: localhost\r\nHost: localhost\r\n", "Host: localhost\r\nHost: evil.example\r\n"]
)
def test_a_request_for_no_host_or_for_two_is_malformed(port: Port, hosts: str) -> None:
    """400, also where both are the same (RFC 9112, 3.2)."""
    answer = port.send(get().replace(b"Host: localhost\r\n", hosts.encode()))
    assert (answer.status, answer.type) == (400, "/v1/problems/malformed-request")


@pytest.mark.parametrize("host", ["", ":80", "localhost.evil.example", "evil.example:80", "[::2]:80", "127.0.0.2"])
def test_a_host_that_is_another_is_told_so(port: Port, host: str) -> None:
    """421 on the loopback address, with any port."""
    assert port.send(get(host=host)).status == 421


@pytest.mark.parametrize("host", ["localhost", "localhost:", "LocalHost:65535", "127.0.0.1:0", "[::1]", "[::1]:8080"])
def test_the_hosts_of_this_machine_are_let_in(port: Port, host: str) -> None:
    """404: it came as far as the routes."""
    assert port.send(get(host=host)).status == 404


@pytest.mark.parametrize(
    "path",
    ["/%00", "/long%00", "/long%0d%0aX:%20y", "/%ff", "/%c0%ae", "/%ed%a0%80", "/%", "/%zz", "/%2e%2e/%2e%2e/etc",
     "/..;/long", "//long", "/long%2f", "/long/", "http://localhost/long", "*"],
)  # fmt: skip
def test_rubbish_in_a_path_is_no_address(port: Port, path: str) -> None:
    """404, whether or not a route begins like it."""
    assert port.send(get(path)).status == 404


@pytest.mark.parametrize(
    ("query", "parameter"),
    [("a=1&name=%00", "name"), ("name=x%00y", "name"), ("na%00me=x", "na?me"), ("name=%ff", "name"),
     ("name=%ed%a0%80", "name"), ("name=a%0d%0ab", "name")],
)  # fmt: skip
def test_broken_text_in_a_query_is_named(port: Port, query: str, parameter: str) -> None:
    """422 before any route sees it: PostgreSQL would refuse a NUL with an error."""
    answer = port.send(get(f"/long?{query}"))
    assert answer.status == 422
    assert [error["parameter"] for error in json.loads(answer.body)["errors"]] == [parameter]


@pytest.mark.parametrize("query", ["name=%C3%A9t%C3%A9%20+x", "%", "a=%zz", "&&==", "a=%25"])
def test_odd_but_whole_text_in_a_query_is_let_through(port: Port, query: str) -> None:
    """What it means is for the route."""
    assert port.send(get(f"/nothing?{query}")).status == 404


@pytest.mark.parametrize("header", ["X: a\0b", "X\0: a", "X: a\rb", "X : a", ": a", "X"])
def test_a_header_that_is_none_is_a_malformed_request(port: Port, header: str) -> None:
    """A NUL, a bare CR, a space before the colon, no name, no colon: 400."""
    answer = port.send(get(more=f"{header}\r\n"))
    assert (answer.status, answer.type) == (400, "/v1/problems/malformed-request")


# ---- what does not come to its end -------------------------------------------------------------------------------


@pytest.fixture
def short_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    for limit in ("unreadable.HEAD_S", "unreadable.TAKEN_S", "body_deadline.LONGEST_S"):
        monkeypatch.setattr(f"api.http.{limit}", SHORT_S)


@pytest.mark.usefixtures("short_limits")
@pytest.mark.parametrize(
    "pieces",
    [[], [b"GET / HT"], [get()[:-2]], [bytes([letter]) for letter in get()[:6]]],
    ids=["nothing", "half a line", "no blank line", "letter by letter"],
)
def test_a_head_that_does_not_end_is_answered_and_ended(port: Port, pieces: list[bytes]) -> None:
    """408 (RFC 9110, 15.5.9), from the opening of the connection on, however often something arrives."""
    answer = port.send(*pieces, pause_s=0.02)
    assert (answer.status, answer.type) == (408, "/v1/problems/too-slow")
    assert SHORT_S * 0.9 < answer.waited_s < LONGEST_WAIT_S


@pytest.mark.usefixtures("short_limits")
def test_a_second_head_that_does_not_end_is_ended_too(port: Port) -> None:
    """On a connection that is kept for further requests."""
    whole = get().replace(b"Connection: close\r\n", b"")
    answer = port.send(whole, b"GET / HT", pause_s=0.05)
    assert b"HTTP/1.1 408 " in answer.body


@pytest.mark.usefixtures("short_limits")
@pytest.mark.parametrize("path", ["/length", "/json"])
@pytest.mark.parametrize("pieces", [1, 5], ids=["at once", "bit by bit"])
def test_a_body_that_does_not_end_is_answered_and_ended(port: Port, path: str, pieces: int) -> None:
    """408, whether the route or the framework reads it; bits in between do not lengthen the time."""
    head = post(path, "Content-Type: application/json\r\nContent-Length: 1000\r\n")
    answer = port.send(head, *[b"{"] * pieces, pause_s=0.02)
    assert (answer.status, answer.type) == (408, "/v1/problems/too-slow")
    assert "connection: close" in answer.head


@pytest.mark.usefixtures("short_limits")
@pytest.mark.parametrize(("rest_s", "whole"), [(SHORT_S * 4, False), (SHORT_S / 10, True)], ids=["none", "slowly"])
def test_an_answer_that_nobody_takes_is_cut_off(port: Port, rest_s: float, whole: bool) -> None:
    """A client that asks for 20 MB and rests does not hold the memory for ever; who takes it slowly gets it all."""
    with port.connect() as connection:
        connection.sendall(get("/long"))
        time.sleep(rest_s)
        received, began_s = 0, time.monotonic()
        while piece := connection.recv(1_000_000):
            received += len(piece)
            time.sleep(SHORT_S / 10 if whole else 0)
    assert (received > 20_000_000) == whole
    assert (time.monotonic() - began_s > SHORT_S) == whole


@pytest.mark.parametrize("path", ["/length", "/json"])
def test_an_upload_that_a_stop_cuts_off_may_be_sent_again(path: str, wait_for: Callable[..., Any]) -> None:
    """503 with Retry-After as a problem document, whether the route or the framework reads the body."""
    with served(timeout_graceful_shutdown=0) as (port, server), port.connect() as connection:
        connection.sendall(post(path, "Content-Type: application/json\r\nContent-Length: 1000\r\n", b"{"))
        wait_for(lambda: server.server_state.tasks or None, "the request to be begun")
        server.should_exit = True
        with connection.makefile("rb") as stream:
            head, _, body = stream.read().partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 503 ")
    assert {b"retry-after: 5", b"connection: close"} <= set(head.lower().split(b"\r\n"))
    assert json.loads(body)["type"] == "/v1/problems/unavailable"

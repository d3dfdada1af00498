"""Whatever is written to stderr is one JSON object a line, and says which job or request it is about."""

from __future__ import annotations

import json
import logging
import multiprocessing
import os
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import api
from api.jobs.child import run_attempt
from api.logs import JsonLines
from api.settings import Settings

ODD = """
import logging, threading, warnings
from api.logs import log_to_stderr
log_to_stderr("info", job="job_1")
logging.getLogger("uvicorn.error").error("Exception in ASGI application", extra={"color_message": "red"})
warnings.warn("a\\nwarning")
thread = threading.Thread(target=lambda: 1 / 0, name="courier")
thread.start()
thread.join()
logging.getLogger("api").info("key tapcall_0123456789abcdef_" + "s" * 43, extra={"attempt": 2})
"""


def test_warnings_threads_and_the_server_make_lines_as_all_others() -> None:
    """In a process of its own, since they are set for the whole of it."""
    ran = subprocess.run(
        [sys.executable, "-W", "always", "-c", ODD],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(api.__file__).parents[1])},
    )
    server, warning, thread, key = map(json.loads, ran.stderr.splitlines())
    assert [line["job"] for line in (server, warning, thread, key)] == ["job_1"] * 4
    assert (server["logger"], server["level"]) == ("uvicorn.error", "error")
    assert "color_message" not in server
    assert "a\nwarning" in warning["message"]
    assert thread["of_thread"] == "courier"
    assert "ZeroDivisionError" in thread["trace"]
    assert key["message"] == "key tapcall_0123456789abcdef_..."
    assert key["attempt"] == 2


def test_what_is_passed_with_a_line_wins_over_what_all_say() -> None:
    """A supervisor that spoke of another job would mean that one."""
    record = logging.makeLogRecord({"msg": "m", "job": "job_2"})
    assert json.loads(JsonLines({"job": "job_1"}).format(record))["job"] == "job_2"


def test_the_lines_of_an_attempt_name_its_job(store_url: str, capfd: pytest.CaptureFixture[str]) -> None:
    """A child whose attempt has ended says so, and of which job."""
    settings = Settings(database_url=store_url)
    child = multiprocessing.get_context("spawn").Process(
        target=run_attempt, args=(settings, "no such token", os.getpid()), name="job_1"
    )
    child.start()
    child.join()
    assert child.exitcode == 0
    (line,) = map(json.loads, capfd.readouterr().err.splitlines())
    assert (line["job"], line["message"]) == ("job_1", "attempt ended meanwhile, result dropped")


def test_bytes_that_are_no_request_make_a_line_too(service: Any, wait_for: Callable[..., Any]) -> None:
    """And every line of a service so far is JSON."""
    address = service.client.base_url
    with socket.create_connection((address.host, address.port)) as connection:
        connection.sendall(b"\x16\x03\x01 this is not HTTP\r\n\r\n")
        assert connection.recv(100).startswith(b"HTTP/1.1 400 ")

    def told() -> bool | None:
        lines = [json.loads(line) for line in service.log.read_text().splitlines()]
        return any(line["logger"] == "uvicorn.error" and line["level"] == "warning" for line in lines) or None

    wait_for(told, "a line about it")

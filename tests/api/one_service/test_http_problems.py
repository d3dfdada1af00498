"""Whatever is sent, the answer is a problem document (RFC 9457) and the service goes on."""

from __future__ import annotations

import json
import socket
from collections.abc import Callable
from typing import Any

import httpx
import pytest

CASE = "/v1/layouts"
JSON = {"Content-Type": "application/json"}
YAML = {"Content-Type": "application/yaml"}
MEMBERS = {"type", "title", "status", "detail", "errors", "request_id"}
"""Four of RFC 9457 and two of our own; `instance` is not used."""


def problem_of(answer: httpx.Response) -> dict[str, Any]:
    """The problem document, having checked that it is one."""
    assert answer.headers["content-type"] == "application/problem+json"
    problem = dict(answer.json())
    assert set(problem) == MEMBERS
    assert problem["status"] == answer.status_code
    assert problem["request_id"] == answer.headers["x-request-id"]
    assert all({"pointer", "found", "expected", "remedy"} <= set(error) for error in problem["errors"])
    assert "Traceback" not in answer.text
    assert ".py" not in answer.text
    return problem


UNUSABLE_BODIES = {
    "nothing": b"",
    "blank": b"   \n",
    "a NUL byte": b'{"name": "a\0b"}',
    "an escaped NUL": b'{"name": "a\\u0000b"}',
    "not UTF-8": b'{"name": "\xff\xfe"}',
    "a lone surrogate": b'{"name": "\\ud800"}',
    "cut off": b'{"name": "pan',
    "a list": b"[]",
    "a number": b"1",
    "null": b"null",
    "an unknown field": b'{"nmae": "panel"}',
    "a doubled key": b'{"name": "a", "name": "b"}',
    "not a number": b'{"schema_version": NaN}',
    "endless": b'{"schema_version": Infinity}',
    "an overflowing number": b'{"schema_version": 1e999}',
    "a number of 100 000 digits": b'{"schema_version": ' + b"9" * 100_000 + b"}",
    "lists 100 000 deep": b"[" * 100_000,
    "objects 50 000 deep": b'{"a":' * 50_000,
    "YAML lists 100 000 deep": b"- " * 100_000,
    "YAML flow lists 100 000 deep": b"a: " + b"[" * 100_000,
    "YAML references that multiply": b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
    "a YAML tag": b"!!python/object/apply:os.getcwd []",
    "two YAML documents": b"a: 1\n---\nb: 2\n",
    "bytes of a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
}


@pytest.mark.parametrize("headers", [JSON, YAML], ids=["json", "yaml"])
@pytest.mark.parametrize("body", UNUSABLE_BODIES.values(), ids=UNUSABLE_BODIES.keys())
def test_an_unusable_body_is_told_what_to_mend(service: Any, body: bytes, headers: dict[str, str]) -> None:
    """Status 422 with at least one error, whatever kind of nonsense was sent."""
    answer = service.client.post(CASE, content=body, headers=headers)
    problem = problem_of(answer)
    assert answer.status_code == 422
    assert problem["errors"]


def test_every_fault_has_the_pointer_to_its_field(service: Any, tiny_case: dict[str, Any]) -> None:
    """Two faults at once, each with its RFC 6901 pointer, what was found and what is expected."""
    tiny_case["process"]["vacuum_mbar_abs"] = "deep"
    tiny_case["feed_lines"][1]["bore_mm"] = -3
    problem = problem_of(service.client.post(CASE, json=tiny_case))
    assert {error["pointer"] for error in problem["errors"]} == {
        "/process/vacuum_mbar_abs",
        "/feed_lines/1/bore_mm",
    }
    assert all(error["found"] and error["expected"] for error in problem["errors"])


@pytest.mark.parametrize(
    ("body", "pointer", "found", "expected"),
    [
        (b"", "", "nothing", "a mapping with layout_id (What is to be planned)"),
        (b"{}", "/layout_id", "nothing", "text (The layout to plan)"),
        (
            b'{"layout_id": "layout_0", "layot_revision": 1}',
            "/layot_revision",
            "an unknown field",
            "one of layout_id, layout_revision, resin_id, resin_revision, batch, changes",
        ),
    ],
)
def test_a_request_that_is_no_document_of_its_kind_is_told_as_a_case_is(
    service: Any, body: bytes, pointer: str, found: str, expected: str
) -> None:
    """What is there and what would be right, by the service's own words and not by those of a library."""
    problem = problem_of(service.client.post("/v1/plans", content=body, headers=JSON))
    (error,) = [one for one in problem["errors"] if one["pointer"] == pointer]
    assert (error["found"], error["expected"]) == (found, expected)
    assert error["remedy"]


def test_a_parameter_is_told_without_the_words_of_a_library(service: Any) -> None:
    """What would be right begins with what it is."""
    (error,) = problem_of(service.client.get("/v1/plans", params={"limit": "many"}))["errors"]
    assert (error["parameter"], error["found"]) == ("limit", "'many'")
    assert error["expected"].startswith("a valid integer")


def test_a_body_over_ten_megabytes_is_refused_and_the_client_learns_why(service: Any) -> None:
    """413 with Content-Length, and 413 with a body in chunks of unknown length."""
    body = b" " * 10_000_001
    assert problem_of(service.client.post(CASE, content=body, headers=JSON))["status"] == 413
    chunks = (b" " * 1_000_000 for _ in range(11))
    assert problem_of(service.client.post(CASE, content=chunks, headers=JSON))["status"] == 413


@pytest.mark.parametrize("expect", ["", "Expect: 100-continue\r\n"])
def test_a_body_announced_as_too_long_is_refused_before_it_is_sent(service: Any, expect: str) -> None:
    """413 at once, and a client that asks whether to go on is never told to (RFC 9110, 10.1.1)."""
    url = service.client.base_url
    head = f"POST {CASE} HTTP/1.1\r\nHost: localhost\r\nAuthorization: {service.client.headers['authorization']}\r\n"
    length = "Content-Type: application/json\r\nContent-Length: 10000001\r\n"
    with socket.create_connection((url.host, url.port), timeout=20) as connection:
        connection.sendall(f"{head}{length}{expect}\r\n".encode())
        with connection.makefile("rb") as stream:
            assert stream.readline().startswith(b"HTTP/1.1 413 ")
            headers = dict(line.strip().lower().split(b": ", 1) for line in iter(stream.readline, b"\r\n"))
            assert headers[b"connection"] == b"close"
            problem = json.loads(stream.read(int(headers[b"content-length"])))
    assert problem["status"] == 413


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {"Content-Type": "multipart/form-data; boundary=x"},
        {**JSON, "Content-Encoding": "gzip"},
    ],
)
def test_a_body_of_another_kind_is_refused(service: Any, headers: dict[str, str]) -> None:
    """415: only JSON and YAML are read, and only uncompressed."""
    assert problem_of(service.client.post(CASE, content=b"{}", headers=headers))["status"] == 415


@pytest.mark.parametrize(
    "path",
    ["/", "/v1", "/v1/nothing", "/v1/jobs/", "/v1/jobs/1", "/v1/jobs/%00", "/v1/jobs/" + "9" * 3000,
     "/v1/jobs/job_" + "0" * 32, "/v1/plans/plan_" + "0" * 24, "/v1/plans/plan_" + "0" * 24 + "/run-sheet",
     "/v1/plans/x/map.svg", "/v1/layouts/layout_" + "0" * 32, "/v1/layouts/%ff", "/v1/problems/nothing",
     "/v1/plans/..%2f..%2fetc", "/docs", "/redoc"],
)  # fmt: skip
def test_an_address_of_nothing_is_not_found(service: Any, path: str) -> None:
    """404 for unknown routes, for ids that cannot exist, and for ids that do not."""
    assert problem_of(service.client.get(path))["status"] == 404


@pytest.mark.parametrize("field", [{"batch": "q"}, {"resin_revision": 1}])
def test_a_batch_or_revision_of_no_resin_is_told_where(service: Any, field: dict[str, Any]) -> None:
    """Not of the document as a whole."""
    problem = problem_of(service.client.post("/v1/plans", json={"layout_id": "layout_" + "0" * 32, **field}))
    assert [error["pointer"] for error in problem["errors"]] == [f"/{next(iter(field))}"]


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "NONSENSE"])
def test_a_method_that_is_not_taken_is_told_which_are(service: Any, method: str) -> None:
    """405 with the header Allow (RFC 9110, 15.5.6)."""
    answer = service.client.request(method, CASE)
    assert problem_of(answer)["status"] == 405
    assert set(answer.headers["allow"].split(", ")) == {"GET", "HEAD", "POST"}


@pytest.mark.parametrize(
    ("query", "parameter"),
    [("limit=0", "limit"), ("limit=201", "limit"), ("limit=ten", "limit"), ("limit=" + "9" * 400, "limit"),
     ("limit=%00", "limit"), ("cursor=nonsense", "cursor"), ("cursor=%00", "cursor"),
     ("cursor=" + "A" * 400, "cursor"), ("curser=x", "curser")],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/v1/jobs", "/v1/plans"])
def test_a_query_that_cannot_be_used_is_named(service: Any, path: str, query: str, parameter: str) -> None:
    """422 naming the parameter; an unknown one is an error too, not silently dropped."""
    problem = problem_of(service.client.get(f"{path}?{query}"))
    assert problem["status"] == 422
    assert [error["parameter"] for error in problem["errors"]] == [parameter]


@pytest.mark.parametrize(
    "moment", ["0001-01-01T00:00:00%2B14:00", "9999-12-31T23:59:59-14:00", "2031-02-29T00:00:00Z", "0"]
)
def test_a_moment_that_no_clock_of_the_store_can_show_is_named(service: Any, moment: str) -> None:
    """422: before the first year, after the last one that is written with four digits, a day that is none."""
    problem = problem_of(service.client.get(f"/v1/jobs?updated_since={moment}"))
    assert problem["status"] == 422
    assert [error["parameter"] for error in problem["errors"]] == ["updated_since"]


@pytest.mark.parametrize("host", ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "[::2]"])
def test_a_page_that_points_its_own_name_here_gets_nothing(service: Any, host: str) -> None:
    """421 (RFC 9110, 15.5.20): a loopback service without keys answers only to the names of this machine."""
    assert problem_of(service.client.get("/v1/jobs", headers={"Host": host}))["status"] == 421


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:1", "127.0.0.1", "[::1]:8080"])
def test_the_names_of_this_machine_are_answered(service: Any, host: str) -> None:
    """The usual ways to write loopback, with or without a port."""
    assert service.client.get("/v1/jobs", headers={"Host": host}).status_code == 200


def test_a_client_that_leaves_in_the_middle_harms_nobody(service: Any) -> None:
    """A body that never comes to its end, then a request of somebody else."""
    url = service.client.base_url
    with socket.create_connection((url.host, url.port)) as connection:
        connection.sendall(
            b"POST /v1/layouts HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
            b"Content-Length: 1000\r\n\r\n{"
        )
    assert service.client.get("/livez").status_code == 200


@pytest.mark.parametrize(
    "sent",
    [b"\x16\x03\x01\x02\x00\x01\x00\r\n\r\n", b"GET /v1/jobs\x00 HTTP/1.1\r\nHost: localhost\r\n\r\n",
     b"GET /v1/jobs HTTP/1.1\r\n\r\n"],
    ids=["TLS", "a NUL in the address", "no host"],
)  # fmt: skip
def test_bytes_that_are_no_request_get_a_problem_too(service: Any, sent: bytes) -> None:
    """400, before the application has seen anything."""
    url = service.client.base_url
    with socket.create_connection((url.host, url.port), timeout=10) as connection:
        connection.sendall(sent)
        with connection.makefile("rb") as answer:
            head, _, body = answer.read().partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 400 ")
    assert b"Content-Type: application/problem+json" in head
    assert json.loads(body)["type"] == "/v1/problems/malformed-request"


def test_the_type_of_every_problem_can_be_looked_up(service: Any) -> None:
    """`type` is an address of this service that explains the kind."""
    kind = problem_of(service.client.get("/nothing"))["type"]
    explained = service.client.get(kind).json()
    assert (explained["type"], explained["status"]) == (kind, 404)
    assert explained["meaning"]


def test_a_request_id_is_kept_when_it_is_harmless(service: Any, wait_for: Callable[..., Any]) -> None:
    """A caller's own id comes back and stands in the log; one that could forge a log line does not."""
    mine = service.client.get("/nothing", headers={"X-Request-Id": "mould-7.a"})
    assert mine.headers["x-request-id"] == "mould-7.a"


    def is_logged() -> bool | None:
        lines = [json.loads(line) for line in service.log.read_text().splitlines() if line.endswith("}")]
        return any(line.get("request_id") == "mould-7.a" and line.get("status") == 404 for line in lines) or None

    assert wait_for(is_logged, "the line in the log")
    forged = service.client.get("/nothing", headers={"X-Request-Id": "a b"})
    assert forged.headers["x-request-id"] != "a b"

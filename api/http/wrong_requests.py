"""Requests that are refused before a route sees them: for another host, of two lengths, with broken text."""

from __future__ import annotations

import re
from collections.abc import Iterator
from urllib.parse import parse_qsl

from starlette.datastructures import Headers
from starlette.types import Scope

from api.http.problem import Problem, ProblemError
from api.http.problem_kinds import MALFORMED, NOT_FOUND, UNUSABLE, WRONG_HOST

LOOPBACK_HOSTS = frozenset({"127.0.0.1", "localhost", "::1"})

_HOST = re.compile(r"(?:\[(?P<ipv6>[0-9a-f:.]+)\]|(?P<name>[a-z0-9._~-]*))(?::(?P<port>[0-9]{0,5}))?", re.I | re.A)
_LARGEST_PORT = 65535
_BROKEN = re.compile("[\x00-\x1f\x7f\ufffd]")
"""Control characters, and what stands for bytes that are not UTF-8. PostgreSQL takes no NUL in a text."""


def refuse_wrong_request(scope: Scope, headers: Headers, *, only_loopback: bool) -> None:
    """Problem for what must not go further."""
    _check_length(scope, headers)
    _check_host(headers, only_loopback=only_loopback)
    if _BROKEN.search(scope["path"]):
        raise Problem(NOT_FOUND, "This is not an address that this service gives out.")
    query = scope["query_string"]
    if b"%" in query and (errors := list(_broken_parameters(query.decode("latin-1")))):
        raise Problem(UNUSABLE, "A query parameter cannot be used.", errors=errors)


def _check_length(scope: Scope, headers: Headers) -> None:
    """A proxy in between might believe the other length, and see a second request in the rest (RFC 9112, 6.1, 6.3)."""
    if "transfer-encoding" not in headers:
        return
    if "content-length" in headers or scope["http_version"] == "1.0":
        raise Problem(MALFORMED, "The length of the body is told in two ways.", headers={"Connection": "close"})
    if [coding.lower() for coding in headers.getlist("transfer-encoding")] != ["chunked"]:
        raise Problem(MALFORMED, "The only transfer coding is chunked.", headers={"Connection": "close"})


def _check_host(headers: Headers, *, only_loopback: bool) -> None:
    """A page in the user's browser can make its own host name point here; the Host header gives it away."""
    host = headers.get("host", "localhost")
    said = _HOST.fullmatch(host)
    if said is None or int(said["port"] or 0) > _LARGEST_PORT:
        raise Problem(MALFORMED, "The header Host is not a host with a port.")  # RFC 9112, 3.2
    if only_loopback and (said["ipv6"] or said["name"]).lower() not in LOOPBACK_HOSTS:
        raise Problem(WRONG_HOST, "Address the request to 127.0.0.1 or localhost.")


def _broken_parameters(query: str) -> Iterator[ProblemError]:
    for name, value in parse_qsl(query, keep_blank_values=True):
        if _BROKEN.search(name) or _BROKEN.search(value):
            yield ProblemError(
                pointer="",
                parameter=_BROKEN.sub("?", name),
                found="control characters, or bytes that are not UTF-8",
                expected="plain text in UTF-8",
                remedy="mend or leave out this query parameter",
            )

"""Requests whose head is wrong: ids, cursors, headers, addresses."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, Final
from urllib.parse import quote

from benchmarks.malformed import nonsense
from benchmarks.malformed.sent import Sent

_LISTS: Final = ("layouts", "resins", "plans", "revalidations", "jobs", "webhooks", "keys", "audit")
_FORMS: Final = ("", "/revisions", "/revisions/1", "/listing", "/map.svg", "/report.csv", "/events", "/x")
_PARAMETERS: Final = ("cursor", "limit", "name", "state", "updated_since", "layout_id", "verdict", "batch", "nothing")
_CURSORS: Final = ("W10", "bnVsbA", "e30", "WyIyMDI2LTAxLTAxVDAwOjAwOjAwIiwiYSJd", "WzEsMl0", "W1tdLHt9XQ", "////", "=")
_ADDRESSES: Final = (
    "*", "//", "/%", "/%zz", "/v1/layouts/%00", "/v1/../v1/jobs", "http://127.0.0.1/v1/jobs", "/v1/jobs#x", "/\\", "/é",
)  # fmt: skip
_LONG_HEADERS: Final = (
    "X-Long", "Cookie", "If-None-Match", "Idempotency-Key", "X-Request-Id", "Last-Event-ID", "Accept",
)  # fmt: skip
_ODD_HEADERS: Final = (
    "If-Match", "If-None-Match", "Idempotency-Key", "Last-Event-ID", "Range", "Expect", "Upgrade", "Host",
)  # fmt: skip
_MEDIA_TYPES: Final = (
    "", "text/plain", "application/xml", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded",
    "application/json; charset=utf-16", "APPLICATION/JSON;", "application/json, application/yaml",
    "application/merge-patch+json",
)  # fmt: skip
_ENTITY: Final = b'{"name": "x"}'


def odd_head(dice: random.Random, port: int) -> Sent:
    """Any of them."""
    return dice.choice(_KINDS)(dice, port)


def _text(dice: random.Random, port: int) -> str:
    value: Any = nonsense.value(dice, port)
    return value if isinstance(value, str) else str(value)[:500]


def _quoted(text: str) -> str:
    return quote(text.encode("utf-8", "surrogatepass"), safe="")[:60_000]


def _id(dice: random.Random, port: int) -> Sent:
    kind = dice.choice(_LISTS)
    right = f"{kind.removesuffix('s')}_{dice.choice(('0', 'f', 'F', 'g')) * dice.choice((23, 24, 31, 32, 33))}"
    target = f"/v1/{kind}/{dice.choice((right, _quoted(_text(dice, port))))}{dice.choice(_FORMS)}"
    return Sent(what="id", method=dice.choice(("GET", "GET", "DELETE", "HEAD")), target=target)


def _query(dice: random.Random, port: int) -> Sent:
    name = dice.choice(_PARAMETERS)
    target = f"/v1/{dice.choice(_LISTS)}?{name}={_quoted(_text(dice, port))}"
    return Sent(what="query", method="GET", target=target + dice.choice(("", "&limit=0", f"&{name}=1", "&&;=")))


def _cursor(dice: random.Random, _port: int) -> Sent:
    target = f"/v1/{dice.choice(_LISTS)}?cursor={dice.choice(_CURSORS)}"
    return Sent(what="cursor", method="GET", target=target)


def _long_address(dice: random.Random, _port: int) -> Sent:
    between = dice.choice(("/", "?name=", "?a&", "/../", "//"))
    target = f"/v1/layouts{between}{'a' * dice.choice((3_000, 30_000, 70_000))}"
    return Sent(what="long address", method="GET", target=target)


def _odd_address(dice: random.Random, _port: int) -> Sent:
    method = dice.choice(("GET", "OPTIONS", "CONNECT", "TRACE", "PATCH"))
    return Sent(what="odd address", method=method, target=dice.choice(_ADDRESSES))


def _many_headers(dice: random.Random, _port: int) -> Sent:
    number = dice.choice((90, 200, 2_000))
    headers = tuple((f"X-{place}", "y" * dice.choice((1, 50))) for place in range(number))
    return Sent(what="many headers", method="GET", target="/v1/limits", headers=headers)


def _long_header(dice: random.Random, _port: int) -> Sent:
    header = (dice.choice(_LONG_HEADERS), "z" * dice.choice((500, 20_000, 200_000)))
    return Sent(what="long header", method="GET", target="/v1/jobs", headers=(header,))


def _odd_header(dice: random.Random, port: int) -> Sent:
    text = _text(dice, port).encode("utf-8", "surrogatepass").decode("latin-1")
    target = dice.choice(("/v1/jobs", f"/v1/jobs/job_{'0' * 32}/events", f"/v1/layouts/layout_{'0' * 32}"))
    return Sent(what="odd header", method="GET", target=target, headers=((dice.choice(_ODD_HEADERS), text[:2_000]),))


def _smuggled(dice: random.Random, _port: int) -> Sent:
    hidden = b"0\r\n\r\nGET /v1/keys HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    pairs = (
        (("Transfer-Encoding", "chunked"), ("Content-Length", str(len(hidden)))),
        (("Transfer-Encoding", "chunked"), ("Transfer-Encoding", "chunked")),
        (("Transfer-Encoding", "chunked, identity"),),
        (("Transfer-Encoding", "xchunked"),),
        (("Transfer-Encoding ", "chunked"),),
        (("Content-Length", "5"), ("Content-Length", "60")),
        (("Content-Length", "+5"),),
        (("Content-Length", "5_0"),),
        (("X", "a\r\nTransfer-Encoding: chunked"),),
    )
    headers = dice.choice(pairs)
    return Sent(what="smuggled", method="POST", target="/v1/keys", headers=headers, body=hidden, says_length=False)


def _other_body(dice: random.Random, _port: int) -> Sent:
    coding = dice.choice(((), (("Content-Encoding", dice.choice(("gzip", "br", "identity", "x"))),)))
    path = dice.choice(("layouts", "resins", "plans", "checks", "revalidations", "webhooks", "keys"))
    headers = (("Content-Type", dice.choice(_MEDIA_TYPES)), *coding)
    return Sent(what="other body", method="POST", target=f"/v1/{path}", headers=headers, body=_ENTITY)


def _no_http(dice: random.Random, _port: int) -> Sent:
    raws = (
        b"\x16\x03\x01\x02\x00\x01\x00\r\n\r\n",
        b"GET /v1/jobs HTTP/9.9\r\n\r\n",
        b"GET  /v1/jobs  HTTP/1.1\r\n\r\n",
        b"get /v1/jobs http/1.1\r\n\r\n",
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
        b"GET /v1/jobs HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"GET /v1/jobs HTTP/1.1\nHost: 127.0.0.1\n\n",
        b"GET /v1/jobs HTTP/1.1\r\nHost: 127.0.0.1\r\n folded: yes\r\n\r\n",
        b"\x00" * 1_000 + b"\r\n\r\n",
        dice.randbytes(200) + b"\r\n\r\n",
    )
    return Sent(what="no HTTP", raw=dice.choice(raws))


_KINDS: Final[tuple[Callable[[random.Random, int], Sent], ...]] = (
    _id, _id, _query, _query, _cursor, _long_address, _odd_address, _many_headers, _long_header, _odd_header,
    _odd_header, _smuggled, _other_body, _no_http,
)  # fmt: skip

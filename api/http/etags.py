"""Answers that need not be sent again: entity tags and If-None-Match (RFC 9110, 8.8.3 and 13.1.2)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import Header
from starlette.responses import Response

IfNoneMatch = Annotated[
    str | None, Header(alias="If-None-Match", description="ETags of versions that you have; 304 if one is this.")
]


def answer_unless_known(
    known: str | None,
    *,
    etag: str,
    media_type: str,
    headers: dict[str, str],
    render: Callable[[], str | bytes],
) -> Response:
    """304 where the client has this version already; else 200 with the content, rendered only now."""
    headers = {**headers, "ETag": etag}
    if known is not None and _knows(known, etag):
        return Response(status_code=304, headers=headers)
    return Response(render(), media_type=media_type, headers=headers)


def _knows(if_none_match: str, etag: str) -> bool:
    """Weak comparison, as RFC 9110 asks for If-None-Match."""
    candidates = [candidate.strip() for candidate in if_none_match.split(",")]
    return "*" in candidates or etag.removeprefix("W/") in {each.removeprefix("W/") for each in candidates}

"""Entity tags in requests: If-Match and If-None-Match (RFC 9110, 8.8.3, 13.1.1 and 13.1.2)."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated

from fastapi import Depends, Header, Request
from starlette.responses import Response

IfNoneMatch = Annotated[
    str | None, Header(alias="If-None-Match", description="ETags of versions that you have; 304 if one is this.")
]
_TAG = r'(?:W/)?"[!#-~\x80-\xff]*"'
_ONE = re.compile(_TAG)
_LIST = re.compile(rf"[ \t,]*{_TAG}(?:[ \t]*,[ \t,]*{_TAG})*[ \t,]*")


async def _if_match(
    request: Request,
    known: Annotated[
        str | None, Header(alias="If-Match", max_length=2_000, description="ETag of the revision that you have seen.")
    ] = None,
) -> str | None:
    """All lines of the header as one (RFC 9110, 5.3)."""
    return None if known is None else ", ".join(request.headers.getlist("if-match"))


IfMatch = Annotated[str | None, Depends(_if_match)]


def strong_tags(if_match: str) -> frozenset[str] | None:
    """Those that can match, since If-Match asks for strong comparison; None where it is no list of tags."""
    if not _LIST.fullmatch(if_match):
        return None
    return frozenset(tag for tag in _ONE.findall(if_match) if not tag.startswith("W/"))


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

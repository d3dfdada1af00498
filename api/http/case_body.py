"""A case as the body of a request: its media type and its length; what it says is for the reader of cases."""

from __future__ import annotations

from typing import Annotated

from fastapi import Depends, Request

from api.http.problem import Problem
from api.http.problem_kinds import TOO_LARGE, WRONG_MEDIA_TYPE

_READ_AND_DROPPED_BYTES = 64_000_000
"""So far an overlong body is still taken off the wire, so that the client gets to see the answer."""


async def _case_body(request: Request) -> bytes:
    _check_media_type(request)
    largest: int = request.app.state.settings.largest_body_bytes
    kept, length = bytearray(), 0
    async for piece in request.stream():
        length += len(piece)
        if length <= largest:
            kept += piece
        elif length > _READ_AND_DROPPED_BYTES:
            break
    if length > largest:
        raise Problem(TOO_LARGE, f"The body is longer than {largest} bytes.")
    return bytes(kept)


CASE_BODY_SCHEMA = {
    "requestBody": {
        "required": True,
        "description": "A case; GET /v1/schema/case describes it.",
        "content": {
            media_type: {"schema": {"type": "object"}}
            for media_type in ("application/json", "application/yaml")
        },
    }
}

CaseBody = Annotated[bytes, Depends(_case_body)]


def _check_media_type(request: Request) -> None:
    sent = request.headers.get("content-type", "")
    media_type = sent.partition(";")[0].strip().lower()
    if media_type not in {"application/json", "application/yaml"}:
        found = f"The body was sent as '{media_type}'" if media_type else "The body came without Content-Type"
        raise Problem(
            WRONG_MEDIA_TYPE,
            f"{found}; send application/json or application/yaml.",
            headers={"Accept-Post": "application/json, application/yaml"},
        )
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Problem(WRONG_MEDIA_TYPE, "The body is compressed; send it as it is.")

"""What the OpenAPI page says about answers beside their documents: headers, files, answers without a body."""

from __future__ import annotations

from typing import Any

Answer = dict[str, Any]
Answers = dict[int | str, Answer]


def _header(description: str, example: str | int, *, always: bool = True) -> dict[str, Any]:
    kind = "integer" if isinstance(example, int) else "string"
    return {"description": description, "required": always, "schema": {"type": kind}, "example": example}


ETAG = {"ETag": _header("Names this version, for If-None-Match and If-Match (RFC 9110).", '"3-0123456789abcdef"')}
LOCATION = {"Location": _header("Address of what was made or asked for (RFC 9110, 10.2.2).", "/v1/...")}
RETRY_AFTER = {"Retry-After": _header("Seconds after which to ask again (RFC 9110, 10.2.3).", 2)}
RETRY_AFTER_WHILE_OPEN = {
    "Retry-After": _header("While the job is not done: seconds after which to ask again.", 2, always=False)
}
NOT_STORED = {"Cache-Control": _header("`no-store`: the answer holds a secret.", "no-store")}
REPLAYED = {
    "Idempotent-Replayed": _header("`true` where this is the reply that was given before.", "true", always=False)
}
REQUEST_ID = {
    "X-Request-Id": _header(
        "Names the request in the log of the service; that of the request, where it sent a usable one.",
        "0123456789abcdef0123456789abcdef",
    )
}


def answer(description: str, *headers: dict[str, Any]) -> Answer:
    """An answer with these headers."""
    return {"description": description, "headers": {name: said for each in headers for name, said in each.items()}}


def file(description: str, media_type: str, *headers: dict[str, Any], is_text: bool = False) -> Answer:
    """An answer that is not JSON."""
    schema = {"type": "string"} if is_text else {"type": "string", "format": "binary"}
    return answer(description, *headers) | {"content": {media_type: {"schema": schema}}}


def download(name: str) -> dict[str, Any]:
    """The header of an answer that is to be kept as a file."""
    return {"Content-Disposition": _header("Name for the file (RFC 6266).", f'attachment; filename="{name}"')}


NOT_CHANGED: Answers = {304: answer("The version that If-None-Match names is the newest", ETAG)}

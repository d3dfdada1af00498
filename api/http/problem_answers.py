"""Which problems an operation may answer with, as the OpenAPI page tells it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from api.http.answers import ETAG, RETRY_AFTER, Answers, answer
from api.http.problem import MEDIA_TYPE, Problem
from api.http.problem_kinds import (
    BEYOND_LIMITS,
    CHANGED_MEANWHILE,
    ENDED,
    KINDS,
    NOT_ALLOWED,
    NOT_FOUND,
    PRECONDITION_MISSING,
    SHOWN_ONCE,
    TOO_LARGE,
    TOO_MANY,
    TOO_SLOW,
    UNAUTHENTICATED,
    UNAVAILABLE,
    UNUSABLE,
    WITHDRAWN,
    WRONG_MEDIA_TYPE,
    ProblemKind,
)

_CHALLENGE = {
    "WWW-Authenticate": {
        "description": "How to identify oneself (RFC 6750, 3).",
        "required": True,
        "schema": {"type": "string"},
        "example": 'Bearer realm="tapcall"',
    }
}
_HEADERS: dict[int, dict[str, Any]] = {
    UNAUTHENTICATED.status: _CHALLENGE,
    NOT_ALLOWED.status: _CHALLENGE,
    CHANGED_MEANWHILE.status: ETAG,
    TOO_MANY.status: RETRY_AFTER,
    UNAVAILABLE.status: RETRY_AFTER,
}
_SCHEMA = {"$ref": "#/components/schemas/ProblemDocument"}
_OF_BODIES = (TOO_SLOW, TOO_LARGE, WRONG_MEDIA_TYPE, UNUSABLE)
ANY_OTHER = {"description": "Any other problem", "content": {MEDIA_TYPE: {"schema": _SCHEMA}}}


def reference(kind: ProblemKind) -> dict[str, str]:
    return {"$ref": f"#/components/responses/{_name(kind.status)}"}


def problem_responses() -> dict[str, Any]:
    """One for each status, to stand among the components of the page; its examples are the kinds of that status."""
    by_status: dict[int, list[ProblemKind]] = {}
    for kind in KINDS.values():
        by_status.setdefault(kind.status, []).append(kind)
    return {_name(status): _response(status, kinds) for status, kinds in sorted(by_status.items())}


def problems_of(path: str, operation: dict[str, Any]) -> Iterator[ProblemKind]:
    """One kind for each status that the operation may end with, read off what it takes."""
    parameters = {each["name"]: each["in"] for each in operation.get("parameters", ())}
    if "security" in operation:
        yield from (UNAUTHENTICATED, NOT_ALLOWED, TOO_MANY, UNAVAILABLE)
    if "{" in path:
        yield NOT_FOUND
    if "If-Match" in parameters:
        yield from (CHANGED_MEANWHILE, PRECONDITION_MISSING)
    if "requestBody" in operation:
        yield from _OF_BODIES
    elif set(parameters.values()) - {"path"}:
        yield UNUSABLE


def _name(status: int) -> str:
    return f"Problem{status}"


def _response(status: int, kinds: list[ProblemKind]) -> dict[str, Any]:
    examples = {kind.slug: {"summary": kind.title, "value": _example(kind)} for kind in kinds}
    said = answer(". ".join(kind.title for kind in kinds), _HEADERS.get(status, {}))
    return said | {"content": {MEDIA_TYPE: {"schema": _SCHEMA, "examples": examples}}}


def _example(kind: ProblemKind) -> dict[str, Any]:
    return Problem(kind, kind.meaning).document().model_dump(exclude_none=True)


ALREADY_SHOWN: Answers = {SHOWN_ONCE.status: reference(SHOWN_ONCE)}
"""For operations whose answer holds a secret."""
HAS_ENDED: Answers = {ENDED.status: reference(ENDED)}
"""For operations on what may have been revoked."""
ALREADY_WITHDRAWN: Answers = {WITHDRAWN.status: reference(WITHDRAWN)}
"""For the operation that withdraws a plan."""
NOT_DRAWN: Answers = {BEYOND_LIMITS.status: reference(BEYOND_LIMITS)}
"""For operations whose answer is drawn in a reading process."""

"""Problem documents (RFC 9457): the one shape of every answer with status 400 and above."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import ConfigDict
from starlette.exceptions import HTTPException
from starlette.responses import Response

from api.http.document import Document
from api.http.problem_kinds import UNAVAILABLE, UNUSABLE, ProblemKind
from api.logs import request_id
from optimiser.errors import Fault

MEDIA_TYPE = "application/problem+json"


class ProblemError(Document):
    """One thing to mend."""

    pointer: str
    """RFC 6901 pointer into the body; '' for the body as a whole and for anything outside it."""
    found: str
    """What is there, shortened."""
    expected: str
    """What would be right, with unit and limits."""
    remedy: str
    """What to try; empty where that is plain from `expected`."""
    parameter: str | None = None
    """Name of the query parameter or header, where the fault is there and not in the body."""

    @classmethod
    def from_fault(cls, fault: Fault) -> ProblemError:
        return cls(pointer=fault.path, found=fault.found, expected=fault.expected, remedy=fault.remedy)


_EXAMPLE: dict[str, Any] = {
    "type": UNUSABLE.type,
    "title": UNUSABLE.title,
    "status": UNUSABLE.status,
    "detail": "One thing in the request must be mended.",
    "errors": [
        {
            "pointer": "/feed_lines/1/bore_mm",
            "found": "-3",
            "expected": "a number from 3 to 100 mm (Inner diameter of the line in the bag)",
            "remedy": "check the unit: mm",
        }
    ],
    "request_id": "0123456789abcdef0123456789abcdef",
}


class ProblemDocument(Document):
    """An answer with status 400 and above, or the reason why a job failed (RFC 9457)."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    type: str
    """Address that explains this kind of problem; programs go by it."""
    title: str
    """The kind of problem in words."""
    status: int
    """HTTP status."""
    detail: str
    """What is wrong this time."""
    errors: list[ProblemError]
    """One entry for each thing to mend; empty where the request as a whole is refused."""
    request_id: str | None = None
    """The request in the log of the service: the header X-Request-Id."""


class Problem(HTTPException):
    """Raised by a route, by what it calls, or on the way to it; becomes the answer.

    An exception of the framework, because it lets only those pass where it reads a body by itself.
    """

    def __init__(
        self,
        kind: ProblemKind,
        detail: str,
        *,
        errors: Iterable[ProblemError] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(kind.status, detail, headers)
        self.kind, self.errors = kind, list(errors)

    def document(self) -> ProblemDocument:
        return ProblemDocument(
            type=self.kind.type,
            title=self.kind.title,
            status=self.kind.status,
            detail=self.detail,
            errors=self.errors,
        )

    def response(self) -> Response:
        document = self.document().model_copy(update={"request_id": request_id.get()})
        content = document.model_dump_json(exclude_none=True)
        return Response(content, self.kind.status, dict(self.headers or {}), MEDIA_TYPE)


def unavailable(detail: str) -> Problem:
    """What may be asked again soon."""
    return Problem(UNAVAILABLE, detail, headers={"Retry-After": "5"})

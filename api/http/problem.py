"""Problem documents (RFC 9457): the one shape of every answer with status 400 and above."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pydantic import BaseModel, ConfigDict
from starlette.exceptions import HTTPException
from starlette.responses import Response

from api.http.problem_kinds import ProblemKind
from api.logs import request_id
from optimiser.errors import Fault

MEDIA_TYPE = "application/problem+json"


class ProblemError(BaseModel):
    """One thing to mend."""

    model_config = ConfigDict(use_attribute_docstrings=True)

    pointer: str
    """RFC 6901 pointer into the body; '' for the body as a whole and for anything outside it."""
    found: str
    expected: str
    remedy: str
    parameter: str | None = None
    """Name of the query parameter, where the fault is there and not in the body."""

    @classmethod
    def from_fault(cls, fault: Fault) -> ProblemError:
        return cls(pointer=fault.path, found=fault.found, expected=fault.expected, remedy=fault.remedy)


class ProblemDocument(BaseModel):
    """An answer with status 400 and above, or the reason why a job failed."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[ProblemError]
    request_id: str | None = None


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

"""A layout as the service understood it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Row

from api.http.document import Document
from optimiser.case.plan_document import Assumption


class LayoutDocument(Document):
    digest: str
    name: str
    created_at: datetime
    case: dict[str, Any]
    """Complete, with what was assumed filled in. Sent in again, it makes the same plan; under another digest where
    something was assumed, since all of it is then stated."""
    assumptions: list[Assumption]
    warnings: list[str]
    jobs: list[str]
    """Addresses of its jobs, newest first."""
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any], job_ids: list[str]) -> LayoutDocument:
        from optimiser.case.read_case import read_case

        case = read_case(row.source)
        return cls(
            digest=row.digest,
            name=row.name,
            created_at=row.created_at,
            case=case.document.model_dump(mode="json"),
            assumptions=list(case.assumptions),
            warnings=list(case.warnings),
            jobs=[f"/v1/jobs/{job_id}" for job_id in job_ids],
            links={"self": f"/v1/layouts/{row.digest}"},
        )

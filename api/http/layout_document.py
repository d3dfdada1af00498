"""A layout as the service understood it."""

from __future__ import annotations

from collections.abc import Mapping
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
    """As it was written; what was assumed stands under `assumptions`. Sent in again, it gives the same digest."""
    assumptions: list[Assumption]
    warnings: list[str]
    jobs: list[str]
    """Addresses of its jobs, newest first."""
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any], job_ids: list[str]) -> LayoutDocument:
        from optimiser.case.read_case import case_from_mapping
        from optimiser.case.read_text import read_data

        written = read_data(row.source)
        case = case_from_mapping(written)
        return cls(
            digest=row.digest,
            name=row.name,
            created_at=row.created_at,
            case=dict(written) if isinstance(written, Mapping) else {},
            assumptions=list(case.assumptions),
            warnings=list(case.warnings),
            jobs=[f"/v1/jobs/{job_id}" for job_id in job_ids],
            links={"self": f"/v1/layouts/{row.digest}"},
        )

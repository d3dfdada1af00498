"""Which jobs a list is to show."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

from fastapi import Query
from pydantic import AwareDatetime

from api.http.identifiers import NamedLayout
from api.http.paging import PageQuery
from api.jobs.read_jobs import JobFilter
from api.jobs.states import JobKind, JobState


class JobsQuery(PageQuery):
    state: JobState | None = None
    """Only those in this state."""
    kind: JobKind | None = None
    """Only those of this kind."""
    layout_id: NamedLayout | None = None
    """Only those that plan or check this layout."""
    updated_since: AwareDatetime | None = None
    """Only those whose state changed at or after this instant, RFC 3339."""

    def filter(self) -> JobFilter:
        since: datetime | None = None if self.updated_since is None else self.updated_since.astimezone(UTC)
        return JobFilter(state=self.state, kind=self.kind, layout_id=self.layout_id, updated_since=since)


JobsPaging = Annotated[JobsQuery, Query()]

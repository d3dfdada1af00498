"""Which jobs a list is to show."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Annotated

from fastapi import Query
from pydantic import AfterValidator, AwareDatetime, BeforeValidator

from api.http.identifiers import NamedLayout
from api.http.paging import PageQuery
from api.jobs.read_jobs import JobFilter
from api.jobs.states import JobKind, JobState

_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d", re.ASCII)


def _rfc_3339(value: object) -> object:
    """Else a bare number would be taken, as seconds since 1970."""
    if isinstance(value, str) and not _MOMENT.match(value):
        raise ValueError("a moment as RFC 3339 writes it, for example 2031-04-09T05:40:00Z")
    return value


def _in_utc(moment: datetime) -> datetime:
    try:
        return moment.astimezone(UTC)
    except OverflowError as error:
        raise ValueError("a moment of the years 0001 to 9999, in UTC too") from error


class JobsQuery(PageQuery):
    state: JobState | None = None
    """Only those in this state."""
    kind: JobKind | None = None
    """Only those of this kind."""
    layout_id: NamedLayout | None = None
    """Only those that plan or check this layout."""
    updated_since: Annotated[AwareDatetime, BeforeValidator(_rfc_3339), AfterValidator(_in_utc)] | None = None
    """Only those whose state changed at or after this instant, RFC 3339."""

    def filter(self) -> JobFilter:
        return JobFilter(
            state=self.state, kind=self.kind, layout_id=self.layout_id, updated_since=self.updated_since
        )


JobsPaging = Annotated[JobsQuery, Query()]

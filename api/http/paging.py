"""The query of a list and the links of its pages."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query
from pydantic import BaseModel, ConfigDict, Field


class PageQuery(BaseModel):
    model_config = ConfigDict(extra="forbid")

    limit: int = Field(default=50, ge=1, le=200, description="Most entries on the page.")
    cursor: str | None = Field(
        default=None, max_length=300, description="`next_cursor` of the page before; newest first."
    )

    def next_link(self, path: str, next_cursor: str | None) -> str | None:
        if next_cursor is None:
            return None
        return f"{path}?{urlencode({'limit': self.limit, 'cursor': next_cursor})}"


Paging = Annotated[PageQuery, Query()]

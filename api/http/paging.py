"""The query of a list and the links of its pages."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query
from pydantic import BaseModel, ConfigDict, Field


class PageQuery(BaseModel):
    """Lists with filters have them as further fields; one that is left out leaves them all."""

    model_config = ConfigDict(extra="forbid", use_attribute_docstrings=True)

    limit: int = Field(default=50, ge=1, le=200)
    """Most entries on the page."""
    cursor: str | None = Field(default=None, max_length=300)
    """`next_cursor` of the page before."""

    def next_link(self, path: str, next_cursor: str | None) -> str | None:
        """The page after this one, with the same filters."""
        if next_cursor is None:
            return None
        asked = self.model_dump(mode="json", exclude_none=True) | {"cursor": next_cursor}
        return f"{path}?{urlencode(asked)}"


class NamedPageQuery(PageQuery):
    name: str | None = Field(default=None, max_length=200)
    """Only those of exactly this name."""


Paging = Annotated[PageQuery, Query()]
NamedPaging = Annotated[NamedPageQuery, Query()]

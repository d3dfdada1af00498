"""Keys as they are asked for and shown. Their text is shown once, when they are made."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated, Any

from fastapi import Path
from pydantic import ConfigDict, Field
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.keys.key_text import KeyText
from api.keys.scopes import Scope, scopes_from_text
from api.store.instants import now

KeyId = Annotated[str, Path(pattern=r"^[0-9a-f]{16}$")]


class KeyRequest(Request):
    model_config = ConfigDict(json_schema_extra={"examples": [{"name": "nightly planning", "scopes": ["submit"]}]})

    name: Annotated[str, Field(min_length=1, max_length=100)]
    """Whoever will hold it."""
    scopes: Annotated[list[Scope], Field(min_length=1, max_length=len(Scope))]
    """`submit` includes `read`, `operate` includes both."""
    days: Annotated[int | None, Field(ge=1, le=3650)] = None
    """How long it is good. Left out: until it is revoked."""

    @property
    def expires_at(self) -> datetime | None:
        return None if self.days is None else now() + timedelta(days=self.days)


class KeyDocument(Document):
    id: str
    """The public part of the key."""
    name: str
    scopes: list[Scope]
    created_at: datetime
    expires_at: datetime | None = None
    revoked_at: datetime | None = None
    last_used_at: datetime | None = None
    """Right to a minute."""
    links: dict[str, str]

    @classmethod
    def from_row(cls, row: Row[Any]) -> KeyDocument:
        return cls.model_validate(_shown(row))


class NewKeyDocument(KeyDocument):
    key: str
    """Send it as `Authorization: Bearer`. It is not kept, and shown this once."""

    @classmethod
    def of(cls, row: Row[Any], key: KeyText) -> NewKeyDocument:
        return cls.model_validate({**_shown(row), "key": key.text})


class KeyPage(Page):
    items: list[KeyDocument]


def _shown(row: Row[Any]) -> dict[str, Any]:
    links = {"self": f"/v1/keys/{row.id}", "rotate": f"/v1/keys/{row.id}/rotate"}
    return {**row._mapping, "scopes": scopes_from_text(row.scopes), "links": links}

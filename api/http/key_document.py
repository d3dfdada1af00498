"""Keys as they are asked for and shown. Their text is shown once, when they are made."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Annotated, Any

from pydantic import ConfigDict, Field, Strict
from sqlalchemy import Row

from api.http.document import Document, Page, Request
from api.keys.key_text import KeyText
from api.keys.scopes import Scope, scopes_from_text
from api.store.instants import now

_EXAMPLE: dict[str, Any] = {
    "id": "0123456789abcdef",
    "name": "nightly planning",
    "scopes": ["submit"],
    "created_at": "2026-03-02T07:30:00Z",
    "links": {"self": "/v1/keys/0123456789abcdef", "rotate": "/v1/keys/0123456789abcdef/rotate"},
}


class KeyRequest(Request):
    """What a new key is to be."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"name": "nightly planning", "scopes": ["submit"]}]})

    name: Annotated[str, Field(min_length=1, max_length=100)]
    """Whoever will hold it."""
    scopes: Annotated[list[Scope], Field(min_length=1, max_length=len(Scope))]
    """`submit` includes `read`, `operate` includes both."""
    days: Annotated[int, Strict(), Field(ge=1, le=3650)] | None = None
    """How long it is good, days. Left out: until it is revoked."""

    @property
    def expires_at(self) -> datetime | None:
        return None if self.days is None else now() + timedelta(days=self.days)


class KeyDocument(Document):
    """A key without its text."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE]})

    id: str
    """The public part of the key."""
    name: str
    """Whoever holds it."""
    scopes: list[Scope]
    """What it allows."""
    created_at: datetime
    """When it was made, UTC."""
    expires_at: datetime | None = None
    """Until when it is good, UTC; absent: until it is revoked."""
    revoked_at: datetime | None = None
    """When it was revoked, UTC."""
    last_used_at: datetime | None = None
    """When it was last used, UTC, right to a minute; absent: never."""
    links: dict[str, str]
    """Addresses: self, rotate."""

    @classmethod
    def from_row(cls, row: Row[Any]) -> KeyDocument:
        return cls.model_validate(_shown(row))


class NewKeyDocument(KeyDocument):
    """A key with its text."""

    model_config = ConfigDict(json_schema_extra={"examples": [_EXAMPLE | {"key": "tapcall_0123456789abcdef_..."}]})

    key: str
    """Send it as `Authorization: Bearer`. It is not kept, and shown this once."""

    @classmethod
    def of(cls, row: Row[Any], key: KeyText) -> NewKeyDocument:
        return cls.model_validate({**_shown(row), "key": key.text})


class KeyPage(Page):
    """Keys without their texts."""

    items: list[KeyDocument]
    """Keys, newest first."""


def _shown(row: Row[Any]) -> dict[str, Any]:
    links = {"self": f"/v1/keys/{row.id}", "rotate": f"/v1/keys/{row.id}/rotate"}
    return {**row._mapping, "scopes": scopes_from_text(row.scopes), "links": links}

"""What a route asks of its caller: a scope. Who the caller is was settled before (`identify.py`)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Request, Security
from fastapi.security import HTTPBearer
from sqlalchemy import Connection

from api.audit import note
from api.http.problem import Problem
from api.http.problem_kinds import NOT_ALLOWED
from api.keys.scopes import Scope
from api.logs import request_id

_DESCRIPTION = (
    "A key of this service, made by whoever runs it: tapcall keys add NAME --scope submit. "
    "The names under an operation are the scope that it takes; each of read, submit, operate includes those before."
)


@dataclass(frozen=True, kw_only=True)
class Caller:
    key_id: str | None
    """None: the service asks for no keys."""
    scopes: frozenset[Scope]

    def note(self, connection: Connection, action: str, subject: str) -> None:
        """Write into the audit that the caller did this, by this request."""
        note(connection, key_id=self.key_id, action=action, subject=subject, request_id=request_id.get())


class Needs(HTTPBearer):
    """The dependency of a route that only callers with this scope may use (RFC 6750)."""

    def __init__(self, scope: Scope) -> None:
        super().__init__(auto_error=False, scheme_name="key", description=_DESCRIPTION)
        self.scope = scope

    async def __call__(self, request: Request) -> Caller:  # type: ignore[override]
        caller: Caller = request.state.caller
        if self.scope not in caller.scopes:
            raise Problem(
                NOT_ALLOWED,
                f"This takes a key of scope {self.scope}.",
                headers={
                    "WWW-Authenticate": f'Bearer realm="tapcall", error="insufficient_scope", scope="{self.scope}"'
                },
            )
        return caller


Reads = Annotated[Caller, Security(Needs(Scope.READ), scopes=[Scope.READ])]
Submits = Annotated[Caller, Security(Needs(Scope.SUBMIT), scopes=[Scope.SUBMIT])]
Operates = Annotated[Caller, Security(Needs(Scope.OPERATE), scopes=[Scope.OPERATE])]

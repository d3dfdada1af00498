"""Who asks, and whether they may: a key as a bearer token (RFC 6750)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request, Security
from fastapi.concurrency import run_in_threadpool
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from sqlalchemy import Connection

from api.audit import note
from api.http.problem import Problem
from api.http.problem_kinds import NOT_ALLOWED, TOO_MANY, UNAUTHENTICATED
from api.keys.key_ring import Holder, KeyRing
from api.keys.scopes import ALL_SCOPES, Scope
from api.logs import request_id

_BEARER = HTTPBearer(
    auto_error=False,
    scheme_name="key",
    description="A key of this service, made by whoever runs it: tapcall keys add NAME --scope submit. "
    "The names under an operation are the scope that it takes; each of read, submit, operate includes those before.",
)
_Given = Annotated[HTTPAuthorizationCredentials | None, Security(_BEARER)]


@dataclass(frozen=True, kw_only=True)
class Caller:
    key_id: str | None
    """None: the service asks for no keys."""
    scopes: frozenset[Scope]

    def note(self, connection: Connection, action: str, subject: str) -> None:
        """Write into the audit that the caller did this, by this request."""
        note(connection, key_id=self.key_id, action=action, subject=subject, request_id=request_id.get())


class Needs:
    """The dependency of a route that only callers with this scope may use. Counts the request, too."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope

    async def __call__(self, request: Request, given: _Given) -> Caller:
        caller = await _caller(request, given)
        if self.scope not in caller.scopes:
            raise Problem(
                NOT_ALLOWED,
                f"This takes a key of scope {self.scope}.",
                headers={"WWW-Authenticate": _challenge("insufficient_scope", scope=self.scope)},
            )
        return caller


Reads = Annotated[Caller, Security(Needs(Scope.READ), scopes=[Scope.READ])]
Submits = Annotated[Caller, Security(Needs(Scope.SUBMIT), scopes=[Scope.SUBMIT])]
Operates = Annotated[Caller, Security(Needs(Scope.OPERATE), scopes=[Scope.OPERATE])]


def _ring(request: Request) -> KeyRing:
    ring: KeyRing = request.app.state.keys
    return ring


Ring = Annotated[KeyRing, Depends(_ring)]


async def _caller(request: Request, given: HTTPAuthorizationCredentials | None) -> Caller:
    """Found out and counted once, however many of what a route depends on ask."""
    if not hasattr(request.state, "caller"):
        caller = await _identified(request, given)
        _count(request, caller.key_id or _address(request))
        request.state.caller = caller
    known: Caller = request.state.caller
    return known


async def _identified(request: Request, given: HTTPAuthorizationCredentials | None) -> Caller:
    if not request.app.state.settings.keys:
        return Caller(key_id=None, scopes=ALL_SCOPES)
    holder = None if given is None else await _holder(_ring(request), given.credentials)
    if holder is None:
        _count(request, _address(request))  # so that keys cannot be tried without end
        raise _no_key() if given is None else _bad_key()
    request.state.key_id = holder.key_id
    return Caller(key_id=holder.key_id, scopes=holder.scopes)


async def _holder(ring: KeyRing, text: str) -> Holder | None:
    if ring.answers_from_memory(text):
        return ring.holder(text)
    return await run_in_threadpool(ring.holder, text)


def _count(request: Request, whom: str) -> None:
    wait_s = request.app.state.request_limit.take(whom)
    if wait_s is not None:
        raise Problem(
            TOO_MANY,
            f"More than {request.app.state.settings.requests_per_minute} requests in a minute.",
            headers={"Retry-After": str(wait_s)},
        )


def _address(request: Request) -> str:
    return "somewhere" if request.client is None else f"address {request.client.host}"


def _no_key() -> Problem:
    """Without an error code, as RFC 6750, 3.1, asks where no key came at all."""
    return Problem(
        UNAUTHENTICATED,
        "Send a key: 'Authorization: Bearer tapcall_...'. On the machine of the service, "
        "'tapcall keys add NAME --scope submit' makes one.",
        headers={"WWW-Authenticate": _challenge()},
    )


def _bad_key() -> Problem:
    return Problem(
        UNAUTHENTICATED,
        "The key is not known here, has expired or was revoked. On the machine of the service, "
        "'tapcall keys list' shows which are good, and 'tapcall keys add NAME --scope submit' makes one.",
        headers={"WWW-Authenticate": _challenge("invalid_token")},
    )


def _challenge(error: str | None = None, *, scope: str | None = None) -> str:
    said = {"realm": "tapcall", "error": error, "scope": scope}
    return "Bearer " + ", ".join(f'{name}="{value}"' for name, value in said.items() if value is not None)
